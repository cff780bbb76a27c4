"""Gerber's line and the strength of music wire that is bent again and again.

@book{shigley, author = {Shigley and Mischke and Budynas}, title = {Mechanical Engineering Design}, note = {Example of the
  torsion spring of music wire whose moment varies from 1 to 5 lbf·in: alternating stress 60.857 kpsi, mean 91.286 kpsi,
  S_ut 294.4 kpsi, S_r 0.50·S_ut = 147.2 kpsi at 10⁶ cycles, S_e 78.51 kpsi, S_a 68.85 kpsi, n_f 1.13; from memory}}
@misc{budynas-sm, author = {Budynas and Nisbett}, title = {Solutions to Mechanical Engineering Design, 8th edition},
  note = {problem 10-26, read at coursehero.com/file/6628847: Gerber with S_su 186.723 and 184.984, S_se 38.325 and 38.394,
  S_sa 34.658 and 34.652, τ_a 23.105 and 23.101 kpsi, n_f 1.500; amplitude over mean 0.6: forces of 5 and 20 lbf}}
"""

from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.calculation import spring


def repeated_of(reversed_strength, tensile):
    """The strength repeated from zero that belongs to a fully reversed one: Gerber's line turned round."""
    half = tensile * (sqrt(tensile**2 + 4 * reversed_strength**2) - tensile) / (2 * reversed_strength)
    return 2 * half


def safety(*, amplitude, mean, tensile, repeated):
    """Safety of a spring by amplitude and mean of its stress."""
    return spring.fatigue_safety(
        stress_open_mpa=mean - amplitude,
        stress_closed_mpa=mean + amplitude,
        tensile_strength_mpa=tensile,
        repeated_strength_mpa=repeated,
    )


@pytest.mark.parametrize(("tensile", "fully_reversed", "amplitude"), [(186.723, 38.325, 23.105), (184.984, 38.394, 23.101)])
def test_gerbers_line_of_a_published_solution(tensile, fully_reversed, amplitude):
    # published: n_f 1.500 with forces of 5 and 20 lbf; tolerance: the last digit of three
    repeated = repeated_of(fully_reversed, tensile)
    found = safety(amplitude=amplitude, mean=amplitude / 0.6, tensile=tensile, repeated=repeated)
    assert found == pytest.approx(1.500, abs=5e-4)


def test_a_torsion_spring_of_music_wire():
    # published, from memory: as told above; tolerance: n_f has three digits
    repeated = spring.repeated_strength_mpa(tensile_strength_mpa=294.4, cycles=1e6)
    assert repeated == pytest.approx(147.2, abs=0.05)
    assert repeated_of(78.51, 294.4) == pytest.approx(147.2, abs=0.05)
    assert safety(amplitude=60.857, mean=91.286, tensile=294.4, repeated=repeated) == pytest.approx(1.13, abs=5e-3)


@pytest.mark.parametrize(
    ("cycles", "share"),
    [(1.0, 0.53), (1e5, 0.53), (10**5.5, 0.515), (1e6, 0.50), (1e8, 0.50)],  # hand: by the logarithm, held outside
)
def test_strength_falls_with_the_cycles(cycles, share):
    found = spring.repeated_strength_mpa(tensile_strength_mpa=2000.0, cycles=cycles)
    assert found == pytest.approx(2000 * share, rel=1e-12)


@given(st.floats(800.0, 2500.0), st.floats(0.3, 0.6))
def test_a_stress_repeated_from_zero_at_its_strength_has_no_safety_left(tensile, share):
    # hand: definition of the strength
    found = safety(amplitude=share * tensile / 2, mean=share * tensile / 2, tensile=tensile, repeated=share * tensile)
    assert found == pytest.approx(1.0, rel=1e-9)


@given(st.floats(800.0, 2500.0), st.floats(50.0, 500.0), st.floats(50.0, 800.0), st.floats(0.3, 3.0))
def test_safety_is_what_the_stresses_may_grow_by(tensile, amplitude, mean, factor):
    repeated = 0.5 * tensile
    one = safety(amplitude=amplitude, mean=mean, tensile=tensile, repeated=repeated)
    grown = safety(amplitude=factor * amplitude, mean=factor * mean, tensile=tensile, repeated=repeated)
    assert factor * grown == pytest.approx(one, rel=1e-9)
    # and at its safety it stands on Gerber's line
    half = repeated / 2
    fully_reversed = half / (1 - (half / tensile) ** 2)
    assert one * amplitude / fully_reversed + (one * mean / tensile) ** 2 == pytest.approx(1.0, rel=1e-9)


def test_cycles_of_a_life():
    # hand: 10·365·15
    assert spring.service_cycles(cycles_per_day=10.0, service_years=15.0) == 54_750.0

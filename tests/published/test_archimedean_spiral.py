"""Exact length of an Archimedean spiral and of a wound strip; the coil of rigid slats comes to both as the pitch goes to 0.

@misc{cook2024roll, author = {John D. Cook}, title = {Length of a roll},
  note = {s = a/2·(θ·√(1+θ²) + asinh θ), 17 April 2024, johndcook.com}}
@misc{rolllength, title = {Roll Length Calculator}, note = {L = π·(D²-d²)/(4t), calculator.academy}}
@misc{eulertoolbox, title = {Euler toolbox course notes}, note = {one turn of r = θ is 21.2562941482 long}}
"""

from itertools import pairwise
from math import asinh, pi, sqrt

import pytest
from scipy.integrate import quad

from service.calculation import coil

FINE_MM = 0.05
"""A pitch so small that the slats of the tests are as good as limp."""


def spiral_length(*, start, end, growth_per_rad):
    """Length of the spiral r = growth·θ between two radii, integrated by scipy: the independent program."""
    length, _ = quad(lambda radius: sqrt((radius / growth_per_rad) ** 2 + 1), start, end, epsabs=1e-9)
    return length


def wound(*, core_mm, thickness_mm, length_mm, pitch_mm):
    """Hinge radius [mm] and turns of slats of a pitch, so many mm of them, on a core measured to their middle."""
    profile = {
        "tube_radius_mm": core_mm - thickness_mm / 2,
        "pitch_mm": pitch_mm,
        "thickness_mm": thickness_mm,
        "nesting": 1.0,
    }
    slats = length_mm / pitch_mm
    return (
        coil.hinge_radius_mm(**profile, slats_wound=slats),
        coil.turns(angle_rad=coil.hinge_angle_rad(**profile, slats_wound=slats)),
    )


def test_scipy_gives_the_published_length_of_one_turn():
    # published: 21.2562941482 (10 decimals); the tolerance is half of the last one
    assert spiral_length(start=0.0, end=2 * pi, growth_per_rad=1.0) == pytest.approx(21.2562941482, abs=1e-10)


def test_scipy_gives_the_closed_form():
    # published formula, evaluated here between 30 and 84 mm at 9 mm a turn; both are good to rounding
    growth = 9 / (2 * pi)
    first, last = 30 / growth, 84 / growth
    closed = growth / 2 * (last * sqrt(1 + last**2) + asinh(last) - first * sqrt(1 + first**2) - asinh(first))
    assert spiral_length(start=30.0, end=84.0, growth_per_rad=growth) == pytest.approx(closed, rel=1e-12)
    assert closed == pytest.approx(2149.5866, abs=5e-5)  # hand: six turns of 9 mm on a core of 30 mm


@pytest.mark.slow
@pytest.mark.parametrize(("core_mm", "thickness_mm", "turns"), [(30.0, 9.0, 6), (25.4, 8.0, 5), (50.0, 0.1, 15)])
def test_slats_of_a_tiny_pitch_lie_on_the_spiral(core_mm, thickness_mm, turns):
    # independent program: scipy; tolerance: tube and every layer stand off by a sagitta p²/(8r)
    outer = core_mm + turns * thickness_mm
    length = spiral_length(start=core_mm, end=outer, growth_per_rad=thickness_mm / (2 * pi))
    radius, made = wound(core_mm=core_mm, thickness_mm=thickness_mm, length_mm=length, pitch_mm=FINE_MM)
    stands_off = (turns + 1) * FINE_MM**2 / (8 * core_mm)
    assert radius == pytest.approx(outer, abs=stands_off)
    assert made == pytest.approx(turns, abs=turns * stands_off / core_mm)


def test_the_miss_falls_with_the_square_of_the_pitch():
    # independent program: scipy; halving the pitch must take the miss to a quarter, within a tenth for higher orders
    length = spiral_length(start=30.0, end=84.0, growth_per_rad=9 / (2 * pi))
    misses = [
        wound(core_mm=30.0, thickness_mm=9.0, length_mm=length, pitch_mm=pitch_mm)[0] - 84
        for pitch_mm in (4.0, 2.0, 1.0, 0.5)
    ]
    assert all(miss > 0 for miss in misses)
    assert [wide / narrow for wide, narrow in pairwise(misses)] == pytest.approx([4.0] * 3, rel=0.1)


@pytest.mark.parametrize(
    ("outer", "inner", "thickness", "length"),
    [
        (2.5, 1.0, 0.011, 1499.3965),  # published: D 5 in, d 2 in; the page prints 1499.39
        (6.0, 1.5, 0.25, 424.1150),  # published inputs: D 12 in, d 3 in; hand: π·(12² - 3²)/(4·0.25)
        (84.0, 30.0, 9.0, 2148.8494),  # hand: six turns of 9 mm on a core of 30 mm, by area
    ],
)
def test_ideal_radius_is_the_strip_formula(outer, inner, thickness, length):
    # the formula lays the strip's middle from the core's radius to the roll's; tolerance: the length's last digit
    radius = coil.ideal_radius_mm(
        tube_radius_mm=inner - thickness / 2, pitch_mm=length, thickness_mm=thickness, slat_count=1
    )
    assert radius - thickness / 2 == pytest.approx(outer, abs=1e-4)


def test_strip_formula_is_the_limit_of_slats():
    # independent: the strip formula; tolerance: tube and 16 layers each stand off by a sagitta of the fine chord
    strip = coil.ideal_radius_mm(tube_radius_mm=49.95, pitch_mm=FINE_MM, thickness_mm=0.1, slat_count=100_000)
    radius, _ = wound(core_mm=50.0, thickness_mm=0.1, length_mm=5000.0, pitch_mm=FINE_MM)
    assert coil.outer_radius_mm(hinge_radius_mm=radius, thickness_mm=0.1) == pytest.approx(
        strip, abs=17 * FINE_MM**2 / (8 * 50)
    )

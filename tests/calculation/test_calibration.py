"""Calibration against an independent program, there and back, and what it refuses.

The independent program winds coils with Brent's method for every chord and hands the pairs to SciPy's least squares. All
measurements here are made up: computed coils with noise from a fixed seed.
"""

import random
import tomllib
from functools import cache
from math import pi, sqrt

import draws
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq, least_squares

from service.audit.replay import replay
from service.audit.trace import noted, noting_copy
from service.calculation import calibration, coil
from service.calculation.calibration import NoSpiralError, Pair, Profile, calibrate
from service.calculation.rules import RULES

SLIM_ON_T50 = Profile("slim", pitch_mm=28.0, thickness_mm=8.0, tube_radius_mm=25.0)
STOUT_ON_T70 = Profile("stout", pitch_mm=40.0, thickness_mm=10.0, tube_radius_mm=35.0)
COUNTS = tuple(range(12, 61, 6))


def rows_of(profile):
    return {name: getattr(profile, name) for name in ("pitch_mm", "thickness_mm", "tube_radius_mm")}


def measured(profile, nesting, counts=COUNTS, noise_mm=0.0):
    """Coils as somebody might have measured them."""
    chance = random.Random(20)  # noqa: S311 - noise for a test, the same on every run
    radii = calibration.coil_radii_mm(slat_counts=counts, nesting=nesting, **rows_of(profile))
    return [Pair(count, radius + chance.gauss(0, noise_mm)) for count, radius in zip(counts, radii, strict=True)]


@cache
def wound_radii(profile, nesting, count):
    """Outer radii of 0 to so many slats; each chord angle is the root of the law of cosines."""
    thickness, pitch = profile.thickness_mm, profile.pitch_mm
    hinges = [abs(complex(profile.tube_radius_mm + thickness / 2, pitch / 2))]
    for _ in range(count):
        inner = hinges[-1]
        growth = (thickness + nesting * (inner - sqrt(inner**2 - pitch**2 / 4))) / (2 * pi)

        def chord_error(angle, inner=inner, growth=growth):
            outer = inner + growth * angle
            return inner**2 + outer**2 - 2 * inner * outer * np.cos(angle) - pitch**2

        hinges.append(inner + growth * brentq(chord_error, 0.0, pi, xtol=1e-14))
    return tuple(hinge + thickness / 2 for hinge in hinges)


@pytest.mark.parametrize("profile", [SLIM_ON_T50, STOUT_ON_T70], ids=["slim", "stout"])
@pytest.mark.parametrize("nesting", [0.35, 1.034, 1.8])
def test_factor_and_error_are_those_of_an_independent_program(profile, nesting):
    pairs = measured(profile, nesting, noise_mm=0.6)

    def misses(factor):
        radii = wound_radii(profile, float(factor[0]), max(COUNTS))
        return [radii[pair.slat_count] - pair.radius_mm for pair in pairs]

    expected = least_squares(misses, x0=[0.5], jac="3-point", xtol=1e-13, ftol=1e-13, gtol=1e-13)
    variance = 2 * expected.cost / (len(pairs) - 1)
    error = sqrt(variance / (expected.jac.T @ expected.jac).item())
    found = calibrate(pairs=pairs, profile=profile)
    # independent program; tolerance: two iterations and two differences of the same slopes
    assert found.nesting == pytest.approx(expected.x[0], abs=1e-7)
    assert found.standard_error == pytest.approx(error, rel=1e-6)
    assert found.residuals_mm == pytest.approx(tuple(-miss for miss in expected.fun), abs=1e-6)
    assert found.root_mean_square_mm == pytest.approx(sqrt(2 * expected.cost / len(pairs)), rel=1e-6)
    assert abs(found.nesting - nesting) < 4 * found.standard_error


@settings(max_examples=15)
@given(draws.profiles(), st.integers(0, 3000).map(lambda thousandth: thousandth / 1000), st.randoms(use_true_random=False))
def test_there_and_back(profile, nesting, chance):
    one = Profile("any", profile["pitch_mm"], profile["thickness_mm"], profile["tube_radius_mm"])
    counts = tuple(chance.sample(range(1, 101), 5))
    found = calibrate(pairs=measured(one, nesting, counts), profile=one)
    # tolerance: Gauss-Newton ends at 1e-10, an angle's resolution of 1e-15 adds up over 100 slats
    assert found.nesting == pytest.approx(nesting, abs=1e-8)
    assert found.standard_error < 1e-8
    assert found.root_mean_square_mm < 1e-8


def test_the_order_of_the_pairs_does_not_matter():
    pairs = measured(SLIM_ON_T50, 1.1, noise_mm=0.5)
    forth, back = (calibrate(pairs=some, profile=SLIM_ON_T50) for some in (pairs, pairs[::-1]))
    # tolerance: sums in another order
    assert back.nesting == pytest.approx(forth.nesting, abs=1e-10)
    assert back.residuals_mm[::-1] == pytest.approx(forth.residuals_mm, abs=1e-9)


def test_spread_and_error_by_hand():
    # hand: √((9 + 16 + 0)/3); √((9 + 16 + 0)/2/(9 + 16 + 0)) = √0.5
    assert calibration.root_mean_square_mm(residuals_mm=(3.0, -4.0, 0.0)) == pytest.approx(sqrt(25 / 3), rel=1e-15)
    error = calibration.nesting_standard_error(residuals_mm=(3.0, -4.0, 0.0), slopes_mm=(3.0, 4.0, 0.0))
    assert error == pytest.approx(sqrt(0.5), rel=1e-15)


def test_the_catalogue_s_line():
    pairs = measured(SLIM_ON_T50, 1.034, noise_mm=0.4)
    found = calibrate(pairs=pairs, profile=SLIM_ON_T50)
    assert tomllib.loads(found.toml) == {"nesting": round(found.nesting, 3)}
    assert (found.radius_min_mm, found.radius_max_mm) == (pairs[0].radius_mm, pairs[-1].radius_mm)
    for told in (
        "Slat slim",
        "9 measured coils of 12 to 60 slats",
        f"radius {found.radius_min_mm:.3f} to {found.radius_max_mm:.3f} mm",
        "a tube of 25 mm radius",
        f"root mean square of the residuals {found.root_mean_square_mm:.3f} mm",
        f"standard error {found.standard_error:.3f}",
    ):
        assert told in found.toml


def test_the_catalogue_s_own_coils_stay_at_hand():
    pairs = measured(SLIM_ON_T50, 1.2, noise_mm=0.5)
    before = list(coil.TABLES)
    calibrate(pairs=pairs, profile=SLIM_ON_T50)
    assert list(coil.TABLES) == before


def test_a_traced_calibration_can_be_replayed():
    pairs = measured(SLIM_ON_T50, 1.2, noise_mm=0.5)
    found = calibrate(pairs=pairs, profile=SLIM_ON_T50)
    with noted() as steps:
        again = noting_copy("service.calculation", "calibration").calibrate(pairs=pairs, profile=SLIM_ON_T50)
    assert tuple(again) == tuple(found)
    assert replay(steps=steps, rules=RULES) == []
    rules = {step.rule.id: step for step in steps}
    values = [step.value for step in steps]
    assert found.nesting == rules["calibration.nesting_factor"].value
    assert found.standard_error == rules["calibration.nesting_standard_error"].value
    assert found.root_mean_square_mm == rules["calibration.root_mean_square_mm"].value
    assert found.residuals_mm in values


def refused(*pairs, profile=SLIM_ON_T50):
    """What is wrong with the pairs: positions, codes, figures and limits."""
    with pytest.raises(NoSpiralError) as caught:
        calibrate(pairs=[Pair(*pair) for pair in pairs], profile=profile)
    assert str(caught.value) == ", ".join(one.code for one in caught.value.contradictions)
    return [tuple(one) for one in caught.value.contradictions]


def of_count(count):
    return [(None, "coil_count", {"count": count, "least": 3, "most": 50}, None)]


def test_too_few_and_too_many():
    assert refused() == of_count(0)
    assert refused((20, 60.5), (40, 76.9)) == of_count(2)
    assert refused(*measured(SLIM_ON_T50, 1.0, tuple(range(10, 61)))) == of_count(51)
    assert calibrate(pairs=measured(SLIM_ON_T50, 1.0, tuple(range(10, 60))), profile=SLIM_ON_T50).nesting == pytest.approx(1)


def test_one_slat_count_alone():
    assert refused((20, 60.0), (20, 60.5), (20, 61.0)) == [(None, "one_slat_count", {}, None)]


def test_slats_that_no_coil_has():
    pairs = measured(SLIM_ON_T50, 1.0, (20, 40, 200))
    assert calibrate(pairs=pairs, profile=SLIM_ON_T50).nesting == pytest.approx(1)
    assert refused(*pairs, (201, 170.0)) == [(3, "coil_slats", {"slats": 201, "most": 200}, None)]
    assert (0, "coil_slats", {"slats": 0, "most": 200}, None) in refused((0, 36.0), *pairs)


def test_a_radius_within_the_bare_tube_and_its_first_slat():
    # hand: the tube with its 25 mm and a slat of 8 mm
    pairs = measured(SLIM_ON_T50, 1.0)
    assert refused((1, 32.9), *pairs) == [(0, "radius_of_one_slat", {"radius_mm": 32.9}, 33.0)]
    assert calibrate(pairs=[Pair(1, 34.5), *pairs], profile=SLIM_ON_T50).nesting == pytest.approx(1, abs=0.1)


def test_coils_that_shrink():
    pairs = measured(SLIM_ON_T50, 1.0, (20, 30, 40))
    figures = {"slats": 50, "radius_mm": 70.0, "fewer_slats": 40, "wider_mm": pairs[2].radius_mm}
    assert refused((50, 70.0), *pairs) == [(0, "coil_shrinks", figures, None)]
    # a fall within the measuring tolerance of 2 mm is no contradiction
    calibrate(pairs=[*pairs, Pair(41, pairs[2].radius_mm - 1.9)], profile=SLIM_ON_T50)


def test_the_same_coil_with_two_radii():
    pairs = measured(SLIM_ON_T50, 1.0, (20, 30, 40))
    again = pairs[1].radius_mm + 2.1
    figures = {"slats": 30, "radius_mm": again, "other_mm": pairs[1].radius_mm}
    assert refused(*pairs, (30, again)) == [(3, "coil_twice", figures, 2.0)]
    calibrate(pairs=[*pairs, Pair(30, again - 0.2)], profile=SLIM_ON_T50)


@pytest.mark.parametrize(
    ("radii_mm", "code"),
    [
        ((56.0, 58.0, 60.0, 62.0), "growth_too_small"),
        ((80.0, 100.0, 120.0, 140.0), "growth_too_great"),
    ],
)
def test_growth_that_no_nesting_gives(radii_mm, code):
    [(position, told, figures, _)] = refused(*zip((30, 40, 50, 60), radii_mm, strict=True))
    assert (position, told, figures["least"], figures["most"]) == (None, code, 0.0, 3.0)
    assert not 0.0 <= figures["nesting"] <= 3.0


def test_radii_that_scatter():
    pairs = measured(SLIM_ON_T50, 1.0, (20, 30, 40, 50))
    moved = [pair._replace(radius_mm=pair.radius_mm + off) for pair, off in zip(pairs, (4.5, -4.5, -4.5, 4.5), strict=True)]
    [(position, code, figures, limit), *others] = refused(*moved)
    assert (position, code, limit) == (None, "coils_scatter", 2.0)
    assert figures["spread_mm"] > 2.0
    assert others
    assert {(code, limit) for _, code, _, limit in others} == {("coil_off_spiral", 4.0)}
    # the same coils are a spiral for somebody who measures no better than to 5 mm
    assert calibrate(pairs=[Pair(*pair) for pair in moved], profile=SLIM_ON_T50, tolerance_mm=5.0).standard_error > 0.1


def test_one_slip_of_the_tape_is_named():
    pairs = measured(SLIM_ON_T50, 1.0, tuple(range(20, 60, 2)))
    pairs[7] = pairs[7]._replace(radius_mm=pairs[7].radius_mm + 5.5)
    found = refused(*[pair for pair in pairs if pair.slat_count < 36])
    assert [position for position, *_ in found] == [7]

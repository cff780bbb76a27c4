"""Properties of the coil for random slats on random tubes.

A slat's body is every point within half its thickness of the line from hinge to hinge, its rounded ends being the hinges'
knuckles. Two bodies cut each other where their lines come nearer than one thickness; shapely measures that distance.
Neighbours share a hinge and are left out.
"""

from math import cos, hypot, pi, sin

import draws
import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from service.calculation import coil

pytestmark = pytest.mark.slow

ROUNDING = 1e-9
"""Tolerance [mm] of sums and roots of numbers around 100."""

TURNS_TO_MEET = 5
"""After so many turns a hinge has come close over the middle of a slat below for every slat and tube drawn here."""

SLATS = st.integers(10, 90)


def hinges(profile, count):
    """The hinges of a wound coil as points."""
    table = coil.coil_table(**profile)
    return np.array(
        [(radius * cos(angle), radius * sin(angle)) for radius, angle in zip(table.radii_mm, table.angles_rad, strict=True)][
            : count + 1
        ]
    )


def lines(profile, count):
    """The lines from hinge to hinge."""
    points = hinges(profile, count)
    return shapely.linestrings(np.stack([points[:-1], points[1:]], axis=1))


def smallest_gap_mm(profile, count):
    """Smallest gap between two slats of a coil that are no neighbours; negative where they cut each other."""
    slats = lines(profile, count)
    one, other = np.triu_indices(count, 2)
    return float(shapely.distance(slats[one], slats[other]).min()) - profile["thickness_mm"]


@settings(max_examples=120)
@given(draws.profiles(), SLATS)
def test_no_slat_cuts_another(profile, count):
    assert smallest_gap_mm(profile, count) > 0


@settings(max_examples=120)
@given(draws.profiles())
def test_coil_is_not_wastefully_thick(profile):
    # On fewer turns the gap may be wider: no hinge has yet come over the middle of a slat, which is what the spacing
    # leaves room for.
    angles = coil.coil_table(**profile).angles_rad
    count = next(index for index, angle in enumerate(angles) if angle >= TURNS_TO_MEET * 2 * pi)
    assert smallest_gap_mm(profile, count) < 0.3


@settings(max_examples=50)
@given(draws.profiles(), SLATS)
def test_no_slat_cuts_the_tube(profile, count):
    to_axis = float(shapely.distance(lines(profile, count), shapely.Point(0, 0)).min())
    assert to_axis - profile["thickness_mm"] / 2 >= profile["tube_radius_mm"] - ROUNDING


@pytest.mark.parametrize(
    ("pitch_mm", "thickness_mm", "radius_mm"), [(28.0, 8.0, 25.0), (28.0, 8.0, 35.0), (40.0, 10.0, 35.0)]
)
def test_slats_would_cut_each_other_without_the_sagitta(pitch_mm, thickness_mm, radius_mm):
    # the measurement above is able to fail: layers spaced by the thickness alone do not clear the chords
    profile = {"tube_radius_mm": radius_mm, "pitch_mm": pitch_mm, "thickness_mm": thickness_mm, "nesting": 0.0}
    assert smallest_gap_mm(profile, 60) < -0.5


@settings(max_examples=50)
@given(draws.profiles(), st.sampled_from([1.0, 0.7, 0.0]))
def test_hinges_are_one_pitch_apart_and_move_outwards(profile, nesting):
    profile["nesting"] = nesting
    steps = np.diff(hinges(profile, 90), axis=0)
    assert np.hypot(*steps.T) == pytest.approx(profile["pitch_mm"], abs=ROUNDING)
    assert (np.diff(coil.coil_table(**profile).radii_mm) > 0).all()


@settings(max_examples=50)
@given(draws.profiles(), st.integers(1, 90), st.sampled_from([1.0, 0.7, 0.0]))
def test_ideal_strip_is_a_lower_bound(profile, count, nesting):
    profile["nesting"] = nesting
    hinge = coil.hinge_radius_mm(**profile, slats_wound=count)
    ideal = coil.ideal_radius_mm(
        tube_radius_mm=profile["tube_radius_mm"],
        pitch_mm=profile["pitch_mm"],
        thickness_mm=profile["thickness_mm"],
        slat_count=count,
    )
    assert coil.outer_radius_mm(hinge_radius_mm=hinge, thickness_mm=profile["thickness_mm"]) > ideal


@settings(max_examples=50)
@given(draws.profiles(), st.integers(1, 90), st.sampled_from(["tube_radius_mm", "thickness_mm", "nesting"]))
def test_thicker_slats_tubes_and_spacing_make_a_thicker_coil(profile, count, name):
    thicker = {**profile, name: profile[name] * 1.05}
    assert coil.hinge_radius_mm(**thicker, slats_wound=count) > coil.hinge_radius_mm(**profile, slats_wound=count)


@settings(max_examples=50)
@given(draws.profiles(), st.integers(1, 90))
def test_coil_scales(profile, count):
    double = {name: value * (1 if name == "nesting" else 2) for name, value in profile.items()}
    assert coil.hinge_radius_mm(**double, slats_wound=count) == pytest.approx(
        2 * coil.hinge_radius_mm(**profile, slats_wound=count), abs=ROUNDING
    )
    assert coil.hinge_angle_rad(**double, slats_wound=count) == pytest.approx(
        coil.hinge_angle_rad(**profile, slats_wound=count), abs=ROUNDING
    )


@settings(max_examples=50)
@given(draws.profiles(), st.integers(1, 90))
def test_slats_within_is_the_inverse_of_the_coils_radius(profile, count):
    hinge = coil.hinge_radius_mm(**profile, slats_wound=count)
    outer = coil.outer_radius_mm(hinge_radius_mm=hinge, thickness_mm=profile["thickness_mm"])
    assert coil.slats_within(**profile, radius_mm=outer + ROUNDING) == count
    assert coil.slats_within(**profile, radius_mm=outer - ROUNDING) == count - 1


@settings(max_examples=50)
@given(draws.profiles(), st.integers(1, 90))
def test_outer_radius_is_the_widest_point(profile, count):
    widest = max(hypot(*point) for point in hinges(profile, count)) + profile["thickness_mm"] / 2
    hinge = coil.hinge_radius_mm(**profile, slats_wound=count)
    assert coil.outer_radius_mm(hinge_radius_mm=hinge, thickness_mm=profile["thickness_mm"]) == pytest.approx(
        widest, abs=ROUNDING
    )

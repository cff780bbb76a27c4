"""Slat count, wound slats, lengths and mass of the curtain. Expected values: hand."""

from math import pi

import pytest
import samples

from service.calculation import coil, curtain, path

CENTRES = path.Centres(90.0, 6.0, 210.0, 88.0, 30.0)
PROFILE = {"tube_radius_mm": 25.0, "pitch_mm": 28.0, "thickness_mm": 8.0, "nesting": 1.0}


def test_bar_stands_on_the_pressed_seal_and_hangs_under_the_mouth() -> None:
    # -1420 + 16 + 45; -12 - 2
    closed = curtain.bar_top_closed_z_mm(opening_height_mm=1420.0, seal_free_mm=24.0, bar_height_mm=45.0)
    assert closed == pytest.approx(-1359.0, abs=1e-12)
    assert curtain.bar_top_open_z_mm(mouth_z_mm=-12.0, stop_gap_mm=2.0) == -14.0


@pytest.mark.parametrize(
    ("path_mm", "reserve_turns", "strap_mm", "count"),
    [
        (1000.0, 0.0, 0.0, 40),  # exactly 40 pitches
        (1000.0001, 0.0, 0.0, 41),  # a little more takes one more
        (1000.0, 1.0, 0.0, 48),  # one turn at 2π·30 = 188.5 takes eight more
        (1000.0, 1.0, 200 * pi / 10, 46),  # a strap of 62.8 saves two of them
        (100.0, 0.0, 500.0, 1),  # a strap that is longer than the path still needs a curtain
    ],
)
def test_slats_needed(path_mm: float, reserve_turns: float, strap_mm: float, count: int) -> None:
    needed = curtain.slats_needed(
        path_length_mm=path_mm,
        first_hinge_radius_mm=30.0,
        reserve_turns=reserve_turns,
        strap_length_mm=strap_mm,
        pitch_mm=25.0,
    )
    assert needed == count


def test_rounding_noise_takes_no_slat_more() -> None:
    # 0.1·3 is a little over 0.3 in binary
    needed = curtain.slats_needed(
        path_length_mm=0.1 * 3, first_hinge_radius_mm=30.0, reserve_turns=0.0, strap_length_mm=0.0, pitch_mm=0.1
    )
    assert needed == 3


@pytest.mark.parametrize("bar_top", [-14.0, -400.0, -1200.0])
def test_wound_slats_and_path_make_the_curtain(bar_top: float) -> None:
    # the solved equation, put in again
    wound = curtain.slats_wound(slat_count=55, bar_top_z_mm=bar_top, **CENTRES._asdict(), **PROFILE)
    radius = coil.hinge_radius_mm(**PROFILE, slats_wound=wound)
    length = path.path_length_over_mm(centres=CENTRES, bar_top_z_mm=bar_top, hinge_radius_mm=radius)
    assert wound * 28.0 + length == pytest.approx(55 * 28.0, abs=1e-9)


def test_a_curtain_shorter_than_its_path_winds_nothing() -> None:
    assert curtain.slats_wound(slat_count=20, bar_top_z_mm=-1359.0, **CENTRES._asdict(), **PROFILE) == 0.0


def test_no_more_slats_are_wound_than_there_are() -> None:
    # a coil that swallows the wheel has no path left: all slats are wound, and no more
    swallowing = CENTRES._replace(bracket_x_mm=150.0, bracket_z_mm=66.0)
    assert curtain.slats_wound(slat_count=200, bar_top_z_mm=-14.0, **swallowing._asdict(), **PROFILE) == 200.0


def test_engagement_pushed_to_one_side() -> None:
    # 1164.124 - 1144 - 13
    engagement = curtain.engagement_mm(slat_length_cold_mm=1164.124, daylight_width_mm=1144.0, slot_depth_mm=13.0)
    assert engagement == pytest.approx(7.124, abs=1e-9)


def test_length_and_mass() -> None:
    slat, bar = samples.SLIM, samples.HARDWARE.bar
    assert curtain.curtain_length_mm(slat_count=55, pitch_mm=slat.pitch_mm, bar_height_mm=bar.height_mm) == 1585.0
    # (55·0.21 + 0.9)·2 = 24.9
    mass = curtain.curtain_mass_kg(
        slat_count=55,
        slat_length_mm=2000.0,
        slat_mass_kg_per_m=slat.mass_kg_per_m,
        bar_mass_kg_per_m=bar.mass_kg_per_m,
    )
    assert mass == pytest.approx(24.9, abs=1e-12)

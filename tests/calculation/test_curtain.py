"""Slat count, lengths, mass and strap of the curtain. Expected values: hand."""

from math import pi

import pytest
import samples

from service.calculation import curtain


def test_bar_stands_on_the_pressed_seal_and_hangs_under_the_mouth():
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
def test_slats_needed(path_mm, reserve_turns, strap_mm, count):
    needed = curtain.slats_needed(
        path_length_mm=path_mm,
        strap_radius_mm=30.0,
        reserve_turns=reserve_turns,
        strap_length_mm=strap_mm,
        pitch_mm=25.0,
    )
    assert needed == count


def test_rounding_noise_takes_no_slat_more():
    # 0.1·3 is a little over 0.3 in binary
    needed = curtain.slats_needed(
        path_length_mm=0.1 * 3, strap_radius_mm=30.0, reserve_turns=0.0, strap_length_mm=0.0, pitch_mm=0.1
    )
    assert needed == 3


def test_engagement_pushed_to_one_side():
    # 1164.124 - 1144 - 13
    engagement = curtain.engagement_mm(slat_length_cold_mm=1164.124, lips_cold_mm=1144.0, slot_depth_mm=13.0)
    assert engagement == pytest.approx(7.124, abs=1e-9)


def test_across_the_opening():
    # outer width 1180, plates 4 inside it each side, brackets of 14; a slat of 1166 leaves 6 in all
    assert curtain.side_gap_mm(outer_width_mm=1180.0, plate_inset_mm=4.0, slat_length_mm=1166.0) == 3.0
    assert curtain.tube_length_mm(outer_width_mm=1180.0, plate_inset_mm=4.0, bracket_thickness_mm=14.0) == 1144.0
    assert curtain.bottom_seal_length_mm(lips_mm=1144.0, seal_shorter_mm=2.0) == 1142.0


def test_length_and_mass():
    slat, bar = samples.SLIM, samples.HARDWARE.bar
    assert curtain.curtain_length_mm(slat_count=55, pitch_mm=slat.pitch_mm, bar_height_mm=bar.height_mm) == 1585.0
    # (55·0.21 + 0.9)·2 = 24.9
    bar_kg = curtain.bar_mass_kg(bar_mass_kg_per_m=bar.mass_kg_per_m, slat_length_mm=2000.0)
    assert bar_kg == pytest.approx(1.8, abs=1e-12)
    mass = curtain.curtain_mass_kg(
        slat_count=55, slat_length_mm=2000.0, slat_mass_kg_per_m=slat.mass_kg_per_m, bar_mass_kg=bar_kg
    )
    assert mass == pytest.approx(24.9, abs=1e-12)


@pytest.mark.parametrize(("sill_mm", "length_mm"), [(900.0, 661.0), (239.0, 0.0), (0.0, 0.0)])
def test_pull_strap(sill_mm, length_mm):
    # sill + 1420 - 14 - 45 - 1600, never below 0
    found = curtain.pull_strap_length_mm(
        sill_above_ground_mm=sill_mm, opening_height_mm=1420.0, bar_top_open_z_mm=-14.0, bar_height_mm=45.0
    )
    assert found == length_mm
    assert curtain.pull_strap_length_max_mm(opening_height_mm=1420.0) == 1320.0


def test_there_is_no_other_body():
    with pytest.raises(KeyError):
        curtain.body_expansion_per_k(body="wood")

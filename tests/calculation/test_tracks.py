"""Tracks, seals, rail, striker and daylight. Expected values: hand."""

import pytest

from service.calculation import tracks


def test_widths_over_and_between_the_tracks() -> None:
    outer = tracks.outer_track_width_mm(opening_width_mm=1180.0, track_beyond_mm=20.0)
    assert outer == 1220.0
    assert tracks.daylight_width_mm(outer_track_width_mm=outer, track_wall_mm=18.0) == 1184.0
    assert tracks.top_seal_cut_length_mm(outer_track_width_mm=outer, track_wall_mm=18.0) == 1184.0
    assert tracks.drip_rail_length_mm(outer_track_width_mm=outer, drip_rail_beyond_mm=15.0) == 1250.0


@pytest.mark.parametrize(("mouth_z_mm", "length_mm"), [(-12.0, 1406.0), (10.0, 1428.0)])
def test_track_length(mouth_z_mm: float, length_mm: float) -> None:
    assert tracks.track_length_mm(opening_height_mm=1420.0, mouth_z_mm=mouth_z_mm, sill_gap_mm=2.0) == length_mm


@pytest.mark.parametrize(("angle_deg", "short_mm"), [(45.0, 976.0), (90.0, 1000.0)])
def test_short_edge_of_the_top_seal(angle_deg: float, short_mm: float) -> None:
    # at 45° each end takes its depth off, a square cut nothing
    short = tracks.top_seal_short_edge_mm(cut_length_mm=1000.0, depth_mm=12.0, end_angle_deg=angle_deg)
    assert short == pytest.approx(short_mm, abs=1e-9)


def test_seal_and_striker() -> None:
    pressed = tracks.bottom_seal_compressed_mm(seal_free_mm=24.0)
    assert pressed == pytest.approx(16.0, abs=1e-12)
    assert tracks.striker_height_mm(bottom_seal_compressed_mm=16.0, bolt_axis_mm=20.0) == 36.0


@pytest.mark.parametrize(("open_z_mm", "height_mm"), [(-14.0, 1337.0), (8.0, 1359.0), (80.0, 1420.0)])
def test_daylight_under_the_open_bar(open_z_mm: float, height_mm: float) -> None:
    # the bar and its free seal hang 69 down; what of that lies under the header's base is lost, and never more is gained
    height = tracks.daylight_height_mm(
        opening_height_mm=1420.0, bar_top_open_z_mm=open_z_mm, bar_height_mm=45.0, seal_free_mm=24.0
    )
    assert height == height_mm


@pytest.mark.parametrize(("bracket_z_mm", "intrusion_mm"), [(88.0, 0.0), (80.0, 0.0), (60.0, 20.0), (-5.0, 85.0)])
def test_coil_intrusion(bracket_z_mm: float, intrusion_mm: float) -> None:
    assert tracks.coil_intrusion_mm(coil_radius_mm=80.0, bracket_z_mm=bracket_z_mm) == intrusion_mm

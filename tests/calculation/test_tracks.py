"""Tracks, striker and daylight. Expected values: hand."""

import pytest

from service.calculation import tracks


def test_widths_over_and_between_the_tracks():
    outer = tracks.outer_width_mm(opening_width_mm=1180.0, track_beyond_mm=20.0)
    assert outer == 1220.0
    assert tracks.lips_mm(outer_width_mm=outer, track_wall_mm=18.0) == 1184.0


@pytest.mark.parametrize(("lips_mm", "width_mm"), [(1184.0, 1180.0), (1144.0, 1144.0)])
def test_daylight_is_never_wider_than_the_opening(lips_mm, width_mm):
    assert tracks.daylight_width_mm(lips_mm=lips_mm, opening_width_mm=1180.0) == width_mm


@pytest.mark.parametrize(("mouth_z_mm", "length_mm"), [(-12.0, 1406.0), (10.0, 1428.0)])
def test_track_length(mouth_z_mm, length_mm):
    assert tracks.track_length_mm(opening_height_mm=1420.0, mouth_z_mm=mouth_z_mm, sill_gap_mm=2.0) == length_mm


def test_seal_and_striker():
    pressed = tracks.bottom_seal_compressed_mm(seal_free_mm=24.0)
    assert pressed == pytest.approx(16.0, abs=1e-12)
    assert tracks.striker_height_mm(bottom_seal_compressed_mm=16.0, bolt_axis_mm=20.0) == 36.0


@pytest.mark.parametrize(("open_z_mm", "height_mm"), [(-14.0, 1337.0), (8.0, 1359.0), (80.0, 1420.0)])
def test_daylight_under_the_open_bar(open_z_mm, height_mm):
    # the bar and its free seal hang 69 down; what of that lies under the header's base is lost, and never more is gained
    height = tracks.daylight_height_mm(
        opening_height_mm=1420.0, bar_top_open_z_mm=open_z_mm, bar_height_mm=45.0, seal_free_mm=24.0
    )
    assert height == height_mm


@pytest.mark.parametrize(("bracket_z_mm", "intrusion_mm"), [(88.0, 0.0), (80.0, 0.0), (60.0, 20.0), (-5.0, 85.0)])
def test_coil_intrusion(bracket_z_mm, intrusion_mm):
    assert tracks.coil_intrusion_mm(coil_radius_mm=80.0, bracket_z_mm=bracket_z_mm) == intrusion_mm

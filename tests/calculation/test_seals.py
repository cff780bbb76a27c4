"""Top seal and drip rail. Expected values: hand."""

import pytest
import samples

from service.calculation import seals


def test_gap_behind_the_header():
    # the curtain's plane at 60, half a slat before it, a header of 40
    assert seals.top_gap_mm(curtain_plane_x_mm=60.0, thickness_mm=8.0, header_thickness_mm=40.0) == 16.0


@pytest.mark.parametrize(
    ("gap", "profile", "outside"),
    [
        (2.5, "TS10", 1.5),
        (4.0, "TS10", 0.0),
        (9.0, "TS10", 0.0),  # two reach it: the first of the catalogue
        (10.0, "TS10", 0.0),
        (10.1, "TS18", 0.0),
        (18.0, "TS18", 0.0),
        (24.0, "TS30", 0.0),
        (30.5, "TS30", 0.5),
    ],
)
def test_the_first_profile_that_reaches_is_taken_else_the_nearest(gap, profile, outside):
    found = seals.choose_top_seal(samples.HARDWARE.header, gap)
    assert found.id == profile
    told = seals.outside_reach_mm(top_gap_mm=gap, reach_min_mm=found.reach_min_mm, reach_max_mm=found.reach_max_mm)
    assert told == pytest.approx(outside, abs=1e-12)


@pytest.mark.parametrize(("angle_deg", "short_mm"), [(45.0, 976.0), (90.0, 1000.0)])
def test_short_edge_of_the_top_seal(angle_deg, short_mm):
    # at 45° each end takes its depth off, a square cut nothing
    short = seals.top_seal_short_edge_mm(cut_length_mm=1000.0, seal_deep_mm=12.0, end_angle_deg=angle_deg)
    assert short == pytest.approx(short_mm, abs=1e-9)


def test_cut_lengths():
    assert seals.top_seal_cut_length_mm(lips_mm=1144.0) == 1144.0
    assert seals.drip_rail_length_mm(opening_width_mm=1180.0, drip_rail_shorter_mm=2.0) == 1178.0

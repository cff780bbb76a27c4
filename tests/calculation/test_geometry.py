"""The section's points. Expected values: hand."""

from math import hypot

import pytest
import samples

from service.calculation.fitting import fit
from service.calculation.geometry import rectangle


def test_a_rectangle_goes_round_counter_clockwise():
    assert rectangle(x_from_mm=1.0, x_to_mm=3.0, z_from_mm=-2.0, z_to_mm=5.0) == [(1, -2), (3, -2), (3, 5), (1, 5)]


def test_outlines_of_the_sample():
    section = fit(samples.JOB).section()
    assert section.header == rectangle(x_from_mm=0.0, x_to_mm=40.0, z_from_mm=0.0, z_to_mm=310.0)
    assert section.plate == rectangle(x_from_mm=40.0, x_to_mm=280.0, z_from_mm=-12.0, z_to_mm=188.0)
    # the curtain's plane at 90 - 30, the slot 10 wide around it, 2 before and 3 behind; from the sill gap up to the mouth
    assert section.track == rectangle(x_from_mm=53.0, x_to_mm=68.0, z_from_mm=-1418.0, z_to_mm=-12.0)
    assert (section.wheel, section.bracket) == ((90.0, 6.0), (210.0, 88.0))
    assert (section.roof_z_mm, section.rear_x_mm, section.sill_z_mm) == (310.0, 660.0, -1420.0)
    assert (section.wheel_radius_mm, section.tube_radius_mm, section.slat_thickness_mm) == (26.0, 25.0, 8.0)


def test_a_lapping_track_begins_at_the_header():
    section = fit(samples.job(mount=samples.FACE)).section()
    assert (section.track[0][0], section.track[1][0]) == (40.0, 68.0 + 5.0 + 3.0)


def test_closed_curtain_hangs_from_the_wheel_to_the_bar():
    closed = fit(samples.JOB).section().closed
    assert len(closed.hinges) == 55
    assert closed.hinges[-1] == pytest.approx((60.0, -1359.0), abs=1e-9)
    assert closed.hinges[-2] == pytest.approx((60.0, -1331.0), abs=1e-9)
    assert closed.bar[0] == pytest.approx((56.0, -1404.0), abs=1e-9)
    assert closed.bar[2] == pytest.approx((64.0, -1359.0), abs=1e-9)


def test_open_curtain_hangs_below_the_mouth():
    opened = fit(samples.JOB).section().open
    assert opened.hinges[-1] == pytest.approx((60.0, -14.0), abs=1e-9)
    assert max(z for _, z in opened.bar) == -14.0


def test_curtain_winds_over_the_top_and_one_way_only():
    # from the tube outwards every bend turns to the same side, and the coil turns counter-clockwise
    hinges = fit(samples.JOB).section().open.hinges
    for (x0, z0), (x1, z1), (x2, z2) in zip(hinges, hinges[1:], hinges[2:], strict=False):
        assert (x1 - x0) * (z2 - z1) - (z1 - z0) * (x2 - x1) > -1e-6


def test_closed_the_strap_alone_is_on_the_tube():
    # the strap's middle at 26 and half a slat; the first hinge is still on its way, a little more than a slat before it
    made = fit(samples.JOB)
    closed = made.section().closed
    assert made.moved.wound_slats[0] == pytest.approx(-1.009, abs=5e-4)
    assert closed.coil_radius_mm == 30.0
    first = closed.hinges[0]
    from_axis = hypot(first[0] - 210.0, first[1] - 88.0)
    assert from_axis == pytest.approx(hypot(26.0, 1.009 * 28.0), abs=0.02)

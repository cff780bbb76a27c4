"""The section's points against shapely and against the path laid out anew."""

import cmath
from dataclasses import replace
from itertools import pairwise
from math import pi

import draws
import numpy as np
import pytest
import samples
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from service.calculation import coil
from service.calculation.checks import RESOLUTION
from service.calculation.fitting import fit

pytestmark = pytest.mark.slow

CLEARANCE_MM = samples.HARDWARE.running.clearance_mm
STRAP_MM = samples.HARDWARE.running.strap_thickness_mm
FINE_ARC = 2000
"""Pieces into which the path's arc is cut; their sagittas stay under 1e-5 mm for a wheel of 60."""

ON_PATH_MM = 1e-4
"""Tolerance of a point on the path whose arc is cut into pieces."""

ROUNDING = 1e-9
"""Tolerance [mm] of sums and roots of numbers up to a few thousand."""


@st.composite
def roomy_jobs(draw):
    """Jobs for an explicit plate, most of which fit; without a measured coil, since the points follow the computed one."""
    job = draw(draws.jobs())
    plate = draw(st.sampled_from(samples.PLATES))
    opening = replace(
        job.opening,
        obstacles=(),
        load_gap_mm=None,
        width_mm=draw(draws.tenths(250, 1600)),
        height_mm=draw(draws.tenths(250, 2400)),
        headroom_mm=plate.high_mm + draw(draws.tenths(10, 120)),
        depth_mm=plate.deep_mm + draw(draws.tenths(8, 120)),
        plate_offset_mm=draw(draws.tenths(-5, 10)),
    )
    return replace(job, opening=opening, side_plates=(plate,), slat_count=None, measured_coil_radius_mm=None)


def path_line(section, pose, thickness_mm):
    """The curtain's path from the bottom bar's top to the coil: straight, around the wheel, straight.

    Laid out anew: the common normal n of both tangent points satisfies n·(B - W) = a - b.
    """
    wheel, bracket = complex(*section.wheel), complex(*section.bracket)
    around_wheel = section.wheel_radius_mm + thickness_mm / 2
    around_coil = pose.coil_radius_mm - thickness_mm / 2
    way = bracket - wheel
    cosine = (around_wheel - around_coil) / abs(way)
    normal = way / abs(way) * complex(cosine, (1 - cosine**2) ** 0.5)
    arc = [wheel + cmath.rect(around_wheel, angle) for angle in np.linspace(pi, cmath.phase(normal), FINE_ARC)]
    start = complex(arc[0].real, max(z for _, z in pose.bar))
    points = [start, *arc, bracket + around_coil * normal]
    return shapely.LineString([(point.real, point.imag) for point in points])


@settings(max_examples=25)
@given(roomy_jobs(), st.one_of(st.none(), draws.tenths(40, 180)))
def test_coil_keeps_its_clearance_from_everything_around_it_when_it_fits(job, measured_mm):
    job = replace(job, measured_coil_radius_mm=measured_mm)
    made = fit(job)
    answer, section = made.answer, made.section()
    assume(answer.verdict != "does_not_fit")
    opening = job.opening
    axis = shapely.Point(section.bracket)
    reach = (job.measured_coil_radius_mm or answer.coil.radius_mm) + CLEARANCE_MM - RESOLUTION
    roof = shapely.LineString([(-1000, section.roof_z_mm), (section.rear_x_mm + 1000, section.roof_z_mm)])
    rear = shapely.LineString([(section.rear_x_mm, section.sill_z_mm), (section.rear_x_mm, section.roof_z_mm)])
    wheel = shapely.Point(section.wheel).buffer(section.wheel_radius_mm, quad_segs=256)
    header = shapely.Polygon(section.header)
    assert axis.distance(roof) >= reach
    assert axis.distance(rear) >= reach
    assert axis.distance(wheel) >= reach + job.slat.thickness_mm  # the curtain on the wheel lies between
    assert axis.distance(header) >= reach
    assert section.roof_z_mm == opening.headroom_mm
    assert section.rear_x_mm == opening.header_thickness_mm + opening.depth_mm
    assert header.bounds == (0.0, 0.0, opening.header_thickness_mm, opening.headroom_mm)


@settings(max_examples=20)
@given(roomy_jobs())
def test_section_of_a_fit_lies_within_the_compartment(job):
    made = fit(job)
    answer, section = made.answer, made.section()
    assume(answer.verdict != "does_not_fit")
    room = shapely.box(-1e-9, section.sill_z_mm, section.rear_x_mm, section.roof_z_mm + 2 * RESOLUTION)
    assert room.buffer(2 * RESOLUTION).covers(shapely.Polygon(section.plate))
    for pose in (section.closed, section.open):
        assert room.covers(shapely.LineString(pose.hinges))
        assert shapely.Polygon(section.plate).buffer(CLEARANCE_MM).covers(shapely.Point(section.bracket))
    # closed, the bar stands on the pressed seal
    assert min(z for _, z in section.closed.bar) == pytest.approx(-job.opening.height_mm + 16.0, abs=ROUNDING)


@settings(max_examples=20)
@given(roomy_jobs())
def test_hinges_follow_coil_and_path_at_one_pitch(job):
    made = fit(job)
    answer, section = made.answer, made.section()
    assume(answer.verdict != "does_not_fit")
    pitch, thickness = job.slat.pitch_mm, job.slat.thickness_mm
    axis = shapely.Point(section.bracket)
    tube = section.tube_radius_mm
    profile = {"tube_radius_mm": tube, "pitch_mm": pitch, "thickness_mm": thickness, "nesting": job.slat.nesting}
    for pose in (section.closed, section.open):
        line = path_line(section, pose, thickness)
        hinges = [shapely.Point(hinge) for hinge in pose.hinges]
        assert len(hinges) == answer.curtain.slat_count + 1
        on_path = [hinge for hinge in hinges if line.distance(hinge) < ON_PATH_MM]
        wound = hinges[: len(hinges) - len(on_path)]
        # on the coil: one pitch from hinge to hinge, all within the circle of the outermost
        assert [one.distance(other) for one, other in pairwise(wound)] == pytest.approx(
            [pitch] * max(0, len(wound) - 1), abs=ROUNDING
        )
        assert all(axis.distance(hinge) <= pose.coil_radius_mm - thickness / 2 + ROUNDING for hinge in wound)
        # before it: one pitch along the path, ending at the bottom bar
        along = [line.project(hinge) for hinge in on_path]
        assert along == pytest.approx([(len(along) - 1 - index) * pitch for index in range(len(along))], abs=ON_PATH_MM)
        # path and wound slats together are the curtain, closed as open; before the first hinge arrives the strap is on the
        # tube alone
        slats_wound = answer.curtain.slat_count - line.length / pitch
        radius = tube + STRAP_MM / 2
        if pose.coil_radius_mm - thickness / 2 > radius + ROUNDING:
            radius = coil.hinge_radius_mm(**profile, slats_wound=max(0.0, slats_wound))
        else:
            assert slats_wound < 0
        assert radius + thickness / 2 == pytest.approx(pose.coil_radius_mm, abs=ON_PATH_MM)
        assert len(wound) == pytest.approx(max(0.0, slats_wound) + 0.5, abs=0.51)


@settings(max_examples=20)
@given(roomy_jobs())
def test_no_slat_is_torn_or_squeezed_where_it_leaves_wheel_or_coil(job):
    # the path counts the wheel's arc for its chords, and between the coil's hinges radius and angle are linear: seen as a
    # chord a slat is shorter by at most 5 % there, and nowhere longer by more than 0.5 %
    made = fit(job)
    answer, section = made.answer, made.section()
    assume(answer.verdict != "does_not_fit")
    for pose in (section.closed, section.open):
        slats = np.hypot(*np.diff(np.array(pose.hinges), axis=0).T) / job.slat.pitch_mm
        assert slats.min() > 0.95
        assert slats.max() < 1.005


@settings(max_examples=20)
@given(roomy_jobs())
def test_opening_winds_the_lift_onto_the_coil(job):
    made = fit(job)
    answer, section = made.answer, made.section()
    assume(answer.verdict != "does_not_fit")
    closed, opened = section.closed, section.open
    assert opened.coil_radius_mm == answer.coil.radius_open_mm
    assert closed.coil_radius_mm <= opened.coil_radius_mm <= answer.coil.radius_mm
    assert max(z for _, z in opened.bar) == job.mount.mouth_z_mm - job.hardware.running.stop_gap_mm

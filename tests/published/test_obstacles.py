"""Distances to boxes against shapely, an independent program: single functions, and whole fittings.

@misc{shapely, title = {Shapely 2}, note = {independent program: distances of lines, circles and boxes by GEOS}}
"""

from math import cos, pi, sin

import draws
import numpy as np
import pytest
import samples
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from service.calculation import clearance, path
from service.calculation.fitting import fit

ARC_PIECES = 2000
ON_ARC_MM = 2e-4
"""Tolerance [mm]: the sagitta of the pieces of an arc, at most a quarter turn or two of 60 mm."""

ROUNDING = 1e-9


def rectangle(box):
    """A box as shapely has it."""
    return shapely.box(box.x_mm, box.z_mm, box.x_mm + box.deep_mm, box.z_mm + box.high_mm)


def named(box):
    """A box as the rules take it."""
    return {"box_x_mm": box.x_mm, "box_z_mm": box.z_mm, "box_deep_mm": box.deep_mm, "box_high_mm": box.high_mm}


def run_of(wheel, a, rises, sill):
    """The curtain's middle plane as track, arc and two free ends, and the corners of what its free part sweeps."""
    x, z = wheel
    parts = [shapely.LineString([(x - a, sill), (x - a, z)])]
    ends = []
    for rise, free in rises:
        angles = np.linspace(pi, pi / 2 + rise, ARC_PIECES)
        leaves = (x - a * sin(rise), z + a * cos(rise))
        reaches = (leaves[0] + free * cos(rise), leaves[1] + free * sin(rise))
        parts += [
            shapely.LineString(np.column_stack([x + a * np.cos(angles), z + a * np.sin(angles)])),
            shapely.LineString([leaves, reaches]),
        ]
        ends += [leaves, reaches]
    return parts, ends


@settings(max_examples=150)
@given(draws.tenths(-300, 800), draws.tenths(-300, 500), draws.boxes())
def test_distance_of_a_point(x, z, box):
    distance = clearance.box_distance_mm(x_mm=x, z_mm=z, **named(box))
    assert distance == pytest.approx(shapely.Point(x, z).distance(rectangle(box)), abs=ROUNDING)


@settings(max_examples=200)
@given(draws.boxes(), draws.boxes())
def test_gap_of_a_plate(plate, box):
    gap = clearance.plate_to_box_mm(
        plate_front_x_mm=plate.x_mm,
        plate_base_z_mm=plate.z_mm,
        plate_deep_mm=plate.deep_mm,
        plate_high_mm=plate.high_mm,
        **named(box),
    )
    one, other = rectangle(plate), rectangle(box)
    # hand: a gap along an axis is positive where the rectangles are apart, and no more than their distance
    assert (gap < -ROUNDING) == (one.intersection(other).area > ROUNDING)
    assert max(gap, 0.0) <= one.distance(other) + ROUNDING
    if gap < 0:  # moved so far along the cheaper axis, they no longer overlap
        moved = [shapely.transform(one, lambda points, d=d: points + d) for d in ((-gap, 0), (gap, 0), (0, -gap), (0, gap))]
        assert min(part.intersection(other).area for part in moved) < 1e-6


near_the_wheel = st.builds(
    samples.box,
    x_mm=draws.tenths(50, 300),
    z_mm=draws.tenths(0, 250),
    deep_mm=draws.tenths(1, 20),
    high_mm=draws.tenths(1, 20),
)
"""Boxes that the free part of the curtain may sweep."""


@settings(max_examples=250)
@given(
    st.one_of(draws.boxes(), near_the_wheel),
    draws.tenths(20, 60),
    st.floats(-0.5, 1.5),
    st.floats(-0.5, 1.5),
    draws.tenths(10, 300),
    draws.tenths(10, 300),
)
def test_distance_of_the_running_curtain(box, a, strap, full, free_strap, free_full):
    sill = -1420.0
    parts, ends = run_of((90.0, 6.0), a, [(strap, free_strap), (full, free_full)], sill)
    told = clearance.curtain_to_box_mm(
        wheel_x_mm=90.0,
        wheel_z_mm=6.0,
        wheel_path_radius_mm=a,
        rise_strap_rad=strap,
        free_strap_mm=free_strap,
        rise_full_rad=full,
        free_full_mm=free_full,
        sill_z_mm=sill,
        thickness_mm=8.0,
        **named(box),
    )
    solid = rectangle(box)
    nearest = min(part.distance(solid) for part in parts)
    middle = solid.centroid
    # an outline that crosses itself is made of the two areas that it encloses
    swept = shapely.make_valid(shapely.Polygon([ends[0], ends[1], ends[3], ends[2]]))
    if swept.contains(middle):
        nearest = 0.0
    assert told + 4.0 == pytest.approx(nearest, abs=ON_ARC_MM)


@settings(max_examples=60)
@given(draws.usual_jobs(), st.lists(draws.boxes(), min_size=1, max_size=3))
def test_a_fitting_keeps_its_distance_from_obstacles(job, boxes):
    job = samples.reopened(job, obstacles=tuple(boxes))
    made = fit(job)
    section, answer = made.section(), made.answer
    solids = [rectangle(box) for box in boxes]
    axis, plate = shapely.Point(section.bracket), shapely.Polygon(section.plate)
    told = {check.id: check.value for check in answer.checks}
    coil = min(axis.distance(solid) for solid in solids) - made.trial.radius_checked_mm
    assert told["obstacle_clearance"] == pytest.approx(coil, abs=ROUNDING)
    assert (told["plate_obstacle"] < -ROUNDING) == any(plate.intersection(solid).area > 1e-6 for solid in solids)
    if answer.verdict == "does_not_fit":
        return
    # what fits keeps clear of every box, in both drawn places of the curtain
    assert coil >= 20 - 0.0005
    assert all(plate.intersection(solid).area < 1.0 for solid in solids)
    half = job.slat.thickness_mm / 2
    for pose in (section.closed, section.open):
        before = pose.hinges[-1 - len(on_path(made, pose)) :]
        line = shapely.LineString(before)
        # the drawn slats are chords: on the wheel they lie nearer to its centre by a sagitta
        sagitta = section.wheel_radius_mm + half
        sagitta -= (sagitta**2 - (job.slat.pitch_mm / 2) ** 2) ** 0.5
        assert min(line.distance(solid) for solid in solids) - half >= 5 - 0.0005 - sagitta


def on_path(made, pose):
    """The hinges before the coil: all that lie on the track or on the wheel."""
    wheel_x, _ = made.trial.centres.wheel_x_mm, made.trial.centres.wheel_z_mm
    return [point for point in pose.hinges if point[0] <= wheel_x][:-1]


@settings(max_examples=60)
@given(draws.usual_jobs())
def test_gaps_of_a_fitting(job):
    made = fit(job)
    section, told = made.section(), {check.id: check.value for check in made.answer.checks}
    axis = shapely.Point(section.bracket)
    radius = made.trial.radius_checked_mm
    header = shapely.Polygon(section.header)
    hanging = shapely.LineString([(section.closed.hinges[-1][0], z) for z in (section.sill_z_mm, section.wheel[1])])
    far = 5000.0
    roof = shapely.LineString([(-far, section.roof_z_mm), (far, section.roof_z_mm)])
    rear = shapely.LineString([(section.rear_x_mm, -far), (section.rear_x_mm, far)])
    wheel = shapely.Point(section.wheel)
    assume(section.bracket[1] < section.roof_z_mm)
    assume(section.bracket[0] < section.rear_x_mm)
    assert told["header_clearance"] == pytest.approx(axis.distance(header) - radius, abs=ROUNDING)
    assert told["roof_clearance"] == pytest.approx(axis.distance(roof) - radius, abs=ROUNDING)
    assert told["rear_clearance"] == pytest.approx(axis.distance(rear) - radius, abs=ROUNDING)
    wheel_gap = axis.distance(wheel) - radius - job.slat.wheel_allowance_mm
    assert told["wheel_clearance"] == pytest.approx(wheel_gap, abs=ROUNDING)
    # the hanging curtain behind the header: to the header's inner face, which ends at its base
    inner = shapely.LineString([(job.opening.header_thickness_mm, -far), (job.opening.header_thickness_mm, far)])
    assert told["header_gap"] == pytest.approx(hanging.distance(inner) - job.slat.thickness_mm / 2, abs=ROUNDING)
    assert made.trial.centre_distance_mm == pytest.approx(axis.distance(wheel), abs=ROUNDING)
    rise = path.rise_rad(**vars(made.trial.centres), hinge_radius_mm=made.trial.position.strap_radius_mm)
    assert rise < pi

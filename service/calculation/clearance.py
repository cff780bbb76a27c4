"""Room around the coil and the curtain: what is left to the roof, the wheel, the rear, the header and to obstacles.

An obstacle is an upright box in the side section. The curtain runs up the track, around the wheel and freely to the coil;
between the first and the last turn the free part sweeps the area between its two places.
"""

from math import atan2, cos, hypot, pi, sin, sqrt
from typing import Final

from ..audit.rules import rule
from .job import Obstacle

ROOM: Final = "distance between the coil's circle and its surroundings"
BOX: Final = "distance to an upright rectangle; own derivation, checked against shapely"


def roof_clearance_mm(*, headroom_mm: float, bracket_z_mm: float, coil_radius_mm: float) -> float:
    """Clearance from coil to roof [mm]."""
    return headroom_mm - bracket_z_mm - coil_radius_mm


rule(roof_clearance_mm, symbol="c_roof", unit="mm", formula="c = headroom - z_b - R", basis="geometry", source=ROOM)


def wheel_clearance_mm(*, centre_distance_mm: float, coil_radius_mm: float, wheel_allowance_mm: float) -> float:
    """Clearance from coil to the curtain on the wheel [mm]."""
    return centre_distance_mm - coil_radius_mm - wheel_allowance_mm


rule(
    wheel_clearance_mm,
    symbol="c_wheel",
    unit="mm",
    formula="c = D - R - wheel allowance",
    basis="practice",
    source="common practice: bracket to wheel at least R + running clearance + an allowance for the wheel",
)


def rear_x_mm(*, header_thickness_mm: float, depth_mm: float) -> float:
    """Depth of the rear obstruction [mm]."""
    return header_thickness_mm + depth_mm


rule(
    rear_x_mm,
    symbol="x_rear",
    unit="mm",
    formula="x_rear = header_thickness + depth",
    basis="geometry",
    source="the depth is free behind the header",
)


def rear_clearance_mm(*, header_thickness_mm: float, depth_mm: float, bracket_x_mm: float, coil_radius_mm: float) -> float:
    """Clearance from coil to the rear obstruction [mm]."""
    return header_thickness_mm + depth_mm - bracket_x_mm - coil_radius_mm


rule(
    rear_clearance_mm,
    symbol="c_rear",
    unit="mm",
    formula="c = header_thickness + depth - x_b - R",
    basis="geometry",
    source=ROOM,
)


def header_clearance_mm(
    *, header_thickness_mm: float, headroom_mm: float, bracket_x_mm: float, bracket_z_mm: float, coil_radius_mm: float
) -> float:
    """Clearance from coil to header [mm]."""
    return (
        box_distance_mm(
            x_mm=bracket_x_mm,
            z_mm=bracket_z_mm,
            box_x_mm=0.0,
            box_z_mm=0.0,
            box_deep_mm=header_thickness_mm,
            box_high_mm=headroom_mm,
        )
        - coil_radius_mm
    )


rule(
    header_clearance_mm,
    symbol="c_header",
    unit="mm",
    formula="c = distance of the bracket to the rectangle 0…header_thickness by 0…headroom, less R",
    basis="geometry",
    source=ROOM,
)


def thick_clearance_mm(*, clearance_mm: float, coil_radius_mm: float, radius_thick_mm: float) -> float:
    """Clearance that is left where every slat is at its upper thickness tolerance [mm]."""
    return clearance_mm - (radius_thick_mm - coil_radius_mm)


rule(
    thick_clearance_mm,
    symbol="c_thick",
    unit="mm",
    formula="c_thick = c - (R_thick - R)",
    basis="geometry",
    source=ROOM,
)


def obstacle_clearance_mm(
    *,
    bracket_x_mm: float,
    bracket_z_mm: float,
    coil_radius_mm: float,
    box_x_mm: float,
    box_z_mm: float,
    box_deep_mm: float,
    box_high_mm: float,
) -> float:
    """Clearance from coil to an obstacle [mm]."""
    distance = box_distance_mm(
        x_mm=bracket_x_mm,
        z_mm=bracket_z_mm,
        box_x_mm=box_x_mm,
        box_z_mm=box_z_mm,
        box_deep_mm=box_deep_mm,
        box_high_mm=box_high_mm,
    )
    return distance - coil_radius_mm


rule(
    obstacle_clearance_mm,
    symbol="c_box",
    unit="mm",
    formula="c = distance of the bracket to the box, less R",
    basis="geometry",
    source=ROOM,
)


def plate_to_box_mm(
    *,
    plate_front_x_mm: float,
    plate_base_z_mm: float,
    plate_deep_mm: float,
    plate_high_mm: float,
    box_x_mm: float,
    box_z_mm: float,
    box_deep_mm: float,
    box_high_mm: float,
) -> float:
    """Gap between a side plate and an obstacle [mm], negative by how far one must move where they overlap."""
    along_x = max(box_x_mm - plate_front_x_mm - plate_deep_mm, plate_front_x_mm - box_x_mm - box_deep_mm)
    along_z = max(box_z_mm - plate_base_z_mm - plate_high_mm, plate_base_z_mm - box_z_mm - box_high_mm)
    return max(along_x, along_z)


rule(
    plate_to_box_mm,
    symbol="c_plate",
    unit="mm",
    formula="c = greater of the gaps along x and z, negative where both overlap",
    basis="geometry",
    source="two upright rectangles",
)


def curtain_to_box_mm(
    *,
    wheel_x_mm: float,
    wheel_z_mm: float,
    wheel_path_radius_mm: float,
    rise_strap_rad: float,
    free_strap_mm: float,
    rise_full_rad: float,
    free_full_mm: float,
    sill_z_mm: float,
    thickness_mm: float,
    box_x_mm: float,
    box_z_mm: float,
    box_deep_mm: float,
    box_high_mm: float,
) -> float:
    """Clearance from the running curtain to an obstacle [mm]: track line, arc on the wheel, free part at both its ends."""
    box = Obstacle(name="", x_mm=box_x_mm, z_mm=box_z_mm, deep_mm=box_deep_mm, high_mm=box_high_mm)
    x, z, a = wheel_x_mm, wheel_z_mm, wheel_path_radius_mm
    nearest = _segment_to_box_mm(x - a, sill_z_mm, x - a, z, box)
    corners: list[tuple[float, float]] = []
    for rise, free in ((rise_strap_rad, free_strap_mm), (rise_full_rad, free_full_mm)):
        from_x, from_z = x - a * sin(rise), z + a * cos(rise)
        to_x, to_z = from_x + free * cos(rise), from_z + free * sin(rise)
        nearest = min(
            nearest,
            _arc_to_box_mm(x, z, a, pi / 2 + rise, box),
            _segment_to_box_mm(from_x, from_z, to_x, to_z, box),
        )
        corners += [(from_x, from_z), (to_x, to_z)]
    swept = [corners[0], corners[1], corners[3], corners[2]]
    if _inside(swept, box_x_mm + box_deep_mm / 2, box_z_mm + box_high_mm / 2):
        nearest = 0.0
    return nearest - thickness_mm / 2


rule(
    curtain_to_box_mm,
    symbol="c_run",
    unit="mm",
    formula="c = least distance of the curtain's middle plane to the box, 0 where the free part sweeps it, less t/2",
    basis="geometry",
    source=BOX,
)


def straight_run_to_box_mm(
    *, curtain_plane_x_mm: float, sill_z_mm: float, wheel_z_mm: float, thickness_mm: float, box: Obstacle
) -> float:
    """Clearance from the curtain below the wheel to an obstacle [mm]; the whole running curtain has no more."""
    return _segment_to_box_mm(curtain_plane_x_mm, sill_z_mm, curtain_plane_x_mm, wheel_z_mm, box) - thickness_mm / 2


def box_distance_mm(
    *, x_mm: float, z_mm: float, box_x_mm: float, box_z_mm: float, box_deep_mm: float, box_high_mm: float
) -> float:
    """Distance of a point to an upright rectangle [mm]; 0 inside it."""
    before_x, before_z = max(box_x_mm - x_mm, 0.0), max(box_z_mm - z_mm, 0.0)  # a maximum of two compiles well
    across, along = max(before_x, x_mm - box_x_mm - box_deep_mm), max(before_z, z_mm - box_z_mm - box_high_mm)
    if across == 0:  # beside the box, as a bracket is beside the header: no root is needed
        return along
    return across if along == 0 else hypot(across, along)


def _point_to_box_mm(x: float, z: float, box: Obstacle) -> float:
    return box_distance_mm(
        x_mm=x, z_mm=z, box_x_mm=box.x_mm, box_z_mm=box.z_mm, box_deep_mm=box.deep_mm, box_high_mm=box.high_mm
    )


def _corners(box: Obstacle) -> list[tuple[float, float]]:
    right, top = box.x_mm + box.deep_mm, box.z_mm + box.high_mm
    return [(box.x_mm, box.z_mm), (right, box.z_mm), (right, top), (box.x_mm, top)]


def _point_to_segment_mm(px: float, pz: float, ax: float, az: float, bx: float, bz: float) -> float:
    dx, dz = bx - ax, bz - az
    squared = dx * dx + dz * dz
    share = 0.0 if squared == 0 else min(1.0, max(0.0, ((px - ax) * dx + (pz - az) * dz) / squared))
    return hypot(px - ax - share * dx, pz - az - share * dz)


def _segment_to_box_mm(ax: float, az: float, bx: float, bz: float, box: Obstacle) -> float:
    """Distance of a straight piece to a box [mm]; 0 where it runs through the box (clipped as Liang and Barsky do)."""
    enters, leaves = 0.0, 1.0
    for start, along, low, high in (
        (ax, bx - ax, box.x_mm, box.x_mm + box.deep_mm),
        (az, bz - az, box.z_mm, box.z_mm + box.high_mm),
    ):
        if along == 0:
            if not low <= start <= high:
                leaves = -1.0
        else:
            first, second = (low - start) / along, (high - start) / along
            enters, leaves = max(enters, min(first, second)), min(leaves, max(first, second))
    if enters <= leaves:
        return 0.0
    nearest = min(_point_to_box_mm(ax, az, box), _point_to_box_mm(bx, bz, box))
    for x, z in _corners(box):
        nearest = min(nearest, _point_to_segment_mm(x, z, ax, az, bx, bz))
    return nearest


def _arc_to_box_mm(x: float, z: float, radius: float, end_rad: float, box: Obstacle) -> float:
    """Distance of the curtain's arc on the wheel to a box [mm]; the arc runs from the angle π down to its end.

    The nearest point of an arc is one of its ends, the point towards a corner of the box, or the point towards the foot of
    the perpendicular on one of its sides; an arc that crosses a side touches the box.
    """
    ends = [(x - radius, z), (x + radius * cos(end_rad), z + radius * sin(end_rad))]
    nearest = min(_point_to_box_mm(px, pz, box) for px, pz in ends)
    corners = _corners(box)
    for px, pz in corners:
        if _on_arc(px - x, pz - z, end_rad):
            nearest = min(nearest, abs(hypot(px - x, pz - z) - radius))
    for index in range(4):
        (ax, az), (bx, bz) = corners[index], corners[(index + 1) % 4]
        if ax == bx:  # an upright side: its foot lies at the centre's height
            offset, low, high, centre = ax - x, min(az, bz), max(az, bz), z
        else:
            offset, low, high, centre = az - z, min(ax, bx), max(ax, bx), x
        if low <= centre <= high:
            foot_x, foot_z = (offset, 0.0) if ax == bx else (0.0, offset)
            if _on_arc(foot_x, foot_z, end_rad):
                nearest = min(nearest, abs(abs(offset) - radius))
        if abs(offset) <= radius:
            reach = sqrt(radius * radius - offset * offset)
            for other in (-reach, reach):
                cross_x, cross_z = (offset, other) if ax == bx else (other, offset)
                if low <= centre + other <= high and _on_arc(cross_x, cross_z, end_rad):
                    return 0.0
    return nearest


def _on_arc(dx: float, dz: float, end_rad: float) -> bool:
    """Whether a direction from the wheel's centre points at the arc."""
    return end_rad <= atan2(dz, dx) <= pi


def _inside(corners: list[tuple[float, float]], x: float, z: float) -> bool:
    """Whether a point lies within an outline, convex or not: a ray from it crosses the outline an odd number of times."""
    inside = False
    for index, (ax, az) in enumerate(corners):
        bx, bz = corners[(index + 1) % len(corners)]
        if (az > z) != (bz > z) and x < ax + (z - az) / (bz - az) * (bx - ax):
            inside = not inside
    return inside

"""The side section as points: every hinge of the curtain, closed and open, and the outlines around it."""

from math import cos, pi, sin
from typing import NamedTuple

from service.calculation import coil, curtain, path
from service.calculation.job import BottomBar, Slat, Tube

Point = tuple[float, float]


class Pose(NamedTuple):
    """The curtain in one position: hinges from the tube to the bottom bar, and the bar's outline, as (x, z) [mm]."""

    hinges: tuple[Point, ...]
    coil_radius_mm: float
    bar: tuple[Point, ...]


class Geometry(NamedTuple):
    """The side section [mm] in the frame with its origin at the outer face of the opening, at the header's base."""

    closed: Pose
    open: Pose
    wheel: Point
    bracket: Point
    wheel_radius_mm: float
    tube_radius_mm: float
    slat_thickness_mm: float
    header: tuple[Point, ...]
    plate: tuple[Point, ...]
    track: tuple[Point, ...]
    roof_z_mm: float
    rear_x_mm: float
    sill_z_mm: float


def rectangle(*, x_from_mm: float, x_to_mm: float, z_from_mm: float, z_to_mm: float) -> tuple[Point, ...]:
    """The four corners of an upright rectangle, counter-clockwise from the one nearest the origin."""
    return ((x_from_mm, z_from_mm), (x_to_mm, z_from_mm), (x_to_mm, z_to_mm), (x_from_mm, z_to_mm))


def pose(*, centres: path.Centres, slat: Slat, tube: Tube, bar: BottomBar, slat_count: int, bar_top_z_mm: float) -> Pose:
    """Every hinge of the curtain with the bottom bar's top at a height.

    On the coil the hinges lie on the table's spiral, turned so that its outermost point meets the tangent; before it
    they follow the path at one pitch along it. Where the strap alone reaches the tube, all hinges lie on the path.
    """
    wound = curtain.slats_wound(
        slat_count=slat_count,
        bar_top_z_mm=bar_top_z_mm,
        wheel_x_mm=centres.wheel_x_mm,
        wheel_z_mm=centres.wheel_z_mm,
        bracket_x_mm=centres.bracket_x_mm,
        bracket_z_mm=centres.bracket_z_mm,
        wheel_path_radius_mm=centres.wheel_path_radius_mm,
        tube_radius_mm=tube.radius_mm,
        pitch_mm=slat.pitch_mm,
        thickness_mm=slat.thickness_mm,
        nesting=slat.nesting,
    )
    profile = {
        "tube_radius_mm": tube.radius_mm,
        "pitch_mm": slat.pitch_mm,
        "thickness_mm": slat.thickness_mm,
        "nesting": slat.nesting,
    }
    table = coil.coil_table(**profile)
    radius = coil.hinge_radius_mm(**profile, slats_wound=wound)
    rise = path.rise_rad(**centres._asdict(), hinge_radius_mm=radius)
    turned = pi / 2 + rise - coil.hinge_angle_rad(**profile, slats_wound=wound)
    on_coil = int(wound) + 1 if wound > 0 else 0
    hinges = [
        (
            centres.bracket_x_mm + table.radii_mm[index] * cos(turned + table.angles_rad[index]),
            centres.bracket_z_mm + table.radii_mm[index] * sin(turned + table.angles_rad[index]),
        )
        for index in range(on_coil)
    ]
    hinges += [
        path.point_on_path(
            centres=centres,
            rise_rad=rise,
            bar_top_z_mm=bar_top_z_mm,
            along_mm=(slat_count - index) * slat.pitch_mm,
        )
        for index in range(on_coil, slat_count + 1)
    ]
    plane = centres.wheel_x_mm - centres.wheel_path_radius_mm
    return Pose(
        hinges=tuple(hinges),
        coil_radius_mm=coil.outer_radius_mm(hinge_radius_mm=radius, thickness_mm=slat.thickness_mm),
        bar=rectangle(
            x_from_mm=plane - slat.thickness_mm / 2,
            x_to_mm=plane + slat.thickness_mm / 2,
            z_from_mm=bar_top_z_mm - bar.height_mm,
            z_to_mm=bar_top_z_mm,
        ),
    )

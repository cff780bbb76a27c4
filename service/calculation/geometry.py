"""The side section as points: every hinge of the curtain, closed and open, and the outlines around it."""

from math import cos, pi, sin
from typing import final

from . import coil, path
from .job import Job
from .trial import Trial

Point = tuple[float, float]


@final
class Pose:
    """The curtain in one position: hinges from the tube to the bottom bar, and the bar's outline, as (x, z) [mm]."""

    def __init__(self, *, hinges: list[Point], coil_radius_mm: float, bar: list[Point]) -> None:
        self.hinges = hinges
        self.coil_radius_mm = coil_radius_mm
        self.bar = bar


@final
class Geometry:
    """The side section [mm] in the frame with its origin at the outer face of the opening, at the header's base."""

    def __init__(
        self,
        *,
        closed: Pose,
        open: Pose,
        wheel: Point,
        bracket: Point,
        wheel_radius_mm: float,
        tube_radius_mm: float,
        slat_thickness_mm: float,
        header: list[Point],
        plate: list[Point],
        track: list[Point],
        roof_z_mm: float,
        rear_x_mm: float,
        sill_z_mm: float,
    ) -> None:
        self.closed = closed
        self.open = open
        self.wheel = wheel
        self.bracket = bracket
        self.wheel_radius_mm = wheel_radius_mm
        self.tube_radius_mm = tube_radius_mm
        self.slat_thickness_mm = slat_thickness_mm
        self.header = header
        self.plate = plate
        self.track = track
        self.roof_z_mm = roof_z_mm
        self.rear_x_mm = rear_x_mm
        self.sill_z_mm = sill_z_mm


def rectangle(*, x_from_mm: float, x_to_mm: float, z_from_mm: float, z_to_mm: float) -> list[Point]:
    """The four corners of an upright rectangle, counter-clockwise from the one nearest the origin."""
    return [(x_from_mm, z_from_mm), (x_to_mm, z_from_mm), (x_to_mm, z_to_mm), (x_from_mm, z_to_mm)]


def pose(*, job: Job, trial: Trial, bar_top_z_mm: float, wound_slats: float) -> Pose:
    """Every hinge of the curtain with the bottom bar's top at a height and so many slats wound.

    On the coil the hinges lie on the table's spiral, turned so that its outermost point meets the tangent; before it
    they follow the path at one pitch along it. Where the strap alone is on the tube, all hinges lie on the path.
    """
    slat, centres, position = job.slat, trial.centres, trial.position
    tube = position.tube
    table = coil.coil_table(
        tube_radius_mm=tube.radius_mm, pitch_mm=slat.pitch_mm, thickness_mm=slat.thickness_mm, nesting=slat.nesting
    )
    radius, angle, on_coil = position.strap_radius_mm, 0.0, 0
    if wound_slats >= 0:
        index = int(wound_slats)
        share = wound_slats - index
        radius = table.radii_mm[index] + share * (table.radii_mm[index + 1] - table.radii_mm[index])
        angle = table.angles_rad[index] + share * (table.angles_rad[index + 1] - table.angles_rad[index])
        on_coil = index + 1 if wound_slats > 0 else 0
    rise = path.rise_rad(
        wheel_x_mm=centres.wheel_x_mm,
        wheel_z_mm=centres.wheel_z_mm,
        bracket_x_mm=centres.bracket_x_mm,
        bracket_z_mm=centres.bracket_z_mm,
        wheel_path_radius_mm=centres.wheel_path_radius_mm,
        hinge_radius_mm=radius,
    )
    turned = pi / 2 + rise - angle
    hinges = [
        (
            centres.bracket_x_mm + table.radii_mm[hinge] * cos(turned + table.angles_rad[hinge]),
            centres.bracket_z_mm + table.radii_mm[hinge] * sin(turned + table.angles_rad[hinge]),
        )
        for hinge in range(on_coil)
    ]
    hinges += [
        path.point_on_path(
            centres=centres,
            rise_rad=rise,
            bar_top_z_mm=bar_top_z_mm,
            along_mm=(trial.slat_count - hinge) * slat.pitch_mm,
        )
        for hinge in range(on_coil, trial.slat_count + 1)
    ]
    plane, bar = position.curtain_plane_x_mm, job.hardware.bar
    return Pose(
        hinges=hinges,
        coil_radius_mm=coil.outer_radius_mm(hinge_radius_mm=radius, thickness_mm=slat.thickness_mm),
        bar=rectangle(
            x_from_mm=plane - slat.thickness_mm / 2,
            x_to_mm=plane + slat.thickness_mm / 2,
            z_from_mm=bar_top_z_mm - bar.height_mm,
            z_to_mm=bar_top_z_mm,
        ),
    )


def section(*, job: Job, trial: Trial, bar_top_open_z_mm: float, wound_closed: float, wound_open: float) -> Geometry:
    """The side section of a fitting, closed and open. The track's outline is that of the whole track."""
    opening, slat, centres, position = job.opening, job.slat, trial.centres, trial.position
    plate, plane, track = position.side_plate, position.curtain_plane_x_mm, job.hardware.track
    front = opening.header_thickness_mm if job.mount.id == "face" else plane - slat.slot_width_mm / 2 - track.before_slot_mm
    return Geometry(
        closed=pose(job=job, trial=trial, bar_top_z_mm=position.bar_top_closed_z_mm, wound_slats=wound_closed),
        open=pose(job=job, trial=trial, bar_top_z_mm=bar_top_open_z_mm, wound_slats=wound_open),
        wheel=(centres.wheel_x_mm, centres.wheel_z_mm),
        bracket=(centres.bracket_x_mm, centres.bracket_z_mm),
        wheel_radius_mm=slat.wheel_radius_mm,
        tube_radius_mm=position.tube.radius_mm,
        slat_thickness_mm=slat.thickness_mm,
        header=rectangle(x_from_mm=0.0, x_to_mm=opening.header_thickness_mm, z_from_mm=0.0, z_to_mm=opening.headroom_mm),
        plate=rectangle(
            x_from_mm=position.front_x_mm,
            x_to_mm=position.front_x_mm + plate.deep_mm,
            z_from_mm=position.base_z_mm,
            z_to_mm=position.base_z_mm + plate.high_mm,
        ),
        track=rectangle(
            x_from_mm=front,
            x_to_mm=plane + slat.slot_width_mm / 2 + track.behind_slot_mm,
            z_from_mm=track.sill_gap_mm - opening.height_mm,
            z_to_mm=job.mount.mouth_z_mm,
        ),
        roof_z_mm=opening.headroom_mm,
        rear_x_mm=opening.header_thickness_mm + opening.depth_mm,
        sill_z_mm=-opening.height_mm,
    )

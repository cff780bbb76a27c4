"""One candidate place, calculated once: path, slats, coil, and every check that the place decides.

A `Position` is what all bracket holes of one tube, side plate and wheel hole share; a `Coiled` adds a bracket hole with the
coil there, which often rules the place out already; a `Trial` adds the checks.
"""

from math import inf
from typing import Final, final

from . import checks, clearance, coil, curtain, path, seals, wheel
from .checks import Check
from .constants import RAD_PER_DEG
from .job import BracketHole, Job, SidePlate, Tube, WheelHole
from .path import Centres

UPRIGHT_DEG: Final = 90.0


@final
class Position:
    """A tube on a side plate with one wheel hole: where plate and wheel stand, and the checks that they decide."""

    def __init__(self, *, job: Job, tube: Tube, side_plate: SidePlate, wheel_hole: WheelHole) -> None:
        opening, slat, mount, hardware = job.opening, job.slat, job.mount, job.hardware
        tolerance = job.duty.measuring_tolerance_mm
        front = wheel.plate_front_x_mm(header_thickness_mm=opening.header_thickness_mm, setback_mm=mount.plate_setback_mm)
        base = wheel.plate_base_z_mm(mouth_z_mm=mount.mouth_z_mm, plate_offset_mm=opening.plate_offset_mm)
        wheel_x = wheel.hole_x_mm(plate_front_x_mm=front, from_front_mm=wheel_hole.from_front_mm)
        wheel_z = wheel.hole_z_mm(plate_base_z_mm=base, from_base_mm=wheel_hole.from_base_mm)
        path_radius = wheel.wheel_path_radius_mm(wheel_radius_mm=slat.wheel_radius_mm, thickness_mm=slat.thickness_mm)
        plane = wheel.curtain_plane_x_mm(wheel_x_mm=wheel_x, wheel_path_radius_mm=path_radius)
        gap = seals.top_gap_mm(
            curtain_plane_x_mm=plane,
            thickness_mm=slat.thickness_mm,
            header_thickness_mm=opening.header_thickness_mm,
        )
        shift = wheel.entry_shift_mm(
            above_mouth_mm=wheel_z - mount.mouth_z_mm, wheel_path_radius_mm=path_radius, pitch_mm=slat.pitch_mm
        )
        entry_max = wheel.entry_shift_max_mm(slot_width_mm=slat.slot_width_mm, thickness_mm=slat.thickness_mm)
        bend = coil.hinge_bend_on_tube_deg(
            tube_radius_mm=tube.radius_mm, pitch_mm=slat.pitch_mm, thickness_mm=slat.thickness_mm
        )
        plate_top = wheel.plate_top_z_mm(plate_base_z_mm=base, plate_high_mm=side_plate.high_mm)
        plate_rear = wheel.plate_rear_x_mm(plate_front_x_mm=front, plate_deep_mm=side_plate.deep_mm)
        rear = clearance.rear_x_mm(header_thickness_mm=opening.header_thickness_mm, depth_mm=opening.depth_mm)
        compared = [
            Check(checks.PLATE_HEIGHT, value=plate_top, limit=opening.headroom_mm, tolerance_mm=tolerance),
            Check(checks.PLATE_DEPTH, value=plate_rear, limit=rear, tolerance_mm=tolerance),
            Check(checks.WHEEL_ABOVE_HEADER, value=wheel_z, limit=0.0, tolerance_mm=tolerance),
            Check(checks.TRACK_ENTRY, value=shift, limit=entry_max, tolerance_mm=tolerance),
            Check(checks.HEADER_GAP, value=gap, limit=hardware.running.header_gap_min_mm, tolerance_mm=tolerance),
            Check(
                checks.HINGE_ON_TUBE,
                value=bend,
                limit=slat.hinge_limit_deg,
                tolerance_mm=tolerance,
                length_of_one_mm=checks.bend_as_arc_mm(slat.pitch_mm),
            ),
        ]
        if opening.obstacles:
            apart = inf
            for box in opening.obstacles:
                apart = min(
                    apart,
                    clearance.plate_to_box_mm(
                        plate_front_x_mm=front,
                        plate_base_z_mm=base,
                        plate_deep_mm=side_plate.deep_mm,
                        plate_high_mm=side_plate.high_mm,
                        box_x_mm=box.x_mm,
                        box_z_mm=box.z_mm,
                        box_deep_mm=box.deep_mm,
                        box_high_mm=box.high_mm,
                    ),
                )
            compared.append(Check(checks.PLATE_OBSTACLE, value=apart, limit=0.0, tolerance_mm=tolerance))
        self.tube = tube
        self.side_plate = side_plate
        self.wheel_hole = wheel_hole
        self.front_x_mm = front
        self.base_z_mm = base
        self.wheel_x_mm = wheel_x
        self.wheel_z_mm = wheel_z
        self.wheel_path_radius_mm = path_radius
        self.curtain_plane_x_mm = plane
        self.top_gap_mm = gap
        self.entry_shift_mm = shift
        self.bar_top_closed_z_mm = curtain.bar_top_closed_z_mm(
            opening_height_mm=opening.height_mm,
            seal_free_mm=hardware.bar.seal_free_mm,
            bar_height_mm=hardware.bar.height_mm,
        )
        self.strap_radius_mm = coil.strap_radius_mm(
            tube_radius_mm=tube.radius_mm, strap_thickness_mm=hardware.running.strap_thickness_mm
        )
        self.checks = compared
        self.worst_margin_mm = least_margin_mm(compared)


@final
class Coiled:
    """A position with a bracket hole: the path there, the slats that it needs, and the coil that they make."""

    def __init__(self, *, job: Job, position: Position, bracket_hole: BracketHole) -> None:
        wheel_x, wheel_z, path_radius = position.wheel_x_mm, position.wheel_z_mm, position.wheel_path_radius_mm
        bracket_x = wheel.hole_x_mm(plate_front_x_mm=position.front_x_mm, from_front_mm=bracket_hole.from_front_mm)
        bracket_z = wheel.hole_z_mm(plate_base_z_mm=position.base_z_mm, from_base_mm=bracket_hole.from_base_mm)
        distance = path.centre_distance_mm(
            wheel_x_mm=wheel_x, wheel_z_mm=wheel_z, bracket_x_mm=bracket_x, bracket_z_mm=bracket_z
        )
        rise = path.rise_rad(
            wheel_x_mm=wheel_x,
            wheel_z_mm=wheel_z,
            bracket_x_mm=bracket_x,
            bracket_z_mm=bracket_z,
            wheel_path_radius_mm=path_radius,
            hinge_radius_mm=position.strap_radius_mm,
        )
        free = path.free_length_mm(
            centre_distance_mm=distance, wheel_path_radius_mm=path_radius, hinge_radius_mm=position.strap_radius_mm
        )
        length = path.path_length_mm(
            wheel_z_mm=wheel_z,
            bar_top_z_mm=position.bar_top_closed_z_mm,
            arc_on_wheel_mm=path.arc_on_wheel_mm(wheel_path_radius_mm=path_radius, rise_rad=rise),
            free_length_mm=free,
        )
        needed = slats_for(job, position, length)
        count = needed if job.slat_count is None else job.slat_count
        radius = radius_of(job, position.tube, count)
        self.position = position
        self.bracket_hole = bracket_hole
        self.centres = Centres(
            wheel_x_mm=wheel_x,
            wheel_z_mm=wheel_z,
            bracket_x_mm=bracket_x,
            bracket_z_mm=bracket_z,
            wheel_path_radius_mm=path_radius,
        )
        self.centre_distance_mm = distance
        self.rise_strap_rad = rise
        self.free_strap_mm = free
        self.slats_needed = needed
        self.slat_count = count
        self.coil_radius_mm = radius
        self.radius_checked_mm = radius if job.measured_coil_radius_mm is None else job.measured_coil_radius_mm
        self.covers: Check | None = None
        if job.slat_count is not None:
            self.covers = Check(
                checks.CURTAIN_COVERS,
                value=float(job.slat_count),
                limit=float(needed),
                tolerance_mm=job.duty.measuring_tolerance_mm,
                length_of_one_mm=job.slat.pitch_mm,
            )
        self.covers_margin_mm = inf if self.covers is None else self.covers.margin_mm


@final
class Trial:
    """A coil at a place with all checks that the place decides."""

    def __init__(self, *, job: Job, coiled: Coiled) -> None:
        opening, slat, running, tolerance = job.opening, job.slat, job.hardware.running, job.duty.measuring_tolerance_mm
        position, centres, distance = coiled.position, coiled.centres, coiled.centre_distance_mm
        checked, path_radius = coiled.radius_checked_mm, position.wheel_path_radius_mm
        rise_full = path.rise_rad(
            wheel_x_mm=centres.wheel_x_mm,
            wheel_z_mm=centres.wheel_z_mm,
            bracket_x_mm=centres.bracket_x_mm,
            bracket_z_mm=centres.bracket_z_mm,
            wheel_path_radius_mm=path_radius,
            hinge_radius_mm=checked - slat.thickness_mm / 2,
        )
        rise_deg = path.greatest_rise_deg(rise_strap_rad=coiled.rise_strap_rad, rise_full_rad=rise_full)
        room = [
            Check(
                checks.ROOF_CLEARANCE,
                value=clearance.roof_clearance_mm(
                    headroom_mm=opening.headroom_mm, bracket_z_mm=centres.bracket_z_mm, coil_radius_mm=checked
                ),
                limit=running.clearance_mm,
                tolerance_mm=tolerance,
            ),
            Check(
                checks.WHEEL_CLEARANCE,
                value=clearance.wheel_clearance_mm(
                    centre_distance_mm=distance, coil_radius_mm=checked, wheel_allowance_mm=slat.wheel_allowance_mm
                ),
                limit=running.clearance_mm,
                tolerance_mm=tolerance,
            ),
            Check(
                checks.REAR_CLEARANCE,
                value=clearance.rear_clearance_mm(
                    header_thickness_mm=opening.header_thickness_mm,
                    depth_mm=opening.depth_mm,
                    bracket_x_mm=centres.bracket_x_mm,
                    coil_radius_mm=checked,
                ),
                limit=running.clearance_mm,
                tolerance_mm=tolerance,
            ),
            Check(
                checks.HEADER_CLEARANCE,
                value=clearance.header_clearance_mm(
                    header_thickness_mm=opening.header_thickness_mm,
                    headroom_mm=opening.headroom_mm,
                    bracket_x_mm=centres.bracket_x_mm,
                    bracket_z_mm=centres.bracket_z_mm,
                    coil_radius_mm=checked,
                ),
                limit=running.clearance_mm,
                tolerance_mm=tolerance,
            ),
        ]
        self.position = position
        self.bracket_hole = coiled.bracket_hole
        self.centres = centres
        self.centre_distance_mm = distance
        self.slats_needed = coiled.slats_needed
        self.slat_count = coiled.slat_count
        self.coil_radius_mm = coiled.coil_radius_mm
        self.radius_checked_mm = checked
        if opening.obstacles:
            free_full = path.free_length_mm(
                centre_distance_mm=distance,
                wheel_path_radius_mm=path_radius,
                hinge_radius_mm=checked - slat.thickness_mm / 2,
            )
            room.append(self._coil_to_obstacles(job))
            run = self._curtain_to_obstacles(job, coiled, rise_full, free_full)
            room.append(
                Check(checks.CURTAIN_OBSTACLE, value=run, limit=running.curtain_clearance_mm, tolerance_mm=tolerance)
            )
        compared = [
            *position.checks,
            *room,
            Check(
                checks.PATH_OVER_WHEEL,
                value=rise_deg,
                limit=UPRIGHT_DEG,
                tolerance_mm=tolerance,
                length_of_one_mm=RAD_PER_DEG * path_radius,
            ),
        ]
        if coiled.covers is not None:
            compared.append(coiled.covers)
        self.checks = compared
        self.room_margin_mm = least_margin_mm(room)
        self.worst_margin_mm = least_margin_mm(compared)

    @property
    def passes(self) -> bool:
        """Whether every check of the place passes."""
        return not checks.fails(self.worst_margin_mm)

    @property
    def worst(self) -> Check:
        """The check that speaks most against the place."""
        return min(self.checks, key=lambda check: check.margin_mm)

    def _coil_to_obstacles(self, job: Job) -> Check:
        """The coil's clearance to the nearest obstacle."""
        nearest = inf
        for box in job.opening.obstacles:
            nearest = min(
                nearest,
                clearance.obstacle_clearance_mm(
                    bracket_x_mm=self.centres.bracket_x_mm,
                    bracket_z_mm=self.centres.bracket_z_mm,
                    coil_radius_mm=self.radius_checked_mm,
                    box_x_mm=box.x_mm,
                    box_z_mm=box.z_mm,
                    box_deep_mm=box.deep_mm,
                    box_high_mm=box.high_mm,
                ),
            )
        limit, tolerance = job.hardware.running.clearance_mm, job.duty.measuring_tolerance_mm
        return Check(checks.OBSTACLE_CLEARANCE, value=nearest, limit=limit, tolerance_mm=tolerance)

    def _curtain_to_obstacles(self, job: Job, coiled: Coiled, rise_full_rad: float, free_full_mm: float) -> float:
        """The running curtain's clearance to the nearest obstacle [mm]."""
        nearest = inf
        for box in job.opening.obstacles:
            nearest = min(
                nearest,
                clearance.curtain_to_box_mm(
                    wheel_x_mm=self.centres.wheel_x_mm,
                    wheel_z_mm=self.centres.wheel_z_mm,
                    wheel_path_radius_mm=self.centres.wheel_path_radius_mm,
                    rise_strap_rad=coiled.rise_strap_rad,
                    free_strap_mm=coiled.free_strap_mm,
                    rise_full_rad=rise_full_rad,
                    free_full_mm=free_full_mm,
                    sill_z_mm=-job.opening.height_mm,
                    thickness_mm=job.slat.thickness_mm,
                    box_x_mm=box.x_mm,
                    box_z_mm=box.z_mm,
                    box_deep_mm=box.deep_mm,
                    box_high_mm=box.high_mm,
                ),
            )
        return nearest


def least_margin_mm(compared: list[Check]) -> float:
    """The worst margin of some checks as a length [mm]."""
    least = inf
    for check in compared:
        least = min(least, check.margin_mm)
    return least


def slats_for(job: Job, position: Position, path_length_mm: float) -> int:
    """The slats that a path of so much curtain needs."""
    running = job.hardware.running
    return curtain.slats_needed(
        path_length_mm=path_length_mm,
        strap_radius_mm=position.strap_radius_mm,
        reserve_turns=running.reserve_turns,
        strap_length_mm=running.strap_length_mm,
        pitch_mm=job.slat.pitch_mm,
    )


def radius_of(job: Job, tube: Tube, slat_count: int) -> float:
    """The coil's outer radius with all slats wound [mm]."""
    slat = job.slat
    hinge = coil.hinge_radius_mm(
        tube_radius_mm=tube.radius_mm,
        pitch_mm=slat.pitch_mm,
        thickness_mm=slat.thickness_mm,
        nesting=slat.nesting,
        slats_wound=float(slat_count),
    )
    return coil.outer_radius_mm(hinge_radius_mm=hinge, thickness_mm=slat.thickness_mm)

"""Choosing tube, side plate, wheel hole and bracket hole.

Candidates are tried in a fixed order: the slat's tubes as listed, the plates from the smallest, the wheel holes from the
lowest, the bracket rows as listed (centre first), the columns inwards. The first that passes every check is taken. When
none does, the one whose worst margin is best is reported.

Candidates that cannot be the answer are not calculated whole. What rules them out is a bound: a coil of the least slats that
any path from that wheel hole asks for leaves every bracket hole at least as much room as the true coil does, and the curtain
below the wheel runs the same for all of them. Next the true coil alone is worked out, and whether a given count of slats
covers, last all else.
"""

from collections.abc import Iterator
from math import inf, pi, sqrt
from typing import Final

from . import checks, clearance
from .job import BracketHole, Job, Tube
from .trial import Coiled, Position, Trial, radius_of, slats_for

ROUNDING_MM: Final = 1e-9
"""What a bound allows for being worked out in another order than a check."""


def first_that_passes(job: Job, tube: Tube) -> Trial | None:
    """The first place for a tube that passes every check, if there is one."""
    for plate in job.side_plates:
        for wheel_hole in plate.wheel_holes:
            position = Position(job=job, tube=tube, side_plate=plate, wheel_hole=wheel_hole)
            straight = _straight_room_mm(job, position)
            if checks.fails(min(position.worst_margin_mm, straight)):
                continue
            least = _least_radius_mm(job, position, _shortest_free_mm(position))
            for hole in plate.bracket_holes:
                if checks.fails(_most_room_mm(job, position, hole, least)):
                    continue
                coiled = Coiled(job=job, position=position, bracket_hole=hole)
                if checks.fails(min(coiled.covers_margin_mm, _most_room_mm(job, position, hole, coiled.radius_checked_mm))):
                    continue
                trial = Trial(job=job, coiled=coiled)
                if trial.passes:
                    return trial
    return None


def nearest(job: Job) -> Trial:
    """The candidate whose worst margin is best, the first of several.

    Where candidates share a worse one (a tube too thin for every place, say), the worst margin of the coil to its
    surroundings decides.

    Raises:
        ValueError: the job has no candidate at all.
    """
    best: Trial | None = None
    for tube in job.tubes:
        for plate in job.side_plates:
            for wheel_hole in plate.wheel_holes:
                position = Position(job=job, tube=tube, side_plate=plate, wheel_hole=wheel_hole)
                if best is not None and position.worst_margin_mm < best.worst_margin_mm:
                    continue
                best = _nearest_of(job, position, best)
    if best is None:
        raise ValueError("a job needs at least one tube and one side plate with holes")
    return best


def _nearest_of(job: Job, position: Position, best: Trial | None) -> Trial | None:
    """The better of the best so far and the bracket holes of a position."""
    straight = _straight_room_mm(job, position)
    least = _least_radius_mm(job, position, -pi * position.wheel_path_radius_mm)
    for hole in position.side_plate.bracket_holes:
        if min(straight, _most_room_mm(job, position, hole, least)) <= _room_to_beat_mm(best, position.worst_margin_mm):
            continue
        coiled = Coiled(job=job, position=position, bracket_hole=hole)
        known = min(position.worst_margin_mm, coiled.covers_margin_mm)
        if _most_room_mm(job, position, hole, coiled.radius_checked_mm) <= _room_to_beat_mm(best, known):
            continue
        trial = Trial(job=job, coiled=coiled)
        if (
            best is None
            or trial.worst_margin_mm > best.worst_margin_mm
            or (trial.worst_margin_mm == best.worst_margin_mm and trial.room_margin_mm > best.room_margin_mm)
        ):
            best = trial
    return best


def _room_to_beat_mm(best: Trial | None, known_mm: float) -> float:
    """The room [mm] that a candidate must have more of than this to be better than the best so far.

    `known_mm` is the worst of its margins that are known already: where it is as bad as the best's, the room decides.
    """
    if best is None:
        return -inf
    if known_mm < best.worst_margin_mm:
        return inf
    return best.worst_margin_mm if known_mm > best.worst_margin_mm else best.room_margin_mm


def trials(job: Job) -> Iterator[Trial]:
    """Every candidate in the order of trial. This is for explaining; the choice skips those that cannot be taken."""
    for tube in job.tubes:
        for plate in job.side_plates:
            for wheel_hole in plate.wheel_holes:
                position = Position(job=job, tube=tube, side_plate=plate, wheel_hole=wheel_hole)
                for hole in plate.bracket_holes:
                    yield Trial(job=job, coiled=Coiled(job=job, position=position, bracket_hole=hole))


def _shortest_free_mm(position: Position) -> float:
    """The shortest free curtain from wheel to strap that any bracket hole leaves [mm].

    A place that passes has its curtain on the wheel, so that the arc there only adds to it.
    """
    hole, nearest_mm2 = position.wheel_hole, inf
    for bracket in position.side_plate.bracket_holes:
        dx, dz = bracket.from_front_mm - hole.from_front_mm, bracket.from_base_mm - hole.from_base_mm
        nearest_mm2 = min(nearest_mm2, dx * dx + dz * dz)
    difference = position.strap_radius_mm - position.wheel_path_radius_mm
    return sqrt(max(0.0, nearest_mm2 - difference * difference))


def _least_radius_mm(job: Job, position: Position, bent_mm: float) -> float:
    """A radius that no coil at a position is below [mm]; `bent_mm` is the least curtain beyond the straight part.

    Of a place that does not pass it may be negative: even a curtain that rises so steeply that it would lie on the far side
    of its wheel loses no more than half a turn of it.
    """
    if job.measured_coil_radius_mm is not None:
        return job.measured_coil_radius_mm
    if job.slat_count is not None:
        return radius_of(job, position.tube, job.slat_count)
    shortest = position.wheel_z_mm - position.bar_top_closed_z_mm + bent_mm
    return radius_of(job, position.tube, slats_for(job, position, shortest))


def _most_room_mm(job: Job, position: Position, hole: BracketHole, radius_mm: float) -> float:
    """The worst of the margins of a coil to all around it [mm], rounded up; a larger coil has no more."""
    opening = job.opening
    x, z = position.front_x_mm + hole.from_front_mm, position.base_z_mm + hole.from_base_mm
    thickness = opening.header_thickness_mm
    dx, dz = x - position.wheel_x_mm, z - position.wheel_z_mm
    to_header = clearance.box_distance_mm(
        x_mm=x, z_mm=z, box_x_mm=0.0, box_z_mm=0.0, box_deep_mm=thickness, box_high_mm=opening.headroom_mm
    )
    most = min(opening.headroom_mm - z, sqrt(dx * dx + dz * dz) - job.slat.wheel_allowance_mm)
    most = min(most, thickness + opening.depth_mm - x)
    most = min(most, to_header)
    for box in opening.obstacles:
        away = clearance.box_distance_mm(
            x_mm=x, z_mm=z, box_x_mm=box.x_mm, box_z_mm=box.z_mm, box_deep_mm=box.deep_mm, box_high_mm=box.high_mm
        )
        most = min(most, away)
    return most - radius_mm - job.hardware.running.clearance_mm + ROUNDING_MM


def _straight_room_mm(job: Job, position: Position) -> float:
    """The margin of the curtain below the wheel to the obstacles [mm], the same for every bracket hole."""
    least = inf
    for box in job.opening.obstacles:
        away = clearance.straight_run_to_box_mm(
            curtain_plane_x_mm=position.curtain_plane_x_mm,
            sill_z_mm=-job.opening.height_mm,
            wheel_z_mm=position.wheel_z_mm,
            thickness_mm=job.slat.thickness_mm,
            box=box,
        )
        least = min(least, away)
    return least - job.hardware.running.curtain_clearance_mm

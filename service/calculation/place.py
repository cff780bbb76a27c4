"""Choosing tube, side plate, wheel hole and bracket hole.

Candidates are tried in a fixed order: the slat's tubes as listed, the plates from the smallest, the wheel holes from the
lowest, the bracket rows as listed (centre first), the columns inwards. The first that passes every check is chosen. When
none does, the one whose worst margin is best is reported.
"""

from collections.abc import Iterator
from math import degrees, hypot, pi, radians
from typing import NamedTuple

from service.calculation import clearance, coil, curtain, path, wheel
from service.calculation.checks import RESOLUTION, fails
from service.calculation.job import BracketHole, Job, SidePlate, Tube, WheelHole

UPRIGHT_DEG = 90.0
ROOM_CHECKS = ("roof_clearance", "wheel_clearance", "rear_clearance", "header_clearance")


class Candidate(NamedTuple):
    """One tube on one side plate with one wheel hole and one bracket hole."""

    tube: Tube
    side_plate: SidePlate
    wheel_hole: WheelHole
    bracket_hole: BracketHole


class Trial(NamedTuple):
    """A candidate that was calculated.

    Margins count as lengths [mm]: a hinge's bend as its arc at one pitch, the rise as its arc on the wheel, a slat as one
    pitch. The worst margin of the coil to
    its surroundings decides between candidates that share a worse one (a tube too thin for every place, say).
    """

    candidate: Candidate
    slat_count: int
    coil_radius_mm: float
    worst_check: str
    worst_margin_mm: float
    room_margin_mm: float

    @property
    def passes(self) -> bool:
        """Whether every check passes."""
        return not fails(self.worst_margin_mm)

    @property
    def rank(self) -> tuple[float, float]:
        """What candidates are compared by: more is better."""
        return self.worst_margin_mm, self.room_margin_mm


class _Position(NamedTuple):
    """What all bracket holes of one tube, plate and wheel hole share."""

    tube: Tube
    side_plate: SidePlate
    wheel_hole: WheelHole
    front_x_mm: float
    base_z_mm: float
    wheel_x_mm: float
    wheel_z_mm: float
    wheel_path_radius_mm: float
    first_hinge_mm: float
    bar_top_z_mm: float
    radius_least_mm: float
    shared_margins: dict[str, float]


def as_length_mm(margin: float, length_of_one_mm: float) -> float:
    """A margin in another unit as a length [mm] that fails exactly when the margin itself does."""
    length = margin * length_of_one_mm
    return min(length, -2 * RESOLUTION) if fails(margin) else max(length, 0.0)


def choose(job: Job) -> Trial:
    """The first candidate that passes every check, or the one whose worst margin is best.

    Raises:
        ValueError: the job has no candidate at all.
    """
    return _first_that_passes(job) or _nearest(job)


def _first_that_passes(job: Job) -> Trial | None:
    """The first candidate that passes every check; those that cannot are not calculated."""
    for position in _positions(job):
        if any(fails(margin) for margin in position.shared_margins.values()):
            continue
        for hole in position.side_plate.bracket_holes:
            if fails(min(_room_at_best(job, position, hole))):
                continue
            trial = _try(job, position, hole)
            if trial.passes:
                return trial
    return None


def _nearest(job: Job) -> Trial:
    """The candidate whose worst margin is best; those that cannot be it are not calculated."""
    best: Trial | None = None
    for position in _positions(job):
        shared = min(position.shared_margins.values())
        if best and shared < best.worst_margin_mm:
            continue
        for hole in position.side_plate.bracket_holes:
            room = min(_room_at_best(job, position, hole))
            if best and (min(shared, room), room) <= best.rank:
                continue
            trial = _try(job, position, hole)
            if best is None or trial.rank > best.rank:
                best = trial
    if best is None:
        raise ValueError("a job needs at least one tube and one side plate with holes")
    return best


def trials(job: Job) -> Iterator[Trial]:
    """Every candidate in the order of trial, each with the check that speaks most against it.

    This is for explaining: `choose` finds its place without calculating candidates that cannot be it.
    """
    for position in _positions(job):
        for hole in position.side_plate.bracket_holes:
            yield _try(job, position, hole)


def _positions(job: Job) -> Iterator[_Position]:
    """Tubes, plates and wheel holes in the order of trial."""
    opening, slat, mount, bar = job.opening, job.slat, job.mount, job.hardware.bar
    path_radius = wheel.wheel_path_radius_mm(wheel_radius_mm=slat.wheel_radius_mm, thickness_mm=slat.thickness_mm)
    bar_top = curtain.bar_top_closed_z_mm(
        opening_height_mm=opening.height_mm, seal_free_mm=bar.seal_free_mm, bar_height_mm=bar.height_mm
    )
    front = wheel.plate_front_x_mm(header_thickness_mm=opening.header_thickness_mm, setback_mm=mount.plate_setback_mm)
    base = wheel.plate_base_z_mm(mouth_z_mm=mount.mouth_z_mm, plate_offset_mm=opening.plate_offset_mm)
    entry_max = wheel.entry_shift_max_mm(slot_width_mm=slat.slot_width_mm, thickness_mm=slat.thickness_mm)
    for tube in job.tubes:
        first = coil.first_hinge_radius_mm(
            tube_radius_mm=tube.radius_mm, pitch_mm=slat.pitch_mm, thickness_mm=slat.thickness_mm
        )
        bend = coil.hinge_bend_on_tube_deg(
            tube_radius_mm=tube.radius_mm, pitch_mm=slat.pitch_mm, thickness_mm=slat.thickness_mm
        )
        bend_margin = as_length_mm(slat.hinge_limit_deg - bend, radians(1) * slat.pitch_mm)
        for plate in job.side_plates:
            for hole in plate.wheel_holes:
                wheel_z = base + hole.from_base_mm
                shift = wheel.entry_shift_mm(
                    above_mouth_mm=wheel_z - mount.mouth_z_mm, wheel_path_radius_mm=path_radius, pitch_mm=slat.pitch_mm
                )
                yield _Position(
                    tube=tube,
                    side_plate=plate,
                    wheel_hole=hole,
                    front_x_mm=front,
                    base_z_mm=base,
                    wheel_x_mm=front + hole.from_front_mm,
                    wheel_z_mm=wheel_z,
                    wheel_path_radius_mm=path_radius,
                    first_hinge_mm=first,
                    bar_top_z_mm=bar_top,
                    radius_least_mm=_radius_mm(job, tube, _count(job, first, wheel_z - bar_top - pi * path_radius)),
                    shared_margins={
                        "plate_height": opening.headroom_mm - base - plate.high_mm,
                        "plate_depth": opening.header_thickness_mm + opening.depth_mm - front - plate.deep_mm,
                        "wheel_above_header": wheel_z,
                        "track_entry": entry_max - shift,
                        "hinge_on_tube": bend_margin,
                    },
                )


def _count(job: Job, first_hinge_mm: float, path_length_mm: float) -> int:
    """Slats that a path needs."""
    return curtain.slats_needed(
        path_length_mm=path_length_mm,
        first_hinge_radius_mm=first_hinge_mm,
        reserve_turns=job.hardware.running.reserve_turns,
        strap_length_mm=job.hardware.running.strap_length_mm,
        pitch_mm=job.slat.pitch_mm,
    )


def _radius_mm(job: Job, tube: Tube, slats_needed: int) -> float:
    """Outer radius that the position checks use: measured, or computed from the given or needed slats."""
    if job.measured_coil_radius_mm is not None:
        return job.measured_coil_radius_mm
    slat = job.slat
    hinge = coil.hinge_radius_mm(
        tube_radius_mm=tube.radius_mm,
        pitch_mm=slat.pitch_mm,
        thickness_mm=slat.thickness_mm,
        nesting=slat.nesting,
        slats_wound=job.slat_count or slats_needed,
    )
    return coil.outer_radius_mm(hinge_radius_mm=hinge, thickness_mm=slat.thickness_mm)


def _room(job: Job, position: _Position, hole: BracketHole, radius_mm: float) -> tuple[float, float, float, float]:
    """Margins [mm] of the coil to its surroundings, in the order of ROOM_CHECKS."""
    opening, need = job.opening, job.hardware.running.clearance_mm
    x, z = position.front_x_mm + hole.from_front_mm, position.base_z_mm + hole.from_base_mm
    thickness = opening.header_thickness_mm
    return (
        clearance.roof_clearance_mm(headroom_mm=opening.headroom_mm, bracket_z_mm=z, coil_radius_mm=radius_mm) - need,
        clearance.wheel_clearance_mm(
            centre_distance_mm=hypot(x - position.wheel_x_mm, z - position.wheel_z_mm),
            coil_radius_mm=radius_mm,
            wheel_allowance_mm=job.slat.wheel_allowance_mm,
        )
        - need,
        clearance.rear_clearance_mm(
            header_thickness_mm=thickness, depth_mm=opening.depth_mm, bracket_x_mm=x, coil_radius_mm=radius_mm
        )
        - need,
        clearance.header_clearance_mm(
            header_thickness_mm=thickness, bracket_x_mm=x, bracket_z_mm=z, coil_radius_mm=radius_mm
        )
        - need,
    )


def _room_at_best(job: Job, position: _Position, hole: BracketHole) -> tuple[float, float, float, float]:
    """Bounds [mm] that no calculation of this hole can exceed: the path between wheel and coil counted as nothing."""
    return _room(job, position, hole, position.radius_least_mm)


def _try(job: Job, position: _Position, hole: BracketHole) -> Trial:
    """Calculate one candidate: path, slat count, coil, and every margin that the choice can change."""
    slat = job.slat
    bracket_x = position.front_x_mm + hole.from_front_mm
    bracket_z = position.base_z_mm + hole.from_base_mm
    centres = path.Centres(position.wheel_x_mm, position.wheel_z_mm, bracket_x, bracket_z, position.wheel_path_radius_mm)
    length = path.path_length_over_mm(
        centres=centres, bar_top_z_mm=position.bar_top_z_mm, hinge_radius_mm=position.first_hinge_mm
    )
    needed = _count(job, position.first_hinge_mm, length)
    radius = _radius_mm(job, position.tube, needed)
    rises = [
        path.rise_rad(**centres._asdict(), hinge_radius_mm=hinge)
        for hinge in (position.first_hinge_mm, radius - slat.thickness_mm / 2)
    ]
    room = _room(job, position, hole, radius)
    margins = position.shared_margins | dict(zip(ROOM_CHECKS, room, strict=True))
    margins["path_over_wheel"] = as_length_mm(UPRIGHT_DEG - degrees(max(rises)), radians(1) * position.wheel_path_radius_mm)
    if job.slat_count is not None:
        margins["curtain_covers"] = (job.slat_count - needed) * slat.pitch_mm
    worst = min(margins, key=margins.__getitem__)
    return Trial(
        Candidate(position.tube, position.side_plate, position.wheel_hole, hole),
        job.slat_count or needed,
        radius,
        worst,
        margins[worst],
        min(room),
    )

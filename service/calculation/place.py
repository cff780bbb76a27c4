"""Choosing tube, side plate, wheel hole and bracket hole.

Candidates are tried in a fixed order: the slat's tubes as listed, the plates from the smallest, the wheel holes from the
lowest, the bracket rows as listed (centre first), the columns inwards. The first that passes every check is chosen. When
none does, the one whose worst margin is best is reported.
"""

from collections.abc import Iterator
from math import hypot, inf, nextafter, pi, radians
from typing import NamedTuple

from service.calculation import clearance, coil, curtain, path, tracks, wheel
from service.calculation.checks import RESOLUTION, fails, tenth_up
from service.calculation.job import BracketHole, Job, SidePlate, Tube, WheelHole

UPRIGHT_DEG = 90.0
ROOM_CHECKS = ("roof_clearance", "wheel_clearance", "rear_clearance", "header_clearance")
RAISES_MAX = 5
"""Heights of the side plate that are tried; each adds a slat at most, so that two or three are enough."""
GREATEST_FAILURE_MM = nextafter(-RESOLUTION, -inf)
"""The greatest margin that fails."""


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
    """What all bracket holes of one tube, plate and wheel hole share; `worst_check` is the worst of the shared checks.

    `radius_least_mm` and `covers_most_mm` are bounds: the path around the wheel and to the coil counted as nothing.
    """

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
    covers_most_mm: float
    worst_check: str
    worst_margin_mm: float


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
        if fails(position.worst_margin_mm) or fails(position.covers_most_mm):
            continue
        for hole in position.side_plate.bracket_holes:
            if not _may_leave_more(job, position, hole, GREATEST_FAILURE_MM):
                continue
            trial = _try(job, position, hole)
            if trial.passes:
                return trial
    return None


def _nearest(job: Job) -> Trial:
    """The candidate whose worst margin is best, the first of several; those that cannot be it are not calculated."""
    best: Trial | None = None
    for position in _positions(job):
        shared = min(position.worst_margin_mm, position.covers_most_mm)
        if best and shared < best.worst_margin_mm:
            continue
        for hole in position.side_plate.bracket_holes:
            if best:
                to_beat = best.worst_margin_mm if shared > best.worst_margin_mm else best.room_margin_mm
                if not _may_leave_more(job, position, hole, to_beat):
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


def plate_raise_mm(job: Job, intrusion_mm: float) -> float | None:
    """How much higher the side plate must stand so that no coil hangs below the header's base [mm], to a tenth.

    A plate that stands higher may ask for another slat or take another hole, so each height is tried; None where none of
    them does, or where the shutter would no longer fit.
    """
    raised, left = 0.0, intrusion_mm
    for _ in range(RAISES_MAX):
        raised = tenth_up(raised + left)
        offset = job.opening.plate_offset_mm + raised
        trial = choose(job._replace(opening=job.opening._replace(plate_offset_mm=offset)))
        if not trial.passes:
            return None
        bracket_z = job.mount.mouth_z_mm + offset + trial.candidate.bracket_hole.from_base_mm
        left = tracks.coil_intrusion_mm(coil_radius_mm=trial.coil_radius_mm, bracket_z_mm=bracket_z)
        if left < RESOLUTION:
            return raised
    return None


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
                margins = {
                    "plate_height": opening.headroom_mm - base - plate.high_mm,
                    "plate_depth": opening.header_thickness_mm + opening.depth_mm - front - plate.deep_mm,
                    "wheel_above_header": wheel_z,
                    "track_entry": entry_max - shift,
                    "hinge_on_tube": bend_margin,
                }
                worst = min(margins, key=margins.__getitem__)
                least = _count(job, first, wheel_z - bar_top - pi * path_radius)
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
                    radius_least_mm=_radius_mm(job, tube, least),
                    covers_most_mm=_covers_mm(job, least),
                    worst_check=worst,
                    worst_margin_mm=margins[worst],
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


def _covers_mm(job: Job, slats_needed: int) -> float:
    """Margin [mm] of given slats over those needed; without limit where none are given."""
    return inf if job.slat_count is None else (job.slat_count - slats_needed) * job.slat.pitch_mm


def _room(job: Job, position: _Position, hole: BracketHole, radius_mm: float) -> Iterator[float]:
    """Margins [mm] of the coil to its surroundings, one after the other in the order of ROOM_CHECKS."""
    opening, need = job.opening, job.hardware.running.clearance_mm
    x, z = position.front_x_mm + hole.from_front_mm, position.base_z_mm + hole.from_base_mm
    thickness = opening.header_thickness_mm
    yield clearance.roof_clearance_mm(headroom_mm=opening.headroom_mm, bracket_z_mm=z, coil_radius_mm=radius_mm) - need
    distance = hypot(x - position.wheel_x_mm, z - position.wheel_z_mm)
    yield (
        clearance.wheel_clearance_mm(
            centre_distance_mm=distance, coil_radius_mm=radius_mm, wheel_allowance_mm=job.slat.wheel_allowance_mm
        )
        - need
    )
    yield (
        clearance.rear_clearance_mm(
            header_thickness_mm=thickness, depth_mm=opening.depth_mm, bracket_x_mm=x, coil_radius_mm=radius_mm
        )
        - need
    )
    yield (
        clearance.header_clearance_mm(
            header_thickness_mm=thickness, bracket_x_mm=x, bracket_z_mm=z, coil_radius_mm=radius_mm
        )
        - need
    )


def _may_leave_more(job: Job, position: _Position, hole: BracketHole, room_mm: float) -> bool:
    """Whether all margins of the coil to its surroundings may be greater; the first that cannot settles it."""
    for margin in _room(job, position, hole, position.radius_least_mm):  # noqa: SIM110 - twice as fast as `all`
        if margin <= room_mm:
            return False
    return True


def _try(job: Job, position: _Position, hole: BracketHole) -> Trial:
    """Calculate one candidate: path, slat count, coil, and every margin that the choice can change."""
    slat, first, path_radius = job.slat, position.first_hinge_mm, position.wheel_path_radius_mm
    centres = {
        "wheel_x_mm": position.wheel_x_mm,
        "wheel_z_mm": position.wheel_z_mm,
        "bracket_x_mm": position.front_x_mm + hole.from_front_mm,
        "bracket_z_mm": position.base_z_mm + hole.from_base_mm,
    }
    rise = path.rise_rad(**centres, wheel_path_radius_mm=path_radius, hinge_radius_mm=first)
    length = path.path_length_mm(
        wheel_z_mm=position.wheel_z_mm,
        bar_top_z_mm=position.bar_top_z_mm,
        arc_on_wheel_mm=path.arc_on_wheel_mm(wheel_path_radius_mm=path_radius, rise_rad=rise),
        free_length_mm=path.free_length_mm(
            centre_distance_mm=path.centre_distance_mm(**centres), wheel_path_radius_mm=path_radius, hinge_radius_mm=first
        ),
    )
    needed = _count(job, first, length)
    radius = _radius_mm(job, position.tube, needed)
    rise_full = path.rise_rad(**centres, wheel_path_radius_mm=path_radius, hinge_radius_mm=radius - slat.thickness_mm / 2)
    rise_deg = path.greatest_rise_deg(rise_bare_rad=rise, rise_full_rad=rise_full)
    room = tuple(_room(job, position, hole, radius))
    margins = {
        position.worst_check: position.worst_margin_mm,
        **dict(zip(ROOM_CHECKS, room, strict=True)),
        "path_over_wheel": as_length_mm(UPRIGHT_DEG - rise_deg, radians(1) * path_radius),
        "curtain_covers": _covers_mm(job, needed),
    }
    worst = min(margins, key=margins.__getitem__)
    return Trial(
        Candidate(position.tube, position.side_plate, position.wheel_hole, hole),
        job.slat_count or needed,
        radius,
        worst,
        margins[worst],
        min(room),
    )

"""Cures: what makes a shutter fit that does not. One change, calculated whole before it is told, else a pair of changes.

Changes are tried by effort: first what costs nothing on the vehicle (another tube, side plate, plate height, mount, slat or
slat count, a measured radius left out), then more headroom or depth, then a lower or narrower opening, last a lower road
speed. Of a measure the least change that cures is told, in whole millimetres. Nothing is proposed that the catalogue does
not have.
"""

from collections.abc import Callable, Iterator
from dataclasses import replace
from math import ceil, floor
from typing import Final, final

from . import survey
from .checks import Verdict
from .fitting import can_be_built, verdict
from .job import Job, Offer, Tube

CURES_MAX: Final = 8
PAIR_KINDS: Final = 5
"""How many of the cheapest kinds of change are paired."""

MORE_ROOM_MM: Final = 300
"""How much more headroom or depth is tried [mm]."""

LESS_SHARE: Final = 0.8
"""Down to which share of it an opening's height and width are tried."""

PLATE_OFFSET_MIN_MM: Final = -40
PLATE_OFFSET_MAX_MM: Final = 100
"""Heights of the side plates that a request may ask for [mm]."""

SEEK_MM: Final = 20
"""Step [mm or km/h] in which a measure is searched; what is found is then halved down to one."""

SLATS_MAX: Final = 200

Value = float | str | None


@final
class Change:
    """One member of a request that is replaced; a value of None takes the member out."""

    def __init__(self, *, pointer: str, value: Value, job: Job) -> None:
        self.pointer = pointer
        self.value = value
        self.job = job


@final
class Cure:
    """Changes that together make the shutter fit, and the verdict that they lead to."""

    def __init__(self, *, changes: list[Change], verdict: Verdict) -> None:
        self.changes = changes
        self.verdict: Verdict = verdict


@final
class Kind:
    """A kind of change: the choices it offers for a job, or the measure that it moves, nearest values first."""

    def __init__(
        self,
        *,
        choices: Callable[[Job], list[Change]] | None = None,
        values: Callable[[Job], list[int]] | None = None,
        moved: Callable[[Job, int], list[Change]] | None = None,
    ) -> None:
        self.choices = choices
        self.values = values
        self.moved = moved


def cures(job: Job, offer: Offer, *, tube_named: bool) -> list[Cure]:
    """What would make the job fit, by effort; empty where it fits already or where nothing tried does.

    Args:
        job: a job that does not fit
        offer: what the catalogue has to choose from
        tube_named: whether the request names a tube, which then stays as long as the slat may be wound on it

    Raises:
        ValueError: the job has no candidate at all.
        IndexError: more slats than a coil table covers.
    """
    if can_be_built(job):
        return []
    kinds = _kinds(job, offer, tube_named=tube_named)
    found: list[Cure] = []
    for kind in kinds:
        for changes in _of_kind(job, kind):
            found.append(Cure(changes=changes, verdict=verdict(changes[-1].job)))
            if len(found) == CURES_MAX:
                return found
    return found or _pairs(job, kinds[:PAIR_KINDS])


def _pairs(job: Job, kinds: list[Kind]) -> list[Cure]:
    """Pairs of changes of different kinds; of two measures the first takes a few values, the second is searched."""
    found: list[Cure] = []
    for position, first in enumerate(kinds):
        for second in kinds[position + 1 :]:
            for changes in _starts(job, first):
                for more in _of_kind(changes[-1].job, second):
                    found.append(Cure(changes=[*changes, *more], verdict=verdict(more[-1].job)))
                    if len(found) == CURES_MAX:
                        return found
                    if second.values is not None:
                        break
    return found


def _starts(job: Job, kind: Kind) -> Iterator[list[Change]]:
    """First changes of a pair: every choice of a kind, or its measure at a third, two thirds and the whole of its way."""
    if kind.choices is not None:
        for choice in kind.choices(job):
            yield [choice]
    elif kind.values is not None and kind.moved is not None:
        for values in _ways(kind.values(job)):
            for third in (1, 2, 3):
                yield kind.moved(job, values[len(values) * third // 3 - 1])


def _of_kind(job: Job, kind: Kind) -> Iterator[list[Change]]:
    """The changes of one kind that cure: every choice that does, or the least change of the measure that does."""
    if kind.choices is not None:
        for choice in kind.choices(job):
            if can_be_built(choice.job):
                yield [choice]
    elif kind.values is not None and kind.moved is not None:
        least: list[Change] | None = None
        away = 0
        for values in _ways(kind.values(job)):
            index = _least_that_cures(job, kind.moved, values)
            if index is not None and (least is None or index < away):
                least, away = kind.moved(job, values[index]), index
        if least is not None:
            yield least


def _ways(values: list[int]) -> list[list[int]]:
    """Values split into the ways that lead from the first: those that rise and those that fall."""
    if not values:
        return []
    start = values[0]
    ways = [[value for value in values[1:] if value > start], [value for value in values[1:] if value < start]]
    return [way for way in ways if way]


def _least_that_cures(job: Job, moved: Callable[[Job, int], list[Change]], values: list[int]) -> int | None:
    """The first value along a way that cures, found by steps and then by halving; the value before it does not cure."""
    fails = -1
    last: int = len(values) - 1
    for tried in [*range(SEEK_MM - 1, last, SEEK_MM), last]:
        if not can_be_built(moved(job, values[tried])[-1].job):
            fails = tried
            continue
        cures_at: int = tried
        while cures_at - fails > 1:
            middle = (cures_at + fails) // 2
            if not can_be_built(moved(job, values[middle])[-1].job):
                fails = middle
            else:
                cures_at = middle
        return cures_at
    return None


def _kinds(job: Job, offer: Offer, *, tube_named: bool) -> list[Kind]:
    """The kinds of change that a job has, by effort."""
    sized = survey.size(job.opening, job.mount)
    surveyed = job.opening.survey is not None
    kinds = [Kind(choices=lambda job: _tubes(job, offer))] if tube_named else []
    if len(job.side_plates) == 1:
        kinds.append(Kind(choices=lambda job: _side_plates(job, offer)))
    kinds.append(Kind(values=_offsets, moved=_with_offset))
    kinds.append(Kind(choices=lambda job: _mounts(job, offer)))
    kinds.append(Kind(choices=lambda job: _slats(job, offer, tube_named=tube_named)))
    if job.slat_count is not None:
        kinds.append(Kind(values=_slat_counts, moved=_with_slat_count))
    if job.measured_coil_radius_mm is not None:
        kinds.append(Kind(choices=_unmeasured))
    kinds += [
        Kind(values=lambda job: _more(job.opening.headroom_mm, 1500), moved=_with_headroom),
        Kind(values=lambda job: _more(job.opening.depth_mm, 3000), moved=_with_depth),
        Kind(
            values=lambda _: _less(sized.height_mm),
            moved=lambda job, value: _with_size(job, sized.width_mm, float(value), surveyed=surveyed, changed="height_mm"),
        ),
        Kind(
            values=lambda _: _less(sized.width_mm),
            moved=lambda job, value: _with_size(job, float(value), sized.height_mm, surveyed=surveyed, changed="width_mm"),
        ),
        Kind(values=lambda job: list(range(floor(job.duty.road_speed_km_h), -1, -1)), moved=_with_road_speed),
    ]
    return kinds


def _tubes(job: Job, offer: Offer) -> list[Change]:
    """The slat's other tubes."""
    return [
        Change(pointer="/shutter/tube", value=tube.id, job=replace(job, tubes=(tube,)))
        for tube in offer.tubes_of_slat[job.slat.id]
        if tube not in job.tubes
    ]


def _side_plates(job: Job, offer: Offer) -> list[Change]:
    """The other side plates."""
    return [
        Change(pointer="/shutter/side_plate", value=plate.id, job=replace(job, side_plates=(plate,)))
        for plate in offer.side_plates
        if plate not in job.side_plates
    ]


def _mounts(job: Job, offer: Offer) -> list[Change]:
    """The other mount."""
    return [
        Change(pointer="/shutter/mount", value=mount.id, job=replace(job, mount=mount))
        for mount in offer.mounts
        if mount.id != job.mount.id
    ]


def _slats(job: Job, offer: Offer, *, tube_named: bool) -> list[Change]:
    """The other slats that the tubes take; counted slats and a measured radius are those of the slat that they are of."""
    if job.slat_count is not None or job.measured_coil_radius_mm is not None:
        return []
    found = []
    for slat in offer.slats:
        takes: tuple[Tube, ...] = offer.tubes_of_slat[slat.id]
        if tube_named:
            takes = tuple(tube for tube in takes if tube in job.tubes)
        if slat.id != job.slat.id and takes:
            found.append(Change(pointer="/shutter/slat", value=slat.id, job=replace(job, slat=slat, tubes=takes)))
    return found


def _unmeasured(job: Job) -> list[Change]:
    """The measured radius left out."""
    return [Change(pointer="/shutter/measured_coil_radius_mm", value=None, job=replace(job, measured_coil_radius_mm=None))]


def _offsets(job: Job) -> list[int]:
    """Heights of the side plates, the present one first."""
    present = round(job.opening.plate_offset_mm)
    rising = range(floor(job.opening.plate_offset_mm) + 1, PLATE_OFFSET_MAX_MM + 1)
    falling = range(ceil(job.opening.plate_offset_mm) - 1, PLATE_OFFSET_MIN_MM - 1, -1)
    return [present, *rising, *falling]


def _with_offset(job: Job, value: int) -> list[Change]:
    opening = replace(job.opening, plate_offset_mm=float(value))
    return [Change(pointer="/opening/plate_offset_mm", value=float(value), job=replace(job, opening=opening))]


def _slat_counts(job: Job) -> list[int]:
    """Slat counts, the present one first."""
    present = job.slat_count or 1
    return [present, *range(present + 1, SLATS_MAX + 1), *range(present - 1, 0, -1)]


def _with_slat_count(job: Job, value: int) -> list[Change]:
    return [Change(pointer="/shutter/slat_count", value=float(value), job=replace(job, slat_count=value))]


def _more(given_mm: float, most_mm: int) -> list[int]:
    """Whole millimetres above a measure, itself first."""
    return [floor(given_mm), *range(floor(given_mm) + 1, min(floor(given_mm) + MORE_ROOM_MM, most_mm) + 1)]


def _with_headroom(job: Job, value: int) -> list[Change]:
    opening = replace(job.opening, headroom_mm=float(value))
    return [Change(pointer="/opening/headroom_mm", value=float(value), job=replace(job, opening=opening))]


def _with_depth(job: Job, value: int) -> list[Change]:
    opening = replace(job.opening, depth_mm=float(value))
    return [Change(pointer="/opening/depth_mm", value=float(value), job=replace(job, opening=opening))]


def _less(given_mm: float) -> list[int]:
    """Whole millimetres below a measure, itself first."""
    return [ceil(given_mm), *range(ceil(given_mm) - 1, max(ceil(given_mm * LESS_SHARE), 250) - 1, -1)]


def _with_size(job: Job, width_mm: float, height_mm: float, *, surveyed: bool, changed: str) -> list[Change]:
    """Another size; of a surveyed opening the survey goes, and both usable figures take its place."""
    opening = replace(job.opening, width_mm=width_mm, height_mm=height_mm, survey=None)
    made = replace(job, opening=opening)
    values = {"width_mm": width_mm, "height_mm": height_mm}
    named = ("width_mm", "height_mm") if surveyed else (changed,)
    changes = [Change(pointer="/opening/survey", value=None, job=made)] if surveyed else []
    return [*changes, *(Change(pointer=f"/opening/{name}", value=values[name], job=made) for name in named)]


def _with_road_speed(job: Job, value: int) -> list[Change]:
    duty = replace(job.duty, road_speed_km_h=float(value))
    return [Change(pointer="/duty/road_speed_km_h", value=float(value), job=replace(job, duty=duty))]

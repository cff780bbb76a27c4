"""How far one dimension of an opening may go while the shutter still fits, everything else being as given.

Whether some place fits is monotone in each dimension, so that every limit is one number:

* A greater height asks every candidate for as many slats or more, more slats wind a larger coil, and a larger coil only
  loses room and only makes the curtain rise more steeply from the wheel. All else stays, so a candidate that fits a height
  fits every lesser one. With a slat count given the coil stays and only the slats to spare fall; with a measured coil
  and no count the height changes nothing.
* A greater headroom or depth only adds room to the roof, to the rear and around the plate.
* A greater width only comes nearer to the slat's greatest.

A candidate's range of each dimension is thus open to its easy side, and so is that of all candidates together. (Property
tests look for a counterexample.) The search takes one place that fits to its own end by bisection, then tries all places one
millimetre further: where another fits, it goes on with that, and where none does, that trial is the proof of the limit.

Only fit checks count. Slats, plates and mount are as given, and so are a slat count and a measured coil radius: who asks for
another slat than the one they were counted and measured on leaves them out. A survey counts with its size alone.
"""

from bisect import bisect_left
from typing import NamedTuple

from service.calculation import fitting, place, survey, wheel
from service.calculation.alternatives import worst_fit_check
from service.calculation.checks import check
from service.calculation.job import Job, Opening
from service.calculation.place import Candidate


class Dimension(NamedTuple):
    """A dimension of the opening with the whole millimetres it may have, the easiest first."""

    field: str
    limit: str
    values_mm: range

    def index_before(self, given_mm: float) -> int:
        """Where the whole millimetre on the easy side of a given size stands in the range."""
        steps = int((given_mm - self.values_mm.start) / self.values_mm.step)
        return min(max(0, steps), len(self.values_mm) - 1)


HEIGHT = Dimension("height_mm", "greatest height", range(250, 3001))
WIDTH = Dimension("width_mm", "greatest width", range(250, 3001))
HEADROOM = Dimension("headroom_mm", "least headroom", range(1500, 59, -1))
DEPTH = Dimension("depth_mm", "least depth", range(3000, 59, -1))


class Limit(NamedTuple):
    """One limit: None where no value fits. `ended_by` is the check that fails beyond it, None at the range's end."""

    value_mm: int | None
    ended_by: str | None
    reason: str


class Limits(NamedTuple):
    """The limits of one opening for one slat and mount."""

    slat: str
    mount: str
    height_max: Limit
    width_max: Limit
    headroom_min: Limit
    depth_min: Limit

    @property
    def reason(self) -> str:
        """What ends all four, in one text."""
        return " ".join(one.reason for one in (self.height_max, self.width_max, self.headroom_min, self.depth_min))


def limits(job: Job) -> Limits:
    """The limits for the job's slat and mount, with its tubes and side plates as candidates.

    Raises:
        ValueError: the job has no candidate at all.
        IndexError: more slats than a coil table covers.
    """
    job = job._replace(opening=survey.sized(job.opening)._replace(survey=None))
    fits = _fits(job)
    height, width, headroom, depth = (
        _limit(job, dimension, fits_as_given=fits) for dimension in (HEIGHT, WIDTH, HEADROOM, DEPTH)
    )
    return Limits(job.slat.id, job.mount.id, height, width, headroom, depth)


def _limit(job: Job, dimension: Dimension, *, fits_as_given: bool) -> Limit:
    """The furthest whole millimetre of one dimension at which the shutter fits."""
    values = dimension.values_mm
    reached = dimension.index_before(getattr(job.opening, dimension.field)) if fits_as_given else 0
    while reached < len(values):
        beyond = _at(job, dimension, values[reached])
        chosen = place.choose(beyond)
        if not (chosen.passes and _slat_fits(beyond)):
            return _ended(beyond, dimension, chosen.candidate, values[reached - 1] if reached else None)
        alone = _only(job, chosen.candidate)
        reached = bisect_left(values, x=True, lo=reached + 1, key=lambda value: not _fits(_at(alone, dimension, value)))
    return Limit(values[-1], None, _at_range_end(job, dimension))


def _at(job: Job, dimension: Dimension, value_mm: int) -> Job:
    """The job with one dimension of its opening exchanged."""
    return job._replace(opening=Opening(**{**job.opening._asdict(), dimension.field: float(value_mm)}))


def _only(job: Job, candidate: Candidate) -> Job:
    """The job with one place as its only candidate."""
    plate = candidate.side_plate._replace(wheel_holes=(candidate.wheel_hole,), bracket_holes=(candidate.bracket_hole,))
    return job._replace(tubes=(candidate.tube,), side_plates=(plate,))


def _fits(job: Job) -> bool:
    """Whether some place passes every fit check."""
    return place.choose(job).passes and _slat_fits(job)


def _slat_fits(job: Job) -> bool:
    """Whether the fit checks pass that no place can change."""
    slat, tolerance = job.slat, job.duty.measuring_tolerance_mm
    bend = wheel.hinge_bend_on_wheel_deg(
        pitch_mm=slat.pitch_mm,
        wheel_path_radius_mm=wheel.wheel_path_radius_mm(
            wheel_radius_mm=slat.wheel_radius_mm, thickness_mm=slat.thickness_mm
        ),
    )
    compared = (("slat_width", job.opening.width_mm, slat.width_max_mm), ("hinge_on_wheel", bend, slat.hinge_limit_deg))
    return all(
        check(id=id, value=value, limit=limit, measuring_tolerance_mm=tolerance).state != "fails"
        for id, value, limit in compared
    )


def _ended(beyond: Job, dimension: Dimension, nearest: Candidate, value_mm: int | None) -> Limit:
    """The limit before a job that does not fit, told by the check that its nearest place fails worst."""
    answer = fitting.fit(_only(beyond, nearest))
    worst, _ = worst_fit_check(answer.checks, beyond.slat)
    message = next(one.message for one in answer.warnings if one.code == worst.id)
    where = f"on {nearest.tube.id} with side plate {nearest.side_plate.id}"
    failed_at = getattr(beyond.opening, dimension.field)
    reached = f"{_sentence(dimension.limit)} {value_mm} mm; at" if value_mm else f"No {dimension.limit}: even at"
    told = f"{reached} {failed_at:.0f} mm, {where}, {message[0].lower()}{message[1:]}"
    return Limit(value_mm, worst.id, told)


def _at_range_end(job: Job, dimension: Dimension) -> str:
    """The reason of a limit that is no more than the end of what is calculated."""
    told = f"{_sentence(dimension.limit)} {dimension.values_mm[-1]} mm: the end of what is calculated, where it still fits"
    if dimension is HEIGHT and job.slat_count is None and job.measured_coil_radius_mm is not None:
        told += f" since the coil counts as measured, {job.measured_coil_radius_mm:g} mm, whatever the height"
    return f"{told}."


def _sentence(text: str) -> str:
    """A text that begins a sentence."""
    return text[0].upper() + text[1:]

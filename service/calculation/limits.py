"""How far one dimension of an opening may go while the shutter still fits, everything else being as given.

A limit is the end of the unbroken range of whole millimetres that contains the asked value, or, where that does not fit, of
the nearest range. Whether some place passes is monotone in each dimension: a greater height asks for as many slats or more,
and a larger coil only loses room; more headroom or depth only adds room; a greater width only comes nearer to what a slat
stands. What is not monotone are the springs: a wider opening is heavier and has a longer tube, and a narrow one may have no
room for them at all. So the search steps outwards no further than `STEP_MM` at a time and halves the first step that fails.
Every limit is proved by the millimetre beyond it, which does not fit; a gap in the range that is narrower than a step, and
lies wholly within one, can be stepped over (tests that try every millimetre of random openings found none).

Slats, plates and mount are as given, and so are a slat count and a measured coil radius: who asks for another slat than the
one they were counted and measured on leaves them out. A survey counts with its size alone.
"""

from dataclasses import replace
from typing import Final, final

from . import place, survey
from .checks import Check
from .fitting import can_be_built, fit, verdict
from .job import Job

STEP_MM: Final = 64
"""Greatest step [mm] of the search along a range that fits."""

SEEK_MM: Final = 16
"""Step [mm] of the search for the nearest range that fits."""


@final
class Dimension:
    """A dimension of the opening: the whole millimetres that it may have, and the end at which a place is found first."""

    def __init__(self, *, field: str, least_mm: int, most_mm: int, roomiest_mm: int) -> None:
        self.field = field
        self.least_mm = least_mm
        self.most_mm = most_mm
        self.roomiest_mm = roomiest_mm


WIDTH: Final = Dimension(field="width_mm", least_mm=250, most_mm=3000, roomiest_mm=250)
HEIGHT: Final = Dimension(field="height_mm", least_mm=250, most_mm=3000, roomiest_mm=250)
HEADROOM: Final = Dimension(field="headroom_mm", least_mm=60, most_mm=1500, roomiest_mm=1500)
DEPTH: Final = Dimension(field="depth_mm", least_mm=60, most_mm=3000, roomiest_mm=3000)


@final
class Range:
    """The five limits [mm] of one opening, None where nothing fits."""

    def __init__(
        self,
        *,
        height_max_mm: int | None,
        width_max_mm: int | None,
        width_min_mm: int | None,
        headroom_min_mm: int | None,
        depth_min_mm: int | None,
    ) -> None:
        self.height_max_mm = height_max_mm
        self.width_max_mm = width_max_mm
        self.width_min_mm = width_min_mm
        self.headroom_min_mm = headroom_min_mm
        self.depth_min_mm = depth_min_mm


@final
class Limits:
    """The limits of one opening for one slat and mount: what can be built at all, and what fits without cautions.

    `ended_by` are the checks that fail one millimetre beyond the limits of what can be built, by the limit's name; a limit
    that is only the end of what is calculated has none.
    """

    def __init__(self, *, slat: str, mount: str, built: Range, without_cautions: Range, ended_by: dict[str, Check]) -> None:
        self.slat = slat
        self.mount = mount
        self.built = built
        self.without_cautions = without_cautions
        self.ended_by = ended_by


@final
class Along:
    """The job with one dimension of its opening exchanged; everything is calculated once."""

    def __init__(self, job: Job, dimension: Dimension) -> None:
        self.job = job
        self.dimension = dimension
        self.placed: dict[int, bool] = {}
        self.built: dict[int, bool] = {}
        self.without_cautions: dict[int, bool] = {}

    def at(self, value_mm: int) -> Job:
        """The job with the dimension at a whole millimetre."""
        opening, field, value = self.job.opening, self.dimension.field, float(value_mm)
        if field == "width_mm":
            opening = replace(opening, width_mm=value)
        elif field == "height_mm":
            opening = replace(opening, height_mm=value)
        elif field == "headroom_mm":
            opening = replace(opening, headroom_mm=value)
        else:
            opening = replace(opening, depth_mm=value)
        return replace(self.job, opening=opening)

    def fits(self, value_mm: int, *, without_cautions: bool) -> bool:
        """Whether the shutter fits there."""
        if value_mm not in self.built:
            self.built[value_mm] = can_be_built(self.at(value_mm))
        if not self.built[value_mm] or not without_cautions:
            return self.built[value_mm]
        if value_mm not in self.without_cautions:
            self.without_cautions[value_mm] = verdict(self.at(value_mm)) == "fits"
        return self.without_cautions[value_mm]

    def has_place(self, value_mm: int) -> bool:
        """Whether a place passes there for some tube."""
        if value_mm not in self.placed:
            job = self.at(value_mm)
            self.placed[value_mm] = any(place.first_that_passes(job, tube) is not None for tube in job.tubes)
        return self.placed[value_mm]

    def edge(self, asked_mm: int) -> int | None:
        """The whole millimetre nearest to an asked one where a place passes; None where none does.

        To look at every value that has no place would take seconds in an opening with obstacles; since places are monotone,
        halving finds where they begin.
        """
        if self.has_place(asked_mm):
            return asked_mm
        passes, fails = self.dimension.roomiest_mm, asked_mm
        if not self.has_place(passes):
            return None
        while abs(passes - fails) > 1:
            middle = (passes + fails) // 2
            if self.has_place(middle):
                passes = middle
            else:
                fails = middle
        return passes

    def nearest(self, asked_mm: float, *, without_cautions: bool) -> int | None:
        """The whole millimetre that fits nearest to an asked value, as far as steps of `SEEK_MM` find one."""
        least, most = self.dimension.least_mm, self.dimension.most_mm
        asked = min(max(round(asked_mm), least), most)
        start = self.edge(asked)
        if start is None:
            return None
        if start != asked and self.dimension.roomiest_mm < start:
            most = start
        elif start != asked:
            least = start
        for away in range(0, most - least + SEEK_MM, SEEK_MM):
            for value in (start - away, start + away):
                within = min(max(value, least), most)
                if abs(within - value) < SEEK_MM and self.fits(within, without_cautions=without_cautions):
                    return within
        return None

    def end(self, start_mm: int, direction: int, *, without_cautions: bool) -> int:
        """The last whole millimetre that fits, going from one that does."""
        last = self.dimension.most_mm if direction > 0 else self.dimension.least_mm
        reached = start_mm
        while reached != last:
            step = min(STEP_MM, abs(last - reached))
            tried = reached + direction * step
            if self.fits(tried, without_cautions=without_cautions):
                reached = tried
                continue
            fails = tried
            while abs(fails - reached) > 1:
                middle = (fails + reached) // 2
                if self.fits(middle, without_cautions=without_cautions):
                    reached = middle
                else:
                    fails = middle
            return reached
        return reached


def limits(job: Job) -> Limits:
    """The limits for the job's slat and mount, with its tubes and side plates as candidates.

    Raises:
        ValueError: the job has no candidate at all.
        IndexError: more slats than a coil table covers.
    """
    sized = survey.size(job.opening, job.mount)
    opening = replace(job.opening, width_mm=sized.width_mm, height_mm=sized.height_mm, survey=None)
    job = replace(job, opening=opening)
    along = {one.field: Along(job, one) for one in (HEIGHT, WIDTH, HEADROOM, DEPTH)}
    asked = {
        "height_mm": opening.height_mm,
        "width_mm": opening.width_mm,
        "headroom_mm": opening.headroom_mm,
        "depth_mm": opening.depth_mm,
    }

    def end(field: str, direction: int, *, without_cautions: bool) -> int | None:
        start = along[field].nearest(asked[field], without_cautions=without_cautions)
        return None if start is None else along[field].end(start, direction, without_cautions=without_cautions)

    def found(*, without_cautions: bool) -> Range:
        return Range(
            height_max_mm=end("height_mm", 1, without_cautions=without_cautions),
            width_max_mm=end("width_mm", 1, without_cautions=without_cautions),
            width_min_mm=end("width_mm", -1, without_cautions=without_cautions),
            headroom_min_mm=end("headroom_mm", -1, without_cautions=without_cautions),
            depth_min_mm=end("depth_mm", -1, without_cautions=without_cautions),
        )

    built = found(without_cautions=False)
    ended_by: dict[str, Check] = {}
    for name, field, value, direction in (
        ("height_max_mm", "height_mm", built.height_max_mm, 1),
        ("width_max_mm", "width_mm", built.width_max_mm, 1),
        ("width_min_mm", "width_mm", built.width_min_mm, -1),
        ("headroom_min_mm", "headroom_mm", built.headroom_min_mm, -1),
        ("depth_min_mm", "depth_mm", built.depth_min_mm, -1),
    ):
        check = _ended_by(along[field], value, direction, asked[field])
        if check is not None:
            ended_by[name] = check
    return Limits(
        slat=job.slat.id,
        mount=job.mount.id,
        built=built,
        without_cautions=found(without_cautions=True),
        ended_by=ended_by,
    )


def _ended_by(along: Along, limit_mm: int | None, direction: int, asked_mm: float) -> Check | None:
    """The must that fails worst one millimetre beyond a limit, or as asked where nothing fits; None at a range's end."""
    dimension = along.dimension
    beyond = min(max(round(asked_mm), dimension.least_mm), dimension.most_mm) if limit_mm is None else limit_mm + direction
    if not dimension.least_mm <= beyond <= dimension.most_mm:
        return None
    worst: Check | None = None
    for check in fit(along.at(beyond)).answer.checks:
        if check.rules_out and (worst is None or check.margin_mm < worst.margin_mm):
            worst = check
    return worst

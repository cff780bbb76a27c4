"""From a request to the core's job: what the schema cannot say is checked here, all of it at once."""

from collections.abc import Container, Iterable
from typing import Any, Final

from msgspec import UNSET

from service.calculation import job, survey
from service.contract.problems import Mistake, Refusal, mistake
from service.contract.requests import SIZE_OR_SURVEY, Duty, FittingRequest, Opening
from service.contract.shelf import Shelf
from service.words.languages import marked

AUTO = "auto"
SIZE = ("width_mm", "height_mm")
PLUMB_WIDTH_MIN_MM = 100.0
"""Width [mm] that a survey must leave between plumb tracks: no compartment is out of square by more."""


def to_job(request: FittingRequest, shelf: Shelf) -> job.Job:
    """The core's job for a request.

    Raises:
        Refusal: the request names what the catalogue does not have, or contradicts itself.
    """
    faults = [*_faults_of_opening(request.opening), *_faults_of_duty(request), *_faults_of_ids(request, shelf)]
    if faults:
        told = marked("The request contradicts itself or the catalogue.")
        raise Refusal("invalid-request", told, faults=faults)
    duty, shutter = request.duty, request.shutter
    tubes, plates = shelf.tubes_of_slat[shutter.slat], shelf.side_plates
    return job.Job(
        opening=_opening(request.opening),
        slat=shelf.slats[shutter.slat],
        tubes=tuple(tubes.values()) if shutter.tube == AUTO else (tubes[shutter.tube],),
        side_plates=tuple(plates.values()) if shutter.side_plate == AUTO else (plates[shutter.side_plate],),
        mount=shelf.mounts[shutter.mount],
        hardware=shelf.hardware,
        duty=USUAL_DUTY if duty == USUAL else _duty(duty),
        options=frozenset(request.options),
        fitted_from=shutter.fitted_from,
        slat_count=None if shutter.slat_count is UNSET else int(shutter.slat_count),
        measured_coil_radius_mm=None if shutter.measured_coil_radius_mm is UNSET else shutter.measured_coil_radius_mm,
    )


def _duty(sent: Duty) -> job.Duty:
    return job.Duty(**{name: getattr(sent, name) for name in sent.__struct_fields__})


USUAL: Final = Duty()
USUAL_DUTY: Final = _duty(USUAL)
"""The duty of requests that say nothing of it, as most do; made once."""


def _opening(sent: Opening) -> job.Opening:
    measured = sent.survey
    return job.Opening(
        width_mm=0.0 if sent.width_mm is UNSET else sent.width_mm,
        height_mm=0.0 if sent.height_mm is UNSET else sent.height_mm,
        headroom_mm=sent.headroom_mm,
        depth_mm=sent.depth_mm,
        header_thickness_mm=sent.header_thickness_mm,
        plate_offset_mm=sent.plate_offset_mm,
        wall_gap_left_mm=sent.wall_gap_left_mm,
        wall_gap_right_mm=sent.wall_gap_right_mm,
        survey=None if measured is UNSET else _survey(sent),
        body=sent.body,
        obstacles=tuple(
            job.Obstacle(name=one.name, x_mm=one.x_mm, z_mm=one.z_mm, deep_mm=one.deep_mm, high_mm=one.high_mm)
            for one in sent.obstacles
        ),
        sill_above_ground_mm=None if sent.sill_above_ground_mm is UNSET else sent.sill_above_ground_mm,
        load_gap_mm=None if sent.load_gap_mm is UNSET else sent.load_gap_mm,
    )


def _survey(sent: Opening) -> job.Survey:
    measured = sent.survey
    if measured is UNSET:
        raise AssertionError("only an opening with a survey has one")
    return job.Survey(
        widths_mm=tuple(measured.widths_mm),
        heights_mm=tuple(measured.heights_mm),
        diagonals_mm=() if measured.diagonals_mm is UNSET else tuple(measured.diagonals_mm),
    )


def faults_of_size(given: Container[str], *, parent: str) -> Iterable[Mistake]:
    """What is wrong with an opening's members of these names: it needs width and height, or a survey alone."""
    missing = [name for name in SIZE if name not in given]
    if "survey" not in given:
        for name in missing:
            told = marked("the member is missing, and there is no survey")
            yield mistake("missing", told, pointer=f"{parent}/{name}")
    elif len(missing) < len(SIZE):
        yield mistake("contradiction", SIZE_OR_SURVEY, pointer=parent)


def _faults_of_opening(sent: Opening) -> Iterable[Mistake]:
    given = [name for name in (*SIZE, "survey") if getattr(sent, name) is not UNSET]
    yield from faults_of_size(given, parent="/opening")
    if sent.survey is not UNSET:
        plumb = survey.plumb_width_mm(_survey(sent))
        if plumb < PLUMB_WIDTH_MIN_MM:
            told = marked("the survey leaves {left} mm between plumb tracks, at least {limit} mm must be left")
            yield mistake(
                "contradiction",
                told,
                pointer="/opening/survey/diagonals_mm",
                limit=PLUMB_WIDTH_MIN_MM,
                left=round(plumb, 1),
            )


def _faults_of_duty(request: FittingRequest) -> Iterable[Mistake]:
    duty = request.duty
    if duty.temperature_min_c > duty.temperature_max_c:
        yield mistake(
            "contradiction",
            marked("must be at most temperature_max_c, {limit}"),
            pointer="/duty/temperature_min_c",
            limit=duty.temperature_max_c,
            actual=duty.temperature_min_c,
        )


def _faults_of_ids(request: FittingRequest, shelf: Shelf) -> Iterable[Mistake]:
    shutter = request.shutter
    yield from faults_of_tube(shutter.slat, shutter.tube, shelf, parent="/shutter", auto=True)
    plates = [AUTO, *shelf.side_plates]
    if shutter.side_plate not in plates:
        told = marked("the catalogue has no side_plate {given}; it has {known}")
        yield _unknown(told, shutter.side_plate, plates, pointer="/shutter/side_plate")


def faults_of_tube(slat: str, tube: str, shelf: Shelf, *, parent: str, auto: bool = False) -> Iterable[Mistake]:
    """What is wrong with a slat's and a tube's id: there is none, or the slat may not be wound on the tube."""
    if slat not in shelf.slats:
        told = marked("the catalogue has no slat {given}; it has {known}")
        yield _unknown(told, slat, shelf.slats, pointer=f"{parent}/slat")
    else:
        known = [*([AUTO] if auto else []), *shelf.tubes_of_slat[slat]]
        if tube not in known:
            told = marked("the catalogue has no tube {given} for slat {slat}; it has {known}")
            yield _unknown(told, tube, known, pointer=f"{parent}/tube", slat=slat)


def _unknown(told: str, given: str, known: Iterable[str], *, pointer: str, **more: Any) -> Mistake:
    listed = ", ".join(known)
    return mistake("not_in_catalogue", told, pointer=pointer, actual=given, given=f"'{given}'", known=listed, **more)

"""From a request to the core's job: what the schema cannot say is checked here, all of it at once."""

from collections.abc import Container, Iterable
from typing import Any, Final

from msgspec import UNSET

from service.calculation import job, survey
from service.contract.problems import MISMATCH, Mistake, Refusal, mistake
from service.contract.requests import SIZE_OR_SURVEY, Duty, FittingRequest, Opening, Shutter
from service.contract.shelf import Shelf
from service.words.languages import marked

AUTO: Final = "auto"
SIZE = ("width_mm", "height_mm")
PLUMB_WIDTH_MIN_MM = 100.0
"""Width [mm] that a survey must leave between plumb tracks: no compartment is out of square by more."""


def to_job(request: FittingRequest, shelf: Shelf) -> job.Job:
    """The core's job for a request.

    Raises:
        Refusal: the request names what the catalogue does not have, contradicts itself, or has neither size nor survey.
    """
    duty, shutter = request.duty, request.shutter
    faults = _faults_of_opening(request.opening) + _faults_of_duty(duty) + _faults_of_ids(shutter, shelf)
    if faults:
        contradicts = marked("The request contradicts itself or the catalogue.")
        told = MISMATCH if any(one.code == "missing" for one in faults) else contradicts
        raise Refusal("invalid-request", told, faults=faults)
    slat, tube, plate, offer = shutter.slat, shutter.tube, shutter.side_plate, shelf.offer
    return job.Job(
        opening=_opening(request.opening),
        slat=shelf.slats[slat],
        tubes=offer.tubes_of_slat[slat] if tube == AUTO else (shelf.tubes_of_slat[slat][tube],),
        side_plates=offer.side_plates if plate == AUTO else (shelf.side_plates[plate],),
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


def faults_of_size(given: Container[str], *, parent: str) -> list[Mistake]:
    """What is wrong with an opening's members of these names: it needs width and height, or a survey alone."""
    missing = [name for name in SIZE if name not in given]
    if "survey" not in given:
        told = marked("the member is missing, and there is no survey")
        return [mistake("missing", told, pointer=f"{parent}/{name}") for name in missing]
    return [mistake("contradiction", SIZE_OR_SURVEY, pointer=parent)] if len(missing) < len(SIZE) else []


def _faults_of_opening(sent: Opening) -> list[Mistake]:
    if sent.survey is UNSET and sent.width_mm is not UNSET and sent.height_mm is not UNSET:
        return []
    faults = faults_of_size([name for name in (*SIZE, "survey") if getattr(sent, name) is not UNSET], parent="/opening")
    if sent.survey is not UNSET:
        plumb = survey.plumb_width_mm(_survey(sent))
        if plumb < PLUMB_WIDTH_MIN_MM:
            told = marked("the survey leaves {left} mm between plumb tracks, at least {limit} mm must be left")
            faults.append(
                mistake(
                    "contradiction",
                    told,
                    pointer="/opening/survey/diagonals_mm",
                    limit=PLUMB_WIDTH_MIN_MM,
                    left=round(plumb, 1),
                )
            )
    return faults


def _faults_of_duty(duty: Duty) -> list[Mistake]:
    if duty.temperature_min_c <= duty.temperature_max_c:
        return []
    return [
        mistake(
            "contradiction",
            marked("must be at most temperature_max_c, {limit}"),
            pointer="/duty/temperature_min_c",
            limit=duty.temperature_max_c,
            actual=duty.temperature_min_c,
        )
    ]


def _faults_of_ids(shutter: Shutter, shelf: Shelf) -> list[Mistake]:
    faults = faults_of_tube(shutter.slat, shutter.tube, shelf, parent="/shutter", auto=True)
    plate = shutter.side_plate
    if plate != AUTO and plate not in shelf.side_plates:
        told = marked("the catalogue has no side_plate {given}; it has {known}")
        faults.append(_unknown(told, plate, [AUTO, *shelf.side_plates], pointer="/shutter/side_plate"))
    return faults


def faults_of_tube(slat: str, tube: str, shelf: Shelf, *, parent: str, auto: bool = False) -> list[Mistake]:
    """What is wrong with a slat's and a tube's id: there is none, or the slat may not be wound on the tube."""
    tubes = shelf.tubes_of_slat.get(slat)
    if tubes is None:
        told = marked("the catalogue has no slat {given}; it has {known}")
        return [_unknown(told, slat, shelf.slats, pointer=f"{parent}/slat")]
    if tube in tubes or (auto and tube == AUTO):
        return []
    told = marked("the catalogue has no tube {given} for slat {slat}; it has {known}")
    return [_unknown(told, tube, [*([AUTO] if auto else []), *tubes], pointer=f"{parent}/tube", slat=slat)]


def _unknown(told: str, given: str, known: Iterable[str], *, pointer: str, **more: Any) -> Mistake:
    listed = ", ".join(known)
    return mistake("not_in_catalogue", told, pointer=pointer, actual=given, given=f"'{given}'", known=listed, **more)

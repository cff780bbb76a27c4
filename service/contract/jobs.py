"""From a request to the core's job: what the schema cannot say is checked here, all of it at once."""

from collections.abc import Container, Iterable

from msgspec import UNSET

from service.calculation import job, survey
from service.contract.problems import Fault, Refusal
from service.contract.requests import SIZE_OR_SURVEY, FittingRequest, Opening
from service.contract.shelf import Shelf

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
        raise Refusal("invalid-request", "The request contradicts itself or the catalogue.", faults=faults)
    duty, shutter = request.duty, request.shutter
    tubes, plates = shelf.tubes_of_slat[shutter.slat], shelf.side_plates
    return job.Job(
        opening=_opening(request.opening),
        slat=shelf.slats[shutter.slat],
        tubes=tuple(tubes.values()) if shutter.tube == AUTO else (tubes[shutter.tube],),
        side_plates=tuple(plates.values()) if shutter.side_plate == AUTO else (plates[shutter.side_plate],),
        mount=shelf.mounts[shutter.mount],
        hardware=shelf.hardware,
        duty=job.Duty(**{name: getattr(duty, name) for name in duty.__struct_fields__}),
        options=frozenset(request.options),
        fitted_from=shutter.fitted_from,
        slat_count=None if shutter.slat_count is UNSET else int(shutter.slat_count),
        measured_coil_radius_mm=None if shutter.measured_coil_radius_mm is UNSET else shutter.measured_coil_radius_mm,
    )


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


def faults_of_size(given: Container[str], *, parent: str) -> Iterable[Fault]:
    """What is wrong with an opening's members of these names: it needs width and height, or a survey alone."""
    missing = [name for name in SIZE if name not in given]
    if "survey" not in given:
        for name in missing:
            yield Fault("the member is missing, and there is no survey", pointer=f"{parent}/{name}")
    elif len(missing) < len(SIZE):
        yield Fault(SIZE_OR_SURVEY, pointer=parent)


def _faults_of_opening(sent: Opening) -> Iterable[Fault]:
    given = [name for name in (*SIZE, "survey") if getattr(sent, name) is not UNSET]
    yield from faults_of_size(given, parent="/opening")
    if sent.survey is not UNSET:
        plumb = survey.plumb_width_mm(_survey(sent))
        if plumb < PLUMB_WIDTH_MIN_MM:
            yield Fault(
                f"the survey leaves {plumb:.1f} mm between plumb tracks, at least {PLUMB_WIDTH_MIN_MM:g} mm must be left",
                pointer="/opening/survey/diagonals_mm",
            )


def _faults_of_duty(request: FittingRequest) -> Iterable[Fault]:
    duty = request.duty
    if duty.temperature_min_c > duty.temperature_max_c:
        yield Fault(f"must be at most temperature_max_c, {duty.temperature_max_c:g}", pointer="/duty/temperature_min_c")


def _faults_of_ids(request: FittingRequest, shelf: Shelf) -> Iterable[Fault]:
    shutter = request.shutter
    yield from faults_of_tube(shutter.slat, shutter.tube, shelf, parent="/shutter", auto=True)
    if shutter.side_plate not in {AUTO, *shelf.side_plates}:
        yield _unknown("side_plate", shutter.side_plate, [AUTO, *shelf.side_plates], parent="/shutter")


def faults_of_tube(slat: str, tube: str, shelf: Shelf, *, parent: str, auto: bool = False) -> Iterable[Fault]:
    """What is wrong with a slat's and a tube's id: there is none, or the slat may not be wound on the tube."""
    if slat not in shelf.slats:
        yield _unknown("slat", slat, shelf.slats, parent=parent)
    else:
        known = [*([AUTO] if auto else []), *shelf.tubes_of_slat[slat]]
        if tube not in known:
            yield _unknown("tube", tube, known, f" for slat {slat}", parent=parent)


def _unknown(member: str, given: str, known: Iterable[str], context: str = "", *, parent: str) -> Fault:
    return Fault(
        f"the catalogue has no {member} {given!r}{context}; it has {', '.join(known)}", pointer=f"{parent}/{member}"
    )

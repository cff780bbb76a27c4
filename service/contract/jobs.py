"""From a request to the core's job: what the schema cannot say is checked here, all of it at once."""

from collections.abc import Container, Iterable

from msgspec import UNSET

from service.calculation import job
from service.contract.problems import Fault, Refusal
from service.contract.requests import SIZE_OR_SURVEY, FittingRequest, Opening
from service.contract.shelf import Shelf

AUTO = "auto"
SIZE = ("width_mm", "height_mm")


def to_job(request: FittingRequest, shelf: Shelf) -> job.Job:
    """The core's job for a request.

    Raises:
        Refusal: the request names what the catalogue does not have, or contradicts itself.
    """
    faults = [*_faults_of_opening(request.opening), *_faults_of_ids(request, shelf)]
    duty, shutter = request.duty, request.shutter
    if faults:
        raise Refusal("invalid-request", "The request contradicts itself or the catalogue.", faults=faults)
    tubes, plates = shelf.tubes_of_slat[shutter.slat], shelf.side_plates
    return job.Job(
        opening=_opening(request.opening),
        slat=shelf.slats[shutter.slat],
        tubes=tuple(tubes.values()) if shutter.tube == AUTO else (tubes[shutter.tube],),
        side_plates=tuple(plates.values()) if shutter.side_plate == AUTO else (plates[shutter.side_plate],),
        mount=shelf.mounts[shutter.mount],
        hardware=shelf.hardware,
        duty=job.Duty(
            road_speed_km_h=duty.road_speed_km_h,
            temperature_min_c=duty.temperature_min_c,
            temperature_max_c=duty.temperature_max_c,
            supply_v=duty.supply_v,
            cable_run_m=duty.cable_run_m,
            cycles_per_day=duty.cycles_per_day,
            hand_force_limit_n=duty.hand_force_limit_n,
            measuring_tolerance_mm=duty.measuring_tolerance_mm,
        ),
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
        survey=None
        if measured is UNSET
        else job.Survey(
            tuple(measured.widths_mm),
            tuple(measured.heights_mm),
            (measured.diagonals_mm[0], measured.diagonals_mm[1]),
        ),
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
    return faults_of_size(given, parent="/opening")


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

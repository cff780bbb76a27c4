"""What would fit, between which limits, and what measured coils say: alternatives, limits, calibrations."""

from typing import Annotated, Literal

import msgspec
from msgspec import Meta

from service.audit.figures import figure, figures
from service.calculation import alternatives, calibration, limits
from service.contract import answers as wire
from service.contract.jobs import faults_of_tube, to_job
from service.contract.problems import Fault, Refusal
from service.contract.requests import FittingRequest, Id
from service.contract.shelf import Shelf
from service.contract.units import Kg, Mm, N

MountId = Literal["reveal", "face"]


class AlternativeShutter(msgspec.Struct, frozen=True):
    """A combination of the catalogue, in the form of a request's `shutter`."""

    slat: str
    tube: str
    side_plate: str
    mount: MountId


class Alternative(msgspec.Struct, frozen=True):
    """One combination in the opening at its best place; `failing` holds the fit checks that fail and by how much."""

    rank: int
    shutter: AlternativeShutter
    verdict: wire.Verdict
    worst_check: str
    worst_margin_mm: Mm
    mass_kg: Kg
    hand_force_max_n: N
    slat_count: int
    coil_radius_mm: Mm
    wheel_hole: wire.WheelHoleName
    bracket_hole: str
    warnings: list[str]
    failing: list[wire.Check]


class Alternatives(msgspec.Struct, frozen=True):
    """Every combination of the catalogue, the best first: by verdict, then by the worst margin, then by mass."""

    alternatives: list[Alternative]
    reason_best: str


class Limits(msgspec.Struct, frozen=True):
    """How far each dimension may go for one slat and mount, whole mm; null where nothing fits."""

    slat: str
    mount: MountId
    height_max_mm: Mm | None
    width_max_mm: Mm | None
    headroom_min_mm: Mm | None
    depth_min_mm: Mm | None
    reason: str


class LimitsAnswer(msgspec.Struct, frozen=True):
    """The limits for every slat and mount of the catalogue, each verified by one mm more (or less) that does not fit."""

    limits: list[Limits]


class MeasuredCoil(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A rolled-up shutter: its slats counted, its outer radius measured where it is widest."""

    slat_count: Annotated[float, Meta(ge=1, le=200, multiple_of=1, description="A whole number.")]
    radius_mm: Annotated[float, Meta(ge=20, le=500, extra_json_schema={"x-unit": "mm"})]


class CalibrationRequest(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Measured coils of one slat on one tube."""

    slat: Id
    tube: Id
    coils: Annotated[list[MeasuredCoil], Meta(min_length=calibration.PAIRS_MIN, max_length=calibration.PAIRS_MAX)]
    measuring_tolerance_mm: Annotated[
        float, Meta(ge=0.1, le=20, description="Of a radius.", extra_json_schema={"x-unit": "mm"})
    ] = calibration.TOLERANCE_MM


class Calibration(msgspec.Struct, frozen=True):
    """The nesting factor that the coils give. Residuals are measured less computed radii, in the order of the coils."""

    slat: str
    tube: str
    nesting: float
    nesting_in_catalogue: float
    standard_error: float
    residuals_mm: list[Mm]
    root_mean_square_mm: Mm
    radius_min_mm: Mm
    radius_max_mm: Mm
    toml: Annotated[str, Meta(description="A fragment for the catalogue file.")]


def rank_alternatives(request: FittingRequest, shelf: Shelf) -> Alternatives:
    """Every combination in the request's opening.

    The request's shutter is only one of them; its counted slats and measured radius do not count.

    Raises:
        Refusal: the request contradicts itself or the catalogue.
    """
    ranked = alternatives.rank(
        to_job(request, shelf),
        slats=shelf.slats,
        tubes_of_slat=shelf.tubes_of_slat,
        side_plates=shelf.side_plates,
        mounts=shelf.mounts,
    )
    return Alternatives([_alternative(number, one) for number, one in enumerate(ranked.alternatives, 1)], ranked.reason_best)


def _alternative(number: int, one: alternatives.Alternative) -> Alternative:
    made, found = one.combination, one.answer
    return Alternative(
        rank=number,
        shutter=AlternativeShutter(made.slat.id, made.tube.id, made.side_plate.id, made.mount.id),
        verdict=one.verdict,
        worst_check=one.worst_check,
        worst_margin_mm=figure(one.worst_margin_mm),
        mass_kg=figure(one.mass_kg),
        hand_force_max_n=figure(found.balance.hand_force_max_n),
        slat_count=found.curtain.slat_count,
        coil_radius_mm=figure(found.coil.radius_mm),
        wheel_hole=found.wheel.hole,
        bracket_hole=found.bracket.hole,
        warnings=[warning.code for warning in found.warnings],
        failing=[wire.Check(*figures(check)) for check in one.failing],
    )


def find_limits(request: FittingRequest, shelf: Shelf) -> LimitsAnswer:
    """The limits for every slat and mount.

    Counted slats and a measured radius hold for the request's own slat only, a tube that is named for every slat that can be
    wound on it; a side plate that is named holds for all.

    Raises:
        Refusal: the request contradicts itself or the catalogue.
    """
    asked, named = to_job(request, shelf), request.shutter.tube
    found = []
    for slat in shelf.slats.values():
        own = slat.id == asked.slat.id
        tubes = shelf.tubes_of_slat[slat.id]
        for mount in shelf.mounts.values():
            job = asked._replace(
                slat=slat,
                mount=mount,
                tubes=(tubes[named],) if named in tubes else tuple(tubes.values()),
                slat_count=asked.slat_count if own else None,
                measured_coil_radius_mm=asked.measured_coil_radius_mm if own else None,
            )
            found.append(_limits(limits.limits(job)))
    return LimitsAnswer(found)


def _limits(one: limits.Limits) -> Limits:
    return Limits(
        slat=one.slat,
        mount="reveal" if one.mount == "reveal" else "face",
        height_max_mm=one.height_max.value_mm,
        width_max_mm=one.width_max.value_mm,
        headroom_min_mm=one.headroom_min.value_mm,
        depth_min_mm=one.depth_min.value_mm,
        reason=one.reason,
    )


def calibrate(request: CalibrationRequest, shelf: Shelf) -> Calibration:
    """The nesting factor of measured coils.

    Raises:
        Refusal: the catalogue does not have the slat or the tube, or the coils contradict a spiral.
    """
    faults = list(faults_of_tube(request.slat, request.tube, shelf, parent=""))
    if faults:
        raise Refusal("invalid-request", "The catalogue does not have what the request names.", faults=faults)
    slat, tube = shelf.slats[request.slat], shelf.tubes_of_slat[request.slat][request.tube]
    try:
        found = calibration.calibrate(
            pairs=[calibration.Pair(int(one.slat_count), one.radius_mm) for one in request.coils],
            profile=calibration.Profile(slat.id, slat.pitch_mm, slat.thickness_mm, tube.radius_mm),
            tolerance_mm=request.measuring_tolerance_mm,
        )
    except calibration.NoSpiralError as error:
        told = [
            Fault(one.reason, pointer="/coils" if one.position is None else f"/coils/{one.position}")
            for one in error.contradictions
        ]
        detail = "The coils contradict a spiral of this slat on this tube."
        raise Refusal("contradictory-measurements", detail, faults=told) from error
    return Calibration(
        slat=slat.id,
        tube=tube.id,
        nesting=figure(found.nesting),
        nesting_in_catalogue=figure(slat.nesting),
        standard_error=figure(found.standard_error),
        residuals_mm=[figure(one) for one in found.residuals_mm],
        root_mean_square_mm=figure(found.root_mean_square_mm),
        radius_min_mm=figure(found.radius_min_mm),
        radius_max_mm=figure(found.radius_max_mm),
        toml=found.toml,
    )

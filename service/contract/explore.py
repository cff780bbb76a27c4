"""What would fit, between which limits, and what measured coils say: alternatives, limits, calibrations."""

from dataclasses import replace
from typing import Annotated, Any

import msgspec
from msgspec import UNSET, UnsetType

from service.audit.figures import figure
from service.calculation import alternatives, calibration, limits
from service.contract import answers as wire
from service.contract.fittings import to_wire
from service.contract.jobs import faults_of_tube, to_job
from service.contract.problems import Refusal, mistake
from service.contract.requests import FittingRequest, Id, MountId
from service.contract.shelf import Shelf
from service.contract.units import mm, said, text
from service.words import best_reason, limits_reason
from service.words.coils import CONTRADICTIONS
from service.words.languages import marked

ALTERNATIVES = 20
"""How many alternatives are answered where nobody says how many."""
ALTERNATIVES_MAX = 50
"""How many can be asked for."""


class AlternativeShutter(wire.Answered, frozen=True, kw_only=True):
    """A combination of the catalogue, in the form of a request's `shutter`."""

    slat: Annotated[str, text("The slat's id.")]
    tube: Annotated[str, text("The tube's id.")]
    side_plate: Annotated[str, text("The side plate's id.")]
    mount: Annotated[MountId, text("The mount.")]


class Alternative(wire.Answered, frozen=True, kw_only=True):
    """One combination in the opening at its best place."""

    rank: Annotated[int, text("Its place, from 1.")]
    shutter: AlternativeShutter
    verdict: wire.Verdict
    worst_check: Annotated[wire.CheckId, text("The must that speaks most against it.")]
    worst_margin_mm: Annotated[float, mm("That margin as a length; negative: it fails.")]
    mass_kg: Annotated[float, said("kg", "Slats and bottom bar.")]
    hand_force_max_n: Annotated[float, said("N", "Greatest force over the lift, up or down.")]
    slat_count: Annotated[int, said("slats", "How many slats.")]
    coil_radius_mm: Annotated[float, mm("Outer radius with all slats wound.")]
    wheel_hole: wire.WheelHoleName
    bracket_hole: Annotated[str, text("The bracket hole's name.")]
    warnings: Annotated[list[wire.WarningCode], text("Codes of its warnings.")]
    failing: Annotated[list[wire.Check], text("The musts that fail and by how much; empty where it fits.")]


class AlternativesAnswer(wire.Answered, frozen=True, kw_only=True):
    """Combinations of the catalogue: the best of each slat and mount first, then all others.

    In both parts they are ranked by verdict, then by the worst margin, then by mass.
    """

    alternatives: Annotated[list[Alternative], text("As many as were asked for, the best first.")]
    combination_count: Annotated[int, said("1", "How many combinations there are in all.")]
    reason_best: Annotated[str, text("Why the first is the best, or by how much the nearest fails.")]


class LimitsWithoutCautions(wire.Answered, frozen=True, kw_only=True):
    """The same limits where nothing but the verdict `fits` will do."""

    height_max_mm: Annotated[float, mm("Greatest height; absent where nothing fits.")] | UnsetType = UNSET
    width_max_mm: Annotated[float, mm("Greatest width; absent where nothing fits.")] | UnsetType = UNSET
    width_min_mm: Annotated[float, mm("Least width; absent where nothing fits.")] | UnsetType = UNSET
    headroom_min_mm: Annotated[float, mm("Least headroom; absent where nothing fits.")] | UnsetType = UNSET
    depth_min_mm: Annotated[float, mm("Least depth; absent where nothing fits.")] | UnsetType = UNSET


class Limits(wire.Answered, frozen=True, kw_only=True):
    """How far each dimension may go for one slat and mount, in whole mm; the end of the contract's range is a limit too."""

    slat: Annotated[str, text("The slat's id.")]
    mount: Annotated[MountId, text("The mount.")]
    height_max_mm: Annotated[float, mm("Greatest height; absent where nothing fits.")] | UnsetType = UNSET
    width_max_mm: Annotated[float, mm("Greatest width; absent where nothing fits.")] | UnsetType = UNSET
    width_min_mm: Annotated[float, mm("Least width; absent where nothing fits.")] | UnsetType = UNSET
    headroom_min_mm: Annotated[float, mm("Least headroom; absent where nothing fits.")] | UnsetType = UNSET
    depth_min_mm: Annotated[float, mm("Least depth; absent where nothing fits.")] | UnsetType = UNSET
    reason: Annotated[str, text("What ends the limits.")]
    without_cautions: LimitsWithoutCautions


class LimitsAnswer(wire.Answered, frozen=True, kw_only=True):
    """The limits for every slat and mount of the catalogue, each verified by one mm more (or less) that does not fit."""

    limits: Annotated[list[Limits], text("Slats in the catalogue's order, in each the mounts.")]


class MeasuredCoil(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A rolled-up shutter: its slats counted, its outer radius measured where it is widest."""

    slat_count: Annotated[float, said("slats", "Its slats, a whole number.", ge=1, le=200, multiple_of=1)]
    radius_mm: Annotated[float, mm("From its axis to its widest point.", ge=20, le=500)]


class CalibrationRequest(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Measured coils of one slat on one tube."""

    slat: Annotated[Id, text("The slat's id.")]
    tube: Annotated[Id, text("The id of the tube that they are wound on.")]
    coils: Annotated[
        list[MeasuredCoil],
        text("The coils, in any order.", min_length=calibration.PAIRS_MIN, max_length=calibration.PAIRS_MAX),
    ]
    measuring_tolerance_mm: Annotated[float, mm("How well a radius was measured.", ge=0.1, le=20)] = calibration.TOLERANCE_MM


class Calibration(wire.Answered, frozen=True, kw_only=True):
    """The nesting factor that the coils give."""

    slat: Annotated[str, text("The slat's id.")]
    tube: Annotated[str, text("The tube's id.")]
    nesting: Annotated[float, said("1", "The nesting factor.")]
    nesting_in_catalogue: Annotated[float, said("1", "The factor that the catalogue states.")]
    standard_error: Annotated[float, said("1", "Its standard error.")]
    residuals_mm: Annotated[list[Annotated[float, mm("Measured less computed radius.")]], text("In the order of the coils.")]
    root_mean_square_mm: Annotated[float, mm("Root mean square of the residuals.")]
    radius_min_mm: Annotated[float, mm("The least measured radius: the factor holds from here.")]
    radius_max_mm: Annotated[float, mm("The greatest measured radius: the factor holds to here.")]
    toml: Annotated[str, text("A fragment for the catalogue file.")]


def rank_alternatives(
    request: FittingRequest, shelf: Shelf, language: str = "en", *, limit: int = ALTERNATIVES
) -> AlternativesAnswer:
    """The first combinations in the request's opening.

    The request's shutter is only one of them; its counted slats and measured radius do not count.

    Raises:
        Refusal: the request contradicts itself or the catalogue.
    """
    ranked = alternatives.rank(to_job(request, shelf), shelf.offer)
    return AlternativesAnswer(
        alternatives=[_alternative(number, one) for number, one in enumerate(ranked[:limit], 1)],
        combination_count=len(ranked),
        reason_best=best_reason(ranked, language=language),
    )


def _alternative(number: int, one: alternatives.Alternative) -> Alternative:
    made, found = one.combination, one.answer
    return Alternative(
        rank=number,
        shutter=AlternativeShutter(slat=made.slat.id, tube=made.tube.id, side_plate=made.side_plate.id, mount=made.mount.id),
        verdict=one.verdict,
        worst_check=one.worst.id,
        worst_margin_mm=figure(one.worst.margin_mm),
        mass_kg=figure(found.curtain.mass_kg),
        hand_force_max_n=figure(found.balance.hand_force_max_n),
        slat_count=found.curtain.slat_count,
        coil_radius_mm=figure(found.coil.radius_mm),
        wheel_hole=found.wheel.hole,
        bracket_hole=found.bracket.hole,
        warnings=[warning.code for warning in found.warnings],
        failing=[to_wire(wire.Check, check) for check in one.failing],
    )


def find_limits(request: FittingRequest, shelf: Shelf, language: str = "en") -> LimitsAnswer:
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
            job = replace(
                asked,
                slat=slat,
                mount=mount,
                tubes=(tubes[named],) if named in tubes else tuple(tubes.values()),
                slat_count=asked.slat_count if own else None,
                measured_coil_radius_mm=asked.measured_coil_radius_mm if own else None,
            )
            one = limits.limits(job)
            found.append(
                Limits(
                    slat=slat.id,
                    mount=mount.id,
                    **_range(one.built),
                    reason=limits_reason(one, language=language),
                    without_cautions=LimitsWithoutCautions(**_range(one.without_cautions)),
                )
            )
    return LimitsAnswer(limits=found)


def _range(found: limits.Range) -> dict[str, float]:
    """The limits that there are, by name."""
    named = {name: getattr(found, name) for name in LimitsWithoutCautions.__struct_fields__}
    return {name: value for name, value in named.items() if value is not None}


def calibrate(request: CalibrationRequest, shelf: Shelf) -> Calibration:
    """The nesting factor of measured coils.

    Raises:
        Refusal: the catalogue does not have the slat or the tube, or the coils contradict a spiral.
    """
    faults = faults_of_tube(request.slat, request.tube, shelf, parent="")
    if faults:
        told = marked("The catalogue does not have what the request names.")
        raise Refusal("invalid-request", told, faults=faults)
    slat, tube = shelf.slats[request.slat], shelf.tubes_of_slat[request.slat][request.tube]
    try:
        found = calibration.calibrate(
            pairs=[calibration.Pair(int(one.slat_count), one.radius_mm) for one in request.coils],
            profile=calibration.Profile(slat.id, slat.pitch_mm, slat.thickness_mm, tube.radius_mm),
            tolerance_mm=request.measuring_tolerance_mm,
        )
    except calibration.NoSpiralError as error:
        contradictions = [
            mistake(
                one.code,
                CONTRADICTIONS[one.code],
                pointer="/coils" if one.position is None else f"/coils/{one.position}",
                limit=UNSET if one.limit is None else one.limit,
                **dict[str, Any](one.figures),
            )
            for one in error.contradictions
        ]
        told = marked("The coils contradict a spiral of this slat on this tube.")
        raise Refusal("contradictory-measurements", told, faults=contradictions) from error
    return Calibration(
        slat=request.slat,
        tube=request.tube,
        nesting=figure(found.nesting),
        nesting_in_catalogue=slat.nesting,
        standard_error=figure(found.standard_error),
        residuals_mm=[figure(residual) for residual in found.residuals_mm],
        root_mean_square_mm=figure(found.root_mean_square_mm),
        radius_min_mm=figure(found.radius_min_mm),
        radius_max_mm=figure(found.radius_max_mm),
        toml=found.toml,
    )

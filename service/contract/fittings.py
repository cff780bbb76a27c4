"""From the core's answer to the wire: figures rounded, digests made."""

from collections.abc import Iterable
from typing import Any

import msgspec
from msgspec import UNSET

from service.audit.digest import sha256_hex
from service.audit.figures import figure, figures
from service.audit.recorder import Recorder, Step, plain
from service.calculation import answer as core
from service.calculation import geometry as core_geometry
from service.calculation import place, survey
from service.calculation.fitting import VERSION, fit
from service.calculation.job import Job
from service.contract import answers as wire
from service.contract.canonical import canonical, canonical_figures
from service.contract.jobs import to_job
from service.contract.requests import FittingRequest
from service.contract.shelf import Shelf


def fitting(request: FittingRequest, shelf: Shelf, *, include: frozenset[str] = frozenset()) -> wire.Fitting:
    """Calculate one request and put it into the contract's form.

    Args:
        request: the decoded request
        shelf: the catalogue in the core's form
        include: what else to answer: `trace`, `geometry`, `balance_curve`, `candidates`

    Raises:
        Refusal: the request contradicts itself or the catalogue.
        ValueError, OverflowError: a figure is not finite; nothing leaves the service then.
    """
    job = to_job(request, shelf)
    request = msgspec.structs.replace(request, options=sorted(job.options))
    recorder = Recorder() if "trace" in include else None
    calculated = fit(
        job,
        use=recorder or plain,
        with_geometry="geometry" in include,
        with_curve="balance_curve" in include,
    )
    answered = _figures(calculated, None if request.reference is UNSET else request.reference)
    result_sha256 = sha256_hex(canonical_figures(answered))
    if calculated.balance.curve is not None:
        answered.balance.curve = [wire.BalancePoint(*figures(point)) for point in calculated.balance.curve]
    if calculated.geometry is not None:
        answered.geometry = _geometry(calculated.geometry)
    if "candidates" in include:
        answered.candidates = _candidates(job)
    answered.audit = wire.Audit(
        calculation_version=VERSION,
        catalogue=shelf.catalogue_id,
        catalogue_sha256=shelf.catalogue_sha256,
        request_sha256=sha256_hex(canonical(request)),
        result_sha256=result_sha256,
        request=request,
        trace=UNSET if recorder is None else [_step(step) for step in recorder.steps],
    )
    return answered


def _figures(calculated: core.Answer, reference: str | None) -> wire.Fitting:
    """The answer's figures, each rounded once."""
    return wire.Fitting(
        reference=reference,
        verdict=calculated.verdict,
        coil=wire.Coil(*figures(calculated.coil)),
        bracket=wire.Bracket(*figures(calculated.bracket)),
        wheel=wire.Wheel(*figures(calculated.wheel)),
        side_plate=wire.SidePlate(*figures(calculated.side_plate)),
        curtain=wire.Curtain(*figures(calculated.curtain)),
        tracks=wire.Tracks(*figures(calculated.tracks)),
        seals=wire.Seals(*figures(calculated.seals)),
        drip_rail=None if calculated.drip_rail is None else wire.DripRail(*figures(calculated.drip_rail)),
        striker=wire.Striker(*figures(calculated.striker)),
        daylight=wire.Daylight(*figures(calculated.daylight)),
        balance=wire.Balance(*figures(calculated.balance[:-1])),
        strength=wire.Strength(*figures(calculated.strength)),
        wiring=None if calculated.wiring is None else wire.Wiring(*figures(calculated.wiring)),
        parts=[wire.Part(*figures(one)) for one in calculated.parts],
        work=[wire.WorkStep(*one) for one in calculated.work],
        checks=[wire.Check(*figures(one)) for one in calculated.checks],
        warnings=[wire.Warning(*figures(one)) for one in calculated.warnings],
    )


def _points(points: Iterable[core_geometry.Point]) -> Any:
    return [(figure(x), figure(z)) for x, z in points]


def _pose(pose: core_geometry.Pose) -> wire.Pose:
    return wire.Pose(_points(pose.hinges), figure(pose.coil_radius_mm), _points(pose.bar))


def _geometry(section: core_geometry.Geometry) -> wire.Geometry:
    return wire.Geometry(
        closed=_pose(section.closed),
        open=_pose(section.open),
        wheel=_points([section.wheel])[0],
        bracket=_points([section.bracket])[0],
        wheel_radius_mm=figure(section.wheel_radius_mm),
        tube_radius_mm=figure(section.tube_radius_mm),
        slat_thickness_mm=figure(section.slat_thickness_mm),
        header=_points(section.header),
        plate=_points(section.plate),
        track=_points(section.track),
        roof_z_mm=figure(section.roof_z_mm),
        rear_x_mm=figure(section.rear_x_mm),
        sill_z_mm=figure(section.sill_z_mm),
    )


def _candidates(job: Job) -> list[wire.Candidate]:
    """Every place that was tried, up to the first that passes."""
    tried = []
    for trial in place.trials(job._replace(opening=survey.sized(job.opening))):
        tube, plate, wheel_hole, bracket_hole = trial.candidate
        tried.append(
            wire.Candidate(
                tube=tube.id,
                side_plate=plate.id,
                wheel_hole=wheel_hole.name,
                bracket_hole=f"row {bracket_hole.row}, column {bracket_hole.column}",
                slat_count=trial.slat_count,
                coil_radius_mm=figure(trial.coil_radius_mm),
                worst_check=trial.worst_check,
                worst_margin_mm=figure(trial.worst_margin_mm),
            )
        )
        if trial.passes:
            break
    return tried


def _step(step: Step) -> wire.TraceStep:
    rule = step.rule
    inputs: dict[str, Any] = step.inputs
    value: Any = step.value
    return wire.TraceStep(rule.id, rule.symbol, rule.formula, inputs, value, rule.unit, rule.basis, rule.source)


def encode(content: Any) -> bytes:
    """The content as JSON, members in the contract's order."""
    return msgspec.json.encode(content)

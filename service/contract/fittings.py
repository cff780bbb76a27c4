"""From a request to its answer: calculated once, rounded once, digested, and put into the contract's form."""

from collections.abc import Iterable
from typing import Any, NamedTuple, TypeVar

import msgspec
from msgspec import UNSET

from service.audit.digest import sha256_hex
from service.audit.figures import figure
from service.audit.trace import Step, noted, noting_copy
from service.calculation import cures, place
from service.calculation.fitting import VERSION, Calculated, fit
from service.calculation.geometry import Geometry, Point, Pose
from service.calculation.job import Job
from service.contract import answers as wire
from service.contract.canonical import canonical, canonical_figures
from service.contract.jobs import AUTO, to_job
from service.contract.requests import FittingRequest
from service.contract.shelf import Shelf
from service.contract.version import CONTRACT_VERSION
from service.words import Words, cure_labels, words_of

T = TypeVar("T", bound=msgspec.Struct)
_SORTED = msgspec.json.Encoder(order="sorted")


class Result(NamedTuple):
    """A calculated request: what the wire sends and documents draw.

    `figures` is the answer as the wire has it, without audit and words; `request` the request as understood.
    """

    request: FittingRequest
    shelf: Shelf
    job: Job
    calculated: Calculated
    figures: dict[str, Any]
    request_sha256: str
    result_sha256: str


def calculate(request: FittingRequest, shelf: Shelf) -> Result:
    """Calculate one request.

    Raises:
        Refusal: the request contradicts itself or the catalogue.
        ValueError, OverflowError: a figure is not finite; nothing leaves the service then.
    """
    job = to_job(request, shelf)
    request = msgspec.structs.replace(request, options=sorted(job.options))
    calculated = fit(job)
    figures = _figures(calculated)
    if request.reference is not UNSET:
        figures["reference"] = request.reference
    return Result(
        request=request,
        shelf=shelf,
        job=job,
        calculated=calculated,
        figures=figures,
        request_sha256=sha256_hex(canonical(request)),
        result_sha256=sha256_hex(canonical_figures(figures)),
    )


def fitting(
    request: FittingRequest,
    shelf: Shelf,
    *,
    include: frozenset[str] = frozenset(),
    with_words: bool = True,
    language: str = "en",
) -> wire.Fitting:
    """The answer to one request.

    Args:
        request: the decoded request
        shelf: the catalogue in the core's form
        include: what else to answer: `trace`, `geometry`, `balance_curve`, `candidates`, `cures`
        with_words: whether to answer in words too
        language: the language of the words

    Raises:
        Refusal: the request contradicts itself or the catalogue.
        ValueError, OverflowError: a figure is not finite; nothing leaves the service then.
    """
    return answer(calculate(request, shelf), include=include, with_words=with_words, language=language)


def answer(
    result: Result, *, include: frozenset[str] = frozenset(), with_words: bool = True, language: str = "en"
) -> wire.Fitting:
    """The answer of a calculated request, with what else was asked for."""
    calculated, members, request = result.calculated, dict(result.figures), result.request
    if "balance_curve" in include:
        curve = [to_wire(wire.BalancePoint, point) for point in calculated.answer.balance.curve]
        members["balance"] = msgspec.structs.replace(members["balance"], curve=curve)
    if "geometry" in include:
        members["geometry"] = _geometry(calculated.section())
    if "candidates" in include:
        members["candidates"] = _candidates(calculated)
    found: list[cures.Cure] = []
    if "cures" in include:
        if calculated.answer.verdict == "does_not_fit":
            found = cures.cures(result.job, result.shelf.offer, tube_named=request.shutter.tube != AUTO)
        members["cures"] = [_cure(number, one) for number, one in enumerate(found, 1)]
    if with_words:
        spoken = words_of(calculated, language=language)
        labels = cure_labels(found, language=language) if "cures" in include else None
        members["words"] = _words(spoken, labels)
    return wire.Fitting(audit=audit_of(result, trace="trace" in include), **members)


def _figures(calculated: Calculated) -> dict[str, Any]:
    """The answer's figures, each rounded once, and its ids and codes."""
    answer = calculated.answer
    members: dict[str, Any] = {
        "verdict": answer.verdict,
        "opening": wire.SizedOpening(
            packing=[to_wire(wire.Packing, one) for one in answer.opening.packing],
            **_members(wire.SizedOpening, answer.opening, but="packing"),
        ),
        "coil": to_wire(wire.Coil, answer.coil),
        "bracket": to_wire(wire.Bracket, answer.bracket),
        "wheel": to_wire(wire.Wheel, answer.wheel),
        "side_plate": to_wire(wire.SidePlate, answer.side_plate),
        "curtain": to_wire(wire.Curtain, answer.curtain),
        "tracks": to_wire(wire.Tracks, answer.tracks),
        "seals": to_wire(wire.Seals, answer.seals),
        "striker": to_wire(wire.Striker, answer.striker),
        "daylight": to_wire(wire.Daylight, answer.daylight),
        "balance": wire.Balance(**_members(wire.Balance, answer.balance, but="curve")),
        "strength": to_wire(wire.Strength, answer.strength),
        "lifting": to_wire(wire.Lifting, answer.lifting),
        "parts": [to_wire(wire.Part, one) for one in answer.parts],
        "checks": [to_wire(wire.Check, one) for one in answer.checks],
        "warnings": [to_wire(wire.Warning, one) for one in answer.warnings],
    }
    if answer.drip_rail is not None:
        members["drip_rail"] = to_wire(wire.DripRail, answer.drip_rail)
    if answer.pull_strap is not None:
        members["pull_strap"] = to_wire(wire.PullStrap, answer.pull_strap)
    if answer.wiring is not None:
        members["wiring"] = to_wire(wire.Wiring, answer.wiring)
    return members


def _members(kind: type[msgspec.Struct], core: object, *, but: str = "") -> dict[str, Any]:
    """The members of a wire type from an object of the core: floats rounded, what has no value left out."""
    members: dict[str, Any] = {}
    for name in kind.__struct_fields__:
        if name == but:
            continue
        value = getattr(core, name)
        if value is not None:
            members[name] = figure(value) if isinstance(value, float) else value
    return members


def to_wire(kind: type[T], core: object) -> T:
    """An object of the core in the form of the wire."""
    return kind(**_members(kind, core))


def _points(points: Iterable[Point]) -> Any:
    return [(figure(x), figure(z)) for x, z in points]


def _pose(pose: Pose) -> wire.Pose:
    return wire.Pose(hinges=_points(pose.hinges), coil_radius_mm=figure(pose.coil_radius_mm), bar=_points(pose.bar))


def _geometry(section: Geometry) -> wire.Geometry:
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


def _candidates(calculated: Calculated) -> list[wire.Candidate]:
    """Every place that was tried, up to the first that passes."""
    tried = []
    for trial in place.trials(calculated.job):
        position, worst = trial.position, trial.worst
        tried.append(
            wire.Candidate(
                tube=position.tube.id,
                side_plate=position.side_plate.id,
                wheel_hole=position.wheel_hole.name,
                bracket_hole=trial.bracket_hole.name,
                slat_count=trial.slat_count,
                coil_radius_mm=figure(trial.radius_checked_mm),
                worst_check=worst.id,
                worst_margin_mm=figure(worst.margin_mm),
            )
        )
        if trial.passes:
            break
    return tried


def _cure(number: int, cure: cures.Cure) -> wire.Cure:
    return wire.Cure(
        id=f"c{number}",
        changes=[
            wire.Change(pointer=one.pointer, value=UNSET if one.value is None else _number_or_text(one.value))
            for one in cure.changes
        ],
        verdict=cure.verdict,
    )


def _number_or_text(value: float | str) -> float | str:
    return value if isinstance(value, str) else figure(value)


def audit_of(result: Result, *, trace: bool = False) -> wire.Audit:
    """What the figures rest on."""
    shelf = result.shelf
    return wire.Audit(
        calculation_version=VERSION,
        contract_version=CONTRACT_VERSION,
        catalogue=shelf.catalogue_id,
        catalogue_sha256=shelf.catalogue_sha256,
        request=result.request,
        request_sha256=result.request_sha256,
        result_sha256=result.result_sha256,
        trace=[_step(step) for step in trace_of(result.calculated, result.job)] if trace else UNSET,
    )


def trace_of(calculated: Calculated, job: Job) -> list[Step]:
    """Every rule that a calculated fitting rests on, in order, each applied once by the noting copy of the calculation."""
    trial = calculated.trial
    noting = noting_copy("service.calculation", "fitting")
    with noted() as steps:
        noting.fit_at(
            job,
            tube=trial.position.tube,
            side_plate=trial.position.side_plate,
            wheel_hole=trial.position.wheel_hole,
            bracket_hole=trial.bracket_hole,
            choice=calculated.choice,
        )
    return steps


def _step(step: Step) -> wire.TraceStep:
    rule, inputs, value = step.rule, step.inputs, step.value
    lists: Any = {name: list(given) for name, given in inputs.items() if isinstance(given, (list, tuple))}
    numbers: Any = {name: given for name, given in inputs.items() if name not in lists}
    result: Any = value
    return wire.TraceStep(
        rule=rule.id,
        symbol=rule.symbol,
        formula=rule.formula,
        inputs=numbers,
        input_lists=lists or UNSET,
        value=UNSET if isinstance(value, list) else result,
        values=result if isinstance(value, list) else UNSET,
        unit=rule.unit,
        basis=rule.basis,
        source=rule.source,
    )


def _words(spoken: Words, cures_told: Any) -> wire.Words:
    """The words in the contract's form."""
    return wire.Words(
        language=spoken.language,
        headline=spoken.headline,
        lines=list(spoken.lines),
        checks=[wire.IdLabel(id=one.id, label=one.label) for one in spoken.checks],
        parts=[wire.KeyLabel(key=one.id, label=one.label) for one in spoken.parts],
        warnings=[wire.Message(code=one.code, message=one.message, remedy=one.remedy) for one in spoken.warnings],
        cures=UNSET if cures_told is None else [wire.IdLabel(id=one.id, label=one.label) for one in cures_told],
        work=[
            wire.WorkStep(key=one.key, title=one.title, text=one.text, cautions=list(one.cautions)) for one in spoken.work
        ],
        cautions=[wire.Caution(code=one.code, text=one.text) for one in spoken.cautions],
    )


def encode(content: Any) -> bytes:
    """The content as JSON, members sorted."""
    return _SORTED.encode(content)

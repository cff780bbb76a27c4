"""From a request to its answer: calculated once, rounded once, digested, and put into the contract's form."""

from collections.abc import Iterable
from functools import cached_property
from typing import Any, TypeVar

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
from service.contract.jobs import AUTO, to_job
from service.contract.requests import FittingRequest
from service.contract.shelf import Shelf
from service.contract.version import CONTRACT_VERSION
from service.contract.writing import BALANCE_WITH_CURVE, FIGURES, NOTHING_READY, REQUEST, Form, quoted, words_json
from service.words import cure_labels, words_of

T = TypeVar("T", bound=msgspec.Struct)
_SORTED = msgspec.json.Encoder(order="sorted")


class Result:
    """A calculated request: what the wire sends and documents draw; written and digested where that is asked for.

    `request` is the request as understood.
    """

    def __init__(self, request: FittingRequest, shelf: Shelf, job: Job, calculated: Calculated) -> None:
        """Take what was calculated."""
        self.request = request
        self.shelf = shelf
        self.job = job
        self.calculated = calculated

    @cached_property
    def figures(self) -> bytes:
        """The answer's figures, ids and codes, and the caller's reference, in their RFC 8785 form."""
        return self.written(FIGURES)

    @cached_property
    def request_text(self) -> str:
        """The request in its RFC 8785 form."""
        return REQUEST.text(self.request)

    @cached_property
    def request_sha256(self) -> str:
        """The digest of the request as understood."""
        return sha256_hex(self.request_text.encode())

    @cached_property
    def result_sha256(self) -> str:
        """The digest of the figures."""
        return sha256_hex(self.figures)

    def written(self, form: Form, included: dict[str, str] = NOTHING_READY) -> bytes:
        """The answer in a form, with the caller's reference, and with members that are included and written already."""
        ready, reference = included, self.request.reference
        if reference is not UNSET:
            ready = {**included, "reference": quoted(reference)}
        return form.text(self.calculated.answer, ready).encode()


def calculate(request: FittingRequest, shelf: Shelf) -> Result:
    """Calculate one request.

    Raises:
        Refusal: the request contradicts itself or the catalogue.
    """
    job = to_job(request, shelf)
    if request.options:
        request = msgspec.structs.replace(request, options=sorted(job.options))
    return Result(request, shelf, job, fit(job))


def fitting(
    request: FittingRequest,
    shelf: Shelf,
    *,
    include: frozenset[str] = frozenset(),
    with_words: bool = True,
    language: str = "en",
) -> msgspec.Raw:
    """The answer to one request, written.

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
    return msgspec.Raw(answer(calculate(request, shelf), include=include, with_words=with_words, language=language))


def answer(result: Result, *, include: frozenset[str] = frozenset(), with_words: bool = True, language: str = "en") -> bytes:
    """The answer of a calculated request, written, with what else was asked for.

    Raises:
        ValueError, OverflowError: a figure is not finite; nothing leaves the service then.
    """
    found: list[cures.Cure] = []
    figures = result.figures
    if not include <= {"trace"}:
        found = _cures(result) if "cures" in include else []
        figures = result.written(FIGURES, _included(result, include, found))
    parts = [b'{"audit":', _audit(result, trace="trace" in include).encode(), b",", figures[1:-1]]
    if with_words:
        labels = cure_labels(found, language=language) if "cures" in include else None
        parts += [b',"words":', words_json(words_of(result.calculated, language=language), labels)]
    return b"".join([*parts, b"}"])


def _cures(result: Result) -> list[cures.Cure]:
    """What would make the shutter fit where it does not."""
    if result.calculated.answer.verdict != "does_not_fit":
        return []
    return cures.cures(result.job, result.shelf.offer, tube_named=result.request.shutter.tube != AUTO)


def _included(result: Result, include: frozenset[str], found: list[cures.Cure]) -> dict[str, str]:
    """The members that only `include` adds, or adds to, written."""
    calculated, members = result.calculated, dict[str, Any]()
    if "balance_curve" in include:
        members["balance"] = msgspec.Raw(BALANCE_WITH_CURVE.text(calculated.answer.balance))
    if "geometry" in include:
        members["geometry"] = _geometry(calculated.section())
    if "candidates" in include:
        members["candidates"] = _candidates(calculated)
    if "cures" in include:
        members["cures"] = [_cure(number, one) for number, one in enumerate(found, 1)]
    return {name: str(encode(member), "utf-8") for name, member in members.items()}


def to_wire(kind: type[T], core: object) -> T:
    """An object of the core in the form of the wire: floats rounded, what has no value left out."""
    members: dict[str, Any] = {}
    for name in kind.__struct_fields__:
        value = getattr(core, name)
        if value is not None:
            members[name] = figure(value) if isinstance(value, float) else value
    return kind(**members)


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


def _audit(result: Result, *, trace: bool) -> str:
    """What the figures rest on, written; digests and versions have no sign that JSON escapes."""
    shelf, steps = result.shelf, ""
    if trace:
        steps = f',"trace":{str(encode([_step(step) for step in trace_of(result.calculated, result.job)]), "utf-8")}'
    return (
        f'{{"calculation_version":"{VERSION}","catalogue":{quoted(shelf.catalogue_id)},'
        f'"catalogue_sha256":"{shelf.catalogue_sha256}","contract_version":"{CONTRACT_VERSION}",'
        f'"request":{result.request_text},"request_sha256":"{result.request_sha256}",'
        f'"result_sha256":"{result.result_sha256}"{steps}}}'
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


def encode(content: Any) -> bytes:
    """The content as JSON, members sorted."""
    return _SORTED.encode(content)

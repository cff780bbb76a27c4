"""Many openings: each answered on its own, in order, good or bad, in full or in short."""

import re
from contextlib import suppress
from typing import Annotated, Any, NamedTuple

import msgspec
from msgspec import UNSET, UnsetType

from service.audit.digest import sha256_hex
from service.calculation.answer import Answer
from service.calculation.fitting import VERSION
from service.contract import answers as wire
from service.contract.decoding import BodyDecoder
from service.contract.fittings import Result, answer, calculate, encode
from service.contract.problems import KINDS, Problem, Refusal, problem
from service.contract.requests import FittingRequest
from service.contract.shelf import Shelf
from service.contract.syntax import in_stream
from service.contract.units import Sha256, mm, said, text
from service.contract.version import CONTRACT_VERSION
from service.contract.writing import Form
from service.words.languages import marked


class ShortCoil(wire.Answered, frozen=True, kw_only=True):
    """The coil's radius."""

    radius_mm: Annotated[float, mm("Outer radius with all slats wound.")]


class ShortSidePlate(wire.Answered, frozen=True, kw_only=True):
    """Which side plate."""

    id: Annotated[str, text("The plate's id in the catalogue.")]


class ShortCurtain(wire.Answered, frozen=True, kw_only=True):
    """The curtain's main figures."""

    slat: Annotated[str, text("The slat's id.")]
    tube: Annotated[str, text("The tube's id.")]
    slat_count: Annotated[int, said("slats", "How many slats, without the bottom bar.")]
    slat_length_mm: Annotated[float, mm("Length to which slats and bottom bar are cut at 20 °C.")]
    tube_length_mm: Annotated[float, mm("Length of the tube between its brackets.")]
    mass_kg: Annotated[float, said("kg", "Slats and bottom bar.")]


class ShortTracks(wire.Answered, frozen=True, kw_only=True):
    """The tracks' length."""

    length_mm: Annotated[float, mm("Length to which they are cut.")]


class ShortSeals(wire.Answered, frozen=True, kw_only=True):
    """The top seal's cut."""

    top_profile: Annotated[str, text("The top seal's profile in the catalogue.")]
    top_cut_length_mm: Annotated[float, mm("Its long edge.")]


class ShortBalance(wire.Answered, frozen=True, kw_only=True):
    """The springs."""

    spring_count: Annotated[int, said("springs", "One spring, or two alike in parallel.")]
    wire_mm: Annotated[float, mm("Diameter of a spring's wire.")]
    coils: Annotated[int, said("coils", "Coils of each spring.")]
    pretension_turns: Annotated[float, said("turns", "Turns in the spring with the shutter open.")]


class ShortWarning(wire.Answered, frozen=True, kw_only=True):
    """A warning's code and severity."""

    code: Annotated[wire.WarningCode, text("Which warning, a stable code.")]
    severity: wire.Severity


class ShortAudit(wire.Answered, frozen=True, kw_only=True):
    """What the figures rest on."""

    calculation_version: Annotated[str, text("Version of the calculation.")]
    contract_version: Annotated[str, text("Version of this contract.")]
    catalogue: Annotated[str, text("The catalogue's id.")]
    catalogue_sha256: Sha256
    request_sha256: Annotated[Sha256, text("As in the whole answer.")]
    result_sha256: Annotated[Sha256, text("SHA-256 of the RFC 8785 form of this answer without `audit`.")]


class ShortFitting(wire.Answered, frozen=True, kw_only=True):
    """The main figures and warnings of a fitting, in the nesting of the whole one."""

    audit: ShortAudit
    reference: Annotated[str, text("The request's own; absent where it has none.")] | UnsetType = UNSET
    verdict: wire.Verdict
    coil: ShortCoil
    bracket: wire.Bracket
    wheel: wire.Wheel
    side_plate: ShortSidePlate
    curtain: ShortCurtain
    seals: ShortSeals
    tracks: ShortTracks
    drip_rail: wire.DripRail | UnsetType = UNSET
    striker: wire.Striker
    balance: ShortBalance
    warnings: Annotated[list[ShortWarning], text("Codes and severities.")]


class BatchItem(wire.Answered, frozen=True, kw_only=True):
    """The answer to one item: with status 200 a fitting, whole or short as asked for, else a problem."""

    index: Annotated[int, text("Which item, from 0.")]
    reference: Annotated[str, text("The item's own; absent where it has none.")] | UnsetType = UNSET
    status: Annotated[int, text("200, or the problem's status.")]
    fitting: Annotated[wire.Fitting, text("With `fields=full` or `figures`.")] | UnsetType = UNSET
    short: Annotated[ShortFitting, text("With `fields=short`.")] | UnsetType = UNSET
    problem: Annotated[Problem, text("Where the item could not be answered.")] | UnsetType = UNSET


class BatchSummary(msgspec.Struct):
    """How many items there were, and what became of them."""

    items: Annotated[int, text("How many items.")]
    fits: Annotated[int, text("How many of the verdict `fits`.")]
    fits_with_cautions: Annotated[int, text("How many of the verdict `fits_with_cautions`.")]
    does_not_fit: Annotated[int, text("How many of the verdict `does_not_fit`.")]
    problems: Annotated[int, text("How many could not be answered.")]


class BatchRequest(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Many openings. An item that is no request for a fitting is answered with a problem."""

    items: Annotated[
        list[Any],
        text("The requests.", extra_json_schema={"items": {"$ref": "#/components/schemas/FittingRequest"}}),
    ]


class BatchAnswer(msgspec.Struct, frozen=True):
    """The answers in the order of the items, and a summary."""

    items: Annotated[list[BatchItem], text("One for each item.")]
    summary: Annotated[BatchSummary, text("What became of them.")]


class StreamLine(wire.Answered, frozen=True, kw_only=True):
    """A line of a streamed answer: an item's, or the last one, which has a summary or a problem without an index."""

    index: Annotated[int, text("Which item, from 0; absent in the last line.")] | UnsetType = UNSET
    reference: Annotated[str, text("The item's own; absent where it has none.")] | UnsetType = UNSET
    status: Annotated[int, text("200, or the problem's status; absent in the last line.")] | UnsetType = UNSET
    fitting: Annotated[wire.Fitting, text("With `fields=full` or `figures`.")] | UnsetType = UNSET
    short: Annotated[ShortFitting, text("With `fields=short`.")] | UnsetType = UNSET
    problem: Annotated[Problem, text("Of the item, or, without an index, why the rest could not be read.")] | UnsetType = (
        UNSET
    )
    summary: Annotated[BatchSummary, text("In the last line where everything could be read.")] | UnsetType = UNSET


class Answered(NamedTuple):
    """An answered item, and the answer that was calculated for it, if any."""

    item: BatchItem
    found: Answer | None


def opened(item: BatchItem) -> BatchItem:
    """An item whose fitting is no longer written but an object: for forms that are not JSON."""
    return msgspec.json.decode(encode(item), type=BatchItem)


class _Named(msgspec.Struct):
    reference: str | None = None


class Batch:
    """Answers the items of one batch, one after the other."""

    def __init__(self, shelf: Shelf, *, fields: str, request_id: str, language: str = "en") -> None:
        """Start a batch; `fields` says how much is answered, `request_id` goes into the items' problems."""
        self._shelf = shelf
        self._fields = fields
        self._language = language
        self.request_id = request_id
        self._decoder = BodyDecoder(FittingRequest)
        self.summary = BatchSummary(items=0, fits=0, fits_with_cautions=0, does_not_fit=0, problems=0)

    def answer(self, body: bytes | msgspec.Raw, *, line: int = 1) -> Answered:
        """The answer to the next item, which stands in a line of a stream. Nothing that is wrong with it is raised."""
        index = self.summary.items
        self.summary.items += 1
        body = bytes(body)
        try:
            result = calculate(self._decoder.decode(body), self._shelf)
        except Refusal as refused:
            return Answered(self.refuse_item(index, _reference(body), in_stream(refused, line)), None)
        found = result.calculated.answer
        content: Any = {}  # written already: the contract's types say what is in it
        if self._fields == "short":
            content["short"] = short(result)
        else:
            whole = answer(result, with_words=self._fields == "full", language=self._language)
            content["fitting"] = msgspec.Raw(whole)
        item = BatchItem(index=index, reference=result.request.reference, status=200, **content)
        setattr(self.summary, found.verdict, getattr(self.summary, found.verdict) + 1)
        return Answered(item, found)

    def refuse(self, refused: Refusal, *, reference: str | None = None) -> Answered:
        """The answer to a next item that could not even be decoded."""
        index = self.summary.items
        self.summary.items += 1
        return Answered(self.refuse_item(index, reference, refused), None)

    def refuse_item(self, index: int, reference: str | None, refused: Refusal) -> BatchItem:
        """The answer to an item that is refused."""
        self.summary.problems += 1
        return BatchItem(
            index=index,
            reference=UNSET if reference is None else reference,
            status=KINDS[refused.kind].status,
            problem=self._problem(refused),
        )

    def refuse_rest(self, refused: Refusal) -> StreamLine:
        """The last line where the rest of the stream cannot be read."""
        return StreamLine(problem=self._problem(refused))

    def _problem(self, refused: Refusal) -> Problem:
        return problem(refused, instance=self.request_id, language=self._language)


def _reference(body: bytes) -> str | None:
    """The reference of an item that was refused, where it can still be read."""
    try:
        return msgspec.json.decode(body, type=_Named).reference
    except (msgspec.MsgspecError, UnicodeDecodeError, RecursionError):
        return None


SHORT = Form(ShortFitting, without=frozenset({"audit", "reference"}))


def short(result: Result) -> msgspec.Raw:
    """The main figures of a calculated request, written."""
    figures = result.written(SHORT)
    shelf = result.shelf
    audit = ShortAudit(
        calculation_version=VERSION,
        contract_version=CONTRACT_VERSION,
        catalogue=shelf.catalogue_id,
        catalogue_sha256=shelf.catalogue_sha256,
        request_sha256=result.request_sha256,
        result_sha256=sha256_hex(figures),
    )
    return msgspec.Raw(b'{"audit":' + encode(audit) + b"," + figures[1:])


class _Shape(msgspec.Struct, forbid_unknown_fields=True):
    """A batch whose items may be anything: not decoded, so that a bad one harms no other."""

    items: list[msgspec.Raw]


class _Whole(msgspec.Struct, forbid_unknown_fields=True):
    """The same, its items uncut."""

    items: msgspec.Raw


SHAPE = BodyDecoder(_Shape, with_anything=True)
WHOLE = msgspec.json.Decoder(_Whole)
ITEMS = msgspec.json.Decoder(list[msgspec.Raw])
BEFORE = re.compile(rb'[ \t\n\r]*\{[ \t\n\r]*"items"[ \t\n\r]*:[ \t\n\r]*')
BEHIND = re.compile(rb"[ \t\n\r]*\}[ \t\n\r]*\Z")
JSON_ITEMS_MAX = 20_000
"""Items that are cut at once: each takes memory until the last is answered."""
JSON_COMMAS_MAX = 150_000
"""Commas of a JSON batch, looked for before it is cut; twice as many as 1 MiB of fittings has, far fewer than of digits."""


def cut(body: bytes) -> list[msgspec.Raw]:
    """The items of a JSON batch, cut and not decoded.

    Raises:
        Refusal: the body is no JSON, or is no batch.
    """
    if body.count(b",") > JSON_COMMAS_MAX:
        told = marked("A JSON batch may have {items} items and {commas} commas at most; NDJSON may have more.")
        raise Refusal("body-too-large", told, items=JSON_ITEMS_MAX, commas=JSON_COMMAS_MAX)
    before = BEFORE.match(body)
    if before is not None:
        with suppress(msgspec.MsgspecError, UnicodeDecodeError, RecursionError):
            whole = WHOLE.decode(body).items
            # the decoder takes the last of two members of a name: there was one only if nothing else stands around it
            if BEHIND.match(body, before.end() + len(memoryview(whole))):
                return ITEMS.decode(whole)
    return SHAPE.decode(body).items  # the strict decoder finds the words for what is wrong

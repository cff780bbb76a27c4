"""Many openings: each answered on its own, in order, good or bad, in full or in short."""

import re
from contextlib import suppress
from typing import Annotated, Any

import msgspec
from msgspec import UNSET, Meta, UnsetType

from service.contract import answers as wire
from service.contract.decoding import BodyDecoder
from service.contract.fittings import fitting
from service.contract.problems import KINDS, Problem, Refusal, problem
from service.contract.requests import FittingRequest
from service.contract.shelf import Shelf
from service.contract.units import Kg, Mm


class ShortCoil(msgspec.Struct, frozen=True):
    """The coil's radius with all slats wound."""

    radius_mm: Mm


class ShortSidePlate(msgspec.Struct, frozen=True):
    """Which side plate."""

    id: str


class ShortCurtain(msgspec.Struct, frozen=True):
    """The curtain's main figures."""

    slat_count: int
    slat_length_mm: Mm
    mass_kg: Kg


class ShortTracks(msgspec.Struct, frozen=True):
    """The tracks' length."""

    length_mm: Mm


class ShortSeals(msgspec.Struct, frozen=True):
    """The top seal's cut."""

    top_cut_length_mm: Mm


class ShortWarning(msgspec.Struct, frozen=True):
    """A warning's code and severity."""

    code: str
    severity: wire.Severity


class ShortFitting(msgspec.Struct, frozen=True):
    """The main figures and warnings of a fitting, in the nesting of the whole one."""

    verdict: wire.Verdict
    coil: ShortCoil
    bracket: wire.Bracket
    wheel: wire.Wheel
    side_plate: ShortSidePlate
    curtain: ShortCurtain
    seals: ShortSeals
    tracks: ShortTracks
    warnings: list[ShortWarning]
    audit: wire.Audit


FULL_OR_SHORT = [{"$ref": f"#/components/schemas/{kind.__name__}"} for kind in (wire.Fitting, ShortFitting)]
"""Said by hand: msgspec does not describe a union of two untagged types."""


class BatchItem(msgspec.Struct, frozen=True):
    """The answer to one item: a fitting with status 200, or a problem with the problem's status."""

    index: int
    reference: str | None
    status: int
    fitting: Annotated[Any, Meta(extra_json_schema={"anyOf": FULL_OR_SHORT})] = UNSET
    problem: Problem | UnsetType = UNSET


class BatchSummary(msgspec.Struct):
    """How many items there were, and what became of them."""

    items: int = 0
    fits: int = 0
    fits_with_cautions: int = 0
    does_not_fit: int = 0
    problems: int = 0


class BatchRequest(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Many openings. Each item should be a request for one fitting; one that is not is answered with a problem."""

    items: Annotated[
        list[Any], Meta(extra_json_schema={"items": {"anyOf": [{"$ref": "#/components/schemas/FittingRequest"}, {}]}})
    ]


class BatchAnswer(msgspec.Struct, frozen=True):
    """The answers in the order of the items, and a summary."""

    items: list[BatchItem]
    summary: BatchSummary


class SummaryLine(msgspec.Struct, frozen=True):
    """The last line of a streamed answer: without it, and without a problem line, the stream was cut."""

    summary: BatchSummary


class ProblemLine(msgspec.Struct, frozen=True):
    """The last line of a streamed answer whose stream could not be read to its end: why. No summary follows."""

    problem: Problem


class _Named(msgspec.Struct):
    reference: str | None = None


class Batch:
    """Answers the items of one batch, one after the other."""

    def __init__(self, shelf: Shelf, *, short: bool, request_id: str) -> None:
        """Start a batch; `request_id` goes into the items' problems."""
        self._shelf = shelf
        self._short = short
        self.request_id = request_id
        self._decoder = BodyDecoder(FittingRequest)
        self.summary = BatchSummary()

    def answer(self, body: bytes | msgspec.Raw) -> BatchItem:
        """The answer to the next item. Nothing that is wrong with it is raised."""
        index = self.summary.items
        self.summary.items += 1
        try:
            request = self._decoder.decode(bytes(body))
            whole = fitting(request, self._shelf)
        except Refusal as refused:
            return self.refuse_item(index, _reference(bytes(body)), refused)
        setattr(self.summary, whole.verdict, getattr(self.summary, whole.verdict) + 1)
        return BatchItem(index, whole.reference, 200, fitting=_short(whole) if self._short else whole)

    def refuse(self, refused: Refusal, *, reference: str | None = None) -> BatchItem:
        """The answer to a next item that could not even be decoded."""
        index = self.summary.items
        self.summary.items += 1
        return self.refuse_item(index, reference, refused)

    def refuse_item(self, index: int, reference: str | None, refused: Refusal) -> BatchItem:
        """The answer to an item that is refused."""
        self.summary.problems += 1
        return BatchItem(index, reference, KINDS[refused.kind].status, problem=self._problem(refused))

    def refuse_rest(self, refused: Refusal) -> ProblemLine:
        """The last line where the rest of the stream cannot be read."""
        return ProblemLine(self._problem(refused))

    def _problem(self, refused: Refusal) -> Problem:
        return problem(refused.kind, detail=refused.detail, instance=self.request_id, faults=refused.faults)


def _reference(body: bytes) -> str | None:
    """The reference of an item that was refused, where it can still be read."""
    try:
        return msgspec.json.decode(body, type=_Named).reference
    except (msgspec.MsgspecError, UnicodeDecodeError, RecursionError):
        return None


def _short(whole: wire.Fitting) -> ShortFitting:
    audit: Any = whole.audit
    return ShortFitting(
        verdict=whole.verdict,
        coil=ShortCoil(whole.coil.radius_mm),
        bracket=whole.bracket,
        wheel=whole.wheel,
        side_plate=ShortSidePlate(whole.side_plate.id),
        curtain=ShortCurtain(whole.curtain.slat_count, whole.curtain.slat_length_mm, whole.curtain.mass_kg),
        seals=ShortSeals(whole.seals.top_cut_length_mm),
        tracks=ShortTracks(whole.tracks.length_mm),
        warnings=[ShortWarning(one.code, one.severity) for one in whole.warnings],
        audit=audit,
    )


class _Shape(msgspec.Struct, forbid_unknown_fields=True):
    """A batch whose items may be anything: not decoded, so that a bad one harms no other."""

    items: list[msgspec.Raw]


class _Whole(msgspec.Struct, forbid_unknown_fields=True):
    """The same, its items uncut."""

    items: msgspec.Raw


SHAPE = BodyDecoder(_Shape)
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
        told = f"A JSON batch may have {JSON_ITEMS_MAX} items and {JSON_COMMAS_MAX} commas at most; NDJSON may have more."
        raise Refusal("body-too-large", told)
    before = BEFORE.match(body)
    if before is not None:
        with suppress(msgspec.MsgspecError, UnicodeDecodeError, RecursionError):
            whole = WHOLE.decode(body).items
            # the decoder takes the last of two members of a name: there was one only if nothing else stands around it
            if BEHIND.match(body, before.end() + len(memoryview(whole))):
                return ITEMS.decode(whole)
    return SHAPE.decode(body).items  # the strict decoder finds the words for what is wrong

"""Batches over HTTP: JSON, NDJSON and CSV in, the same form out, answered piece by piece.

The event loop gets its turn after every few milliseconds of work, so that a small request never waits long for a large
batch. An NDJSON body is answered while it arrives: memory stays flat however long it is.
"""

import asyncio
import csv
import re
from collections.abc import AsyncIterator, Iterator
from time import perf_counter
from typing import NamedTuple, Self

import msgspec

from service.contract import spreadsheet
from service.contract.batch import Batch, BatchItem, SummaryLine
from service.contract.decoding import BodyDecoder
from service.contract.fittings import encode
from service.contract.operations import CSV, JSON, NDJSON
from service.contract.problems import Refusal
from service.web.body import Body, GoneError
from service.web.call import Exchange
from service.web.metrics import Metrics
from service.web.stock import Stock
from service.web.witness import ENDS, log

PROBLEM = "problem"
SLICE_S = 0.002
"""Work after which others get their turn [s]."""

ONE_MEMBER = re.compile(rb'\s*\{\s*"items"\s*:\s*(?P<items>\[.*\])\s*\}\s*\Z', re.DOTALL)
ITEMS = msgspec.json.Decoder(list[msgspec.Raw])


class _Shape(msgspec.Struct, forbid_unknown_fields=True):
    """A batch whose items may be anything."""

    items: list[msgspec.Raw]


SHAPE = BodyDecoder(_Shape)


class BatchLimits(NamedTuple):
    """How much one batch may hold."""

    items_max: int
    line_bytes_max: int


class Batches:
    """Answers batches."""

    def __init__(self, stock: Stock, metrics: Metrics, limits: BatchLimits) -> None:
        """Prepare; each batch is answered with the catalogue of its beginning."""
        self._stock = stock
        self._metrics = metrics
        self._limits = limits

    async def __call__(self, exchange: Exchange) -> None:
        """Answer one batch in the form in which it came.

        Raises:
            Refusal: the body as a whole cannot be read; nothing has been answered then.
            GoneError: the caller has hung up.
        """
        short = exchange.query.get("fields") == ("short",)
        batch = Batch(self._stock().shelf, short=short, request_id=exchange.request_id)
        answering = {JSON: self._json, NDJSON: self._ndjson, CSV: self._csv}[exchange.media_type]
        try:
            await answering(exchange, batch)
        finally:
            exchange.logged.update(msgspec.structs.asdict(batch.summary))

    async def _json(self, exchange: Exchange, batch: Batch) -> None:
        raw = _items(await exchange.body.whole())
        self._check_count(len(raw))
        lines = (encode(self._answer(batch, one)) for one in raw)
        async with _Answer(exchange, JSON) as answer:
            await answer.write(b'{"items":[')
            await answer.write_all(lines, separator=b",")
            await answer.write(b'],"summary":' + encode(batch.summary) + b"}")

    async def _csv(self, exchange: Exchange, batch: Batch) -> None:
        body = await exchange.body.whole()
        self._check_count(max(0, body.count(b"\n") - 1))
        try:
            delimiter, rows = spreadsheet.rows(body)
        except csv.Error as error:
            raise Refusal("malformed-body", f"The header of the body is not CSV: {error}.") from error
        lines = (spreadsheet.answer_line(self._answer_row(batch, row), delimiter) for row in rows)
        async with _Answer(exchange, CSV) as answer:
            await answer.write(spreadsheet.header_line(delimiter))
            await answer.write_all(lines)

    async def _ndjson(self, exchange: Exchange, batch: Batch) -> None:
        async with _Answer(exchange, NDJSON) as answer:
            try:
                async for lines in _lines(exchange.body, self._limits.line_bytes_max):
                    for line in lines:
                        if batch.summary.items >= self._limits.items_max:
                            raise self._too_many()
                        await answer.write(encode(self._answer(batch, line)) + b"\n")
                    await answer.flush()
            except Refusal as refused:
                await answer.write(encode(batch.refuse(refused)) + b"\n")
            await answer.write(encode(SummaryLine(batch.summary)) + b"\n")

    def _answer(self, batch: Batch, body: bytes | msgspec.Raw | Refusal) -> BatchItem:
        """The answer to an item; a fault of ours harms this item only, and is logged."""
        index, started = batch.summary.items, perf_counter()
        try:
            item = batch.refuse(body) if isinstance(body, Refusal) else batch.answer(body)
        except BaseException as fault:  # whatever it was, the other items are answered
            if isinstance(fault, ENDS):
                raise
            log.exception("unhandled", item=index)
            item = batch.refuse_item(index, None, Refusal("internal-error", "The service failed at this item."))
        self._count(item, perf_counter() - started)
        return item

    def _count(self, item: BatchItem, seconds: float) -> None:
        """Count an answered item."""
        found = item.fitting
        self._metrics.item(found.verdict if found else PROBLEM)
        if found:
            self._metrics.calculated(found.verdict, [one.code for one in found.warnings], seconds)

    def _answer_row(self, batch: Batch, row: dict[str, str] | Refusal) -> BatchItem:
        try:
            return self._answer(batch, row if isinstance(row, Refusal) else spreadsheet.request_of(row))
        except Refusal as refused:
            self._metrics.item(PROBLEM)
            return batch.refuse(refused, reference=row.get("reference") if isinstance(row, dict) else None)

    def _check_count(self, count: int) -> None:
        if count > self._limits.items_max:
            raise self._too_many()

    def _too_many(self) -> Refusal:
        return Refusal("body-too-large", f"A batch may have {self._limits.items_max} items at most.")


class _Answer:
    """An answer that is sent piece by piece, and gives others their turn."""

    def __init__(self, exchange: Exchange, media_type: str) -> None:
        self._exchange = exchange
        self._media_type = media_type
        self._pending: list[bytes] = []
        self._since = perf_counter()
        self._gone: asyncio.Task[object] | None = None

    async def __aenter__(self) -> Self:
        if self._media_type != NDJSON:  # an NDJSON body is still arriving and tells by itself
            self._gone = asyncio.ensure_future(self._exchange.receive())
        headers = [
            (b"content-type", self._media_type.encode()),
            (b"cache-control", b"no-store"),
            (b"x-accel-buffering", b"no"),
        ]
        await self._exchange.send({"type": "http.response.start", "status": 200, "headers": headers})
        return self

    async def __aexit__(self, kind: object, error: object, trace: object) -> None:
        if self._gone is not None:
            self._gone.cancel()
        if kind is None:
            await self._send(more=False)

    async def write(self, piece: bytes) -> None:
        """Take a piece; send what is pending when this turn is over."""
        self._pending.append(piece)
        if perf_counter() - self._since > SLICE_S:
            await self.flush()

    async def write_all(self, pieces: Iterator[bytes], separator: bytes = b"") -> None:
        """Take pieces one after the other, with a separator between them."""
        for number, piece in enumerate(pieces):
            await self.write(separator + piece if number else piece)

    async def flush(self) -> None:
        """Send what is pending and give others their turn."""
        await self._send(more=True)
        await asyncio.sleep(0)
        if self._gone is not None and self._gone.done():
            raise GoneError
        self._since = perf_counter()

    async def _send(self, *, more: bool) -> None:
        piece, self._pending = b"".join(self._pending), []
        if piece or not more:
            await self._exchange.send({"type": "http.response.body", "body": piece, "more_body": more})


def _items(body: bytes) -> list[msgspec.Raw]:
    """The items of a JSON batch, not yet decoded, so that a bad one harms no other.

    Raises:
        Refusal: the body is no JSON, or is no batch.
    """
    found = ONE_MEMBER.match(body)
    if found:
        try:
            return ITEMS.decode(found["items"])
        except (msgspec.MsgspecError, UnicodeDecodeError, RecursionError):
            pass  # the strict decoder finds the words for it
    return SHAPE.decode(body).items


async def _lines(body: Body, line_bytes_max: int) -> AsyncIterator[list[bytes | Refusal]]:
    """The lines of an NDJSON body as they arrive; empty ones are left out, one that is too long is a refusal.

    Raises:
        Refusal: the body as a whole is too large or too slow.
        GoneError: the caller has hung up.
    """
    too_long = Refusal("body-too-large", f"A line may have {line_bytes_max} bytes at most.")
    rest, skipping = b"", False
    async for piece in body.pieces():
        *ended, rest = (rest + piece).split(b"\n")
        if skipping and ended:
            ended, skipping = ended[1:], False
        lines: list[bytes | Refusal] = [too_long if len(line) > line_bytes_max else line for line in ended if line.strip()]
        if len(rest) > line_bytes_max:
            if not skipping:
                lines.append(too_long)
            rest, skipping = b"", True
        if lines:
            yield lines
    if rest.strip() and not skipping:
        yield [rest]

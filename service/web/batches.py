"""Batches over HTTP: JSON, NDJSON and CSV in, the same form out, answered piece by piece.

The event loop gets its turn after every few milliseconds of work, so that a small request never waits long for a large
batch. An NDJSON body is answered while it arrives: memory stays flat however long it is.
"""

import asyncio
from collections.abc import AsyncIterator, Callable, Iterator
from functools import partial
from itertools import islice
from time import perf_counter
from typing import NamedTuple, Self

import msgspec

from service.contract import spreadsheet
from service.contract.batch import Batch, BatchItem, SummaryLine
from service.contract.decoding import SEARCHED_BYTES, BodyDecoder
from service.contract.fittings import encode
from service.contract.json_items import cut
from service.contract.operations import CSV, JSON, NDJSON
from service.contract.problems import Refusal
from service.contract.spreadsheet import Table
from service.web.beside import beside
from service.web.body import Body
from service.web.call import Exchange
from service.web.metrics import Metrics
from service.web.stock import Stock
from service.web.witness import ENDS, log

PROBLEM = "problem"
SLICE_S = 0.002
"""Work after which others get their turn [s]."""


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
        body = await exchange.body.whole()
        items = await beside(partial(_items, body, self._limits), exchange.body)
        self._check_count(len(items))
        lines = (encode(self._answer(batch, self._bounded(item))) for item in items)
        async with _Answer(exchange, JSON) as answer:
            await answer.write(b'{"items":[')
            await answer.write_all(lines, separator=b",")
            await answer.write(b'],"summary":' + encode(batch.summary) + b"}")

    async def _csv(self, exchange: Exchange, batch: Batch) -> None:
        body = await exchange.body.whole()
        self._check_count(await beside(partial(spreadsheet.count, body, self._limits.items_max + 1), exchange.body))
        table = spreadsheet.table(body)
        lines = (self._answer_row(batch, table, row) if row else b"" for row in table.rows)
        async with _Answer(exchange, CSV) as answer:
            await answer.write(spreadsheet.header_line(table.delimiter))
            await answer.write_all(lines)

    async def _ndjson(self, exchange: Exchange, batch: Batch) -> None:
        blank = 0  # blank lines are no items, but no more than items may come
        async with _Answer(exchange, NDJSON) as answer:
            try:
                async for lines in _lines(exchange.body, self._bounded):
                    for line in lines:
                        if batch.summary.items + blank >= self._limits.items_max:
                            raise self._too_many()
                        if line:
                            await answer.write(encode(self._answer(batch, line)) + b"\n")
                        else:
                            blank += 1
                    await answer.flush()
            except Refusal as refused:
                exchange.logged["problem"] = refused.kind
                await answer.write(encode(batch.refuse_rest(refused)) + b"\n")
            else:
                await answer.write(encode(SummaryLine(batch.summary)) + b"\n")

    def _answer(self, batch: Batch, body: bytes | msgspec.Raw | Refusal, *, reference: str | None = None) -> BatchItem:
        """The answer to an item; a fault of ours harms this item only, and is logged."""
        index, started = batch.summary.items, perf_counter()
        try:
            item = batch.refuse(body, reference=reference) if isinstance(body, Refusal) else batch.answer(body)
        except BaseException as fault:  # whatever it was, the other items are answered
            if isinstance(fault, ENDS):
                raise
            log.exception("unhandled", request_id=batch.request_id, item=index)
            self._metrics.rejected("internal-error")
            item = batch.refuse_item(index, None, Refusal("internal-error", "The service failed at this item."))
        self._count(item, perf_counter() - started)
        return item

    def _count(self, item: BatchItem, seconds: float) -> None:
        """Count an answered item."""
        found = item.fitting
        self._metrics.item(found.verdict if found else PROBLEM)
        if found:
            self._metrics.calculated(found.verdict, [one.code for one in found.warnings], seconds)

    def _answer_row(self, batch: Batch, table: Table, row: list[str] | Refusal) -> bytes:
        if isinstance(row, Refusal):
            item = self._answer(batch, row)
        else:
            try:
                item = self._answer(batch, table.request_of(row))
            except Refusal as refused:
                item = self._answer(batch, refused, reference=table.reference_of(row))
        return spreadsheet.answer_line(item, table.delimiter)

    def _bounded(self, item: bytes) -> bytes | Refusal:
        """An item, or the refusal of one that is too long."""
        most = self._limits.line_bytes_max
        if len(item) > most:
            return Refusal("body-too-large", f"A line or an item may have {most} bytes at most.")
        return item

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

    async def __aenter__(self) -> Self:
        headers = [
            (b"content-type", self._media_type.encode()),
            (b"cache-control", b"no-store"),
            (b"x-accel-buffering", b"no"),
        ]
        await self._exchange.send({"type": "http.response.start", "status": 200, "headers": headers})
        return self

    async def __aexit__(self, kind: object, error: object, trace: object) -> None:
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
        self._exchange.body.check_caller()
        self._since = perf_counter()

    async def _send(self, *, more: bool) -> None:
        piece, self._pending = b"".join(self._pending), []
        if piece or not more:
            await self._exchange.send({"type": "http.response.body", "body": piece, "more_body": more})


def _items(body: bytes, limits: BatchLimits) -> list[bytes]:
    """The items of a JSON batch, not yet decoded, so that a bad one harms no other; one more than allowed where there are.

    Raises:
        Refusal: the body is no JSON, or is no batch.
    """
    try:
        return [item.encode() for item in islice(cut(body, item_length_max=limits.line_bytes_max), limits.items_max + 1)]
    except Refusal:
        if len(body) > SEARCHED_BYTES:
            raise
        return [bytes(item) for item in SHAPE.decode(body).items]  # the strict decoder finds better words


async def _lines(body: Body, bounded: Callable[[bytes], bytes | Refusal]) -> AsyncIterator[list[bytes | Refusal]]:
    """The lines of an NDJSON body as they arrive, blank ones as empty ones, each as `bounded` makes it.

    Raises:
        Refusal: the body as a whole is too large or too slow.
        GoneError: the caller has hung up.
    """
    rest, skipping = b"", False
    async for piece in body.pieces():
        *ended, rest = (rest + piece).split(b"\n")
        if skipping and ended:
            ended, skipping = ended[1:], False
        lines = [bounded(line) if line.strip() else b"" for line in ended]
        begun = bounded(rest)
        if isinstance(begun, Refusal):
            if not skipping:
                lines.append(begun)
            rest, skipping = b"", True
        if any(lines):
            body.begin_line()
        if lines:
            yield lines
    if rest.strip() and not skipping:
        yield [rest]

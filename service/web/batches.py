"""Batches over HTTP: JSON, NDJSON and CSV in, the same form out, answered piece by piece.

All batches together work for a few milliseconds at a time, then the event loop gets its turn, so that a small request
never waits long, however many batches there are. An NDJSON body is answered while it arrives: memory stays flat however
long it is.
"""

import asyncio
from collections.abc import AsyncIterator, Awaitable, Callable, Iterable, Iterator
from functools import partial
from itertools import chain
from time import perf_counter
from typing import NamedTuple, Self

import msgspec

from service.contract import spreadsheet
from service.contract.batch import JSON_ITEMS_MAX, Batch, BatchItem, StreamLine, cut, opened
from service.contract.cells import CONTENT_TYPE
from service.contract.fittings import encode
from service.contract.operations import JSON, NDJSON
from service.contract.problems import Refusal
from service.contract.spreadsheet import Decimals, Row, Table
from service.contract.table_answers import FORMS, TableWriter
from service.web.body import Body
from service.web.call import NO_STORE, Exchange, spoken
from service.web.live_catalogue import LiveCatalogue
from service.web.metrics import Metrics
from service.web.request_log import ENDS, log
from service.web.worker_threads import in_worker_thread
from service.words.languages import marked

PROBLEM = "problem"
TURN_S = 0.002
"""Work after which others get their turn [s]."""


OVERLONG_TIMES = 16
"""How many times the longest line may be skipped in one line, before the rest of a stream is given up."""


class BatchLimits(NamedTuple):
    """How much one batch may hold."""

    items_max: int
    line_bytes_max: int


class Batches:
    """Answers batches."""

    def __init__(self, live: LiveCatalogue, metrics: Metrics, limits: BatchLimits) -> None:
        """Prepare; each batch is answered with the catalogue of its beginning."""
        self._live = live
        self._metrics = metrics
        self._limits = limits
        self._turn = asyncio.Lock()

    async def json(self, exchange: Exchange) -> None:
        """Answer a batch in JSON.

        Raises:
            Refusal: the body as a whole cannot be read; nothing has been answered then.
            GoneError: the caller has hung up.
        """
        await self._answered(exchange, self._json, fields=_asked(exchange, "fields", "full"))

    async def stream(self, exchange: Exchange) -> None:
        """Answer lines of NDJSON as they arrive.

        Raises:
            GoneError: the caller has hung up.
        """
        await self._answered(exchange, self._ndjson, fields=_asked(exchange, "fields", "full"))

    async def table(self, exchange: Exchange) -> None:
        """Answer the rows of a CSV table.

        Raises:
            Refusal: the body as a whole cannot be read; nothing has been answered then.
            GoneError: the caller has hung up.
        """
        await self._answered(exchange, self._csv, fields=FORMS[_asked(exchange, "fields", "short")].fields)

    async def _answered(
        self, exchange: Exchange, answering: Callable[[Exchange, Batch], Awaitable[None]], *, fields: str
    ) -> None:
        """Answer one batch and log what became of its items."""
        batch = Batch(
            self._live.content.shelf, fields=fields, request_id=exchange.line.request_id, language=exchange.language
        )
        try:
            await answering(exchange, batch)
        finally:
            for name, count in msgspec.structs.asdict(batch.summary).items():
                setattr(exchange.line, name, count)

    async def _json(self, exchange: Exchange, batch: Batch) -> None:
        body = await exchange.body.whole()
        items = await in_worker_thread(partial(cut, body), exchange.body)
        if len(items) > min(self._limits.items_max, JSON_ITEMS_MAX):
            raise self._too_many(min(self._limits.items_max, JSON_ITEMS_MAX))
        answers = (encode(self._answer(batch, self._bounded(bytes(item)))) for item in items)
        pieces = (b"," + answer if number else answer for number, answer in enumerate(answers))
        async with _Answer(exchange, JSON, self._turn) as answer:
            await answer.write(chain([b'{"items":['], pieces))
            await answer.write([b'],"summary":' + encode(batch.summary) + b"}"])

    async def _csv(self, exchange: Exchange, batch: Batch) -> None:
        body = await exchange.body.whole()
        most = self._limits.items_max
        decimal = _asked(exchange, "decimal", "")
        looking = partial(spreadsheet.looked_through, body, most=most + 1, decimal=decimal)
        count, decimals = await in_worker_thread(looking, exchange.body)
        if count > most:
            raise self._too_many(most)
        table, fields = spreadsheet.table(body), _asked(exchange, "fields", "short")
        writer = TableWriter(table, fields=fields, mark=decimals.mark, language=exchange.language)
        name = f'attachment; filename="{FORMS[fields].file_name}"'
        lines = (b"" if row is None else self._answer_row(batch, table, row, decimals, writer) for row in table.rows)
        async with _Answer(exchange, CONTENT_TYPE, self._turn, ((b"content-disposition", name.encode()),)) as answer:
            await answer.write(chain([writer.header()], lines))

    async def _ndjson(self, exchange: Exchange, batch: Batch) -> None:
        await exchange.body.begin()
        async with _Answer(exchange, NDJSON, self._turn) as answer:
            read = 0  # lines; blank ones are no items, but no more than items may come
            try:
                async for lines in _lines(exchange.body, self._limits.line_bytes_max, self._bounded):
                    numbered = enumerate(lines[: self._limits.items_max - read], read + 1)
                    await answer.write(
                        encode(self._answer(batch, line, number=number)) + b"\n" for number, line in numbered if line
                    )
                    read += len(lines)
                    if read > self._limits.items_max:
                        raise self._too_many(self._limits.items_max)
            except Refusal as refused:
                exchange.line.problem = refused.kind
                await answer.write([encode(batch.refuse_rest(refused)) + b"\n"])
            else:
                await answer.write([encode(StreamLine(summary=batch.summary)) + b"\n"])

    def _answer(
        self, batch: Batch, body: bytes | msgspec.Raw | Refusal, *, reference: str | None = None, number: int = 1
    ) -> BatchItem:
        """The answer to an item in a line of this number; a fault of ours harms this item only, and is logged."""
        index, started = batch.summary.items, perf_counter()
        try:
            if isinstance(body, Refusal):
                item, found = batch.refuse(body, reference=reference)
            else:
                item, found = batch.answer(body, line=number)
        except BaseException as fault:  # whatever it was, the other items are answered
            if isinstance(fault, ENDS):
                raise
            log.exception("unhandled", request_id=batch.request_id, item=index)
            self._metrics.rejected("internal-error")
            item = batch.refuse_item(index, None, Refusal("internal-error", marked("The service failed at this item.")))
            found = None
        if found is None:
            self._metrics.item(PROBLEM)
        else:
            self._metrics.item(found.verdict)
            self._metrics.calculated(found.verdict, [one.code for one in found.warnings], perf_counter() - started)
        return item

    def _answer_row(self, batch: Batch, table: Table, row: Row, decimals: Decimals, writer: TableWriter) -> bytes:
        try:
            item = self._answer(batch, table.request_of(row, decimals))
        except Refusal as refused:
            item = self._answer(batch, refused, reference=table.reference_of(row))
        return writer.answer(opened(item), row.number, table.carried_of(row))

    def _bounded(self, item: bytes) -> bytes | Refusal:
        """An item, or the refusal of one that is too long."""
        most = self._limits.line_bytes_max
        if len(item) > most:
            return Refusal("body-too-large", marked("A line or an item may have {most} bytes at most."), most=most)
        return item

    def _too_many(self, most: int) -> Refusal:
        return Refusal("body-too-large", marked("A batch may have {most} items at most."), most=most)


class _Answer:
    """An answer that is sent piece by piece. All batches of a process take turns: between two turns others get theirs."""

    def __init__(
        self, exchange: Exchange, media_type: str, turn: asyncio.Lock, headers: tuple[tuple[bytes, bytes], ...] = ()
    ) -> None:
        self._headers = headers
        self._exchange = exchange
        self._media_type = media_type
        self._turn = turn

    async def __aenter__(self) -> Self:
        headers = [
            *spoken(self._exchange.language),
            (b"content-type", self._media_type.encode()),
            NO_STORE,
            (b"x-accel-buffering", b"no"),
            *self._headers,
        ]
        await self._exchange.send({"type": "http.response.start", "status": 200, "headers": headers})
        return self

    async def __aexit__(self, kind: object, error: object, trace: object) -> None:
        if kind is None:
            await self._exchange.send({"type": "http.response.body", "body": b"", "more_body": False})

    async def write(self, pieces: Iterable[bytes]) -> None:
        """Make pieces and send them, for as long as a turn lasts, and so on in the next turns."""
        made = iter(pieces)
        more = True
        while more:
            async with self._turn:
                content, more = _made_in_a_turn(made)
                await asyncio.sleep(0)  # the turn ends with the event loop's round, or all batches work in the same one
            if content:
                await self._exchange.send({"type": "http.response.body", "body": content, "more_body": True})
            self._exchange.body.check_caller()


def _asked(exchange: Exchange, name: str, default: str) -> str:
    """The value of a query parameter that is given once, or its default."""
    return exchange.query.get(name, (default,))[0]


def _made_in_a_turn(pieces: Iterator[bytes]) -> tuple[bytes, bool]:
    """What can be made in one turn, and whether there may be more."""
    made, until_s = [], perf_counter() + TURN_S
    for piece in pieces:
        made.append(piece)
        if perf_counter() > until_s:
            return b"".join(made), True
    return b"".join(made), False


async def _lines(
    body: Body, length_max: int, bounded: Callable[[bytes], bytes | Refusal]
) -> AsyncIterator[list[bytes | Refusal]]:
    """The lines of an NDJSON body as they arrive, blank ones as empty ones, each as `bounded` makes it.

    Raises:
        Refusal: the body is too slow, no gzip, or has a line that is too long even to be skipped.
        GoneError: the caller has hung up.
    """
    rest, skipped = b"", 0
    async for piece in body.pieces():
        *ended, rest = (rest + piece).split(b"\n")
        if skipped and ended:
            ended, skipped = ended[1:], 0
        lines = [bounded(line) if line.strip() else b"" for line in ended]
        if skipped or len(rest) > length_max:
            if not skipped:
                lines.append(bounded(rest))
            skipped += len(rest)
            rest = b""
        if lines:
            yield lines
        if skipped > OVERLONG_TIMES * length_max:
            told = marked("A line is longer than {times} times the {most} bytes it may have.")
            raise Refusal("body-too-large", told, times=OVERLONG_TIMES, most=length_max)
    if rest.strip() and not skipped:
        yield [rest]

"""Reading a request's body: never more than is allowed, decompressed where it is gzip."""

import asyncio
import zlib
from codecs import BOM_UTF8
from collections.abc import AsyncIterator, Awaitable, Iterator
from typing import Any

from service.contract.problems import Refusal
from service.web.asgi import Message, Receive
from service.words.languages import marked

GZIP_WINDOW = 31
"""zlib's window size for gzip with its header."""
PIECE_BYTES = 65_536
"""Bytes that are handed on at a time; after so many, others get their turn."""
LOOKED_AT_EVERY_S = 1.0


class GoneError(Exception):
    """The caller has hung up before its body was complete."""


class ByteBudget:
    """Bytes of bodies that the process may hold at once, however many callers send them."""

    def __init__(self, bytes_max: int) -> None:
        """Allow so many."""
        self._left = bytes_max

    def take(self, size: int) -> None:
        """Take a part of the budget.

        Raises:
            Refusal: not so much is left.
        """
        if size > self._left:
            told = marked("The service holds as many bytes of other requests as it can.")
            raise Refusal("busy", told, headers=((b"retry-after", b"1"),))
        self._left -= size

    def give_back(self, size: int) -> None:
        """Give a part back."""
        self._left += size


class Patience:
    """Ends what is waited for too long: looked at once a second, since a timer for each wait would cost more than it."""

    def __init__(self, limit_s: float) -> None:
        """Wait so long for each message."""
        self._limit_s = limit_s
        self._until_s: dict[asyncio.Task[Any], float] = {}
        self._looking = False

    async def wait(self, message: Awaitable[Message]) -> Message:
        """A message, which has to come in time.

        Raises:
            Refusal: it does not.
        """
        loop, task = asyncio.get_running_loop(), asyncio.current_task()
        if task is None:
            raise RuntimeError("only a task waits")
        self._until_s[task] = loop.time() + self._limit_s
        if not self._looking:
            self._looking = True
            loop.call_later(LOOKED_AT_EVERY_S, self._look, loop)
        try:
            return await message
        except asyncio.CancelledError:
            if task in self._until_s or task.uncancel() > 0:  # it was not us, or not us alone
                raise
            told = marked("No more of the body arrived within {seconds} s.")
            raise Refusal("too-slow", told, seconds=self._limit_s) from None
        finally:
            self._until_s.pop(task, None)

    def _look(self, loop: asyncio.AbstractEventLoop) -> None:
        """Cancel the waits that are over, and look again while there are others."""
        now_s = loop.time()
        for task in [task for task, until_s in self._until_s.items() if until_s <= now_s]:
            del self._until_s[task]
            task.cancel()
        self._looking = bool(self._until_s)
        if self._looking:
            loop.call_later(LOOKED_AT_EVERY_S, self._look, loop)


class Body:
    """A body as it arrives, without the byte order mark that may stand at its beginning (RFC 8259, 8.1)."""

    __slots__ = ("_ahead", "_budget", "_first", "_gzipped", "_held", "_limit", "_patience", "_receive", "_watched")

    def __init__(
        self,
        receive: Receive,
        budget: ByteBudget,
        patience: Patience,
        limit_bytes: int,
        *,
        gzipped: bool,
        watched: bool,
    ) -> None:
        """Prepare to read; `limit_bytes` counts what was sent as well as what it decompresses to.

        Of a `watched` one it is noticed while it is worked on that its caller hangs up.
        """
        self._receive = receive
        self._budget = budget
        self._held = 0
        self._limit = limit_bytes
        self._patience = patience
        self._gzipped = gzipped
        self._watched = watched
        self._first: Message | None = None
        self._ahead: asyncio.Task[Message] | None = None

    def check_declared(self, content_length: str) -> None:
        """Refuse a body whose declared length is too large, before any of it is read.

        Raises:
            Refusal: it is.
        """
        if content_length.isdigit() and (len(content_length) > len(str(self._limit)) or int(content_length) > self._limit):
            raise self._too_large()

    async def whole(self) -> bytes:
        """The whole body; it counts for the budget until the body is closed.

        Raises:
            Refusal: it is too large, too slow, no gzip, or more than there is room for.
            GoneError: the caller has hung up.
        """
        first = await self._patience.wait(self._receive())
        body: bytes = first.get("body", b"")
        simple = not (self._gzipped or self._watched or first.get("more_body", False))
        if simple and first["type"] == "http.request" and len(body) <= PIECE_BYTES and len(body) <= self._limit:
            self._hold(len(body))
            return body.removeprefix(BOM_UTF8)
        self._first = first
        pieces = []
        async for piece in self.pieces():
            self._hold(len(piece))
            pieces.append(piece)
        return b"".join(pieces)

    def _hold(self, size: int) -> None:
        """Count bytes that are held.

        Raises:
            Refusal: there is no room for so many.
        """
        self._budget.take(size)
        self._held += size

    async def pieces(self) -> AsyncIterator[bytes]:
        """The body piece by piece, decompressed.

        Raises:
            Refusal: it is too large, too slow, or no gzip.
            GoneError: the caller has hung up.
        """
        start: bytes | None = b""
        async for piece in self._decompressed():
            if start is None:
                yield piece
                continue
            start += piece
            if len(start) >= len(BOM_UTF8) or not BOM_UTF8.startswith(start):
                yield start.removeprefix(BOM_UTF8)
                start = None
        if start:
            yield start

    async def _decompressed(self) -> AsyncIterator[bytes]:
        size = 0
        gunzip = _Gunzip() if self._gzipped else None
        async for sent in self._sent():
            for piece in _plain(sent) if gunzip is None else gunzip.pieces(sent):
                size += len(piece)
                if size > self._limit:
                    raise self._too_large()
                yield piece
                if len(piece) == PIECE_BYTES:  # perhaps there are many more, and nothing is waited for
                    await asyncio.sleep(0)
                    self.check_caller()
        if gunzip is not None and not gunzip.complete:
            raise Refusal("malformed-body", marked("The gzip body is cut short."))

    async def begin(self) -> None:
        """Begin to receive, so that a caller that waits for `100 Continue` gets it before the answer begins."""
        self.gone()
        await asyncio.sleep(0)

    def check_caller(self) -> None:
        """Look whether the caller of a watched body is still there.

        Raises:
            GoneError: it has hung up.
        """
        if self._ahead is not None and self._ahead.done() and self._ahead.result()["type"] == "http.disconnect":
            raise GoneError

    def gone(self) -> asyncio.Task[Message]:
        """What is done when the caller hangs up, of whom the whole body has been read."""
        if self._ahead is None:
            self._ahead = asyncio.ensure_future(self._receive())
        return self._ahead

    def close(self) -> None:
        """Watch no more, and give back what was held."""
        self._budget.give_back(self._held)
        self._held = 0
        if self._ahead is not None:
            self._ahead.cancel()

    async def _sent(self) -> AsyncIterator[bytes]:
        """What the caller sends, as it arrives."""
        size, more = 0, True
        while more:
            message = await self._message()
            if message["type"] == "http.disconnect":
                raise GoneError
            self._ahead = asyncio.ensure_future(self._receive()) if self._watched else None
            piece: bytes = message.get("body", b"")
            more = message.get("more_body", False)
            size += len(piece)
            if size > self._limit:
                raise self._too_large()
            yield piece

    async def _message(self) -> Message:
        """The next message."""
        if self._first is not None:
            first, self._first = self._first, None
            return first
        return await self._patience.wait(self._ahead or self._receive())

    def _too_large(self) -> Refusal:
        told = marked("The body may have {most} bytes at most, also when decompressed.")
        return Refusal("body-too-large", told, most=self._limit)


def _plain(sent: bytes) -> Iterator[bytes]:
    """A part of a body, a bounded piece at a time."""
    return (sent[start : start + PIECE_BYTES] for start in range(0, len(sent), PIECE_BYTES))


class _Gunzip:
    """Decompresses a gzip body; it may have several members, one after the other (RFC 1952, 2.2)."""

    def __init__(self) -> None:
        self._member = zlib.decompressobj(GZIP_WINDOW)

    @property
    def complete(self) -> bool:
        """Whether the last member has ended."""
        return self._member.eof

    def pieces(self, sent: bytes) -> Iterator[bytes]:
        """What a part of the body decompresses to, a bounded piece at a time.

        Raises:
            Refusal: it is no gzip.
        """
        while sent:
            if self._member.eof:
                self._member = zlib.decompressobj(GZIP_WINDOW)
            try:
                yield self._member.decompress(sent, PIECE_BYTES)
            except zlib.error as error:
                told = marked("The body is not gzip, as its content encoding says.")
                raise Refusal("malformed-body", told) from error
            sent = self._member.unused_data if self._member.eof else self._member.unconsumed_tail

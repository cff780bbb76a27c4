"""Reading a request's body: never more than is allowed, never slower than is allowed, decompressed where it is gzip."""

import asyncio
import zlib
from collections.abc import AsyncIterator, Iterator
from time import monotonic

from service.contract.problems import Refusal
from service.web.asgi import Receive

GZIP_WINDOW = 31
"""zlib's window size for gzip with its header."""
SLOWEST_BYTES_S = 1024
"""Bytes a second in which a body must arrive on average that is awaited whole."""
PIECE_BYTES = 65_536
"""Decompressed bytes that are handed on at a time."""


class GoneError(Exception):
    """The caller has hung up before its body was complete."""


class Body:
    """A body as it arrives."""

    def __init__(self, receive: Receive, *, limit_bytes: int, idle_s: float, gzipped: bool = False) -> None:
        """Prepare to read; `limit_bytes` counts what was sent as well as what it decompresses to."""
        self._receive = receive
        self._limit = limit_bytes
        self._idle_s = idle_s
        self._gzipped = gzipped

    def check_declared(self, content_length: str) -> None:
        """Refuse a body whose declared length is too large, before any of it is read.

        Raises:
            Refusal: it is.
        """
        if content_length.isdigit() and int(content_length) > self._limit:
            raise self._too_large()

    async def whole(self) -> bytes:
        """The whole body.

        Raises:
            Refusal: it is too large, too slow, or no gzip.
            GoneError: the caller has hung up.
        """
        return b"".join([piece async for piece in self._pieces(whole=True)])

    def pieces(self) -> AsyncIterator[bytes]:
        """The body piece by piece, decompressed. It may take its time: the caller may be waiting for our answers.

        Raises:
            Refusal: it is too large, too slow, or no gzip.
            GoneError: the caller has hung up.
        """
        return self._pieces(whole=False)

    async def _pieces(self, *, whole: bool) -> AsyncIterator[bytes]:
        size = 0
        decompressor = zlib.decompressobj(GZIP_WINDOW) if self._gzipped else None
        async for sent in self._sent(whole=whole):
            for piece in [sent] if decompressor is None else _decompressed(decompressor, sent):
                size += len(piece)
                if size > self._limit:
                    raise self._too_large()
                yield piece
        if decompressor is not None and not decompressor.eof:
            raise Refusal("malformed-body", "The gzip body is cut short.")

    async def _sent(self, *, whole: bool) -> AsyncIterator[bytes]:
        """What the caller sends, as it arrives."""
        size, started_s = 0, monotonic()
        while True:
            left_s = self._idle_s
            if whole:
                left_s = min(left_s, started_s + self._idle_s + size / SLOWEST_BYTES_S - monotonic())
            try:
                async with asyncio.timeout(left_s):
                    message = await self._receive()
            except TimeoutError as error:
                told = f"No more of the body arrived within {self._idle_s:g} s"
                told += f", or less than {SLOWEST_BYTES_S} bytes a second." if whole else "."
                raise Refusal("too-slow", told) from error
            if message["type"] == "http.disconnect":
                raise GoneError
            piece: bytes = message.get("body", b"")
            size += len(piece)
            if size > self._limit:
                raise self._too_large()
            yield piece
            if not message.get("more_body"):
                return

    def _too_large(self) -> Refusal:
        return Refusal("body-too-large", f"The body may have {self._limit} bytes at most, also when decompressed.")


def _decompressed(decompressor: "zlib._Decompress", sent: bytes) -> Iterator[bytes]:
    """What a part of a gzip body decompresses to, a bounded piece at a time.

    Raises:
        Refusal: it is no gzip.
    """
    while sent:
        try:
            piece = decompressor.decompress(sent, PIECE_BYTES)
        except zlib.error as error:
            raise Refusal("malformed-body", "The body is not gzip, as its content encoding says.") from error
        yield piece
        if decompressor.eof:
            if decompressor.unused_data:
                raise Refusal("malformed-body", "There is something after the end of the gzip body.")
            return
        sent = decompressor.unconsumed_tail

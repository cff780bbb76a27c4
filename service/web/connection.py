"""One connection: a request's head has to arrive whole in time and in a bounded size, or the connection ends.

The server beneath waits without end for the first byte of a head and for every next one, and keeps whatever comes. When
it stops, it closes connections that nobody was told of, perhaps under a request that a proxy is just sending; here they
are kept for a moment, and a request that still arrives is answered with the word that it was the last.
"""

import asyncio
from asyncio import TimerHandle
from uuid import uuid4

import msgspec
from uvicorn.protocols.http.httptools_impl import HttpToolsProtocol

from service.contract.openapi import PROBLEM_JSON
from service.contract.problems import KINDS, problem

HEAD_S = 10.0
"""Seconds that a head may take: from the connection on for the first, from its first byte on for a later one."""
HEAD_BYTES_MAX = 65_536
"""Bytes that a head may have."""
LAST_CALL_S = 1.0
"""Seconds that an idle connection is kept while the service stops."""
TOO_LARGE = "too-many-headers"


class Connection(HttpToolsProtocol):
    """The server's connection, with these limits."""

    _head_due: TimerHandle | None = None
    _head_bytes = 0
    _in_head = True
    _stopping = False

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override] # the server's own narrowing
        """Begin to wait for the first head."""
        super().connection_made(transport)
        self._wait_for_head()

    def connection_lost(self, exc: Exception | None) -> None:
        """Wait no more."""
        self._head_is_here()
        super().connection_lost(exc)

    def data_received(self, data: bytes) -> None:
        """Pass on what arrives; of a head no more than it may have."""
        if self._in_head:
            part = data[: HEAD_BYTES_MAX - self._head_bytes]
            self._head_bytes += len(part)
            super().data_received(part)
            data = data[len(part) :]
            if data and self._in_head:
                self._refuse()
        if self.transport.is_closing():
            return
        if data:
            super().data_received(data)
        if self._idle():
            self._wait_for_head()

    def on_headers_complete(self) -> None:
        """A head is complete."""
        self._head_is_here()
        super().on_headers_complete()
        if self._stopping and self.cycle is not None:
            self.cycle.keep_alive = False

    def on_message_complete(self) -> None:
        """What follows is the next head."""
        self._in_head = True
        self._head_bytes = 0
        super().on_message_complete()

    def on_response_complete(self) -> None:
        """What follows is the wait for the next request."""
        super().on_response_complete()
        if self._stopping:
            self._call_last()

    def shutdown(self) -> None:
        """Begin to end, as the service does."""
        self._stopping = True
        if self._idle():
            self._call_last()
        elif not self.cycle.response_started:
            self.cycle.keep_alive = False

    def _call_last(self) -> None:
        self.loop.call_later(LAST_CALL_S, self._close_if_idle)

    def _close_if_idle(self) -> None:
        if self._idle():
            self.transport.close()

    def _idle(self) -> bool:
        """Whether no request is being answered."""
        return self.cycle is None or self.cycle.response_complete

    def _wait_for_head(self) -> None:
        if self._head_due is None:
            self._head_due = self.loop.call_later(HEAD_S, self.transport.close)

    def _head_is_here(self) -> None:
        self._in_head = False
        if self._head_due is not None:
            self._head_due.cancel()
            self._head_due = None

    def _refuse(self) -> None:
        """End the connection; say why, unless that would get into the midst of an earlier request's answer."""
        self.logger.warning("The head of a request is too large.")
        if self._idle():
            told = f"The head of a request may have {HEAD_BYTES_MAX} bytes at most."
            body = msgspec.json.encode(problem(TOO_LARGE, detail=told, instance=uuid4().hex))
            head = (
                f"HTTP/1.1 {KINDS[TOO_LARGE].status} {KINDS[TOO_LARGE].title}\r\ncontent-type: {PROBLEM_JSON}\r\n"
                f"content-length: {len(body)}\r\nconnection: close\r\n\r\n"
            )
            self.transport.write(head.encode() + body)
        self.transport.close()

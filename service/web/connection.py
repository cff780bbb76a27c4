"""One connection: a request's head has to arrive whole in time and in a bounded size, or the connection ends.

The server beneath waits without end for the first byte of a head and for every next one, and keeps whatever comes. It
also waits without end for a caller to read; here a connection of which nothing is read for a while is cut. When
it stops, it closes connections that nobody was told of, perhaps under a request that a proxy is just sending; here they
are kept for a moment, and a request that still arrives is answered with the word that it was the last.

It would also leave the body of a request that asks for another protocol to that protocol, which it does not speak.
"""

import asyncio
from asyncio import TimerHandle
from fcntl import ioctl
from struct import unpack
from termios import TIOCOUTQ
from typing import Any, NamedTuple
from uuid import uuid4

import msgspec
from httptools import HttpParserError, HttpParserUpgrade, HttpRequestParser
from uvicorn.protocols.http.httptools_impl import HttpToolsProtocol

from service.contract.openapi import PROBLEM_JSON
from service.contract.problems import KINDS, problem
from service.web.witness import log

STEP_BYTES = 16_384
"""Bytes that are parsed at once. Where a body ends and a head begins within them, those of that head are not counted."""
LAST_CALL_S = 1.0
"""Seconds that an idle connection is kept while the service stops."""
TOO_LARGE = "too-many-headers"
INVALID = "Invalid HTTP request received."


class ConnectionLimits(NamedTuple):
    """How long and how large a head may be, and how long a caller may read nothing of its answer.

    The first head counts from the connection on, a later one from its first byte on.
    """

    head_s: float = 10.0
    head_bytes_max: int = 65_536
    send_idle_s: float = 60.0


DEFAULT = ConnectionLimits()


class Connection(HttpToolsProtocol):
    """The server's connection, with these limits."""

    _head_due: TimerHandle | None = None
    _sending_due: TimerHandle | None = None
    _head_bytes = 0
    _in_head = True
    _stopping = False

    def __init__(self, *given: Any, limits: ConnectionLimits = DEFAULT, **named: Any) -> None:
        """Prepare as the server does."""
        super().__init__(*given, **named)
        self._limits = limits

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override] # the server's own narrowing
        """Begin to wait for the first head."""
        super().connection_made(transport)
        self._wait_for_head()

    def connection_lost(self, exc: Exception | None) -> None:
        """Wait no more."""
        self._head_is_here()
        self._watch_sending_no_more()
        super().connection_lost(exc)

    def data_received(self, data: bytes) -> None:
        """Pass on what arrives; of a head no more than it may have."""
        while data and not self.transport.is_closing():
            most = STEP_BYTES
            if self._in_head:
                most = min(most, self._limits.head_bytes_max - self._head_bytes)
                self._head_bytes += min(most, len(data))
            if most == 0:
                self._refuse()
                return
            self._parse(data[:most])
            data = data[most:]
        if self._idle() and not self.transport.is_closing():
            self._wait_for_head()

    def _parse(self, data: bytes) -> None:
        """Hand data to the parser, as the server's own `data_received` does, save for upgrades."""
        self._unset_keepalive_if_required()
        try:
            while data:
                try:
                    self.parser.feed_data(data)
                    data = b""
                except HttpParserUpgrade as stopped:
                    data = self._head_without_upgrade() + data[stopped.args[0] :]
        except HttpParserError:
            self.logger.warning(INVALID)
            self.send_400_response(INVALID)

    def _head_without_upgrade(self) -> bytes:
        """The head just read without its wish for another protocol, which may be ignored (RFC 9110, 7.8).

        The parser skips such a request's body and cannot be told otherwise, so a new one takes its place for this head.
        """
        line = b"%s %s HTTP/%s\r\n" % (self.parser.get_method(), self.url, self.parser.get_http_version().encode())
        fields = [b"%s: %s\r\n" % field for field in self.headers if field[0] != b"upgrade"]
        self.parser = HttpRequestParser(self)
        self.parser.set_dangerous_leniencies(lenient_data_after_close=True)  # as the server sets it
        return b"".join([line, *fields, b"\r\n"])

    def _asks_for_another_protocol(self) -> bool:
        return self.parser.should_upgrade() and self.parser.get_method() != b"CONNECT"

    def on_headers_complete(self) -> None:
        """A head is complete.

        Raises:
            ValueError: its target has a fragment, or it is of HTTP/1.1 and has not one Host (RFC 9112, 3.2).
        """
        if self._asks_for_another_protocol():
            return
        hosts = sum(name == b"host" for name, _ in self.headers)
        if b"#" in self.url or (hosts != 1 and self.parser.get_http_version() == "1.1"):
            raise ValueError
        self._head_is_here()
        super().on_headers_complete()
        if self._stopping and self.cycle is not None:
            self.cycle.keep_alive = False

    def on_message_complete(self) -> None:
        """What follows is the next head."""
        if self._asks_for_another_protocol():
            return
        self._in_head = True
        self._head_bytes = 0
        super().on_message_complete()

    def on_response_complete(self) -> None:
        """What follows is the wait for the next request."""
        super().on_response_complete()
        if self._stopping:
            self._call_last()

    def pause_writing(self) -> None:
        """Begin to wait for the caller to read: no more of the answer is made meanwhile."""
        super().pause_writing()
        self._watch_sending()

    def resume_writing(self) -> None:
        """Wait no more: enough has been read."""
        self._watch_sending_no_more()
        super().resume_writing()

    def _watch_sending(self) -> None:
        self._sending_due = self.loop.call_later(self._limits.send_idle_s, self._end_if_unread, self._unread_bytes())

    def _watch_sending_no_more(self) -> None:
        if self._sending_due is not None:
            self._sending_due.cancel()
            self._sending_due = None

    def _end_if_unread(self, unread_bytes: int) -> None:
        """End the connection where nothing has been read since so many bytes were unread."""
        if self._unread_bytes() < unread_bytes:
            self._watch_sending()
        else:
            log.warning("answer_not_read", unread_bytes=unread_bytes)
            self.transport.abort()

    def _unread_bytes(self) -> int:
        """Bytes that have not reached the caller: here, and in the kernel, which keeps megabytes for slow ones."""
        number = self.transport.get_extra_info("socket").fileno()
        (in_kernel,) = unpack("i", ioctl(number, TIOCOUTQ, bytes(4)))
        return self.transport.get_write_buffer_size() + int(in_kernel)

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
            self._head_due = self.loop.call_later(self._limits.head_s, self.transport.close)

    def _head_is_here(self) -> None:
        self._in_head = False
        if self._head_due is not None:
            self._head_due.cancel()
            self._head_due = None

    def _refuse(self) -> None:
        """End the connection; say why, unless that would get into the midst of an earlier request's answer."""
        request_id = uuid4().hex
        log.warning("head_too_large", request_id=request_id)
        if self._idle():
            told = f"The head of a request may have {self._limits.head_bytes_max} bytes at most."
            body = msgspec.json.encode(problem(TOO_LARGE, detail=told, instance=request_id))
            head = (
                f"HTTP/1.1 {KINDS[TOO_LARGE].status} {KINDS[TOO_LARGE].title}\r\ncontent-type: {PROBLEM_JSON}\r\n"
                f"content-length: {len(body)}\r\nx-request-id: {request_id}\r\nconnection: close\r\n\r\n"
            )
            self.transport.write(head.encode() + body)
        self.transport.close()

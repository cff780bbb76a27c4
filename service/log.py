"""Logging: JSON lines on standard output, one for each request; never a body, never a header's value.

Lines go through a bounded queue to a thread. When nobody reads them the queue fills and lines are dropped and counted:
no request ever waits for the log.
"""

import logging
import os
import threading
import time
from collections import deque
from contextlib import suppress
from datetime import UTC, datetime
from typing import Any, BinaryIO, TextIO, cast

import msgspec
import structlog
from msgspec import UNSET, UnsetType

LEVELS = {"debug": logging.DEBUG, "info": logging.INFO, "warning": logging.WARNING, "error": logging.ERROR}
LINES_MAX = 10_000
"""Lines that wait to be written; with 400 bytes each they are 4 MB."""
GATHER_S = 0.02
"""For how long lines are gathered before they are written together: waking a thread for each costs more than the line."""
STANDARD_OUTPUT = 1

SHARED: list[Any] = [
    structlog.processors.add_log_level,
    structlog.processors.TimeStamper(fmt="iso", utc=True, key="time"),
    # without local variables: they hold bodies and headers
    structlog.processors.ExceptionRenderer(structlog.tracebacks.ExceptionDictTransformer(show_locals=False)),
]


class RequestLine(msgspec.Struct, gc=False):
    """The log line of one request; what a request does not have is not in it.

    Whoever knows a part of it sets it: `key` is the key's name, `verdict` to `warnings` tell of a fitting, `items` to
    `problems` of a batch, `bars` and `optimal` of a cutting plan, `outcome` of a verification; `problem` is the kind of a
    refusal, `gone` whether the caller hung up.
    """

    request_id: str
    method: str
    path: str
    operation: str = ""
    status: int = 0
    bytes_out: int = 0
    ms: float = 0.0
    key: str | UnsetType = UNSET
    verdict: str | UnsetType = UNSET
    warnings: list[str] | UnsetType = UNSET
    items: int | UnsetType = UNSET
    fits: int | UnsetType = UNSET
    fits_with_cautions: int | UnsetType = UNSET
    does_not_fit: int | UnsetType = UNSET
    problems: int | UnsetType = UNSET
    bars: int | UnsetType = UNSET
    optimal: bool | UnsetType = UNSET
    outcome: str | UnsetType = UNSET
    problem: str | UnsetType = UNSET
    gone: bool | UnsetType = UNSET
    trace_id: str | UnsetType = UNSET
    span_id: str | UnsetType = UNSET
    event: str = "request"
    level: str = "info"
    time: datetime | UnsetType = UNSET


_ENCODER = msgspec.json.Encoder(enc_hook=repr)


def _to_bytes(content: Any, **_: Any) -> bytes:
    return _ENCODER.encode(content)


class Lines:
    """A file of lines for loggers; a thread writes them to a descriptor."""

    def __init__(self, descriptor: int = STANDARD_OUTPUT, *, lines_max: int = LINES_MAX, level: int = logging.INFO) -> None:
        """Start the thread. It ends with the process, also while it waits for a reader."""
        self._descriptor = descriptor
        self._level = level
        self._lines_max = lines_max
        self._waiting: deque[bytes] = deque()
        self._dropped = 0
        self._there_are_some = threading.Event()
        self._written = threading.Event()
        threading.Thread(target=self._write_all, name="log", daemon=True).start()

    def tell(self, line: RequestLine) -> None:
        """Take the one line of a request, now that it is complete: a logger would make it three times as dear."""
        if self._level <= logging.INFO:
            line.time = datetime.now(UTC)
            self.write(_ENCODER.encode(line) + b"\n")

    def write(self, line: bytes | str) -> int:
        """Take a line, or count it as dropped."""
        if len(self._waiting) >= self._lines_max:
            self._dropped += 1
        else:
            self._waiting.append(line if isinstance(line, bytes) else line.encode("utf-8", "backslashreplace"))
            if not self._there_are_some.is_set():
                self._written.clear()
                self._there_are_some.set()
        return len(line)

    def flush(self) -> None:
        """Nothing: the thread writes as soon as it can."""

    def wait(self, limit_s: float) -> None:
        """Wait until all is written, but not for long."""
        if self._waiting or self._there_are_some.is_set():
            self._written.wait(limit_s)

    def _write_all(self) -> None:
        while True:
            self._there_are_some.wait()
            _gather()
            self._there_are_some.clear()
            lines = [self._waiting.popleft() for _ in range(len(self._waiting))]
            if self._dropped:
                dropped, self._dropped = self._dropped, 0
                told = {"event": "log_lines_dropped", "level": "warning", "lines": dropped}
                lines.append(_to_bytes({**told, "time": time.strftime("%Y-%m-%dT%H:%M:%SZ", time.gmtime())}) + b"\n")
            self._write(b"".join(lines))
            if not self._there_are_some.is_set():
                self._written.set()

    def _write(self, content: bytes) -> None:
        """Write to the descriptor itself: what is buffered nowhere cannot block the end of the process."""
        left = memoryview(content)
        while left:
            try:
                left = left[os.write(self._descriptor, left) :]
            except BlockingIOError:  # a pipe that somebody else has set to not wait
                _gather()
            except OSError:  # a full disk or a closed pipe: the lines are lost, the requests are not
                return


def _gather() -> None:
    """Wait for more lines. A clock that is set back can make the wait fail; the thread must go on all the same."""
    with suppress(OSError):
        time.sleep(GATHER_S)


def _is_wanted(record: logging.LogRecord) -> bool:
    """Whether a line of a library's own is written: not the server's on upgrades, whose request has a line of its own."""
    return not (
        record.name == "uvicorn.error" and str(record.msg).startswith(("Unsupported upgrade", "No supported WebSocket"))
    )


def configure(level: str) -> Lines:
    """Send our own lines and the server's through one form and one queue."""
    lines = Lines(level=LEVELS[level])
    structlog.configure(
        processors=[*SHARED, structlog.processors.JSONRenderer(serializer=_to_bytes)],
        wrapper_class=structlog.make_filtering_bound_logger(LEVELS[level]),
        logger_factory=structlog.BytesLoggerFactory(cast("BinaryIO", lines)),
        cache_logger_on_first_use=True,
    )
    handler = logging.StreamHandler(cast("TextIO", lines))
    handler.addFilter(_is_wanted)
    handler.setFormatter(
        structlog.stdlib.ProcessorFormatter(
            foreign_pre_chain=SHARED,
            processors=[
                structlog.stdlib.ProcessorFormatter.remove_processors_meta,
                structlog.processors.JSONRenderer(serializer=lambda content, **_: _to_bytes(content).decode()),
            ],
        )
    )
    root = logging.getLogger()
    root.handlers[:] = [handler]
    root.setLevel(LEVELS[level])
    # it tells every drawing it begins and ends
    logging.getLogger("ezdxf").setLevel(max(logging.WARNING, LEVELS[level]))
    return lines

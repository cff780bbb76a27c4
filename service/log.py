"""Logging: JSON lines on standard output, one for each request; never a body, never a header's value."""

import logging
import sys
from contextlib import suppress
from typing import Any, BinaryIO, cast

import msgspec
import structlog

LEVELS = {"debug": logging.DEBUG, "info": logging.INFO, "warning": logging.WARNING, "error": logging.ERROR}

SHARED: list[Any] = [
    structlog.processors.add_log_level,
    structlog.processors.TimeStamper(fmt="iso", utc=True, key="time"),
    # without local variables: they hold bodies and headers
    structlog.processors.ExceptionRenderer(structlog.tracebacks.ExceptionDictTransformer(show_locals=False)),
]


def _to_bytes(content: Any, **_: Any) -> bytes:
    return msgspec.json.encode(content, enc_hook=repr)


class _Lines:
    """Standard output for lines that may get lost: a full disk or a closed pipe must not fail the request they tell of."""

    def write(self, line: bytes) -> int:
        """Write a line, if it can be written."""
        with suppress(OSError, ValueError):
            return sys.stdout.buffer.write(line)
        return 0

    def flush(self) -> None:
        """Hand lines on, if they can be."""
        with suppress(OSError, ValueError):
            sys.stdout.buffer.flush()


def configure(level: str) -> None:
    """Send our own lines and the server's through one form."""
    structlog.configure(
        processors=[*SHARED, structlog.processors.JSONRenderer(serializer=_to_bytes)],
        wrapper_class=structlog.make_filtering_bound_logger(LEVELS[level]),
        logger_factory=structlog.BytesLoggerFactory(cast("BinaryIO", _Lines())),
        cache_logger_on_first_use=True,
    )
    handler = logging.StreamHandler(sys.stdout)
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

"""What a handler gets and what it gives: no framework in sight."""

from typing import NamedTuple, Protocol

from service.contract.operations import JSON


class Call(NamedTuple):
    """One request that has passed the door."""

    body: bytes
    query: dict[str, tuple[str, ...]]


class Reply(NamedTuple):
    """One answer.

    `gzipped` is the content compressed beforehand, `etag` its entity tag (both only where the content stays the same
    while the service runs); `logged` goes into the request's log line.
    """

    content: bytes
    media_type: str = JSON
    headers: tuple[tuple[bytes, bytes], ...] = ()
    etag: bytes = b""
    gzipped: bytes = b""
    logged: tuple[tuple[str, object], ...] = ()


class Handler(Protocol):
    """Answers a call, or refuses it."""

    def __call__(self, call: Call, /) -> Reply:
        """The answer.

        Raises:
            Refusal: the request cannot be answered.
        """
        ...

"""What handlers get and give: no framework in sight."""

from collections.abc import Awaitable, Callable
from typing import NamedTuple

from service.contract.operations import JSON
from service.web.asgi import Send
from service.web.body import Body


class Call(NamedTuple):
    """One request that was admitted."""

    body: bytes
    query: dict[str, tuple[str, ...]]
    language: str = "en"


class Reply(NamedTuple):
    """One answer.

    `status` is another than 200 where it leads elsewhere. `gzipped` is the content compressed beforehand, `etag` its entity
    tag (both only where the content stays the same while the service runs); `logged` goes into the request's log line.
    """

    content: bytes
    media_type: str = JSON
    status: int = 200
    headers: tuple[tuple[bytes, bytes], ...] = ()
    etag: bytes = b""
    gzipped: bytes = b""
    logged: tuple[tuple[str, object], ...] = ()


class Exchange(NamedTuple):
    """One request whose handler reads the body itself; it may send the answer itself too, piece by piece."""

    query: dict[str, tuple[str, ...]]
    body: Body
    send: Send
    request_id: str
    logged: dict[str, object]
    language: str = "en"


NO_STORE = (b"cache-control", b"no-store")
"""The header field of what nobody may keep."""


def spoken(language: str) -> tuple[tuple[bytes, bytes], ...]:
    """The header fields of an answer in words."""
    return (b"content-language", language.encode()), (b"vary", b"Accept-Language")


Handler = Callable[[Call], Reply]
"""Answers a call, or refuses it (`Refusal`)."""
StreamHandler = Callable[[Exchange], Awaitable[Reply | None]]
"""Reads a body and gives an answer, or sends it piece by piece; refuses only what it has not begun to answer."""

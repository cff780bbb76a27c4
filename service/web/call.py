"""What handlers get and give: no framework in sight."""

from collections.abc import Awaitable, Callable
from functools import cache

from msgspec import Struct

from service.contract.operations import JSON
from service.log import RequestLine
from service.web.asgi import Send
from service.web.body import Body


class Call(Struct, frozen=True):
    """One request that was admitted; into its log line goes what its handler has to tell there."""

    body: bytes
    query: dict[str, tuple[str, ...]]
    language: str
    line: RequestLine


class Reply(Struct, frozen=True):
    """One answer.

    `status` is another than 200 where it leads elsewhere. `gzipped` is the content compressed beforehand, `etag` its entity
    tag (both only where the content stays the same while the service runs).
    """

    content: bytes
    media_type: str = JSON
    status: int = 200
    headers: tuple[tuple[bytes, bytes], ...] = ()
    etag: bytes = b""
    gzipped: bytes = b""


class Exchange(Struct, frozen=True):
    """One request whose handler reads the body itself; it may send the answer itself too, piece by piece."""

    query: dict[str, tuple[str, ...]]
    body: Body
    send: Send
    language: str
    line: RequestLine


NO_STORE = (b"cache-control", b"no-store")
"""The header field of what nobody may keep."""


@cache
def spoken(language: str) -> tuple[tuple[bytes, bytes], ...]:
    """The header fields of an answer in words."""
    return (b"content-language", language.encode()), (b"vary", b"Accept-Language")


Handler = Callable[[Call], Reply]
"""Answers a call, or refuses it (`Refusal`)."""
StreamHandler = Callable[[Exchange], Awaitable[Reply | None]]
"""Reads a body and gives an answer, or sends it piece by piece; refuses only what it has not begun to answer."""


def made_when_asked(make: Callable[[], Reply]) -> Handler:
    """A handler whose reply never changes and is made when it is first asked for: not while the service starts."""
    reply = cache(make)
    return lambda _call: reply()

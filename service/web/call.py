"""What handlers get and give: no framework in sight."""

from typing import NamedTuple, Protocol

from service.contract.operations import JSON
from service.web.asgi import Send
from service.web.body import Body


class Call(NamedTuple):
    """One request that was admitted."""

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


class Exchange(NamedTuple):
    """One request whose handler reads the body and sends the answer itself, piece by piece."""

    query: dict[str, tuple[str, ...]]
    media_type: str
    body: Body
    send: Send
    request_id: str
    logged: dict[str, object]


class StreamHandler(Protocol):
    """Reads a body and sends an answer piece by piece."""

    async def __call__(self, exchange: Exchange, /) -> None:
        """Answer.

        Raises:
            Refusal: the request cannot be answered, and nothing has been sent yet.
            GoneError: the caller has hung up.
        """
        ...


class Handler(Protocol):
    """Answers a call, or refuses it."""

    def __call__(self, call: Call, /) -> Reply:
        """The answer.

        Raises:
            Refusal: the request cannot be answered.
        """
        ...

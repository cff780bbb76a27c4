"""Cross-origin calls from browsers: for the origins of a list, exactly as written there, and without credentials.

An API key is sent by the page's own code in a header, so cookies and the like (`Access-Control-Allow-Credentials`) are
never allowed. The fields are those of the Fetch standard, 3.3 (WHATWG). An origin that is not on the list gets none of
them, and no hint that there is a list.
"""

import re
from collections.abc import Iterable

Fields = tuple[tuple[bytes, bytes], ...]

ORIGIN = re.compile(r"https?://(?:[a-z0-9](?:[a-z0-9.-]*[a-z0-9])?|\[[0-9a-f:]+\])(?::(?P<port>[1-9][0-9]{0,4}))?\Z")
"""The form in which browsers send an origin (RFC 6454, 6.2): scheme, host in small letters, port unless the usual one."""

USUAL_PORTS = (("https://", ":443"), ("http://", ":80"))
PORT_MAX = 65_535

ALLOWED_METHODS = b"GET, HEAD, POST"
ALLOWED_HEADERS = (
    b"Accept, Authorization, Content-Encoding, Content-Type, If-None-Match, Traceparent, Tracestate, X-API-Key, X-Request-Id"
)
EXPOSED_HEADERS = (
    b"ETag, RateLimit, RateLimit-Policy, Retry-After, Server-Timing, Traceresponse, WWW-Authenticate, X-Request-Id"
)
MAX_AGE_S = 7200
"""How long a browser may remember a preflight: no browser of today takes more than a day, Chromium two hours."""

VARY = (b"vary", b"Origin")


class CorsError(Exception):
    """An origin that no browser would ever send; the text says which and why."""


def origins_of(text: str) -> frozenset[bytes]:
    """The allowed origins from their written form, separated by commas or spaces; none from an empty text.

    Raises:
        CorsError: one of them is not an origin as browsers send it.
    """
    return frozenset(_origin(one) for one in text.replace(",", " ").split())


def _origin(text: str) -> bytes:
    found = ORIGIN.match(text)
    if not found:
        raise CorsError(
            f"{text!r}: an origin looks like https://shop.example or https://shop.example:8443, in small letters"
        )
    if found["port"] and int(found["port"]) > PORT_MAX:
        raise CorsError(f"{text!r}: there is no such port")
    for scheme, port in USUAL_PORTS:
        if text.startswith(scheme) and text.endswith(port):
            raise CorsError(f"{text!r}: browsers leave the usual port away; write {text.removesuffix(port)}")
    return text.encode()


class Cors:
    """What is said to browsers about cross-origin calls."""

    def __init__(self, origins: frozenset[bytes]) -> None:
        """Allow origins; with none of them nothing is ever said."""
        self._other: Fields = (VARY,) if origins else ()
        self._allowed: dict[bytes, Fields] = {
            origin: (
                VARY,
                (b"access-control-allow-origin", origin),
                (b"access-control-expose-headers", EXPOSED_HEADERS),
            )
            for origin in origins
        }
        self._preflights: dict[bytes, Fields] = {
            origin: (
                VARY,
                (b"access-control-allow-origin", origin),
                (b"access-control-allow-methods", ALLOWED_METHODS),
                (b"access-control-allow-headers", ALLOWED_HEADERS),
                (b"access-control-max-age", str(MAX_AGE_S).encode()),
            )
            for origin in origins
        }

    def fields(self, headers: Iterable[tuple[bytes, bytes]]) -> Fields:
        """The fields that go with the answer to a request with these headers.

        `Vary: Origin` goes with every answer, of other origins too: a cache must not hand one origin's answer to another.
        """
        if not self._allowed:
            return ()
        return self._allowed.get(_one(headers, b"origin"), self._other)

    def preflight(self, method: str, headers: Iterable[tuple[bytes, bytes]]) -> Fields | None:
        """The fields of the answer (204, no body) to a browser's question beforehand; None where it is not one to answer."""
        if method != "OPTIONS" or not self._allowed:
            return None
        headers = list(headers)
        if not _one(headers, b"access-control-request-method"):
            return None
        return self._preflights.get(_one(headers, b"origin"))


def _one(headers: Iterable[tuple[bytes, bytes]], wanted: bytes) -> bytes:
    """The value of a header that is there exactly once, else nothing."""
    found = [value for name, value in headers if name == wanted]
    return found[0] if len(found) == 1 else b""

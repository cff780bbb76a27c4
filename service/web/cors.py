"""Origins whose pages may call the service, exactly as they are listed, and without credentials.

An API key is sent by the page's own code in a header, so cookies and the like (`Access-Control-Allow-Credentials`) are
never allowed.
"""

import re

from service.web.asgi import Application

ORIGIN = re.compile(r"https?://(?:[a-z0-9](?:[a-z0-9.-]*[a-z0-9])?|\[[0-9a-f:]+\])(?::(?P<port>[1-9][0-9]{0,4}))?\Z")
"""The form in which browsers send an origin (RFC 6454, 6.2): scheme, host in small letters, port unless the usual one."""

USUAL_PORTS = (("https://", ":443"), ("http://", ":80"))
PORT_MAX = 65_535

ALLOWED_METHODS = ("GET", "HEAD", "POST")
ALLOWED_HEADERS = (
    "Accept",
    "Authorization",
    "Content-Encoding",
    "Content-Type",
    "If-None-Match",
    "Traceparent",
    "Tracestate",
    "X-API-Key",
    "X-Request-Id",
)
EXPOSED_HEADERS = (
    "Content-Disposition",
    "ETag",
    "Lathwind-Contract",
    "RateLimit",
    "RateLimit-Policy",
    "Retry-After",
    "Server-Timing",
    "Traceresponse",
    "WWW-Authenticate",
    "X-Request-Id",
)
MAX_AGE_S = 7200
"""How long a browser may remember a preflight: no browser of today takes more than a day, Chromium two hours."""


class CorsError(Exception):
    """An origin that no browser would ever send; the text says which and why."""


def origins_of(text: str) -> list[str]:
    """The allowed origins from their written form, separated by commas or spaces; none from an empty text.

    Raises:
        CorsError: one of them is not an origin as browsers send it.
    """
    return [_checked(origin) for origin in text.replace(",", " ").split()]


def _checked(origin: str) -> str:
    found = ORIGIN.match(origin)
    if not found:
        raise CorsError(
            f"{origin!r}: an origin looks like https://shop.example or https://shop.example:8443, in small letters"
        )
    if found["port"] and int(found["port"]) > PORT_MAX:
        raise CorsError(f"{origin!r}: there is no such port")
    for scheme, port in USUAL_PORTS:
        if origin.startswith(scheme) and origin.endswith(port):
            raise CorsError(f"{origin!r}: browsers leave the usual port away; write {origin.removesuffix(port)}")
    return origin


def allowing(app: Application, origins: list[str]) -> Application:
    """An application whose answers pages of these origins may read; the application itself where there are none."""
    if not origins:
        return app
    from starlette.middleware.cors import CORSMiddleware  # noqa: PLC0415 - most services allow none, and start sooner

    return CORSMiddleware(
        app,
        allow_origins=origins,
        allow_methods=ALLOWED_METHODS,
        allow_headers=ALLOWED_HEADERS,
        expose_headers=EXPOSED_HEADERS,
        max_age=MAX_AGE_S,
    )

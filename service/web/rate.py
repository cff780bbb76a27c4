"""The rate limit: so many requests in a window of time for each caller, and the header fields that say what is left.

A caller's window starts with its first request (fixed window). Each process counts for itself, by a clock that never
jumps; a limit that all replicas share is the proxy's.
"""

import re
from collections.abc import Callable
from ipaddress import IPv6Address, IPv6Network
from math import ceil
from time import monotonic
from typing import NamedTuple

from service.web.asgi import Scope

WINDOWS_S = {"second": 1, "minute": 60, "hour": 3600}
FORM = re.compile(r"([1-9][0-9]{0,8})/(second|minute|hour)\Z")


class RateError(Exception):
    """A limit that cannot be used; the text says what is allowed."""


class Limit(NamedTuple):
    """So many requests in a window."""

    requests: int
    window_s: int


class Taken(NamedTuple):
    """What a request has left of its caller's window."""

    allowed: bool
    limit: int
    remaining: int
    reset_s: int


def limit_of(text: str) -> Limit:
    """A limit from its written form.

    Raises:
        RateError: it has another form.
    """
    found = FORM.match(text)
    if not found:
        raise RateError(f"{text!r}: a limit looks like 600/minute; windows are {', '.join(WINDOWS_S)}")
    return Limit(int(found[1]), WINDOWS_S[found[2]])


def address_of(scope: Scope) -> str:
    """Whom to count where there are no keys: the client's address, of IPv6 the network of 64 bits that one site holds."""
    host: str = (scope.get("client") or ("unknown", 0))[0]
    if ":" not in host:
        return host
    try:
        address = IPv6Address(host.partition("%")[0])
    except ValueError:
        return host
    return str(address.ipv4_mapped or IPv6Network((int(address) >> 64 << 64, 64)))


class Rate:
    """One limit for every caller."""

    def __init__(self, limit: Limit, *, clock: Callable[[], float] = monotonic) -> None:
        """Count from now on."""
        self.limit = limit
        self._clock = clock
        self._windows: dict[str, tuple[int, float]] = {}
        self._sweep_at_s = 0.0
        self._policy = (b"ratelimit-policy", f'"default";q={limit.requests};w={limit.window_s}'.encode())

    def hit(self, name: str) -> Taken:
        """Count one request of a caller."""
        now_s, (requests, window_s) = self._clock(), self.limit
        if now_s >= self._sweep_at_s:
            self._windows = {caller: window for caller, window in self._windows.items() if now_s < window[1]}
            self._sweep_at_s = now_s + window_s
        count, ends_s = self._windows.get(name, (0, 0.0))
        if now_s >= ends_s:
            count, ends_s = 0, now_s + window_s
        count += 1
        self._windows[name] = (count, ends_s)
        reset_s = min(max(1, ceil(ends_s - now_s)), window_s)  # sums of floats may end a little behind the window
        return Taken(count <= requests, requests, max(0, requests - count), reset_s)

    def fields(self, taken: Taken) -> tuple[tuple[bytes, bytes], ...]:
        """The header fields of an answer: `RateLimit-Policy`, `RateLimit`, and `Retry-After` where it is a refusal.

        draft-ietf-httpapi-ratelimit-headers-11: structured fields, lists of a quoted policy name with parameters, `q`
        quota and `w` window in seconds, `r` what remains and `t` the seconds until it is whole again. The parameters
        were read in an earlier editor's copy, where the name is not quoted; the quotes are taken from others' citations.
        A draft is no standard: callers should go by Retry-After (RFC 9110, 10.2.3), which the draft gives precedence.
        """
        left = (b"ratelimit", b'"default";r=%d;t=%d' % (taken.remaining, taken.reset_s))
        if taken.allowed:
            return self._policy, left
        return self._policy, left, (b"retry-after", b"%d" % taken.reset_s)

"""The rate limit: so many requests in a window of time for each caller, and the header fields that say what is left.

A caller's window starts with its first request (fixed window). By default each process counts for itself; with a store
(Redis or Valkey) all processes count together. While the store is down, each process counts for itself again, says so
loudly, and tries the store once a second: callers keep being served, and nobody has more than the limit times the
number of processes. Only clocks that never jump are used: the process's monotonic one, and the store's time to live.
"""

import asyncio
import re
from collections.abc import Callable
from math import ceil
from socket import AF_INET, AF_INET6, inet_ntop, inet_pton
from time import monotonic
from typing import NamedTuple

import structlog

from service.web.asgi import Scope

WINDOWS_S = {"second": 1, "minute": 60, "hour": 3600}
FORM = re.compile(r"([1-9][0-9]{0,8})/(second|minute|hour)\Z")
STORES = ("redis://", "rediss://", "unix://")
MEMORY = "memory"

MAPPED = bytes(10) + b"\xff\xff"
"""How an address of IPv6 begins that stands for one of IPv4 (RFC 4291, 2.5.5.2): a socket for both reports such ones."""

STORE_TIMEOUT_S = 0.25
STORE_AGAIN_S = 1.0
STORE_CONNECTIONS = 32

COUNT = """
local count = redis.call('INCR', KEYS[1])
local left_ms = redis.call('PTTL', KEYS[1])
if left_ms < 0 then
  redis.call('PEXPIRE', KEYS[1], ARGV[1])
  left_ms = tonumber(ARGV[1])
end
return {count, left_ms}
"""
"""One round trip: count a request and tell what is left of its window. The store runs it whole or not at all."""

log = structlog.stdlib.get_logger("lathwind")


class RateError(Exception):
    """A limit or a store that cannot be used; the text says what is allowed."""


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
        packed = inet_pton(AF_INET6, host.partition("%")[0])
    except (OSError, ValueError):
        return host
    if packed.startswith(MAPPED):
        return inet_ntop(AF_INET, packed[len(MAPPED) :])
    return inet_ntop(AF_INET6, packed[:8] + bytes(8)) + "/64"


class Rate:
    """One limit for every caller."""

    def __init__(self, limit: Limit, store: str = MEMORY, *, clock: Callable[[], float] = monotonic) -> None:
        """Count in this process (`memory`) or in a store (`redis://…`, `rediss://…`, `unix://…`).

        Raises:
            RateError: there is no such store.
        """
        self.limit = limit
        self._clock = clock
        self._own = _Own(limit.window_s)
        self._store = None if store == MEMORY else _Store(store, limit)
        self._store_down = False
        self._store_again_s = 0.0
        self._policy = (b"ratelimit-policy", f'"default";q={limit.requests};w={limit.window_s}'.encode())

    async def hit(self, name: str) -> Taken:
        """Count one request of a caller."""
        now_s = self._clock()
        counted = None
        if self._store is not None and now_s >= self._store_again_s:
            counted = await self._in_store(self._store, name, now_s)
        count, left_s = counted or self._own.count(name, now_s)
        limit = self.limit.requests
        reset_s = min(max(1, ceil(left_s)), self.limit.window_s)  # sums of floats may end a little behind the window
        return Taken(count <= limit, limit, max(0, limit - count), reset_s)

    async def _in_store(self, store: "_Store", name: str, now_s: float) -> tuple[int, float] | None:
        """The count in the store, or None where it is down."""
        if self._store_down:
            # this request is the one that tries; the others do not wait for it
            self._store_again_s = now_s + STORE_AGAIN_S
        try:
            counted = await store.count(name)
        except _StoreDownError as error:
            self._store_again_s = self._clock() + STORE_AGAIN_S
            if not self._store_down:
                log.error("rate_store_down", reason=str(error))  # noqa: TRY400 - a trace adds nothing
            self._store_down = True
            return None
        if self._store_down:
            log.warning("rate_store_back")
        self._store_down = False
        self._store_again_s = 0.0
        return counted

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

    async def close(self) -> None:
        """Let go of the store's connections."""
        if self._store is not None:
            await self._store.close()


class _Own:
    """Counts of this process."""

    def __init__(self, window_s: int) -> None:
        self._window_s = window_s
        self._windows: dict[str, tuple[int, float]] = {}
        self._sweep_at_s = 0.0

    def count(self, name: str, now_s: float) -> tuple[int, float]:
        """The requests of a caller in its window with this one, and what is left of the window."""
        if now_s >= self._sweep_at_s:
            self._windows = {caller: window for caller, window in self._windows.items() if now_s < window[1]}
            self._sweep_at_s = now_s + self._window_s
        count, ends_s = self._windows.get(name, (0, 0.0))
        if now_s >= ends_s:
            count, ends_s = 0, now_s + self._window_s
        self._windows[name] = (count + 1, ends_s)
        return count + 1, ends_s - now_s


class _StoreDownError(Exception):
    """The store cannot be reached, refuses, or does not answer in time; the text is the kind of failure only.

    A server's own words can repeat what it was sent, a password too.
    """


class _Store:
    """Counts that processes share."""

    def __init__(self, address: str, limit: Limit) -> None:
        from redis.asyncio import BlockingConnectionPool, Redis  # noqa: PLC0415 - 0.2 s and 20 MB that few services need
        from redis.exceptions import RedisError  # noqa: PLC0415 - the same

        if not address.startswith(STORES):
            # without the address: it can hold a password
            raise RateError(f"the store must be {MEMORY} or an address that begins with {', '.join(STORES)}")
        try:
            # a pool of its own does not try again by itself, as the client's would for seconds
            pool = BlockingConnectionPool.from_url(address, max_connections=STORE_CONNECTIONS, protocol=2)
        except ValueError:
            raise RateError("the store's address cannot be read") from None
        self._client = Redis(connection_pool=pool)
        self._script = self._client.register_script(COUNT)
        self._failures = (RedisError, OSError)
        self._prefix = f"lathwind:rate:{limit.requests}/{limit.window_s}:"
        self._window_ms = limit.window_s * 1000

    async def count(self, name: str) -> tuple[int, float]:
        """The requests of a caller in its window with this one, and what is left of the window.

        Raises:
            _StoreDownError: the store cannot be used at the moment.
        """
        try:
            async with asyncio.timeout(STORE_TIMEOUT_S):
                reply = await self._script(keys=[self._prefix + name], args=[self._window_ms])
        except self._failures as error:
            raise _StoreDownError(type(error).__name__) from error
        match reply:
            case [int(count), int(left_ms)]:
                return count, left_ms / 1000
        raise _StoreDownError("a reply of another form")

    async def close(self) -> None:
        """Let go of the connections."""
        await self._client.aclose()
        await self._client.connection_pool.disconnect()

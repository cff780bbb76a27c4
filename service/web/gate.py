"""The gate before every door: the right host, a known key with the right scope, not too often, not too many at once."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from ipaddress import ip_network

from service.contract.operations import Operation
from service.contract.problems import Refusal
from service.web.asgi import Scope
from service.web.keys import Keys, admit
from service.web.rate import Rate, address_of
from service.web.witness import seen

HOST = re.compile(r"(?P<name>\[[0-9a-f:.]+\]|[^\s:,@/\[\]]+)(?::[0-9]*)?\Z")
"""The header Host (RFC 9110, 7.2): a name or address, perhaps a port. Two such headers, joined, have not this form."""


class HostsError(Exception):
    """A host name that no header Host, or a proxy's address that no caller would ever match; the text says which and why."""


def hosts_of(text: str) -> frozenset[str]:
    """The host names from their written form, separated by commas; none from an empty text.

    Raises:
        HostsError: one of them is not a name or an address alone.
    """
    names = [name.strip().lower() for name in text.split(",") if name.strip()]
    for name in names:
        found = HOST.match(name)
        if found is None or found["name"] != name:
            raise HostsError(f"{name!r}: write a name or an address alone, such as fit.example or [::1], without a port")
    return frozenset(names)


def check_proxies(text: str) -> None:
    """Refuse addresses of proxies that the server would take for the name of a socket, and so believe nobody.

    Raises:
        HostsError: one of them is no address, no network and no `*`.
    """
    for one in filter(None, map(str.strip, text.split(","))):
        try:
            if one != "*":
                ip_network(one)
        except ValueError as error:
            raise HostsError(f"{one!r}: write an address or a network such as 192.0.2.7 or 10.0.0.0/8, or *") from error


class Gate:
    """Lets requests pass, or refuses them."""

    def __init__(
        self, *, keys: Keys | None, rate: Rate | None, hosts: frozenset[str], headers_max: int, concurrent_max: int
    ) -> None:
        """Without keys everybody passes, without a rate as often as they like, without hosts under any name."""
        self._keys = keys
        self._rate = rate
        self._hosts = hosts
        self._headers_max = headers_max
        self._concurrent_max = concurrent_max
        self._concurrent = 0

    async def admit(self, scope: Scope, headers: dict[bytes, str], operation: Operation) -> None:
        """Let a request pass; what it has left of its rate goes into the answer's header.

        Raises:
            Refusal: the host is not ours, the key is missing, unknown or without the scope, or it comes too often.
        """
        if len(scope["headers"]) > self._headers_max:
            raise Refusal("too-many-headers", f"A request may have {self._headers_max} header fields at most.")
        if not operation.access:  # probes come under any name
            return
        host = HOST.match(headers.get(b"host", "").lower())
        if self._hosts and (host is None or host["name"] not in self._hosts):
            raise Refusal("wrong-host", "This service does not answer under the name in the header Host.")
        name = ""
        if self._keys is not None:
            key = admit(
                self._keys.ring(), headers.get(b"authorization", ""), headers.get(b"x-api-key", ""), operation.access
            )
            seen(scope).logged["key"] = key.name
            name = f"key:{key.name}"
        if self._rate is not None and operation.counted:
            taken = await self._rate.hit(name or f"address:{address_of(scope)}")
            seen(scope).fields = self._rate.fields(taken)
            if not taken.allowed:
                told = f"At most {taken.limit} requests in {self._rate.limit.window_s} s; see Retry-After."
                raise Refusal("too-many-requests", told)

    @contextmanager
    def place(self, operation: Operation) -> Iterator[None]:
        """One of the places for requests that are answered at once.

        Raises:
            Refusal: all are taken.
        """
        if not operation.counted:
            yield
            return
        if self._concurrent >= self._concurrent_max:
            told = f"{self._concurrent_max} requests are being answered already."
            raise Refusal("busy", told, headers=((b"retry-after", b"1"),))
        self._concurrent += 1
        try:
            yield
        finally:
            self._concurrent -= 1

"""What is settled by a request's head alone, before keys, limits and body, for whatever the application answers."""

import re
from collections.abc import Callable
from functools import partial

from service.contract.problems import Refusal
from service.web.asgi import Scope
from service.web.request_log import nothing_at, state_of
from service.words.languages import marked

HOST = re.compile(r"(?P<name>\[[0-9a-f:.]+\]|[a-z0-9._~!$&'()*+;=%-]+)(?::[0-9]*)?\Z")
"""The header Host (RFC 9110, 7.2): a name or address, perhaps a port."""
PROBES = frozenset({"/health/live", "/health/ready"})
"""Paths that are asked for under any name: whoever asks knows an address only."""
CLOSE = (b"connection", b"close")
METHODS = "GET, HEAD, OPTIONS, POST"


class HostsError(Exception):
    """A host name that no header Host would ever match; the text says which and why."""


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


def checking(hosts: frozenset[str]) -> Callable[[Scope], None]:
    """A check of heads; without hosts any name is taken."""
    return partial(check_head, hosts)


def check_head(hosts: frozenset[str], scope: Scope) -> None:
    """Refuse a request by its head.

    Raises:
        Refusal: it asks for a tunnel or another protocol, has not one Host, or one that is not ours, or its path is
            written as none of ours is.
    """
    if scope["method"] == "CONNECT":
        told = marked("This service opens no tunnels.")
        raise Refusal("method-not-allowed", told, headers=((b"allow", METHODS.encode()), CLOSE))
    headers = state_of(scope).headers
    connection = headers.get(b"connection")
    if connection is not None and "upgrade" in map(str.strip, connection.lower().split(",")):
        # the server's parser skips such a request's body, so nothing can be read on this connection any more
        switch = ((b"upgrade", b"HTTP/1.1"), CLOSE)
        raise Refusal("no-upgrade", marked("Send the request without the header Upgrade."), headers=switch)
    host = headers.get(b"host")
    repeated = len(headers) != len(scope["headers"]) and [name for name, _ in scope["headers"]].count(b"host") > 1
    if repeated or (host is None and scope["http_version"] == "1.1"):  # RFC 9112, 3.2
        raise Refusal("malformed-head", marked("A request has one header Host."), headers=(CLOSE,))
    found = HOST.match(host.lower()) if host is not None else None
    if (host is not None and not found) or (
        hosts and scope["path"] not in PROBES and (not found or found["name"] not in hosts)
    ):
        raise Refusal("wrong-host", marked("This service does not answer under the name in the header Host."))
    # Ours are plain ASCII. What a proxy lets through goes by the path as it is written, so there is one way to write it.
    path = scope["path"]
    if scope["raw_path"] != path.encode() or "//" in path or (path.endswith("/") and path != "/"):
        raise nothing_at(scope)

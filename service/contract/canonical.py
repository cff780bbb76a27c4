"""The canonical form of JSON (RFC 8785)."""

from typing import Any

import msgspec
import rfc8785

from service.audit.figures import far_out, integral

_SORTED = msgspec.json.Encoder(order="sorted")


def canonical(content: Any) -> bytes:
    """The RFC 8785 form of what msgspec can encode.

    msgspec sorts members and writes strings as RFC 8785 asks, and numbers too while they lie between 0.00001 and 1e15
    and whole ones are integers; a property test compares it with the rfc8785 library. That library itself, fifty times
    slower, writes what lies outside.
    """
    plain = integral(msgspec.to_builtins(content))
    if far_out(plain):
        return rfc8785.dumps(plain)
    return _SORTED.encode(plain)

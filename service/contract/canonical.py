"""The canonical form of JSON (RFC 8785) and the rounding of figures at the boundary."""

from typing import Any

import msgspec
import rfc8785

_SORTED = msgspec.json.Encoder(order="sorted")
DECIMALS = 3
SMALL = 1e-5
LARGE = 1e15


def figure(value: float) -> float | int:
    """A number as it leaves the service: rounded to 0.001 of its unit, whole numbers without a fraction, no -0.

    Raises:
        ValueError: the value is not a number.
        OverflowError: the value is infinite.
    """
    if not value % 1:
        return int(value)
    rounded = round(value, DECIMALS)
    whole = int(rounded)
    return whole if whole == rounded else rounded


def figures(values: tuple[Any, ...]) -> list[Any]:
    """The values with every float rounded as a figure; everything else as it is."""
    return [figure(value) if type(value) is float else value for value in values]


def canonical(content: Any) -> bytes:
    """The RFC 8785 form of what msgspec can encode.

    msgspec sorts members and writes strings as RFC 8785 asks, and numbers too while they lie between 0.00001 and 1e15
    and whole ones are integers; a property test compares it with the rfc8785 library. That library itself, fifty times
    slower, writes what lies outside.
    """
    plain = _integral(msgspec.to_builtins(content))
    if _needs_library(plain):
        return rfc8785.dumps(plain)
    return _SORTED.encode(plain)


def canonical_figures(content: Any) -> bytes:
    """The RFC 8785 form of an answer whose numbers are all figures."""
    return _SORTED.encode(content)


def _integral(content: Any) -> Any:
    """The content with whole floats as integers, the way RFC 8785 writes them."""
    if type(content) is float:
        return int(content) if content.is_integer() and abs(content) < LARGE else content
    if isinstance(content, dict):
        return {key: _integral(value) for key, value in content.items()}
    if isinstance(content, list):
        return [_integral(value) for value in content]
    return content


def _needs_library(content: Any) -> bool:
    """Whether a number is so small or so large that msgspec writes it in another way."""
    if isinstance(content, dict):
        return any(map(_needs_library, content.values()))
    if isinstance(content, list):
        return any(map(_needs_library, content))
    return type(content) is float and not SMALL <= abs(content) < LARGE

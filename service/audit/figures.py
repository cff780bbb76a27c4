"""Figures: numbers as they leave the service, and as the canonical form of JSON (RFC 8785) writes them."""

from math import floor
from typing import Any, Final

DECIMALS: Final = 3
THOUSAND: Final = 1000
NEAR_TIE: Final = 0.499
"""Distance from the nearest whole count [parts] up to which multiplying cannot have led to a wrong one."""
PLAIN_MAX: Final = 1e9
"""Values [any unit] up to which that holds."""
UNCOUNTED: Final = 1 << 60
"""A number of parts that no value has; not None, with which each count would be an object."""
SMALL: Final = 1e-5
LARGE: Final = 1e15

WHOLE: Final[list[str]] = [str(whole) for whole in range(4000)]
"""Whole numbers, written once as far as lengths of a compartment go [mm]."""
FRACTIONS: Final[list[str]] = [f".{thousandths:03}".rstrip("0") if thousandths else "" for thousandths in range(THOUSAND)]
"""What stands behind the whole part of a figure, by its thousandths."""


def nearest_count(value: float, parts: int) -> int:
    """How many parts of one a value has, such as thousandths: the nearest whole number.

    `UNCOUNTED` where only `round` can tell: near a tie, for large values, and for what is no finite number.
    """
    if -PLAIN_MAX < value < PLAIN_MAX:
        scaled = value * parts
        count = floor(scaled + 0.5)
        if -NEAR_TIE < scaled - count < NEAR_TIE:
            return count
    return UNCOUNTED


def figure(value: float) -> float | int:
    """A number as it leaves the service: rounded to 0.001 of its unit, whole numbers without a fraction, no -0.

    It is what `round` gives, only faster: the nearest number to a whole count of thousandths.

    Raises:
        ValueError: the value is not a number.
        OverflowError: the value is infinite.
    """
    thousandths = nearest_count(value, THOUSAND)
    if thousandths != UNCOUNTED:
        return thousandths / THOUSAND if thousandths % THOUSAND else thousandths // THOUSAND
    rounded = round(value, DECIMALS)
    whole = int(rounded)
    return whole if whole == rounded else rounded


def put_figure(pieces: list[str], value: float) -> None:
    """Put a figure behind other pieces of text, as RFC 8785 writes it: the same number, without making one of it.

    Raises:
        ValueError: the value is not a number.
        OverflowError: the value is infinite.
    """
    thousandths = nearest_count(value, THOUSAND)
    if thousandths == UNCOUNTED:
        pieces.append(repr(figure(value)))
        return
    if thousandths < 0:
        pieces.append("-")
        thousandths = -thousandths
    pieces.append(whole_text(thousandths // THOUSAND))
    if thousandths % THOUSAND:
        pieces.append(FRACTIONS[thousandths % THOUSAND])


def whole_text(whole: int) -> str:
    """A whole number, written."""
    return WHOLE[whole] if 0 <= whole < len(WHOLE) else str(whole)


def integral(content: Any) -> Any:
    """JSON content with whole floats as integers, the way RFC 8785 writes them."""
    if isinstance(content, float):
        return int(content) if content.is_integer() and abs(content) < LARGE else content
    if isinstance(content, dict):
        return {key: integral(value) for key, value in content.items()}
    if isinstance(content, list):
        return [integral(value) for value in content]
    return content


def far_out(content: Any) -> bool:
    """Whether JSON content has a number so small or so large that RFC 8785 writes it with an exponent, or nearly so."""
    if isinstance(content, float):
        return not SMALL <= abs(content) < LARGE
    if isinstance(content, dict):
        return any(map(far_out, content.values()))
    if isinstance(content, list):
        return any(map(far_out, content))
    return False

"""Figures and texts as people read them on paper."""

import re
import unicodedata

from service.calculation.checks import Check
from service.calculation.warnings import figure

VERDICTS = {
    "fits": "Fits",
    "fits_with_cautions": "Fits, with cautions",
    "does_not_fit": "Does not fit",
}

REPLACEMENT = "\N{REPLACEMENT CHARACTER}"
_UNPRINTABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")
_DIRECTION_CONTROLS = re.compile("[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")
_CHARACTER_WIDTH = 0.58
_WIDE_CHARACTER_WIDTH = 1.1


def clean(text: str) -> str:
    """A caller's text on one line, without what no document can carry and without marks that turn the text around."""
    printable = _UNPRINTABLE.sub(REPLACEMENT, _DIRECTION_CONTROLS.sub("", text))
    return " ".join(unicodedata.normalize("NFC", printable).split())


def shown(value: float) -> str:
    """A figure for the workshop: one decimal, or as many as it takes where one would say 0."""
    short = f"{value:.1f}"
    return figure(value) if float(short) == 0 else short


def _bound(check: Check) -> str:
    return "≤" if check.direction == "at_most" else "≥"


def _decimals(check: Check) -> int:
    """As many decimals as keep value and limit apart, so that no failing figure reads like its limit."""
    return next((places for places in (1, 2) if round(check.value, places) != round(check.limit, places)), 3)


def value_of(check: Check) -> str:
    """A check's value."""
    return f"{check.value:.0f}" if check.unit == "slats" else f"{check.value:.{_decimals(check)}f}"


def limit_of(check: Check) -> str:
    """A check's limit with its direction."""
    return f"{_bound(check)} {figure(check.limit)}"


def state_of(check: Check) -> str:
    """A check's state in words."""
    if check.state == "fails":
        return f"FAILS by {figure(-check.margin) if check.unit == 'slats' else shown(-check.margin)}"
    return check.state


def width_of(text: str, *, size: float) -> float:
    """Width of a text in the unit of its size, estimated on the wide side, since the reader's fonts are unknown."""
    return size * sum(
        0.0
        if unicodedata.combining(one)
        else _WIDE_CHARACTER_WIDTH
        if unicodedata.east_asian_width(one) in "WF" or one in "MW@%"
        else _CHARACTER_WIDTH
        for one in text
    )


def lines_of(text: str, *, size: float, width: float, most: int) -> list[str]:
    """The text broken into at most so many lines that fit the width; what is left over ends in an ellipsis."""
    lines: list[str] = []
    rest = text
    while rest and len(lines) < most:
        end = len(rest)
        while width_of(rest[:end], size=size) > width:
            end -= 1
        if end < len(rest) and " " in rest[1:end]:
            end = rest.rindex(" ", 1, end)
        lines.append(rest[:end].rstrip())
        rest = rest[end:].lstrip()
    if rest:
        last = lines[-1]
        while width_of(f"{last}…", size=size) > width:
            last = last[:-1]
        lines[-1] = f"{last.rstrip()}…"
    return lines

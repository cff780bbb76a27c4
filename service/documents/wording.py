"""Figures and texts as people read them on paper."""

import re
import unicodedata

from service.calculation.checks import Check
from service.calculation.warnings import figure
from service.documents.faces import width_of

VERDICTS = {
    "fits": "Fits",
    "fits_with_cautions": "Fits, with cautions",
    "does_not_fit": "Does not fit",
}
STOP = "Does not fit: do not cut or drill"
HANDS_SEEN = "left and right as seen from outside"

REPLACEMENT = "\N{REPLACEMENT CHARACTER}"
_UNPRINTABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")
_DIRECTION_CONTROLS = re.compile("[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")
_UNCERTAIN = re.compile(
    "[^ -~\u00a0-\u017f\u0386\u0388-\u038a\u038c\u038e-\u03a1\u03a3-\u03ce\u0400-\u045f\u05d0-\u05ea–—‘’“”…≤≥−\ufffd]"
)
"""Signs that a face may lack or may not join with their neighbours."""


def clean(text: str) -> str:
    """A caller's text on one line, without what no document can carry and without marks that turn the text around."""
    printable = _UNPRINTABLE.sub(REPLACEMENT, _DIRECTION_CONTROLS.sub("", text))
    return " ".join(unicodedata.normalize("NFC", printable).split())


def spelled(text: str) -> str:
    """The same with the code point in place of every sign that a face may lack: it can still be told whose job it is."""
    return _UNCERTAIN.sub(lambda sign: f"\\u{ord(sign[0]):04x}", clean(text))


def without_uncertain(text: str) -> str:
    """A text with the replacement character in place of every sign that a face may lack."""
    return _UNCERTAIN.sub(REPLACEMENT, text)


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
    places = 0 if check.unit == "slats" else _decimals(check)
    return f"{check.value:.{places}f}".replace("-", "−")


def limit_of(check: Check) -> str:
    """A check's limit with its direction, to five digits."""
    return f"{_bound(check)} {check.limit:.5g}"


def state_of(check: Check) -> str:
    """A check's state in words."""
    if check.state == "fails":
        return f"FAILS by {figure(-check.margin) if check.unit == 'slats' else shown(-check.margin)}"
    return check.state


def _end_of_line(text: str, *, size: float, width: float, bold: bool) -> int:
    """How many characters go on one line; the line ends between words where it can."""
    used = 0.0
    for end, character in enumerate(text):
        used += width_of(character, size=size, bold=bold)
        if used > width:
            return text.rfind(" ", 1, end + 1) if " " in text[1 : end + 1] else max(1, end)
    return len(text)


def lines_of(text: str, *, size: float, width: float, bold: bool = False) -> list[str]:
    """The text broken into lines that fit the width."""
    lines = []
    rest = text
    while rest:
        end = _end_of_line(rest, size=size, width=width, bold=bold)
        lines.append(rest[:end].rstrip())
        rest = rest[end:].lstrip()
    return lines or [""]


def lines_at_most(text: str, most: int, *, size: float, width: float, bold: bool = False) -> list[str]:
    """The text broken into lines that fit the width; what is left over after so many lines ends in an ellipsis."""
    lines = lines_of(text, size=size, width=width, bold=bold)
    if len(lines) <= most:
        return lines
    last = lines_of(lines[most - 1], size=size, width=width - size, bold=bold)[0]
    return [*lines[: most - 1], f"{last}…"]

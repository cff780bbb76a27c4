"""Figures and texts as people read them on paper."""

import re
import unicodedata
from typing import NamedTuple

from service.calculation.checks import Check
from service.documents.faces import width_of
from service.words.languages import Language, marked

STOP = marked("Does not fit: do not cut or drill")
HANDS_SEEN = marked("Left and right as seen from outside.")

REPLACEMENT = "\N{REPLACEMENT CHARACTER}"
_UNPRINTABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")
_DIRECTION_CONTROLS = re.compile("[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")
_UNCERTAIN = re.compile(
    "[^ -~\u00a0-\u017f\u0386\u0388-\u038a\u038c\u038e-\u03a1\u03a3-\u03ce\u0400-\u045f\u05d0-\u05ea–—‘’“”…≤≥−←↑→↓\ufffd]"
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


UNIT_SIGNS = {"deg": "°", "1": "", "slats": "", "springs": "", "mm": " mm"}
"""How a check's unit is written behind its figures."""


class Compared(NamedTuple):
    """A check's figures as people read them."""

    value: str
    limit: str
    state: str


def compared(check: Check, language: Language) -> Compared:
    """Value, limit with its direction and unit, and state in words."""
    value, limit, apart = language.numbers.compared(value=check.value, limit=check.limit, unit=check.unit)
    bound = "≤" if check.direction == "at_most" else "≥"
    unit = UNIT_SIGNS.get(check.unit, f" {check.unit}")
    if check.state == "fails":
        state = language.say(marked("FAILS by {distance}"), distance=apart)
    else:
        state = language.name(marked("tight") if check.state == "tight" else marked("ok"))
    return Compared(value, f"{bound} {limit}{unit}", state)


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

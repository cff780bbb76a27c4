"""How wide texts are: the advance widths of the face that all documents are set in."""

import unicodedata
from functools import cache
from importlib.resources import files

from fontTools.ttLib import TTFont  # type: ignore[import-untyped] # the library has no types

FACE = files("fontpkg_ibm_plex_sans").joinpath("files", "IBMPlexSans[wdth,wght].ttf")
REGULAR, BOLD = 400, 700
"""Weights on the face's own axis."""

FOREIGN, FOREIGN_WIDE = 0.7, 1.1
"""Width of a character that the face lacks [em], on the wide side: whose face will show it is unknown."""


@cache
def _advances(weight: int) -> dict[str, float]:
    """Width of every character of the face [em]."""
    with FACE.open("rb") as file:
        font = TTFont(file)
        glyphs = font.getGlyphSet(location={"wght": weight})
        em = font["head"].unitsPerEm
        return {chr(code): glyphs[name].width / em for code, name in font.getBestCmap().items()}


def has(text: str) -> bool:
    """Whether the face has every character of a text."""
    return _advances(REGULAR).keys() >= set(text)


def width_of(text: str, *, size: float, bold: bool = False) -> float:
    """Width of a text in the unit of its size: exact but for kerning where the face has it, else on the wide side."""
    advances = _advances(BOLD if bold else REGULAR)
    return size * sum(advances[one] if one in advances else _foreign(one) for one in text)


def _foreign(character: str) -> float:
    """Width of a character that the face lacks [em]."""
    if unicodedata.combining(character):
        return 0.0
    return FOREIGN_WIDE if unicodedata.east_asian_width(character) in "WF" else FOREIGN

"""Cells of a CSV answer."""

import csv
import io
import re
import unicodedata
from collections.abc import Iterable

from service.audit.figures import integral

CONTENT_TYPE = "text/csv; charset=utf-8; header=present"
"""The media type of a CSV answer."""
END = b"\r\n"
FORMULA_SIGNS = frozenset("=+-@")
UNSEEN = frozenset({"Cc", "Cf", "Zs", "Zl", "Zp"})
"""Unicode's categories of control and format characters and of spaces."""
NUMBER = re.compile(r" *-?[0-9]+(?:[.,][0-9]+)*(?:[eE][+-]?[0-9]+)? *")
"""A text that is a number, perhaps a negative one, and no formula."""


class WithComma(float):
    """A number that is written with a decimal comma: the csv module counts it as a number and leaves it unquoted."""

    __slots__ = ()

    def __str__(self) -> str:
        """The number as JSON has it, its point swapped for a comma."""
        return float.__repr__(self).replace(".", ",")


def line(cells: Iterable[object]) -> bytes:
    """A row, with a comma between cells and a decimal point in numbers."""
    return joined(cells) + END


def joined(cells: Iterable[object], *, delimiter: str = ",", mark: str = ".") -> bytes:
    """Cells of a row, with a decimal mark in numbers; none is a formula.

    Texts are quoted, since a reader may take another delimiter for its own.
    """
    written = io.StringIO(newline="")
    writer = csv.writer(written, delimiter=delimiter, lineterminator="", quoting=csv.QUOTE_NONNUMERIC)
    writer.writerow([_written(cell, mark) for cell in cells])
    return written.getvalue().encode()


def _written(cell: object, mark: str) -> object:
    if isinstance(cell, str):
        return safe(cell)
    if isinstance(cell, bool):
        return "true" if cell else "false"
    figure = integral(cell)
    return WithComma(figure) if isinstance(figure, float) and mark == "," else figure


def safe(text: str) -> str:
    """A text that no spreadsheet program takes for a formula: one that looks like it gets an apostrophe.

    What cannot be seen is skipped, and full-width signs count as plain ones, as some programs have it.
    """
    plain = not text or (text[0].isascii() and text[0].isalnum())  # nearly every text
    if plain or NUMBER.fullmatch(text):
        return text
    first_seen = next((sign for sign in text if unicodedata.category(sign) not in UNSEEN), "")
    begins = unicodedata.normalize("NFKC", first_seen) in FORMULA_SIGNS
    return f"'{text}" if begins or text[:1] in {"\t", "\r", "\n"} else text

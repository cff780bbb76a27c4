"""Cells of a CSV answer."""

import csv
import io
import re
import unicodedata
from collections.abc import Iterable

CONTENT_TYPE = "text/csv; charset=utf-8; header=present"
"""The media type of a CSV answer."""
FORMULA_SIGNS = frozenset("=+-@")
UNSEEN = frozenset({"Cc", "Cf", "Zs", "Zl", "Zp"})
"""Unicode's categories of control and format characters and of spaces."""
NUMBER = re.compile(r" *-?[0-9]+(?:[.,][0-9]+)*(?:[eE][+-]?[0-9]+)? *")
"""A text that is a number, perhaps a negative one, and no formula."""


def line(cells: Iterable[object]) -> bytes:
    """A row; texts are quoted, and none is a formula."""
    written = io.StringIO(newline="")
    writer = csv.writer(written, lineterminator="\r\n", quoting=csv.QUOTE_NONNUMERIC)
    writer.writerow([safe(cell) if isinstance(cell, str) else cell for cell in cells])
    return written.getvalue().encode()


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

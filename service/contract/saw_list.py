"""The saw list: a cutting plan as CSV, a row for each piece and each offcut in the order of cutting, missing pieces last."""

from codecs import BOM_UTF8
from collections.abc import Iterator

from msgspec import UNSET

from service.contract.cells import line
from service.contract.cutting_plans import CuttingPlan, PlannedBar, ProfilePlan

COLUMNS = (
    "profile",
    "bar",
    "bar_count",
    "stock_length_mm",
    "what",
    "number",
    "length_mm",
    "at_mm",
    "reference",
    "missing_count",
)
"""The header. `bar` is the number of the first of `bar_count` equal bars of the profile, `what` is `piece`, `offcut` (kept),
`waste` or `missing`, `number` counts the pieces of a bar."""


def saw_list(plan: CuttingPlan) -> bytes:
    """The list, behind the byte order mark by which spreadsheets know UTF-8."""
    rows = [row for profile in plan.profiles for row in _rows(profile)]
    return BOM_UTF8 + b"".join(map(line, (COLUMNS, *rows)))


def _rows(plan: ProfilePlan) -> Iterator[list[object]]:
    number = 1
    for bar in plan.bars:
        for row in _cut(bar):
            yield [plan.profile, number, bar.count, bar.stock_length_mm, *row, ""]
        number += bar.count
    for missing in plan.missing:
        yield [plan.profile, "", "", "", "missing", "", missing.length_mm, "", "", missing.count]


def _cut(bar: PlannedBar) -> Iterator[list[object]]:
    """What, number, length, place and reference of each piece, and of what is left."""
    for number, piece in enumerate(bar.pieces, 1):
        reference = "" if piece.reference is UNSET else piece.reference
        yield ["piece", number, piece.length_mm, piece.at_mm, reference]
    if bar.offcut_mm:
        yield ["offcut" if bar.kept else "waste", "", bar.offcut_mm, "", ""]

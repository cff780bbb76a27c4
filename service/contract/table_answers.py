"""The CSV form of a batch's answers: a row an opening, or a row a part, as spreadsheets and programs read it."""

from codecs import BOM_UTF8
from collections.abc import Iterable, Iterator
from typing import Any, NamedTuple

import msgspec
from msgspec import UNSET, UnsetType, inspect

from service.calculation.checks import ROWS
from service.contract.answers import Fitting
from service.contract.batch import BatchItem, ShortFitting
from service.contract.cells import END, joined
from service.contract.problems import Problem, said
from service.contract.spreadsheet import COLUMN_OF, Table
from service.words.languages import marked

FIRST = ("index", "reference", "status", "verdict")
"""The columns that every answer begins with; carried ones follow."""
LAST = "problem"
WARNINGS = "warnings"
CHECKED = ("value", "limit", "margin")
"""What is told of each check."""
ELSEWHERE = ("reference", "verdict", "audit.request", "geometry", "words")
"""Members of a fitting that stand in columns of their own, repeat the question, or are for JSON only."""
PARTS = ("key", "catalogue_id", "article", "label", "quantity", "unit", "cut_length_mm")
"""The columns of a part; its label is in the caller's language."""


class Form(NamedTuple):
    """A form of answer: its columns between the first ones and the problem, what is needed for it, and its file's name."""

    columns: tuple[str, ...]
    fields: str
    file_name: str


def _columns(kind: inspect.Type, path: str = "") -> Iterator[str]:
    """The single members of a type by their paths, and what stands for its lists of warnings and checks."""
    if isinstance(kind, inspect.Metadata):
        yield from _columns(kind.type, path)
    elif path in ELSEWHERE:
        return
    elif isinstance(kind, inspect.StructType):
        for field in sorted(kind.fields, key=lambda field: field.name == "audit"):  # the digests are long: last
            yield from _columns(field.type, f"{path}.{field.name}" if path else field.name)
    elif path == "checks":
        yield from (f"checks.{id}.{member}" for id in ROWS for member in CHECKED)
    elif path == WARNINGS or not isinstance(kind, inspect.ListType):
        yield path


FORMS = {
    "short": Form(tuple(_columns(inspect.type_info(ShortFitting))), "short", "fittings.csv"),
    "full": Form(tuple(_columns(inspect.type_info(Fitting))), "figures", "fittings.csv"),
    "parts": Form(PARTS, "full", "parts.csv"),
}
"""What can be asked for."""


class TableWriter:
    """Writes the answer to a table: in its delimiter, with its decimal mark."""

    def __init__(self, table: Table, *, fields: str, mark: str, language: str) -> None:
        """Prepare for a table; `fields` is one of `FORMS`."""
        self._form = FORMS[fields]
        self._in_parts = fields == "parts"
        self._delimiter = table.delimiter
        self._carried = table.carried
        self._mark = mark
        self._language = language

    def header(self) -> bytes:
        """The first row, behind the byte order mark by which spreadsheets know UTF-8."""
        return BOM_UTF8 + self._line(self._cells([*FIRST, *self._carried]), [*self._form.columns, LAST])

    def answer(self, item: BatchItem, row_number: int, carried: list[str]) -> bytes:
        """The rows that answer a row with its number and its carried cells."""
        found: Any = item.short if item.fitting is UNSET else item.fitting
        verdict = "" if found is UNSET else found.verdict
        begin = self._cells([item.index, "" if item.reference is UNSET else item.reference, item.status, verdict, *carried])
        if isinstance(item.problem, Problem):
            blank = [""] * len(self._form.columns)
            return self._line(begin, [*blank, self._told(item.problem, row_number)])
        answers = _parts(found) if self._in_parts else [_figures(found)]
        return b"".join(self._line(begin, [*(one.get(name, "") for name in self._form.columns), ""]) for one in answers)

    def _told(self, problem: Problem, row_number: int) -> str:
        """What is wrong with a row: its number, and the columns at fault."""
        by_column = marked("Row {row}, column {column}: {detail}")
        of_row = marked("Row {row}: {detail}")
        faults = problem.errors or []
        if not faults:
            return said(of_row, {"row": row_number, "detail": problem.detail}, self._language)
        return "; ".join(
            said(by_column, {"row": row_number, "column": column, "detail": detail}, self._language)
            for column, detail in ((_column_of(str(fault.pointer)), fault.detail) for fault in faults)
        )

    def _line(self, begin: bytes, cells: Iterable[object]) -> bytes:
        """A row whose first cells are written already."""
        return begin + self._delimiter.encode() + self._cells(cells) + END

    def _cells(self, cells: Iterable[object]) -> bytes:
        return joined(cells, delimiter=self._delimiter, mark=self._mark)


def _figures(found: Fitting | ShortFitting) -> dict[str, object]:
    """What a fitting holds, by column."""
    cells = dict(_members(found))
    cells[WARNINGS] = " ".join(warning.code for warning in found.warnings)
    if isinstance(found, Fitting):
        cells |= {f"checks.{check.id}.{member}": getattr(check, member) for check in found.checks for member in CHECKED}
    return cells


def _members(content: msgspec.Struct, path: str = "") -> Iterator[tuple[str, object]]:
    """The members that a fitting has, by their paths, those of its groups too."""
    for name in content.__struct_fields__:
        value = getattr(content, name)
        if isinstance(value, msgspec.Struct):
            yield from _members(value, f"{path}{name}.")
        elif value is not UNSET:
            yield f"{path}{name}", value


def _parts(found: Fitting) -> list[dict[str, object]]:
    """The parts of a fitting that is told in words, by column."""
    labels = [] if isinstance(found.words, UnsetType) else found.words.parts
    return [{**dict(_members(part)), "label": label.label} for part, label in zip(found.parts, labels, strict=True)]


def _column_of(pointer: str) -> str:
    """The column that a fault's pointer speaks of; an option's has its place behind it."""
    return COLUMN_OF.get(pointer) or COLUMN_OF.get(pointer.rpartition("/")[0], pointer)

"""The CSV form of a batch: one row an opening under a flat header, as spreadsheets of several countries write it."""

import codecs
import csv
import io
import re
from collections import Counter
from collections.abc import Iterable, Iterator
from itertools import count, islice
from typing import Any, NamedTuple, Self

import msgspec

from service.contract.decoding import FAULTS_MAX, BodyDecoder
from service.contract.problems import ACTUAL_MAX, Mistake, Refusal, mistake
from service.contract.requests import FittingRequest
from service.words.languages import marked

TEXT_COLUMNS = {
    "reference": ("reference",),
    "body": ("opening", "body"),
    "slat": ("shutter", "slat"),
    "tube": ("shutter", "tube"),
    "side_plate": ("shutter", "side_plate"),
    "mount": ("shutter", "mount"),
    "fitted_from": ("shutter", "fitted_from"),
}
NUMBER_COLUMNS = {
    **{
        name: ("opening", name)
        for name in (
            "width_mm",
            "height_mm",
            "headroom_mm",
            "depth_mm",
            "header_thickness_mm",
            "plate_offset_mm",
            "wall_gap_left_mm",
            "wall_gap_right_mm",
            "sill_above_ground_mm",
            "load_gap_mm",
        )
    },
    "slat_count": ("shutter", "slat_count"),
    "measured_coil_radius_mm": ("shutter", "measured_coil_radius_mm"),
    **{
        name: ("duty", name)
        for name in (
            "road_speed_km_h",
            "temperature_min_c",
            "temperature_max_c",
            "supply_v",
            "cable_run_m",
            "cycles_per_day",
            "service_years",
            "hand_force_limit_n",
            "measuring_tolerance_mm",
        )
    },
}
OPTIONS_COLUMN = "options"
REQUIRED = ("width_mm", "height_mm", "headroom_mm", "depth_mm", "header_thickness_mm", "slat")
COLUMNS = (*TEXT_COLUMNS, *NUMBER_COLUMNS, OPTIONS_COLUMN)
"""What a header may name, in any order."""
COLUMN_OF = {
    "/" + "/".join(path): column
    for column, path in {**TEXT_COLUMNS, **NUMBER_COLUMNS, OPTIONS_COLUMN: (OPTIONS_COLUMN,)}.items()
}
"""The column of a request's member by its JSON Pointer."""
CARRIED = "x_"
"""How the names of columns begin that are not read and come back with the answer."""
CARRIED_MAX = 100
"""Carried columns that a table may have: every row of the answer repeats them, also that of the shortest question."""

ROW_LENGTH_MAX = 65_536
"""Characters that a row may have, its line breaks included."""
DELIMITERS = ",;\t"
SEP = "sep="
"""How a first line begins that names the delimiter for spreadsheets."""
BYTE_ORDER_MARKS = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)
DECODER = BodyDecoder(FittingRequest)
MARKS = {"point": ".", "comma": ","}
"""The decimal marks by the names of the query."""
SWAPPED = str.maketrans(".,", ",.")

DECIMAL = re.compile(r"[+-]?[0-9]+([.,])[0-9]+")
"""A number with one mark."""
EITHER = re.compile(r"[+-]?[1-9][0-9]{0,2}[.,][0-9]{3}")
"""A number whose mark may be one for decimals or one for thousands."""
THOUSANDS = re.compile(r"[+-]?[0-9]{1,3}(?:[.,'’\s][0-9]{3})+(?:[.,][0-9]+)?")
"""A number with marks for thousands; also one whose only mark may be either."""
MARKED = re.compile(r"[+-]?[0-9.,]+")
"""What is meant as a number and has marks."""
NOT_A_NUMBER = {
    (".", "thousands_mark"): marked("{given} has a mark for thousands; write the number without, such as 1180.5"),
    (",", "thousands_mark"): marked("{given} has a mark for thousands; write the number without, such as 1180,5"),
    (".", "comma_in_number"): marked(
        "{given} has a comma; numbers of this table have a decimal point and no mark for thousands, such as 1180.5 (with "
        "decimal commas, separate cells by semicolons or tabs, or ask for decimal=comma)"
    ),
    (",", "point_in_number"): marked(
        "{given} has a point; numbers of this table have a decimal comma and no mark for thousands, such as 1180,5 (with "
        "decimal points, ask for decimal=point)"
    ),
    (".", "type"): marked("{given} is no number with a decimal point, such as 1180.5"),
    (",", "type"): marked("{given} is no number with a decimal comma, such as 1180,5"),
}
"""What is said of a cell that is no number, by the table's decimal mark and the fault's code."""
EITHER_WORDS = marked(
    "{given} can be read as two numbers, and no other cell tells which: ask for decimal=point or decimal=comma, or write "
    "the number without a mark for thousands"
)


class Decimals(NamedTuple):
    """How numbers are written: their mark, and whether that is known, or only what is usual with the delimiter."""

    mark: str
    known: bool


class Row(NamedTuple):
    """A row with its number, the header's being 1, as spreadsheets count; without cells where it is broken."""

    number: int
    cells: list[str]
    broken: Refusal | None = None


class Table(NamedTuple):
    """A CSV body: its rows as they are read, None for one without content."""

    delimiter: str
    header: list[str]
    rows: Iterator[Row | None]

    @property
    def carried(self) -> list[str]:
        """The columns that are carried along."""
        return [name for name in self.header if name.startswith(CARRIED)]

    def request_of(self, row: Row, decimals: Decimals) -> bytes:
        """The request of a row as JSON; empty cells are left out.

        Raises:
            Refusal: the row is broken, has too many or too few cells, or a number cannot be read as one; all cells at fault
                are named, those of another kind too.
        """
        if row.broken is not None:
            raise row.broken
        if len(row.cells) != len(self.header):
            told = marked("The row has {cells} cells, the header {columns}.")
            if self.delimiter == "," and len(row.cells) > len(self.header):
                told = marked(
                    "The row has {cells} cells, the header {columns}. Perhaps a number has a decimal comma, which separates "
                    "cells here: write 1180.5, or separate cells by semicolons."
                )
            raise Refusal("invalid-request", told, cells=len(row.cells), columns=len(self.header))
        return _request_of(self._by_column(row), decimals)

    def reference_of(self, row: Row) -> str | None:
        """The reference of a row that has the cell."""
        return self._by_column(row).get("reference", "").strip() or None

    def carried_of(self, row: Row) -> list[str]:
        """The carried cells of a row as they are, empty where it does not have them."""
        cells = self._by_column(row)
        return [cells.get(name, "") for name in self.carried]

    def _by_column(self, row: Row) -> dict[str, str]:
        return dict(zip(self.header, row.cells, strict=False))


def table(body: bytes) -> Table:
    """The table of a CSV body; it is decoded line by line.

    Raises:
        Refusal: the body is not in a known encoding, or its header is not the contract's.
    """
    lines = _Lines(body)
    try:
        delimiter = _delimiter_of(lines)
        reader = csv.reader(lines, delimiter=delimiter, strict=True)
        header = [name.strip() for name in next(reader, [])]
    except csv.Error as error:
        told = marked(
            "The header of the body is not CSV: a quotation mark is not closed or stands within a cell, or it has more than "
            "{most} characters."
        )
        raise Refusal("malformed-body", told, most=ROW_LENGTH_MAX) from error
    faults = list(islice(_faults_of_header(header), FAULTS_MAX))
    if faults:
        told = marked("The first row of the CSV body is not the contract's header.")
        raise Refusal("invalid-request", told, faults=faults)
    return Table(delimiter, header, _rows(reader, lines))


def looked_through(body: bytes, *, most: int, decimal: str = "") -> tuple[int, Decimals]:
    """How many rows with content a CSV body has, `most` where there are more, or as many blank ones; and its numbers' form.

    `decimal` is the form that the caller asks for, if any. Otherwise it is the decimal point where commas separate cells,
    and else that of the first number whose mark can only be one for decimals.

    Raises:
        Refusal: the body is not in a known encoding, or its header is not the contract's.
    """
    read = table(body)
    mark = MARKS.get(decimal) or ("." if read.delimiter == "," else "")
    numbers = [place for place, name in enumerate(read.header) if name in NUMBER_COLUMNS]
    counted = Counter[bool]()
    for row in read.rows:
        counted[row is not None] += 1
        if most in counted.values():
            break
        if row is not None and not mark:
            mark = next(_marks(row.cells[place] for place in numbers if place < len(row.cells)), "")
    usual = "," if read.delimiter == ";" else "."
    return most if most in counted.values() else counted[True], Decimals(mark or usual, known=bool(mark))


def _marks(cells: Iterable[str]) -> Iterator[str]:
    """The marks of numbers that can only be those for decimals."""
    for cell in cells:
        text = cell.strip()
        found = DECIMAL.fullmatch(text)
        if found is not None and not EITHER.fullmatch(text):
            yield found[1]


def _delimiter_of(lines: "_Lines") -> str:
    """The delimiter: as a first line `sep=` names it, which is passed over, or that by which most columns are known.

    Raises:
        csv.Error: the first line is too long.
        Refusal: the body is not in a known encoding, or the `sep=` line names another delimiter.
    """
    first = lines.look_ahead()
    if first.casefold().startswith(SEP):
        named = first[len(SEP) :].rstrip("\r\n")
        if len(named) != 1 or named not in DELIMITERS:
            raise Refusal("malformed-body", marked("The line sep= must name a comma, a semicolon or a tab."))
        lines.pass_over(first)
        return named
    split = {one: next(csv.reader([first], delimiter=one), []) for one in DELIMITERS}
    return max(DELIMITERS, key=lambda one: (len({*COLUMNS} & {name.strip() for name in split[one]}), len(split[one])))


def _faults_of_header(header: list[str]) -> Iterator[Mistake]:
    counted = Counter(header)
    for name in REQUIRED:
        if name not in counted:
            yield mistake("missing", marked("the column {column} is missing"), pointer=f"/0/{name}", column=name)
    for place, name in enumerate(header, 1):
        if not name:
            told = marked("column {place} has no name; delete it, or let its name begin with x_ to carry it along")
            yield mistake("empty_value", told, pointer="/0/", place=place)
    for name, times in counted.items():
        if name and name not in COLUMNS and not name.startswith(CARRIED):
            told = marked(
                "there is no column {column}; known are {known}; let its name begin with x_ to carry it along unread"
            )
            yield mistake("unknown_member", told, pointer=f"/0/{name}", column=_short(name), known=", ".join(COLUMNS))
        if name and times > 1:
            yield mistake("twice", marked("the column {column} is there twice"), pointer=f"/0/{name}", column=_short(name))
    carried = sum(name.startswith(CARRIED) for name in counted)
    if carried > CARRIED_MAX:
        told = marked("at most {limit} columns are carried along, not {count}")
        yield mistake("too_many", told, pointer="/0", limit=CARRIED_MAX, count=carried)


def _short(text: str) -> str:
    """A text as it is told: its beginning where it is long."""
    return text if len(text) <= ACTUAL_MAX else f"{text[:ACTUAL_MAX]}…"


class _Lines:
    """The lines of a body, for a reader that joins those of a row; it is no longer than allowed."""

    def __init__(self, body: bytes) -> None:
        self._encoding = "UTF-16" if body.startswith(BYTE_ORDER_MARKS) else "UTF-8"
        if self._encoding == "UTF-8" and b"\0" in body.partition(b"\n")[0]:
            told = marked("The body seems to be UTF-16 without a byte order mark; send it with one, or send UTF-8.")
            raise Refusal("malformed-body", told)
        self._text = io.TextIOWrapper(io.BytesIO(body), encoding=self._encoding, newline="")
        self._row: list[str] = []
        self._again: list[str] = []
        self._left = ROW_LENGTH_MAX

    def __iter__(self) -> Self:
        return self

    def __next__(self) -> str:
        """The next line.

        Raises:
            csv.Error: the row gets too long.
            Refusal: it is not in the body's encoding.
        """
        line = self._again.pop() if self._again else self._read()
        self._left -= len(line)
        if not line:
            raise StopIteration
        self._row.append(line)
        if self._left < 0:
            raise csv.Error("too long")
        return line

    def look_ahead(self) -> str:
        """The next line, which remains the next one."""
        line = next(self, "")
        self.begin_row(self._row)
        return line

    def pass_over(self, line: str) -> None:
        """Leave out a line that was looked at."""
        self._again.remove(line)

    def begin_row(self, again: list[str] | None = None) -> None:
        """Begin a row in the next line; first read lines again."""
        self._again += reversed(again or [])
        self._row, self._left = [], ROW_LENGTH_MAX

    def give_up_row(self) -> None:
        """Go on behind the first line of the row, where the next row begins if the row was broken by a quote."""
        first, *others = self._row
        while not first.endswith(("\n", "\r")):  # the line was too long
            first = others.pop(0) if others else self._read()
            if not first:
                break
        self.begin_row(others)

    def _read(self) -> str:
        try:
            return self._text.readline(ROW_LENGTH_MAX + 1)
        except UnicodeDecodeError as error:
            raise Refusal("malformed-body", marked("The body is not {encoding}."), encoding=self._encoding) from error


def _rows(reader: Iterator[list[str]], lines: _Lines) -> Iterator[Row | None]:
    for number in count(2):
        lines.begin_row()
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error:
            lines.give_up_row()
            told = marked(
                "The row is not CSV: a quotation mark is not closed or stands within a cell, or it has more than {most} "
                "characters. The next one was looked for in the next line."
            )
            yield Row(number, [], Refusal("malformed-body", told, most=ROW_LENGTH_MAX))
        else:
            yield Row(number, cells) if any(map(str.strip, cells)) else None


def _request_of(row: dict[str, str], decimals: Decimals) -> bytes:
    request: dict[str, Any] = {"opening": {}, "shutter": {}}
    faults = []
    for column, cell in row.items():
        text = cell.strip()
        if not text or column.startswith(CARRIED):
            continue
        if column == OPTIONS_COLUMN:
            request["options"] = text.replace(",", " ").split()
            continue
        *parents, member = TEXT_COLUMNS.get(column) or NUMBER_COLUMNS[column]
        value: object = text
        if column in NUMBER_COLUMNS:
            try:
                value = _number(text, decimals)
            except ValueError:
                faults.append(_fault_of_number(text, decimals, pointer="/" + "/".join([*parents, member])))
        place = request
        for parent in parents:
            place = place.setdefault(parent, {})
        place[member] = value
    written = msgspec.json.encode(request)
    if faults:
        raise Refusal("invalid-request", marked("A cell is no number."), faults=faults + _other_faults(written, faults))
    return written


def _other_faults(request: bytes, told: list[Mistake]) -> list[Mistake]:
    """What else is wrong with a row's request, beside the cells that are no numbers and stand in it as texts."""
    pointers = {one.pointer for one in told}
    try:
        DECODER.decode(request)
    except Refusal as refused:
        return [one for one in refused.faults if one.pointer not in pointers]
    return []


def _number(text: str, decimals: Decimals) -> float:
    """The number of a cell; nothing is guessed.

    Raises:
        ValueError: it is none, or can be read as two.
    """
    if not decimals.known and EITHER.fullmatch(text):
        raise ValueError("may be either")
    with_point = text if decimals.mark == "." else text.translate(SWAPPED)
    try:
        return msgspec.json.decode(with_point.encode(), type=float)
    except msgspec.MsgspecError as error:
        raise ValueError("no number") from error


def _fault_of_number(text: str, decimals: Decimals, *, pointer: str) -> Mistake:
    """What is wrong with a cell that is no number."""
    given = _short(text)
    if EITHER.fullmatch(text) and not decimals.known:
        return mistake("ambiguous_number", EITHER_WORDS, pointer=pointer, actual=text, given=given)
    other = "comma_in_number" if decimals.mark == "." else "point_in_number"
    if THOUSANDS.fullmatch(text) and not EITHER.fullmatch(text):
        code = "thousands_mark"
    else:
        code = other if MARKED.fullmatch(text) and decimals.mark.translate(SWAPPED) in text else "type"
    return mistake(code, NOT_A_NUMBER[decimals.mark, code], pointer=pointer, actual=text, given=given)

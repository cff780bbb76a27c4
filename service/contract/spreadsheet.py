"""The CSV form of a batch: one row an opening, a flat header, UTF-8, comma or semicolon, decimal point only."""

import csv
import io
import unicodedata
from collections import Counter
from collections.abc import Iterable, Iterator
from itertools import islice
from typing import Any, NamedTuple, Self

import msgspec
from msgspec import UNSET

from service.audit.figures import integral
from service.contract.batch import BatchItem
from service.contract.decoding import FAULTS_MAX
from service.contract.problems import Mistake, Refusal, mistake
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
"""What a header may name, in any order. Options and warnings are separated by spaces within their cell."""

ANSWER_COLUMNS = (
    "index",
    "reference",
    "status",
    "verdict",
    "coil_radius_mm",
    "side_plate",
    "wheel_hole",
    "bracket_hole",
    "bracket_from_plate_front_mm",
    "bracket_from_plate_base_mm",
    "slat_count",
    "slat_length_mm",
    "mass_kg",
    "track_length_mm",
    "top_seal_cut_length_mm",
    "warnings",
    "request_sha256",
    "result_sha256",
    "problem",
)
"""The header of the answer."""

ROW_LENGTH_MAX = 65_536
"""Characters that a row may have, its line breaks included."""


FORMULA_SIGNS = frozenset("=+-@")
UNSEEN = frozenset({"Cc", "Cf", "Zs", "Zl", "Zp"})
"""Unicode's categories of control and format characters and of spaces."""


class Table(NamedTuple):
    """A CSV body: its rows as they are read, an empty list for one without content, a refusal for one that is broken."""

    delimiter: str
    header: list[str]
    rows: Iterator[list[str] | Refusal]

    def request_of(self, row: list[str]) -> bytes:
        """The request of a row as JSON; empty cells are left out.

        Raises:
            Refusal: the row has too many or too few cells, or a number cannot be read as one; all such cells are named.
        """
        if len(row) != len(self.header):
            told = marked("The row has {cells} cells, the header {columns}.")
            raise Refusal("invalid-request", told, cells=len(row), columns=len(self.header))
        return _request_of(dict(zip(self.header, row, strict=True)))

    def reference_of(self, row: list[str]) -> str | None:
        """The reference of a row that has the cell."""
        return dict(zip(self.header, row, strict=False)).get("reference", "").strip() or None


def table(body: bytes) -> Table:
    """The table of a CSV body; it is decoded line by line.

    Raises:
        Refusal: the body is no UTF-8, or its header is not the contract's.
    """
    lines = _Lines(body)
    try:
        first_line = lines.look_ahead()
        delimiter = ";" if first_line.count(";") > first_line.count(",") else ","
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


def count(body: bytes, most: int) -> int:
    """How many rows with content a CSV body has; `most` where there are more, or as many blank ones.

    Raises:
        Refusal: the body is no UTF-8, or its header is not the contract's.
    """
    counted = Counter[bool]()
    for row in table(body).rows:
        counted[bool(row)] += 1
        if most in counted.values():
            return most
    return counted[True]


def _faults_of_header(header: list[str]) -> Iterator[Mistake]:
    counted = Counter(header)
    for name in REQUIRED:
        if name not in counted:
            yield mistake("missing", marked("the column is missing"), pointer=f"/0/{name}")
    for name, count in counted.items():
        if name not in COLUMNS:
            told = marked("there is no such column; known are {known}")
            yield mistake("unknown_member", told, pointer=f"/0/{name}", known=", ".join(COLUMNS))
        if count > 1:
            yield mistake("twice", marked("the column is there twice"), pointer=f"/0/{name}")


class _Lines:
    """The lines of a body, for a reader that joins those of a row; it is no longer than allowed."""

    def __init__(self, body: bytes) -> None:
        self._text = io.TextIOWrapper(io.BytesIO(body), encoding="utf-8", newline="")
        self._row: list[str] = []
        self._again: list[str] = []
        self._left = ROW_LENGTH_MAX

    def __iter__(self) -> Self:
        return self

    def __next__(self) -> str:
        """The next line.

        Raises:
            csv.Error: the row gets too long.
            Refusal: it is not UTF-8.
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
            raise Refusal("malformed-body", marked("The body is not UTF-8.")) from error


def _rows(reader: Iterator[list[str]], lines: _Lines) -> Iterator[list[str] | Refusal]:
    while True:
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
            yield Refusal("malformed-body", told, most=ROW_LENGTH_MAX)
        else:
            yield cells if any(map(str.strip, cells)) else []


def _request_of(row: dict[str, str]) -> bytes:
    request: dict[str, Any] = {"opening": {}, "shutter": {}}
    faults = []
    for column, cell in row.items():
        text = cell.strip()
        if not text:
            continue
        if column == OPTIONS_COLUMN:
            request["options"] = text.split()
            continue
        *parents, member = TEXT_COLUMNS.get(column) or NUMBER_COLUMNS[column]
        value: object = text
        if column in NUMBER_COLUMNS:
            try:
                value = msgspec.json.decode(text.encode(), type=float)
            except (msgspec.MsgspecError, UnicodeEncodeError):
                told = marked("must be a number with a decimal point")
                faults.append(mistake("type", told, pointer="/" + "/".join([*parents, member]), actual=text))
        place = request
        for parent in parents:
            place = place.setdefault(parent, {})
        place[member] = value
    if faults:
        raise Refusal("invalid-request", marked("A cell is no number."), faults=faults)
    return msgspec.json.encode(request)


def header_line(delimiter: str) -> bytes:
    """The answer's header."""
    return _line(ANSWER_COLUMNS, delimiter)


def answer_line(item: BatchItem, delimiter: str) -> bytes:
    """The answer to one row."""
    reference = "" if item.reference is UNSET else item.reference
    problem = item.problem
    if problem is not UNSET:
        faults = "; ".join(f"{fault.pointer} {fault.detail}" for fault in problem.errors or [])
        blank = [""] * (len(ANSWER_COLUMNS) - 4)
        return _line([item.index, reference, item.status, *blank, faults or problem.detail], delimiter)
    found: Any = item.short
    cells = [
        item.index,
        reference,
        item.status,
        found.verdict,
        found.coil.radius_mm,
        found.side_plate.id,
        found.wheel.hole,
        found.bracket.hole,
        found.bracket.from_plate_front_mm,
        found.bracket.from_plate_base_mm,
        found.curtain.slat_count,
        found.curtain.slat_length_mm,
        found.curtain.mass_kg,
        found.tracks.length_mm,
        found.seals.top_cut_length_mm,
        " ".join(warning.code for warning in found.warnings),
        found.audit.request_sha256,
        found.audit.result_sha256,
        "",
    ]
    return _line(cells, delimiter)


def _line(cells: Iterable[object], delimiter: str) -> bytes:
    """A row; texts are quoted, since a reader may take another delimiter for its own."""
    written = io.StringIO(newline="")
    writer = csv.writer(written, delimiter=delimiter, lineterminator="\r\n", quoting=csv.QUOTE_NONNUMERIC)
    writer.writerow([_safe(cell) if isinstance(cell, str) else integral(cell) for cell in cells])
    return written.getvalue().encode()


def _safe(text: str) -> str:
    """A text that no spreadsheet program takes for a formula: one that looks like it gets an apostrophe.

    What cannot be seen is skipped, and full-width signs count as plain ones, as some programs have it.
    """
    first_seen = next((sign for sign in text if unicodedata.category(sign) not in UNSEEN), "")
    begins = unicodedata.normalize("NFKC", first_seen) in FORMULA_SIGNS
    return f"'{text}" if begins or text[:1] in {"\t", "\r", "\n"} else text

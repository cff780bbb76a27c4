"""The CSV form of a batch: one row an opening, a flat header, UTF-8, comma or semicolon, decimal point only."""

import csv
import io
from collections.abc import Iterable, Iterator
from typing import Any

import msgspec

from service.contract.batch import BatchItem
from service.contract.problems import Fault, Refusal

TEXT_COLUMNS = {
    "reference": ("reference",),
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


def rows(body: bytes) -> tuple[str, Iterator[dict[str, str] | Refusal]]:
    """The delimiter and the rows of a CSV body by column; a row that has too many or too few cells is a refusal.

    Raises:
        Refusal: the body is no UTF-8, or its header is not the contract's.
    """
    try:
        text = body.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise Refusal("malformed-body", "The body is not UTF-8.") from error
    first_line = text.partition("\n")[0]
    delimiter = ";" if first_line.count(";") > first_line.count(",") else ","
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    header = [name.strip() for name in next(reader, [])]
    faults = [
        Fault(f"there is no such column; known are {', '.join(COLUMNS)}", pointer=f"/0/{name}")
        for name in header
        if name not in COLUMNS
    ]
    faults += [
        Fault("the column is there twice", pointer=f"/0/{name}") for name in dict.fromkeys(header) if header.count(name) > 1
    ]
    faults += [Fault("the column is missing", pointer=f"/0/{name}") for name in REQUIRED if name not in header]
    if faults:
        raise Refusal("invalid-request", "The first row of the CSV body is not the contract's header.", faults=faults)
    return delimiter, _rows(reader, header)


def _rows(reader: Any, header: list[str]) -> Iterator[dict[str, str] | Refusal]:
    while True:
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            yield Refusal("malformed-body", f"The rest of the body is not CSV: {error}.")
            return
        if not cells:
            continue
        if len(cells) == len(header):
            yield dict(zip(header, cells, strict=True))
        else:
            yield Refusal("invalid-request", f"The row has {len(cells)} cells, the header {len(header)}.")


def request_of(row: dict[str, str]) -> bytes:
    """The request of a row as JSON; empty cells are left out.

    Raises:
        Refusal: a number cannot be read as one; all such cells are named.
    """
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
                faults.append(Fault("must be a number with a decimal point", pointer="/" + "/".join([*parents, member])))
        place = request
        for parent in parents:
            place = place.setdefault(parent, {})
        place[member] = value
    if faults:
        raise Refusal("invalid-request", "A cell is no number.", faults=faults)
    return msgspec.json.encode(request)


def header_line(delimiter: str) -> bytes:
    """The answer's header."""
    return _line(ANSWER_COLUMNS, delimiter)


def answer_line(item: BatchItem, delimiter: str) -> bytes:
    """The answer to one row."""
    found: Any = item.fitting
    if not found:
        told: Any = item.problem
        faults = "; ".join(f"{fault.pointer} {fault.detail}" for fault in told.errors or [])
        blank = [""] * (len(ANSWER_COLUMNS) - 4)
        return _line([item.index, item.reference or "", item.status, *blank, faults or told.detail], delimiter)
    cells = [
        item.index,
        item.reference or "",
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
    written = io.StringIO(newline="")
    csv.writer(written, delimiter=delimiter, lineterminator="\r\n").writerow([_safe(cell) for cell in cells])
    return written.getvalue().encode()


def _safe(cell: object) -> object:
    """A cell no spreadsheet program takes for a formula: a caller's reference that looks like one gets an apostrophe."""
    if isinstance(cell, str) and cell[:1] in {"=", "+", "-", "@", "\t", "\r"}:
        return f"'{cell}"
    return cell

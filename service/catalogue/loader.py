"""Reading a catalogue file: strict by type, then checked for what would make a fitting absurd."""

from collections.abc import Iterable, Iterator
from hashlib import sha256
from itertools import pairwise
from math import pi
from pathlib import Path
from typing import Any, NamedTuple

import msgspec

from service.catalogue import files
from service.catalogue.rows import Catalogue, MountsRow, SidePlateRow, SlatRow

STANDARD = Path(__file__).with_name("standard.toml")
SIZE_MAX_BYTES = 1_000_000
HOLES_MAX = 2000
LEAST = 0.001
"""Least number of a catalogue other than 0, in whatever unit."""
WHEEL_HOLES = ("low", "mid", "high")

Fault = tuple[str, str]
"""Where a contradiction stands and what it is."""


class CatalogueError(Exception):
    """A catalogue file that cannot be used; the text names the file, the place in it and the reason, a line each."""


class Loaded(NamedTuple):
    """A catalogue with the SHA-256 of the file it came from."""

    catalogue: Catalogue
    sha256: str


def load(path: Path) -> Loaded:
    """Read and check a catalogue file.

    Raises:
        CatalogueError: the file is missing, is no TOML, does not have the form of a catalogue, or contradicts itself.
    """
    try:
        content = files.read(path, bytes_max=SIZE_MAX_BYTES)
        catalogue = msgspec.toml.decode(content, type=Catalogue)
    except files.FileError as error:
        raise CatalogueError(str(error)) from error
    except msgspec.ValidationError as error:
        reason, _, place = str(error).partition(" - at ")
        raise CatalogueError(f"{path}: {place.strip('`').removeprefix('$.') or 'top level'}: {reason}") from error
    except RecursionError as error:
        raise CatalogueError(f"{path}: not TOML: nested too deep") from error
    except (msgspec.DecodeError, ValueError, ArithmeticError) as error:  # also bytes, dates and numbers that are none
        raise CatalogueError(f"{path}: not TOML: {error}") from error
    faults = list(_faults(catalogue))
    if faults:
        raise CatalogueError("\n".join(f"{path}: {place}: {reason}" for place, reason in faults))
    return Loaded(catalogue, sha256(content).hexdigest())


def _faults(catalogue: Catalogue) -> Iterator[Fault]:
    """Every contradiction: where it stands and what it is."""
    yield from _tiny("", msgspec.to_builtins(catalogue))
    for table in ("slats", "tubes", "side_plates", "top_seals"):
        yield from _ids_twice(table, [row.id for row in getattr(catalogue, table)])
    yield from _faults_of_bars(catalogue)
    tubes = {tube.id for tube in catalogue.tubes}
    for index, tube in enumerate(catalogue.tubes):
        if tube.wall_mm >= tube.radius_mm:
            yield f"tubes[{index}].wall_mm", f"{tube.wall_mm:g} leaves no bore in a radius of {tube.radius_mm:g}"
    for index, slat in enumerate(catalogue.slats):
        yield from _below(f"slats[{index}]", _faults_of_slat(slat, tubes))
    for index, plate in enumerate(catalogue.side_plates):
        yield from _below(f"side_plates[{index}]", [*_faults_of_wheel_holes(plate), *_faults_of_bracket_holes(plate)])
    yield from _faults_of_hardware(catalogue)


def _tiny(place: str, content: Any) -> Iterator[Fault]:
    """Numbers so near to 0 that they can only be slips of the pen; arithmetic with them overflows."""
    if isinstance(content, float) and 0 < abs(content) < LEAST:
        yield place.removeprefix("."), f"{content:g} is neither 0 nor at least {LEAST:g}"
    members = content.items() if isinstance(content, dict) else ()
    entries = enumerate(content) if isinstance(content, list | tuple) else ()
    for name, member in members:
        yield from _tiny(f"{place}.{name}", member)
    for index, member in entries:
        yield from _tiny(f"{place}[{index}]", member)


def _below(place: str, faults: Iterable[Fault]) -> Iterator[Fault]:
    """The faults of a row, each with the row's place before its own."""
    for key, reason in faults:
        yield f"{place}.{key}", reason


def _ids_twice(table: str, ids: list[str]) -> Iterator[Fault]:
    for index, id in enumerate(ids):
        if id in ids[:index]:
            yield f"{table}[{index}].id", f"{id!r} is there twice"


def _faults_of_bars(catalogue: Catalogue) -> Iterator[Fault]:
    """Ids that stand for two kinds of bar: a cutting plan tells bars apart by their ids alone."""
    kinds = {**dict.fromkeys(MountsRow.__struct_fields__, "mounts"), **dict.fromkeys(catalogue.articles, "articles")}
    for table in ("slats", "tubes", "top_seals"):
        for index, row in enumerate(getattr(catalogue, table)):
            kind = kinds.setdefault(row.id, table)
            if kind != table:
                yield f"{table}[{index}].id", f"{row.id!r} stands in {kind} too: a bar to be cut could be of either"


def _faults_of_hardware(catalogue: Catalogue) -> Iterator[Fault]:
    track, bar = catalogue.track, catalogue.bottom_bar
    if track.end_gap_mm >= track.slot_depth_mm:
        yield "track.end_gap_mm", "the end gaps use up the slots"
    if track.slot_depth_mm > track.wall_mm:
        yield "track.slot_depth_mm", f"deeper than the track wall of {track.wall_mm:g}"
    yield from _faults_of_header_and_straps(catalogue)
    if bar.lip_above_underside_mm > bar.height_mm:
        yield "bottom_bar.lip_above_underside_mm", f"above the bar's height of {bar.height_mm:g}"
    if bar.bolt_axis_mm > bar.height_mm:
        yield "bottom_bar.bolt_axis_mm", f"above the bar's height of {bar.height_mm:g}"


def _faults_of_header_and_straps(catalogue: Catalogue) -> Iterator[Fault]:
    running = catalogue.running
    for index, tube in enumerate(catalogue.tubes):
        reserve = running.reserve_turns * 2 * pi * (tube.radius_mm + running.strap_thickness_mm / 2)
        if reserve > running.strap_length_mm:
            told = f"the reserve takes {reserve:.1f} mm of strap on tubes[{index}], longer than the strap"
            yield "running.reserve_turns", f"{told} of {running.strap_length_mm:g}"
    for index, seal in enumerate(catalogue.top_seals):
        if seal.reach_min_mm > seal.reach_max_mm:
            yield f"top_seals[{index}].reach_min_mm", f"more than the greatest gap of {seal.reach_max_mm:g}"


def _faults_of_slat(slat: SlatRow, tubes: set[str]) -> Iterator[Fault]:
    if slat.pitch_mm < 2 * slat.thickness_mm:
        yield "pitch_mm", f"{slat.pitch_mm:g} is less than twice the thickness of {slat.thickness_mm:g}"
    if slat.slot_width_mm <= slat.thickness_mm + slat.thickness_tolerance_mm:
        yield "slot_width_mm", f"{slat.slot_width_mm:g} does not let in a slat {slat.thickness_mm:g} thick at its tolerance"
    if slat.pitch_mm > 2 * (slat.wheel_radius_mm + slat.thickness_mm / 2):
        yield (
            "wheel_radius_mm",
            f"a pitch of {slat.pitch_mm:g} cannot lie on a wheel of radius {slat.wheel_radius_mm:g}",
        )
    for index, tube in enumerate(slat.tubes):
        if tube not in tubes:
            yield f"tubes[{index}]", f"there is no tube {tube!r}; known are {', '.join(sorted(tubes))}"
    if len(set(slat.tubes)) != len(slat.tubes):
        yield "tubes", "a tube is named twice"


def _faults_of_wheel_holes(plate: SidePlateRow) -> Iterator[Fault]:
    for index, hole in enumerate(plate.wheel_holes):
        if hole.from_front_mm >= plate.deep_mm or hole.from_base_mm >= plate.high_mm:
            yield f"wheel_holes[{index}]", "the hole lies outside the plate"
    for lower, upper in pairwise(plate.wheel_holes):
        if WHEEL_HOLES.index(lower.name) >= WHEEL_HOLES.index(upper.name) or lower.from_base_mm >= upper.from_base_mm:
            yield "wheel_holes", f"{lower.name!r} and {upper.name!r} do not stand from the lowest up"


def _faults_of_bracket_holes(plate: SidePlateRow) -> Iterator[Fault]:
    columns = plate.bracket_columns.positions_mm(plate.deep_mm)
    if not columns:
        yield "bracket_columns", f"no column fits a plate {plate.deep_mm:g} deep"
    elif len(columns) * len(plate.bracket_rows_below_centre_mm) > HOLES_MAX:
        yield "bracket_columns", f"more than {HOLES_MAX} bracket holes"
    elif columns[0] <= max(hole.from_front_mm for hole in plate.wheel_holes):
        yield "bracket_columns.first_mm", "the first column does not lie behind the wheel holes"
    for index, below in enumerate(plate.bracket_rows_below_centre_mm):
        if not 0 < plate.high_mm / 2 - below < plate.high_mm:
            yield f"bracket_rows_below_centre_mm[{index}]", "the row lies outside the plate"

"""Comparisons: every one is a check with value, limit, direction, margin and state; together they give the verdict.

A check that is a `must` fails where the shutter cannot be built or does not stay in its tracks; one that is a `should` fails
where somebody must be told. A check that rests on the tape moves with the caller's measurements, so that a margin below the
measuring tolerance makes it tight; in the others a tape has no part.
"""

from typing import Final, Literal, final

from .constants import RAD_PER_DEG

Kind = Literal["must", "should"]
Direction = Literal["at_most", "at_least"]
State = Literal["ok", "tight", "fails"]
Verdict = Literal["fits", "fits_with_cautions", "does_not_fit"]
Severity = Literal["stop", "caution", "note"]

RESOLUTION: Final = 0.0005
"""Half of the last digit that is reported: a smaller shortfall reads as a margin of 0.000 and does not fail."""


@final
class CheckRow:
    """What a check compares: one row a check, which place, fitting, limits and cures all read.

    `pointer` names the member of a request that the check speaks of, `order` is the place in every list of checks.
    """

    def __init__(
        self, *, id: str, kind: Kind, on_tape: bool, direction: Direction, unit: str, pointer: str, title: str, order: int
    ) -> None:
        self.id = id
        self.kind = kind
        self.on_tape = on_tape
        self.direction = direction
        self.unit = unit
        self.pointer = pointer
        self.title = title
        self.order = order


ROWS: Final[dict[str, CheckRow]] = {}
"""Every check by id, in the order in which answers list them."""


def _row(
    id: str, kind: Kind, direction: Direction, unit: str, pointer: str, title: str, *, on_tape: bool = False
) -> CheckRow:
    """Add a row."""
    row = CheckRow(
        id=id,
        kind=kind,
        on_tape=on_tape,
        direction=direction,
        unit=unit,
        pointer=pointer,
        title=title,
        order=len(ROWS),
    )
    ROWS[id] = row
    return row


MOST: Final[Direction] = "at_most"
LEAST: Final[Direction] = "at_least"

PLATE_HEIGHT: Final = _row(
    "plate_height", "must", MOST, "mm", "/opening/headroom_mm", "side plate under the roof", on_tape=True
)
PLATE_DEPTH: Final = _row(
    "plate_depth", "must", MOST, "mm", "/opening/depth_mm", "side plate before the rear obstruction", on_tape=True
)
WHEEL_ABOVE_HEADER: Final = _row(
    "wheel_above_header",
    "must",
    LEAST,
    "mm",
    "/opening/plate_offset_mm",
    "wheel hole above the header's base",
    on_tape=True,
)
TRACK_ENTRY: Final = _row("track_entry", "must", MOST, "mm", "/opening/plate_offset_mm", "slat's offset at the mouth")
HEADER_GAP: Final = _row("header_gap", "must", LEAST, "mm", "/shutter/slat", "gap from header to curtain")
SIDE_GAP: Final = _row("side_gap", "must", LEAST, "mm", "/shutter/slat", "gap from slat end to side plate")
ROOF_CLEARANCE: Final = _row(
    "roof_clearance", "must", LEAST, "mm", "/opening/headroom_mm", "clearance from coil to roof", on_tape=True
)
WHEEL_CLEARANCE: Final = _row(
    "wheel_clearance", "must", LEAST, "mm", "/opening/height_mm", "clearance from coil to wheel", on_tape=True
)
REAR_CLEARANCE: Final = _row(
    "rear_clearance", "must", LEAST, "mm", "/opening/depth_mm", "clearance from coil to the rear", on_tape=True
)
HEADER_CLEARANCE: Final = _row(
    "header_clearance", "must", LEAST, "mm", "/opening/height_mm", "clearance from coil to header", on_tape=True
)
OBSTACLE_CLEARANCE: Final = _row(
    "obstacle_clearance", "must", LEAST, "mm", "/opening/obstacles", "clearance from coil to an obstacle", on_tape=True
)
CURTAIN_OBSTACLE: Final = _row(
    "curtain_obstacle", "must", LEAST, "mm", "/opening/obstacles", "clearance from curtain to an obstacle", on_tape=True
)
PLATE_OBSTACLE: Final = _row(
    "plate_obstacle", "must", LEAST, "mm", "/opening/obstacles", "gap from side plate to an obstacle", on_tape=True
)
LOAD_GAP: Final = _row("load_gap", "must", MOST, "mm", "/opening/load_gap_mm", "bow of a slat towards the load")
PATH_OVER_WHEEL: Final = _row(
    "path_over_wheel", "must", MOST, "deg", "/shutter/side_plate", "rise of the curtain from wheel to coil"
)
HINGE_ON_TUBE: Final = _row("hinge_on_tube", "must", MOST, "deg", "/shutter/tube", "bend of a hinge on the tube")
HINGE_ON_WHEEL: Final = _row("hinge_on_wheel", "must", MOST, "deg", "/shutter/slat", "bend of a hinge on the wheel")
CURTAIN_COVERS: Final = _row("curtain_covers", "must", LEAST, "slats", "/shutter/slat_count", "slats given")
SLAT_WIDTH: Final = _row("slat_width", "must", MOST, "mm", "/opening/width_mm", "width of the opening", on_tape=True)
ENGAGEMENT: Final = _row("engagement", "must", LEAST, "mm", "/opening/width_mm", "engagement of the cold slat")
HELD_IN_TRACK: Final = _row(
    "held_in_track", "must", LEAST, "mm", "/opening/width_mm", "engagement that holds the cold, bowed slat"
)
SLAT_YIELD: Final = _row(
    "slat_yield", "must", MOST, "MPa", "/duty/road_speed_km_h", "stress of a slat in the wind against its proof stress"
)
SPRING_MADE: Final = _row("spring_made", "must", LEAST, "springs", "/shutter/tube", "springs that can be made")
OPENING_TAPER: Final = _row("opening_taper", "should", MOST, "mm", "/opening/survey", "taper of the opening", on_tape=True)
OPENING_SQUARE: Final = _row(
    "opening_square", "should", MOST, "mm", "/opening/survey/diagonals_mm", "opening out of square", on_tape=True
)
TRACK_LAP: Final = _row("track_lap", "should", LEAST, "mm", "/opening/survey", "lap of a track over the opening's edge")
SEAL_REACH: Final = _row(
    "seal_reach", "should", MOST, "mm", "/shutter/slat", "gap at the header outside the top seal's reach"
)
SLAT_STRESS: Final = _row(
    "slat_stress", "should", MOST, "MPa", "/duty/road_speed_km_h", "stress of a slat in the wind with safety in hand"
)
SLAT_BOW: Final = _row("slat_bow", "should", MOST, "mm", "/duty/road_speed_km_h", "bow of a slat in the wind")
ENGAGEMENT_BOWED: Final = _row(
    "engagement_bowed", "should", LEAST, "mm", "/opening/width_mm", "engagement of the cold, bowed slat"
)
TUBE_SAG: Final = _row("tube_sag", "should", MOST, "mm", "/shutter/tube", "sag of the tube")
SPRING_STRESS: Final = _row("spring_stress", "should", MOST, "MPa", "/shutter/tube", "stress of the springs")
SPRING_FATIGUE: Final = _row(
    "spring_fatigue", "should", LEAST, "1", "/duty/cycles_per_day", "safety of the springs against fatigue"
)
SPRING_LENGTH: Final = _row("spring_length", "should", MOST, "mm", "/opening/width_mm", "springs' length in the tube")
SPRING_BORE: Final = _row("spring_bore", "should", LEAST, "mm", "/shutter/tube", "bore of the wound spring")
HAND_FORCE: Final = _row("hand_force", "should", MOST, "N", "/duty/hand_force_limit_n", "hand force over the lift")
HOLDS_OPEN: Final = _row("holds_open", "should", LEAST, "N", "/shutter", "lift left at the open end")
VOLTAGE_DROP: Final = _row("voltage_drop", "should", MOST, "%", "/duty/cable_run_m", "voltage lost in the cable")
PULL_STRAP_REACH: Final = _row(
    "pull_strap_reach", "should", MOST, "mm", "/opening/sill_above_ground_mm", "length of the pull strap"
)


@final
class Check:
    """One comparison. `margin` is positive on the good side, in the check's unit; `margin_mm` is the same as a length.

    As a length a slat counts as its pitch, the bend of a hinge as its arc at one pitch, the rise of the curtain as its arc
    on the wheel; it fails exactly where the margin itself does.
    """

    def __init__(
        self, row: CheckRow, *, value: float, limit: float, tolerance_mm: float, length_of_one_mm: float = 1.0
    ) -> None:
        margin = limit - value if row.direction == "at_most" else value - limit
        length = margin
        if length_of_one_mm != 1.0:
            length = margin * length_of_one_mm
            length = min(length, -2 * RESOLUTION) if margin < -RESOLUTION else max(length, 0.0)
        state: State = "ok"
        if margin < -RESOLUTION:
            state = "fails"
        elif row.on_tape and margin < tolerance_mm - RESOLUTION:
            state = "tight"
        self.row = row
        self.value = value
        self.limit = limit
        self.margin = margin
        self.margin_mm = length
        self.state: State = state

    @property
    def id(self) -> str:
        """The check's id."""
        return self.row.id

    @property
    def kind(self) -> Kind:
        """Whether it is a must or a should."""
        return self.row.kind

    @property
    def rules_out(self) -> bool:
        """Whether it is a must that fails, so that the shutter cannot be built."""
        return self.row.kind == "must" and self.state == "fails"

    @property
    def direction(self) -> Direction:
        """On which side of the limit the good side lies."""
        return self.row.direction

    @property
    def unit(self) -> str:
        """The unit of value, limit and margin."""
        return self.row.unit

    @property
    def pointer(self) -> str:
        """The request's member that the check speaks of."""
        return self.row.pointer


def bend_as_arc_mm(pitch_mm: float) -> float:
    """Length [mm] of one degree of a hinge's bend: its arc at one pitch."""
    return RAD_PER_DEG * pitch_mm


def fails(margin: float) -> bool:
    """Whether a margin (in any unit) is short by more than what is reported as 0."""
    return margin < -RESOLUTION


def in_order(checks: list[Check]) -> list[Check]:
    """The checks in the order of their rows, of which each has one check at most."""
    by_row: list[Check | None] = [None] * len(ROWS)
    for check in checks:
        by_row[check.row.order] = check
    return [check for check in by_row if check is not None]


def verdict_of(checks: list[Check], *, cautions: bool) -> Verdict:
    """What the checks amount to; `cautions` says that a caution stands that is no check."""
    worse = cautions
    for check in checks:
        if check.state == "ok":
            continue
        if check.rules_out:
            return "does_not_fit"
        worse = worse or check.kind == "must" or check.state == "fails"
    return "fits_with_cautions" if worse else "fits"

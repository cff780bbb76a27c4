"""Comparisons: every one is a check with value, limit, direction, margin and state; together they give the verdict."""

from math import ceil, floor
from typing import Literal, NamedTuple

Direction = Literal["at_most", "at_least"]
State = Literal["ok", "tight", "fails"]
Verdict = Literal["fits", "fits_with_cautions", "does_not_fit"]

RESOLUTION = 0.0005
"""Half of the last digit that is reported: a smaller shortfall reads as a margin of 0.000 and does not fail."""


TENTHS = 10
NOISE = 1e-9
"""Part of a tenth that counts as rounding noise."""


def tenth_up(value: float) -> float:
    """A figure that must be reached, rounded up to a tenth."""
    return ceil(value * TENTHS - NOISE) / TENTHS


def tenth_down(value: float) -> float:
    """A figure that must not be passed, rounded down to a tenth."""
    return floor(value * TENTHS + NOISE) / TENTHS


class CheckKind(NamedTuple):
    """What a check compares.

    Checks of the role `fit` decide whether the shutter fits. Those that rest on the `tape` move with the caller's
    measurements, so a margin below the measuring tolerance makes them tight; those that rest on the `catalogue` compare
    what it and the duty give, where a tape has no part.
    """

    title: str
    role: Literal["fit", "other"]
    rests_on: Literal["tape", "catalogue"]
    direction: Direction
    unit: str
    field: str


class Check(NamedTuple):
    """One comparison. `margin` is positive on the good side, in the check's unit."""

    id: str
    value: float
    limit: float
    direction: Direction
    margin: float
    unit: str
    state: State


KINDS = {
    "plate_height": CheckKind("side plate under the roof", "fit", "tape", "at_most", "mm", "/opening/headroom_mm"),
    "plate_depth": CheckKind("side plate before the rear obstruction", "fit", "tape", "at_most", "mm", "/opening/depth_mm"),
    "wheel_above_header": CheckKind(
        "wheel hole above the header's base", "fit", "tape", "at_least", "mm", "/opening/plate_offset_mm"
    ),
    "track_entry": CheckKind("slat's offset at the mouth", "fit", "catalogue", "at_most", "mm", "/opening/plate_offset_mm"),
    "roof_clearance": CheckKind("clearance from coil to roof", "fit", "tape", "at_least", "mm", "/opening/headroom_mm"),
    "wheel_clearance": CheckKind("clearance from coil to wheel", "fit", "tape", "at_least", "mm", "/opening/height_mm"),
    "rear_clearance": CheckKind("clearance from coil to the rear", "fit", "tape", "at_least", "mm", "/opening/depth_mm"),
    "header_clearance": CheckKind("clearance from coil to header", "fit", "tape", "at_least", "mm", "/opening/height_mm"),
    "path_over_wheel": CheckKind(
        "rise of the curtain from wheel to coil", "fit", "catalogue", "at_most", "deg", "/shutter/side_plate"
    ),
    "hinge_on_tube": CheckKind("bend of a hinge on the tube", "fit", "catalogue", "at_most", "deg", "/shutter/tube"),
    "hinge_on_wheel": CheckKind("bend of a hinge on the wheel", "fit", "catalogue", "at_most", "deg", "/shutter/slat"),
    "curtain_covers": CheckKind("slats given", "fit", "catalogue", "at_least", "slats", "/shutter/slat_count"),
    "slat_width": CheckKind("width of the opening", "fit", "tape", "at_most", "mm", "/opening/width_mm"),
    "engagement": CheckKind("engagement of the cold slat", "other", "catalogue", "at_least", "mm", "/opening/width_mm"),
    "opening_taper": CheckKind("taper of the opening", "other", "tape", "at_most", "mm", "/opening/survey"),
    "opening_square": CheckKind("opening out of square", "other", "tape", "at_most", "mm", "/opening/survey/diagonals_mm"),
    "slat_stress": CheckKind(
        "stress of a slat in the wind", "other", "catalogue", "at_most", "MPa", "/duty/road_speed_km_h"
    ),
    "engagement_bowed": CheckKind(
        "engagement of the cold, bowed slat", "other", "catalogue", "at_least", "mm", "/opening/width_mm"
    ),
    "tube_sag": CheckKind("sag of the tube", "other", "catalogue", "at_most", "mm", "/shutter/tube"),
    "spring_stress": CheckKind("stress of the springs", "other", "catalogue", "at_most", "MPa", "/shutter/tube"),
    "spring_length": CheckKind("springs' length in the tube", "other", "catalogue", "at_most", "mm", "/opening/width_mm"),
    "spring_bore": CheckKind("bore of the wound spring", "other", "catalogue", "at_least", "mm", "/shutter/tube"),
    "hand_force": CheckKind("hand force over the lift", "other", "catalogue", "at_most", "N", "/duty/hand_force_limit_n"),
    "holds_open": CheckKind("lift left at the open end", "other", "catalogue", "at_least", "N", "/shutter"),
    "voltage_drop": CheckKind("voltage lost in the cable", "other", "catalogue", "at_most", "V", "/duty/cable_run_m"),
}
"""Every check by id, in the order in which answers list them."""


def margin_of(*, direction: Direction, value: float, limit: float) -> float:
    """Distance from the limit, positive on the good side, in the unit of the two."""
    return limit - value if direction == "at_most" else value - limit


def fails(margin: float) -> bool:
    """Whether a margin (in any unit) is short by more than what is reported as 0."""
    return margin < -RESOLUTION


def check(*, id: str, value: float, limit: float, measuring_tolerance_mm: float) -> Check:
    """Compare a value with its limit.

    Raises:
        KeyError: there is no such check.
    """
    kind = KINDS[id]
    margin = margin_of(direction=kind.direction, value=value, limit=limit)
    state: State = "ok"
    if fails(margin):
        state = "fails"
    elif kind.rests_on == "tape" and margin < measuring_tolerance_mm - RESOLUTION:
        state = "tight"
    return Check(id, value, limit, kind.direction, margin, kind.unit, state)


def verdict(*, checks: tuple[Check, ...], cautions: bool) -> Verdict:
    """What the checks amount to; `cautions` says that a warning of severity caution stands."""
    wanting = {(one.state, KINDS[one.id].role) for one in checks if one.state != "ok"}
    if ("fails", "fit") in wanting:
        return "does_not_fit"
    return "fits_with_cautions" if cautions or wanting - {("tight", "other")} else "fits"

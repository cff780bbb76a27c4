"""The wheel: where its hole puts it, and whether the curtain passes from it into the track without pinching."""

from math import asin, cos, pi, pow, sin, sqrt
from typing import Final

from ..audit.rules import rule
from .constants import DEG_PER_RAD

GOLDEN: Final = (sqrt(5) - 1) / 2
SHIFTS_MAX: Final = 4096
"""Offsets that are kept."""

SLOPE_FLOOR: Final = 1e-3
"""Least height of a slat over its pitch for which the offset at the mouth is still told."""


def plate_front_x_mm(*, header_thickness_mm: float, setback_mm: float) -> float:
    """Front edge of the side plate [mm]."""
    return header_thickness_mm + setback_mm


rule(
    plate_front_x_mm,
    symbol="x0",
    unit="mm",
    formula="x0 = header_thickness + setback",
    basis="catalogue",
    source="the mount's setback from the header's inner face",
)


def plate_base_z_mm(*, mouth_z_mm: float, plate_offset_mm: float) -> float:
    """Lower edge of the side plate [mm]."""
    return mouth_z_mm + plate_offset_mm


rule(
    plate_base_z_mm,
    symbol="z0",
    unit="mm",
    formula="z0 = z_m + plate_offset",
    basis="catalogue",
    source="the mount's mouth height",
)


def plate_rear_x_mm(*, plate_front_x_mm: float, plate_deep_mm: float) -> float:
    """Rear edge of the side plate [mm]."""
    return plate_front_x_mm + plate_deep_mm


rule(
    plate_rear_x_mm,
    symbol="x1",
    unit="mm",
    formula="x1 = x0 + deep",
    basis="catalogue",
    source="the side plate's size",
)


def plate_top_z_mm(*, plate_base_z_mm: float, plate_high_mm: float) -> float:
    """Upper edge of the side plate [mm]."""
    return plate_base_z_mm + plate_high_mm


rule(
    plate_top_z_mm,
    symbol="z1",
    unit="mm",
    formula="z1 = z0 + high",
    basis="catalogue",
    source="the side plate's size",
)


def hole_x_mm(*, plate_front_x_mm: float, from_front_mm: float) -> float:
    """Depth of a hole of the side plate [mm]."""
    return plate_front_x_mm + from_front_mm


rule(hole_x_mm, symbol="x", unit="mm", formula="x = x0 + u", basis="geometry", source="hole position on the plate")


def hole_z_mm(*, plate_base_z_mm: float, from_base_mm: float) -> float:
    """Height of a hole of the side plate [mm]."""
    return plate_base_z_mm + from_base_mm


rule(hole_z_mm, symbol="z", unit="mm", formula="z = z0 + v", basis="geometry", source="hole position on the plate")


def below_roof_mm(*, headroom_mm: float, hole_z_mm: float) -> float:
    """Distance of a hole below the roof [mm]."""
    return headroom_mm - hole_z_mm


rule(
    below_roof_mm,
    symbol="z_roof",
    unit="mm",
    formula="z_roof = headroom - z",
    basis="geometry",
    source="difference of two heights",
)


def wheel_path_radius_mm(*, wheel_radius_mm: float, thickness_mm: float) -> float:
    """Radius of the hinges' path around the wheel [mm]."""
    return wheel_radius_mm + thickness_mm / 2


rule(
    wheel_path_radius_mm,
    symbol="a",
    unit="mm",
    formula="a = wheel radius + t/2",
    basis="geometry",
    source="slat's middle plane on the wheel",
)


def curtain_plane_x_mm(*, wheel_x_mm: float, wheel_path_radius_mm: float) -> float:
    """Depth of the hanging curtain's middle plane [mm]."""
    return wheel_x_mm - wheel_path_radius_mm


rule(
    curtain_plane_x_mm,
    symbol="x_c",
    unit="mm",
    formula="x_c = x_wheel - a",
    basis="geometry",
    source="vertical tangent of the hinges' path",
)


def hinge_bend_on_wheel_deg(*, pitch_mm: float, wheel_radius_mm: float, thickness_mm: float) -> float:
    """Bend of a hinge on the wheel [deg]; a slat longer than the path's diameter counts as bent by 180."""
    return 2 * asin(min(1.0, pitch_mm / 2 / (wheel_radius_mm + thickness_mm / 2))) * DEG_PER_RAD


rule(
    hinge_bend_on_wheel_deg,
    symbol="γ_wheel",
    unit="deg",
    formula="γ = 2·asin((p/2)/a), a = wheel radius + t/2",
    basis="geometry",
    source="chord of one pitch on the hinges' path",
)


def _offset_at_mouth_mm(turned_rad: float, above_mouth_mm: float, path_radius_mm: float, pitch_mm: float) -> float:
    """Offset [mm] of the hinge line at the mouth when the upper hinge has turned by an angle on the wheel."""
    across = path_radius_mm * (1 - cos(turned_rad))
    along = sqrt(max(pitch_mm * pitch_mm - across * across, pow(SLOPE_FLOOR * pitch_mm, 2.0)))
    lower_hinge_z = above_mouth_mm + path_radius_mm * sin(turned_rad) - along
    return max(0.0, -lower_hinge_z * across / along)


SHIFTS: Final[dict[tuple[float, float, float], float]] = {}
"""The offsets found so far, since a search takes long: by height above the mouth, path radius and pitch [mm]."""


def entry_shift_mm(*, above_mouth_mm: float, wheel_path_radius_mm: float, pitch_mm: float) -> float:
    """Greatest offset of a slat from the track's middle at the mouth [mm].

    The offset is 0 at both ends of the range of β and has one maximum between (a property test compares it with a fine
    grid), so golden-section search finds it. A slat lying across the mouth is counted at a slope of 1:1000.
    """
    asked = (above_mouth_mm, wheel_path_radius_mm, pitch_mm)
    shift = SHIFTS.get(asked)
    if shift is None:
        if len(SHIFTS) == SHIFTS_MAX:
            SHIFTS.clear()
        shift = SHIFTS[asked] = _greatest_offset_mm(above_mouth_mm, wheel_path_radius_mm, pitch_mm)
    return shift


def _greatest_offset_mm(above_mouth_mm: float, wheel_path_radius_mm: float, pitch_mm: float) -> float:
    """The greatest offset at the mouth [mm] by golden-section search over the angle of the upper hinge."""
    low, high = 0.0, pi / 2
    for _attempt in range(60):
        step = GOLDEN * (high - low)
        left, right = high - step, low + step
        if _offset_at_mouth_mm(left, above_mouth_mm, wheel_path_radius_mm, pitch_mm) < _offset_at_mouth_mm(
            right, above_mouth_mm, wheel_path_radius_mm, pitch_mm
        ):
            low = left
        else:
            high = right
    return _offset_at_mouth_mm((low + high) / 2, above_mouth_mm, wheel_path_radius_mm, pitch_mm)


rule(
    entry_shift_mm,
    symbol="δ",
    unit="mm",
    formula="δ = max over β of -z_l·q/√(p² - q²) while z_l = h + a·sin β - √(p² - q²) < 0, q = a·(1 - cos β)",
    basis="geometry",
    source="own derivation: a rigid slat leaving the wheel for the track",
)


def entry_shift_max_mm(*, slot_width_mm: float, thickness_mm: float) -> float:
    """Offset that the track's slot allows [mm]."""
    return (slot_width_mm - thickness_mm) / 2


rule(
    entry_shift_max_mm,
    symbol="δ_max",
    unit="mm",
    formula="δ_max = (slot width - t)/2",
    basis="geometry",
    source="play of the slat in its slot",
)

"""Tracks, striker and the daylight that is left."""

from typing import Final

from ..audit.rules import rule
from .constants import SEAL_STANDING_SHARE

CUT: Final = "sum of catalogue dimensions"


def outer_width_mm(*, opening_width_mm: float, track_beyond_mm: float) -> float:
    """Width over both tracks [mm]."""
    return opening_width_mm + 2 * track_beyond_mm


rule(outer_width_mm, symbol="w_o", unit="mm", formula="w_o = w + 2·(beyond the opening)", basis="catalogue", source=CUT)


def lips_mm(*, outer_width_mm: float, track_wall_mm: float) -> float:
    """Distance of the tracks' inner lips [mm]."""
    return outer_width_mm - 2 * track_wall_mm


rule(lips_mm, symbol="lips", unit="mm", formula="lips = w_o - 2·wall", basis="catalogue", source=CUT)


def track_length_mm(*, opening_height_mm: float, mouth_z_mm: float, sill_gap_mm: float) -> float:
    """Length to which the tracks are cut [mm]."""
    return opening_height_mm + mouth_z_mm - sill_gap_mm


rule(track_length_mm, symbol="l_t", unit="mm", formula="l_t = h + z_m - sill gap", basis="catalogue", source=CUT)


def bottom_seal_compressed_mm(*, seal_free_mm: float) -> float:
    """Height of the pressed bottom seal [mm]."""
    return SEAL_STANDING_SHARE * seal_free_mm


rule(
    bottom_seal_compressed_mm,
    symbol="s_b",
    unit="mm",
    formula="s_b = (2/3)·seal",
    basis="practice",
    source="common practice: pressed by a third",
)


def striker_height_mm(*, bottom_seal_compressed_mm: float, bolt_axis_mm: float) -> float:
    """Height of the striker over the sill [mm]."""
    return bottom_seal_compressed_mm + bolt_axis_mm


rule(
    striker_height_mm,
    symbol="z_k",
    unit="mm",
    formula="z_k = (2/3)·seal + bolt axis",
    basis="practice",
    source="common practice: strikers are set with the bottom seal pressed by a third",
)


def daylight_width_mm(*, lips_mm: float, opening_width_mm: float) -> float:
    """Clear width of the open shutter [mm]."""
    return min(lips_mm, opening_width_mm)


rule(
    daylight_width_mm,
    symbol="w_d",
    unit="mm",
    formula="w_d = lesser of lips and w",
    basis="geometry",
    source="tracks that lap stand beside the opening",
)


def daylight_height_mm(
    *, opening_height_mm: float, bar_top_open_z_mm: float, bar_height_mm: float, seal_free_mm: float
) -> float:
    """Clear height under the open bottom bar [mm]."""
    return opening_height_mm - max(0.0, bar_height_mm + seal_free_mm - bar_top_open_z_mm)


rule(
    daylight_height_mm,
    symbol="h_d",
    unit="mm",
    formula="h_d = h - max(0, bar height + seal - z_open)",
    basis="geometry",
    source="the open bottom bar hangs below the header's base",
)


def coil_intrusion_mm(*, coil_radius_mm: float, bracket_z_mm: float) -> float:
    """How far the coil hangs below the header's base [mm]."""
    return max(0.0, coil_radius_mm - bracket_z_mm)


rule(
    coil_intrusion_mm,
    symbol="i",
    unit="mm",
    formula="i = max(0, R - z_b)",
    basis="geometry",
    source="lowest point of the coil against the header's base, with all slats wound as in the position checks",
)

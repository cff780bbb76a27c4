"""Tracks, seals, rail, striker and the daylight that is left."""

from math import radians, tan

from service.audit.rules import rule
from service.calculation.constants import SEAL_STANDING_SHARE

CUT = "sum of catalogue dimensions"


@rule(symbol="w_o", unit="mm", formula="w_o = w + 2·(beyond the opening)", basis="catalogue", source=CUT)
def outer_track_width_mm(*, opening_width_mm: float, track_beyond_mm: float) -> float:
    """Width over both tracks [mm]."""
    return opening_width_mm + 2 * track_beyond_mm


@rule(symbol="w_d", unit="mm", formula="w_d = w_o - 2·wall", basis="catalogue", source=CUT)
def daylight_width_mm(*, outer_track_width_mm: float, track_wall_mm: float) -> float:
    """Clear width between the tracks [mm]."""
    return outer_track_width_mm - 2 * track_wall_mm


@rule(symbol="l_t", unit="mm", formula="l_t = h + z_m - sill gap", basis="catalogue", source=CUT)
def track_length_mm(*, opening_height_mm: float, mouth_z_mm: float, sill_gap_mm: float) -> float:
    """Length to which the tracks are cut [mm]."""
    return opening_height_mm + mouth_z_mm - sill_gap_mm


@rule(
    symbol="l_s",
    unit="mm",
    formula="l_s = w_o - 2·wall",
    basis="practice",
    source="common practice: cut between the tracks",
)
def top_seal_cut_length_mm(*, outer_track_width_mm: float, track_wall_mm: float) -> float:
    """Long edge to which the top seal is cut [mm]."""
    return outer_track_width_mm - 2 * track_wall_mm


@rule(
    symbol="l_k",
    unit="mm",
    formula="l_k = l_s - 2·depth/tan(end angle)",
    basis="geometry",
    source="right triangle at each cut end",
)
def top_seal_short_edge_mm(*, cut_length_mm: float, depth_mm: float, end_angle_deg: float) -> float:
    """Short edge of the top seal [mm]."""
    return cut_length_mm - 2 * depth_mm / tan(radians(end_angle_deg))


@rule(symbol="l_r", unit="mm", formula="l_r = w_o + 2·(beyond the track)", basis="catalogue", source=CUT)
def drip_rail_length_mm(*, outer_track_width_mm: float, drip_rail_beyond_mm: float) -> float:
    """Length of the drip rail [mm]."""
    return outer_track_width_mm + 2 * drip_rail_beyond_mm


@rule(symbol="s_b", unit="mm", formula="s_b = (2/3)·seal", basis="practice", source="common practice: pressed by a third")
def bottom_seal_compressed_mm(*, seal_free_mm: float) -> float:
    """Height of the pressed bottom seal [mm]."""
    return SEAL_STANDING_SHARE * seal_free_mm


@rule(
    symbol="z_k",
    unit="mm",
    formula="z_k = (2/3)·seal + bolt axis",
    basis="practice",
    source="common practice: strikers are set with the bottom seal pressed by a third",
)
def striker_height_mm(*, bottom_seal_compressed_mm: float, bolt_axis_mm: float) -> float:
    """Height of the striker over the sill [mm]."""
    return bottom_seal_compressed_mm + bolt_axis_mm


@rule(
    symbol="h_d",
    unit="mm",
    formula="h_d = h - max(0, bar height + seal - z_open)",
    basis="geometry",
    source="the open bottom bar hangs below the header's base",
)
def daylight_height_mm(
    *, opening_height_mm: float, bar_top_open_z_mm: float, bar_height_mm: float, seal_free_mm: float
) -> float:
    """Clear height under the open bottom bar [mm]."""
    return opening_height_mm - max(0.0, bar_height_mm + seal_free_mm - bar_top_open_z_mm)


@rule(
    symbol="i",
    unit="mm",
    formula="i = max(0, R - z_b)",
    basis="geometry",
    source="lowest point of the coil against the header's base, with all slats wound as in the position checks",
)
def coil_intrusion_mm(*, coil_radius_mm: float, bracket_z_mm: float) -> float:
    """How far the coil hangs below the header's base [mm]."""
    return max(0.0, coil_radius_mm - bracket_z_mm)

"""Seals at the header: which profile reaches the curtain, how it is cut, and the rail that may carry it."""

from math import inf, tan
from typing import Final

from ..audit.rules import rule
from .constants import RAD_PER_DEG
from .job import Header, TopSeal

CUT: Final = "sum of catalogue dimensions"


def top_gap_mm(*, curtain_plane_x_mm: float, thickness_mm: float, header_thickness_mm: float) -> float:
    """Gap between the header's inner face and the hanging curtain [mm]."""
    return curtain_plane_x_mm - thickness_mm / 2 - header_thickness_mm


rule(
    top_gap_mm,
    symbol="g",
    unit="mm",
    formula="g = x_c - t/2 - header_thickness",
    basis="geometry",
    source="the curtain hangs behind the header",
)


def outside_reach_mm(*, top_gap_mm: float, reach_min_mm: float, reach_max_mm: float) -> float:
    """How far a gap lies outside what a profile reaches [mm]; 0 where the profile seals it."""
    return _outside_mm(top_gap_mm, reach_min_mm, reach_max_mm)


rule(
    outside_reach_mm,
    symbol="Δg",
    unit="mm",
    formula="Δg = max(0, least reach - g, g - greatest reach)",
    basis="catalogue",
    source="the catalogue's reach of the profile",
)


def top_seal_cut_length_mm(*, lips_mm: float) -> float:
    """Long edge to which the top seal is cut [mm]."""
    return lips_mm


rule(
    top_seal_cut_length_mm,
    symbol="l_s",
    unit="mm",
    formula="l_s = w_o - 2·wall = lips",
    basis="practice",
    source="common practice: cut between the tracks",
)


def top_seal_short_edge_mm(*, cut_length_mm: float, seal_deep_mm: float, end_angle_deg: float) -> float:
    """Short edge of the top seal [mm]."""
    return cut_length_mm - 2 * seal_deep_mm / tan(end_angle_deg * RAD_PER_DEG)


rule(
    top_seal_short_edge_mm,
    symbol="l_k",
    unit="mm",
    formula="l_k = l_s - 2·depth/tan(end angle)",
    basis="geometry",
    source="right triangle at each cut end",
)


def drip_rail_length_mm(*, opening_width_mm: float, drip_rail_shorter_mm: float) -> float:
    """Length of the drip rail [mm]: it lies between the jambs."""
    return opening_width_mm - drip_rail_shorter_mm


rule(drip_rail_length_mm, symbol="l_r", unit="mm", formula="l_r = w - 2", basis="catalogue", source=CUT)


def choose_top_seal(header: Header, top_gap: float) -> TopSeal:
    """The first profile that seals the gap, or the one that comes nearest to it."""
    nearest, least = header.top_seals[0], inf
    for profile in header.top_seals:
        outside = _outside_mm(top_gap, profile.reach_min_mm, profile.reach_max_mm)  # what is not chosen is no step
        if outside < least:
            nearest, least = profile, outside
    return nearest


def _outside_mm(gap_mm: float, reach_min_mm: float, reach_max_mm: float) -> float:
    outside = max(reach_min_mm - gap_mm, gap_mm - reach_max_mm)  # a maximum of two compiles well
    return max(0.0, outside)

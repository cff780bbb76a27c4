"""The curtain: how many slats, how long, how heavy, and how well its slats stay in the tracks."""

from math import ceil, pi
from typing import Final

from ..audit.rules import rule
from .constants import ALUMINIUM_EXPANSION_PER_K, BODY_EXPANSION_PER_K, REFERENCE_TEMPERATURE_C, SEAL_STANDING_SHARE

EXPANSION_SOURCE: Final = (
    "linear thermal expansion from 20 °C; aluminium 23e-6 1/K: EN 1999-1-1, 3.2.5, read in a draft (prEN); steel 12e-6 1/K: "
    "EN 1993-1-1, 3.2.6 (from memory); composite 10e-6 1/K: assumption"
)
COUNT_SLACK: Final = 1e-9
"""Part of a slat that counts as rounding noise, so that a whole number of slats is not rounded up to one more."""

STRAP_REACH_MM: Final = 1600.0
"""Height above the ground that a hand reaches comfortably [mm]. Source: practice of this project."""

STRAP_STOWED_MM: Final = 100.0
"""How much shorter than the opening's height a stowed pull strap is [mm]. Source: practice of this project."""


def bar_top_closed_z_mm(*, opening_height_mm: float, seal_free_mm: float, bar_height_mm: float) -> float:
    """Height of the bottom bar's top when closed [mm]."""
    return -opening_height_mm + SEAL_STANDING_SHARE * seal_free_mm + bar_height_mm


rule(
    bar_top_closed_z_mm,
    symbol="z_bar",
    unit="mm",
    formula="z_bar = -h + (2/3)·seal + bar height",
    basis="practice",
    source="common practice: the bottom seal is pressed by a third",
)


def bar_top_open_z_mm(*, mouth_z_mm: float, stop_gap_mm: float) -> float:
    """Height of the bottom bar's top when open [mm]."""
    return mouth_z_mm - stop_gap_mm


rule(
    bar_top_open_z_mm,
    symbol="z_open",
    unit="mm",
    formula="z_open = z_m - stop gap",
    basis="catalogue",
    source="the catalogue's stop gap",
)


def slats_needed(
    *,
    path_length_mm: float,
    strap_radius_mm: float,
    reserve_turns: float,
    strap_length_mm: float,
    pitch_mm: float,
) -> int:
    """Slats that the closed curtain needs [slats], at least one."""
    length = path_length_mm + reserve_turns * 2 * pi * strap_radius_mm - strap_length_mm
    return max(1, ceil(length / pitch_mm - COUNT_SLACK))


rule(
    slats_needed,
    symbol="n",
    unit="slats",
    formula="n = ceil((z_wheel - z_bar + arc(r_s) + free(r_s) + reserve·2π·r_s - strap)/p)",
    basis="geometry",
    source="curtain along the closed path, the strap alone on the tube; a part of 1e-9 slat is rounding noise",
)


def slat_length_mm(
    *,
    lips_mm: float,
    slot_depth_mm: float,
    end_gap_mm: float,
    body_expansion_per_k: float,
    temperature_max_c: float,
) -> float:
    """Length to which slats are cut at 20 °C [mm]: hot, they still leave the end gaps in tracks that grew with the body."""
    warmer = temperature_max_c - REFERENCE_TEMPERATURE_C
    hot = lips_mm * (1 + body_expansion_per_k * warmer) + 2 * slot_depth_mm - 2 * end_gap_mm
    return hot / (1 + ALUMINIUM_EXPANSION_PER_K * warmer)


rule(
    slat_length_mm,
    symbol="L",
    unit="mm",
    formula="L = (lips·(1 + α_body·(T_max - 20)) + 2·slot depth - 2·end gap)/(1 + α·(T_max - 20))",
    basis="standard",
    source=EXPANSION_SOURCE,
)


def slat_length_cold_mm(*, slat_length_mm: float, temperature_min_c: float) -> float:
    """Length of a slat at the lowest temperature [mm]."""
    return slat_length_mm * (1 + ALUMINIUM_EXPANSION_PER_K * (temperature_min_c - REFERENCE_TEMPERATURE_C))


rule(
    slat_length_cold_mm,
    symbol="L_cold",
    unit="mm",
    formula="L_cold = L·(1 + α·(T_min - 20))",
    basis="standard",
    source=EXPANSION_SOURCE,
)


def lips_cold_mm(*, lips_mm: float, body_expansion_per_k: float, temperature_min_c: float) -> float:
    """Distance of the tracks' inner lips at the lowest temperature [mm]."""
    return lips_mm * (1 + body_expansion_per_k * (temperature_min_c - REFERENCE_TEMPERATURE_C))


rule(
    lips_cold_mm,
    symbol="lips_cold",
    unit="mm",
    formula="lips_cold = lips·(1 + α_body·(T_min - 20))",
    basis="standard",
    source=EXPANSION_SOURCE,
)


def engagement_mm(*, slat_length_cold_mm: float, lips_cold_mm: float, slot_depth_mm: float) -> float:
    """Engagement left in one track when the cold slat is pushed hard into the other [mm]."""
    return slat_length_cold_mm - lips_cold_mm - slot_depth_mm


rule(
    engagement_mm,
    symbol="e",
    unit="mm",
    formula="e = L_cold - lips_cold - slot depth",
    basis="geometry",
    source="slat pushed hard to one side, what is left in the other track",
)


def side_gap_mm(*, outer_width_mm: float, plate_inset_mm: float, slat_length_mm: float) -> float:
    """Gap between a slat's end and a side plate [mm]."""
    return (outer_width_mm - 2 * plate_inset_mm - slat_length_mm) / 2


rule(
    side_gap_mm,
    symbol="c_side",
    unit="mm",
    formula="c = (w_o - 2·inset - L)/2",
    basis="geometry",
    source="slats midway between the side plates' inner faces",
)


def tube_length_mm(*, outer_width_mm: float, plate_inset_mm: float, bracket_thickness_mm: float) -> float:
    """Length of the tube between its brackets [mm]."""
    return outer_width_mm - 2 * plate_inset_mm - 2 * bracket_thickness_mm


rule(
    tube_length_mm,
    symbol="l_tube",
    unit="mm",
    formula="l_tube = w_o - 2·inset - 2·bracket",
    basis="catalogue",
    source="sum of catalogue dimensions: the tube lies between its brackets",
)


def bottom_seal_length_mm(*, lips_mm: float, seal_shorter_mm: float) -> float:
    """Length to which the bottom seal is cut [mm]: it stays clear of the slots."""
    return lips_mm - seal_shorter_mm


rule(
    bottom_seal_length_mm,
    symbol="l_b",
    unit="mm",
    formula="l_b = lips - 2",
    basis="practice",
    source="common practice: the seal runs between the lips and not in the slots",
)


def curtain_length_mm(*, slat_count: int, pitch_mm: float, bar_height_mm: float) -> float:
    """Length of the curtain laid flat [mm]: slats and bottom bar."""
    return slat_count * pitch_mm + bar_height_mm


rule(
    curtain_length_mm,
    symbol="H",
    unit="mm",
    formula="H = n·p + bar height",
    basis="geometry",
    source="slats and bottom bar, without seal and strap",
)


def bar_mass_kg(*, bar_mass_kg_per_m: float, slat_length_mm: float) -> float:
    """Mass of the bottom bar [kg]."""
    return bar_mass_kg_per_m * slat_length_mm / 1000


rule(
    bar_mass_kg,
    symbol="m_bar",
    unit="kg",
    formula="m_bar = mass a metre·L/1000",
    basis="catalogue",
    source="mass per metre of the catalogue; the bar is as long as the slats",
)


def curtain_mass_kg(*, slat_count: int, slat_length_mm: float, slat_mass_kg_per_m: float, bar_mass_kg: float) -> float:
    """Mass of the curtain [kg]: slats and bottom bar."""
    return slat_count * slat_mass_kg_per_m * slat_length_mm / 1000 + bar_mass_kg


rule(
    curtain_mass_kg,
    symbol="m",
    unit="kg",
    formula="m = n·m_slat·L/1000 + m_bar",
    basis="catalogue",
    source="masses per metre of the catalogue",
)


def pull_strap_length_mm(
    *, sill_above_ground_mm: float, opening_height_mm: float, bar_top_open_z_mm: float, bar_height_mm: float
) -> float:
    """Length of the pull strap that brings the open bottom bar within reach [mm]; 0 where a hand reaches the bar."""
    return max(0.0, sill_above_ground_mm + opening_height_mm + bar_top_open_z_mm - bar_height_mm - STRAP_REACH_MM)


rule(
    pull_strap_length_mm,
    symbol="l_p",
    unit="mm",
    formula="l_p = max(0, sill above ground + h + z_open - bar height - 1600)",
    basis="practice",
    source="practice of this project: a hand reaches 1600 mm above the ground",
)


def pull_strap_length_max_mm(*, opening_height_mm: float) -> float:
    """Length of a pull strap that can be stowed inside the closed shutter [mm]."""
    return opening_height_mm - STRAP_STOWED_MM


rule(
    pull_strap_length_max_mm,
    symbol="l_p,max",
    unit="mm",
    formula="l_p,max = h - 100",
    basis="practice",
    source="practice of this project: closed, the strap hangs inside",
)


def body_expansion_per_k(*, body: str) -> float:
    """Coefficient of linear thermal expansion of the vehicle's body [1/K].

    Raises:
        KeyError: there is no such body.
    """
    return BODY_EXPANSION_PER_K[body]

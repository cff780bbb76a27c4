"""The curtain: how many slats, how long, how heavy, and how much of it is wound."""

from math import ceil, pi

from service.audit.rules import rule
from service.calculation.coil import hinge_radius_mm
from service.calculation.constants import ALUMINIUM_EXPANSION_PER_K, REFERENCE_TEMPERATURE_C, SEAL_STANDING_SHARE
from service.calculation.path import Centres, path_length_over_mm

EXPANSION_SOURCE = "linear thermal expansion, 23e-6 1/K: EN 1999-1-1, 3.2.5, read in a draft (prEN)"
ITERATIONS_MAX = 60
WOUND_RESOLUTION = 1e-11
"""Change of the wound slats at which their iteration ends."""
COUNT_SLACK = 1e-9
"""Part of a slat that counts as rounding noise, so that a whole number of slats is not rounded up to one more."""


@rule(
    symbol="z_bar",
    unit="mm",
    formula="z_bar = -h + (2/3)·seal + bar height",
    basis="practice",
    source="common practice: the bottom seal is pressed by a third",
)
def bar_top_closed_z_mm(*, opening_height_mm: float, seal_free_mm: float, bar_height_mm: float) -> float:
    """Height of the bottom bar's top when closed [mm]."""
    return -opening_height_mm + SEAL_STANDING_SHARE * seal_free_mm + bar_height_mm


@rule(symbol="z_open", unit="mm", formula="z_open = z_m - stop gap", basis="catalogue", source="the catalogue's stop gap")
def bar_top_open_z_mm(*, mouth_z_mm: float, stop_gap_mm: float) -> float:
    """Height of the bottom bar's top when open [mm]."""
    return mouth_z_mm - stop_gap_mm


@rule(
    symbol="n",
    unit="slats",
    formula="n = ceil((z_wheel - z_bar + arc(ρ0) + free(ρ0) + reserve·2π·ρ0 - strap)/p)",
    basis="geometry",
    source="curtain along the closed path plus the reserve on the tube; a part of 1e-9 slat is rounding noise",
)
def slats_needed(
    *,
    path_length_mm: float,
    first_hinge_radius_mm: float,
    reserve_turns: float,
    strap_length_mm: float,
    pitch_mm: float,
) -> int:
    """Slats that the closed curtain needs [slats], at least one."""
    length = path_length_mm + reserve_turns * 2 * pi * first_hinge_radius_mm - strap_length_mm
    return max(1, ceil(length / pitch_mm - COUNT_SLACK))


@rule(
    symbol="n_w",
    unit="slats",
    formula="n_w = n - l(b(n_w))/p, at least 0",
    basis="geometry",
    source="wound length = curtain - path; a contraction, solved by the secant method",
)
def slats_wound(
    *,
    slat_count: int,
    bar_top_z_mm: float,
    wheel_x_mm: float,
    wheel_z_mm: float,
    bracket_x_mm: float,
    bracket_z_mm: float,
    wheel_path_radius_mm: float,
    tube_radius_mm: float,
    pitch_mm: float,
    thickness_mm: float,
    nesting: float,
) -> float:
    """Slats on the coil with the bottom bar's top at a height [slats]; 0 when the strap alone reaches the tube."""
    centres = Centres(wheel_x_mm, wheel_z_mm, bracket_x_mm, bracket_z_mm, wheel_path_radius_mm)

    def left_wound(wound: float) -> float:
        """What the path leaves for a coil that has so many slats on it."""
        radius = hinge_radius_mm(
            tube_radius_mm=tube_radius_mm, pitch_mm=pitch_mm, thickness_mm=thickness_mm, nesting=nesting, slats_wound=wound
        )
        length = path_length_over_mm(centres=centres, bar_top_z_mm=bar_top_z_mm, hinge_radius_mm=radius)
        return min(float(slat_count), max(0.0, slat_count - length / pitch_mm))

    before = float(slat_count)
    miss_before = left_wound(before) - before
    wound = before + miss_before
    for _ in range(ITERATIONS_MAX):
        miss = left_wound(wound) - wound
        if abs(miss) < WOUND_RESOLUTION or miss == miss_before:
            break
        step = miss * (wound - before) / (miss - miss_before)
        before, wound, miss_before = wound, min(slat_count, max(0.0, wound - step)), miss
    return wound


@rule(
    symbol="L",
    unit="mm",
    formula="L = (daylight + 2·slot depth - 2·end gap)/(1 + α·(T_max - 20))",
    basis="standard",
    source=EXPANSION_SOURCE,
)
def slat_length_mm(*, daylight_width_mm: float, slot_depth_mm: float, end_gap_mm: float, temperature_max_c: float) -> float:
    """Length to which slats are cut at 20 °C [mm]: hot, they still leave the end gaps."""
    hot = daylight_width_mm + 2 * slot_depth_mm - 2 * end_gap_mm
    return hot / (1 + ALUMINIUM_EXPANSION_PER_K * (temperature_max_c - REFERENCE_TEMPERATURE_C))


@rule(symbol="L_cold", unit="mm", formula="L_cold = L·(1 + α·(T_min - 20))", basis="standard", source=EXPANSION_SOURCE)
def slat_length_cold_mm(*, slat_length_mm: float, temperature_min_c: float) -> float:
    """Length of a slat at the lowest temperature [mm]."""
    return slat_length_mm * (1 + ALUMINIUM_EXPANSION_PER_K * (temperature_min_c - REFERENCE_TEMPERATURE_C))


@rule(
    symbol="e",
    unit="mm",
    formula="e = L_cold - daylight - slot depth",
    basis="geometry",
    source="slat pushed hard to one side, what is left in the other track",
)
def engagement_mm(*, slat_length_cold_mm: float, daylight_width_mm: float, slot_depth_mm: float) -> float:
    """Engagement left in one track when the cold slat is pushed hard into the other [mm]."""
    return slat_length_cold_mm - daylight_width_mm - slot_depth_mm


@rule(
    symbol="H",
    unit="mm",
    formula="H = n·p + bar height",
    basis="geometry",
    source="slats and bottom bar, without seal and strap",
)
def curtain_length_mm(*, slat_count: int, pitch_mm: float, bar_height_mm: float) -> float:
    """Length of the curtain laid flat [mm]: slats and bottom bar."""
    return slat_count * pitch_mm + bar_height_mm


@rule(
    symbol="m",
    unit="kg",
    formula="m = (n·m_slat + m_bar)·L/1000",
    basis="catalogue",
    source="masses per metre of the catalogue",
)
def curtain_mass_kg(*, slat_count: int, slat_length_mm: float, slat_mass_kg_per_m: float, bar_mass_kg_per_m: float) -> float:
    """Mass of the curtain [kg]: slats and bottom bar."""
    return (slat_count * slat_mass_kg_per_m + bar_mass_kg_per_m) * slat_length_mm / 1000

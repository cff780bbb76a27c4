"""Strength: what the road's wind does to a slat, what its bow leaves in the tracks, and how the tube sags."""

from math import pi
from typing import NamedTuple

from service.audit.recorder import Use, plain
from service.audit.rules import rule
from service.calculation.balance import GRAVITY_M_PER_S2
from service.calculation.constants import STEEL_DENSITY_KG_PER_M3
from service.calculation.job import Slat, Tube

AIR_DENSITY_KG_PER_M3 = 1.225
"""Density of air at sea level and 15 °C [kg/m³]. Source: ISO 2533 (US Standard Atmosphere 1976). EN 1991-1-4 recommends
1.25, 2 % more: that is for cold air over buildings."""

SHAPE_FACTOR = 1.2
"""Pressure and suction together over the velocity pressure [1]. Source: assumption."""

ALUMINIUM_MODULUS_MPA = 70_000.0
"""Modulus of elasticity of EN AW-6060 [MPa]. Source: EN 1999-1-1, 3.2.5 (value from memory, standard not opened)."""

ALUMINIUM_YIELD_MPA = 150.0
"""0.2 % proof stress of EN AW-6060 T6 profiles up to 3 mm thick [MPa]. Source: EN 755-2 as reprinted by suppliers."""

SLAT_STRESS_IN_HAND = 1.5
"""Safety kept on the slat's stress [1]. Source: practice of this project."""

STEEL_MODULUS_MPA = 210_000.0
"""Modulus of elasticity of the tube's steel [MPa]. Source: EN 1993-1-1, 3.2.6 (value from memory)."""

SAG_SHARE = 500.0
"""Span over the greatest sag of the tube [1]. Source: practice of this project."""

SPAN = (
    "the span is the slat's length: a slat that bows outwards bears on the tracks' inner lips or anywhere in the slots "
    "behind them, and the longer span is on the safe side"
)
BEAM = "simply supported beam under uniform load, linear theory"


class Strength(NamedTuple):
    """Slat and tube under load; the engagement is that of the cold, bowed slat pushed hard to one side."""

    wind_pressure_pa: float
    slat_stress_mpa: float
    slat_bow_mm: float
    engagement_left_mm: float
    tube_sag_mm: float


class Stressed(NamedTuple):
    """The strength and its checks as (id, value, limit)."""

    strength: Strength
    checks: tuple[tuple[str, float, float], ...]


@rule(
    symbol="q",
    unit="Pa",
    formula="q = ½·1.225·(v/3.6)²·1.2",
    basis="assumption",
    source="velocity pressure with the air of ISO 2533 at sea level; the shape factor 1.2 is an assumption",
)
def wind_pressure_pa(*, road_speed_km_h: float) -> float:
    """Wind pressure on the curtain at road speed [Pa]."""
    return AIR_DENSITY_KG_PER_M3 / 2 * (road_speed_km_h / 3.6) ** 2 * SHAPE_FACTOR


@rule(symbol="w", unit="N/mm", formula="w = q·p", basis="geometry", source="a slat bears the pressure on its own pitch")
def slat_load_n_per_mm(*, wind_pressure_pa: float, pitch_mm: float) -> float:
    """Wind load along a slat [N/mm]."""
    return wind_pressure_pa / 1e6 * pitch_mm


@rule(symbol="M", unit="N·mm", formula="M = w·L²/8", basis="handbook", source=f"{BEAM}; {SPAN}")
def slat_moment_n_mm(*, slat_load_n_per_mm: float, slat_length_mm: float) -> float:
    """Greatest bending moment of a slat [N·mm]."""
    return slat_load_n_per_mm * slat_length_mm**2 / 8


@rule(symbol="σ", unit="MPa", formula="σ = M/W", basis="handbook", source=BEAM)
def slat_stress_mpa(*, slat_moment_n_mm: float, section_modulus_mm3: float) -> float:
    """Greatest bending stress of a slat [MPa]."""
    return slat_moment_n_mm / section_modulus_mm3


@rule(
    symbol="σ_max",
    unit="MPa",
    formula="σ_max = 150/1.5",
    basis="standard",
    source="EN AW-6060 T6, EN 755-2 as reprinted by suppliers (the standard itself not opened); 1.5 in hand: practice of "
    "this project",
)
def slat_stress_limit_mpa() -> float:
    """Bending stress that a slat may bear [MPa]."""
    return ALUMINIUM_YIELD_MPA / SLAT_STRESS_IN_HAND


@rule(symbol="f", unit="mm", formula="f = 5·w·L⁴/(384·E·I), E 70000", basis="handbook", source=f"{BEAM}; {SPAN}")
def slat_bow_mm(*, slat_load_n_per_mm: float, slat_length_mm: float, second_moment_mm4: float) -> float:
    """Bow of a slat at its middle [mm]."""
    return 5 * slat_load_n_per_mm * slat_length_mm**4 / (384 * ALUMINIUM_MODULUS_MPA * second_moment_mm4)


@rule(
    symbol="ΔL",
    unit="mm",
    formula="ΔL = 8·f²/(3·L)",
    basis="handbook",
    source="shallow parabola; the exact arc is shorter by 0.05 % where f is 1.5 % of L",
)
def draw_in_mm(*, slat_bow_mm: float, slat_length_mm: float) -> float:
    """How much shorter the bowed slat's chord is [mm]."""
    return 8 * slat_bow_mm**2 / (3 * slat_length_mm)


@rule(
    symbol="e_b",
    unit="mm",
    formula="e_b = e - ΔL",
    basis="geometry",
    source="cold slat pushed hard to one side, the whole draw-in lost at the other: hot or unbowed it is held deeper",
)
def engagement_left_mm(*, engagement_mm: float, draw_in_mm: float) -> float:
    """Engagement left of the cold, bowed slat [mm]."""
    return engagement_mm - draw_in_mm


@rule(
    symbol="I_t",
    unit="mm⁴",
    formula="I_t = π/4·(r⁴ - (r - wall)⁴)",
    basis="handbook",
    source="second moment of a circular ring",
)
def tube_second_moment_mm4(*, tube_radius_mm: float, tube_wall_mm: float) -> float:
    """Second moment of the tube's section [mm⁴]."""
    return pi / 4 * (tube_radius_mm**4 - (tube_radius_mm - tube_wall_mm) ** 4)


@rule(
    symbol="f_t",
    unit="mm",
    formula="f_t = 5·m·g·L³/(384·E·I_t), E 210000",
    basis="handbook",
    source=f"{BEAM}: the whole curtain's weight spread over the tube, which is as long as a slat (assumption); the weight "
    "of tube and springs is not counted",
)
def tube_sag_mm(*, curtain_mass_kg: float, slat_length_mm: float, tube_second_moment_mm4: float) -> float:
    """Sag of the tube under the wound curtain [mm]."""
    weight_n = curtain_mass_kg * GRAVITY_M_PER_S2
    return 5 * weight_n * slat_length_mm**3 / (384 * STEEL_MODULUS_MPA * tube_second_moment_mm4)


@rule(symbol="f_max", unit="mm", formula="f_max = L/500", basis="practice", source="practice of this project")
def tube_sag_limit_mm(*, slat_length_mm: float) -> float:
    """Sag that the tube may have [mm]."""
    return slat_length_mm / SAG_SHARE


@rule(
    symbol="m_t",
    unit="kg",
    formula="m_t = π·(r² - (r - wall)²)·L·ρ, ρ 7850 kg/m³",
    basis="geometry",
    source="volume of a ring, as long as a slat; shaft and end fittings are not counted",
)
def tube_mass_kg(*, tube_radius_mm: float, tube_wall_mm: float, slat_length_mm: float) -> float:
    """Mass of the tube [kg]."""
    section_mm2 = pi * (tube_radius_mm**2 - (tube_radius_mm - tube_wall_mm) ** 2)
    return section_mm2 * slat_length_mm * STEEL_DENSITY_KG_PER_M3 * 1e-9


def strength_of(
    *,
    slat: Slat,
    tube: Tube,
    slat_length_mm: float,
    engagement_mm: float,
    engagement_min_mm: float,
    curtain_mass_kg: float,
    road_speed_km_h: float,
    use: Use = plain,
) -> Stressed:
    """Slat and tube under the road's wind and the curtain's weight; `engagement_mm` is that of the cold slat."""
    pressure = use(wind_pressure_pa)(road_speed_km_h=road_speed_km_h)
    load = use(slat_load_n_per_mm)(wind_pressure_pa=pressure, pitch_mm=slat.pitch_mm)
    stress = use(slat_stress_mpa)(
        slat_moment_n_mm=use(slat_moment_n_mm)(slat_load_n_per_mm=load, slat_length_mm=slat_length_mm),
        section_modulus_mm3=slat.section_modulus_mm3,
    )
    bow = use(slat_bow_mm)(slat_load_n_per_mm=load, slat_length_mm=slat_length_mm, second_moment_mm4=slat.second_moment_mm4)
    left = use(engagement_left_mm)(
        engagement_mm=engagement_mm, draw_in_mm=use(draw_in_mm)(slat_bow_mm=bow, slat_length_mm=slat_length_mm)
    )
    sag = use(tube_sag_mm)(
        curtain_mass_kg=curtain_mass_kg,
        slat_length_mm=slat_length_mm,
        tube_second_moment_mm4=use(tube_second_moment_mm4)(tube_radius_mm=tube.radius_mm, tube_wall_mm=tube.wall_mm),
    )
    return Stressed(
        Strength(pressure, stress, bow, left, sag),
        (
            ("slat_stress", stress, use(slat_stress_limit_mpa)()),
            ("engagement_bowed", left, engagement_min_mm),
            ("tube_sag", sag, use(tube_sag_limit_mm)(slat_length_mm=slat_length_mm)),
        ),
    )

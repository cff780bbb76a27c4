"""Strength: what the road's wind does to a slat, what its bow leaves in the tracks, and how the tube sags."""

from math import pi, pow
from typing import Final, final

from ..audit.rules import rule
from .constants import GRAVITY_M_PER_S2, STEEL_DENSITY_KG_PER_M3
from .job import Slat

AIR_DENSITY_KG_PER_M3: Final = 1.225
"""Density of air at sea level and 15 °C [kg/m³]. Source: ISO 2533 (US Standard Atmosphere 1976). EN 1991-1-4 recommends
1.25, 2 % more: that is for cold air over buildings."""

SHAPE_FACTOR: Final = 1.2
"""Pressure and suction together over the velocity pressure [1]. Source: assumption."""

ALUMINIUM_MODULUS_MPA: Final = 70_000.0
"""Modulus of elasticity of EN AW-6060 [MPa]. Source: EN 1999-1-1, 3.2.5 (value from memory, standard not opened)."""

ALUMINIUM_YIELD_MPA: Final = 150.0
"""0.2 % proof stress of EN AW-6060 T6 profiles up to 3 mm thick [MPa]. Source: EN 755-2 as reprinted by suppliers."""

SLAT_STRESS_IN_HAND: Final = 1.5
"""Safety kept on the slat's stress [1]. Source: practice of this project."""

STEEL_MODULUS_MPA: Final = 210_000.0
"""Modulus of elasticity of the tube's steel [MPa]. Source: EN 1993-1-1, 3.2.6 (value from memory)."""

BOW_SHARE: Final = 50.0
"""Span over the greatest bow of a slat [1]. Source: practice of this project."""

SMALL_BOW_SHARE: Final = 10.0
"""Span over the bow from which on figures of small deflection are outside their validity [1]. Source: handbook rule."""

SAG_SHARE: Final = 500.0
"""Span over the greatest sag of the tube [1]. Source: practice of this project."""

SPAN: Final = (
    "the span is the slat's length: a slat that bows outwards bears on the tracks' inner lips or anywhere in the slots "
    "behind them, and the longer span is on the safe side"
)
BEAM: Final = "simply supported beam under uniform load, linear theory"


@final
class Strength:
    """Slat and tube under load; the engagement is that of the cold, bowed slat pushed hard to one side."""

    def __init__(
        self,
        *,
        wind_pressure_pa: float,
        slat_stress_mpa: float,
        slat_bow_mm: float,
        engagement_left_mm: float,
        tube_sag_mm: float,
    ) -> None:
        self.wind_pressure_pa = wind_pressure_pa
        self.slat_stress_mpa = slat_stress_mpa
        self.slat_bow_mm = slat_bow_mm
        self.engagement_left_mm = engagement_left_mm
        self.tube_sag_mm = tube_sag_mm


@final
class Bent:
    """A slat in the wind; the engagement is that of the cold, bowed slat pushed hard to one side."""

    def __init__(
        self, *, wind_pressure_pa: float, stress_mpa: float, bow_mm: float, draw_in_mm: float, engagement_left_mm: float
    ) -> None:
        self.wind_pressure_pa = wind_pressure_pa
        self.stress_mpa = stress_mpa
        self.bow_mm = bow_mm
        self.draw_in_mm = draw_in_mm
        self.engagement_left_mm = engagement_left_mm


def wind_pressure_pa(*, road_speed_km_h: float) -> float:
    """Wind pressure on the curtain at road speed [Pa]."""
    return AIR_DENSITY_KG_PER_M3 / 2 * pow(road_speed_km_h / 3.6, 2.0) * SHAPE_FACTOR


rule(
    wind_pressure_pa,
    symbol="q",
    unit="Pa",
    formula="q = ½·1.225·(v/3.6)²·1.2",
    basis="assumption",
    source="velocity pressure with the air of ISO 2533 at sea level; the shape factor 1.2 is an assumption",
)


def slat_load_n_per_mm(*, wind_pressure_pa: float, pitch_mm: float) -> float:
    """Wind load along a slat [N/mm]."""
    return wind_pressure_pa / 1e6 * pitch_mm


rule(
    slat_load_n_per_mm,
    symbol="w",
    unit="N/mm",
    formula="w = q·p",
    basis="geometry",
    source="a slat bears the pressure on its own pitch",
)


def slat_moment_n_mm(*, slat_load_n_per_mm: float, slat_length_mm: float) -> float:
    """Greatest bending moment of a slat [N·mm]."""
    return slat_load_n_per_mm * pow(slat_length_mm, 2.0) / 8


rule(slat_moment_n_mm, symbol="M", unit="N·mm", formula="M = w·L²/8", basis="handbook", source=f"{BEAM}; {SPAN}")


def slat_stress_mpa(*, slat_moment_n_mm: float, section_modulus_mm3: float) -> float:
    """Greatest bending stress of a slat [MPa]."""
    return slat_moment_n_mm / section_modulus_mm3


rule(slat_stress_mpa, symbol="σ", unit="MPa", formula="σ = M/W", basis="handbook", source=BEAM)


def slat_stress_limit_mpa() -> float:
    """Bending stress that a slat may bear with safety in hand [MPa]."""
    return ALUMINIUM_YIELD_MPA / SLAT_STRESS_IN_HAND


rule(
    slat_stress_limit_mpa,
    symbol="σ_max",
    unit="MPa",
    formula="σ_max = 150/1.5",
    basis="standard",
    source="EN AW-6060 T6, EN 755-2 as reprinted by suppliers (the standard itself not opened); 1.5 in hand: practice of "
    "this project",
)


def slat_bow_mm(*, slat_load_n_per_mm: float, slat_length_mm: float, second_moment_mm4: float) -> float:
    """Bow of a slat at its middle [mm]."""
    return 5 * slat_load_n_per_mm * pow(slat_length_mm, 4.0) / (384 * ALUMINIUM_MODULUS_MPA * second_moment_mm4)


rule(slat_bow_mm, symbol="f", unit="mm", formula="f = 5·w·L⁴/(384·E·I), E 70000", basis="handbook", source=f"{BEAM}; {SPAN}")


def draw_in_mm(*, slat_bow_mm: float, slat_length_mm: float) -> float:
    """How much shorter the bowed slat's chord is [mm]."""
    return 8 * pow(slat_bow_mm, 2.0) / (3 * slat_length_mm)


rule(
    draw_in_mm,
    symbol="ΔL",
    unit="mm",
    formula="ΔL = 8·f²/(3·L)",
    basis="handbook",
    source="shallow parabola; the exact arc is shorter by 0.05 % where f is 1.5 % of L",
)


def engagement_left_mm(*, engagement_mm: float, draw_in_mm: float) -> float:
    """Engagement left of the cold, bowed slat [mm]."""
    return engagement_mm - draw_in_mm


rule(
    engagement_left_mm,
    symbol="e_b",
    unit="mm",
    formula="e_b = e - ΔL",
    basis="geometry",
    source="cold slat pushed hard to one side, the whole draw-in lost at the other: hot or unbowed it is held deeper",
)


def tube_second_moment_mm4(*, tube_radius_mm: float, tube_wall_mm: float) -> float:
    """Second moment of the tube's section [mm⁴]."""
    return pi / 4 * (pow(tube_radius_mm, 4.0) - pow(tube_radius_mm - tube_wall_mm, 4.0))


rule(
    tube_second_moment_mm4,
    symbol="I_t",
    unit="mm⁴",
    formula="I_t = π/4·(r⁴ - (r - wall)⁴)",
    basis="handbook",
    source="second moment of a circular ring",
)


def tube_mass_kg(*, tube_radius_mm: float, tube_wall_mm: float, tube_length_mm: float) -> float:
    """Mass of the tube [kg]."""
    section_mm2 = pi * (pow(tube_radius_mm, 2.0) - pow(tube_radius_mm - tube_wall_mm, 2.0))
    return section_mm2 * tube_length_mm * STEEL_DENSITY_KG_PER_M3 * 1e-9


rule(
    tube_mass_kg,
    symbol="m_t",
    unit="kg",
    formula="m_t = π·(r² - (r - wall)²)·l·ρ, ρ 7850 kg/m³",
    basis="geometry",
    source="volume of a ring; shaft and end fittings are not counted",
)


def tube_sag_mm(
    *, curtain_mass_kg: float, tube_mass_kg: float, tube_length_mm: float, tube_second_moment_mm4: float
) -> float:
    """Sag of the tube under the wound curtain and its own weight [mm]."""
    weight_n = (curtain_mass_kg + tube_mass_kg) * GRAVITY_M_PER_S2
    return 5 * weight_n * pow(tube_length_mm, 3.0) / (384 * STEEL_MODULUS_MPA * tube_second_moment_mm4)


rule(
    tube_sag_mm,
    symbol="f_t",
    unit="mm",
    formula="f_t = 5·w·l⁴/(384·E·I_t), w = g·(m + m_t)/l, E 210000",
    basis="handbook",
    source=f"{BEAM}: the whole curtain's weight spread over the tube; the springs' weight is not counted",
)


def tube_sag_limit_mm(*, tube_length_mm: float) -> float:
    """Sag that the tube may have [mm]."""
    return tube_length_mm / SAG_SHARE


rule(
    tube_sag_limit_mm,
    symbol="f_max",
    unit="mm",
    formula="f_max = l/500",
    basis="practice",
    source="practice of this project",
)


def slat_bow_limit_mm(*, slat_length_mm: float) -> float:
    """Bow that a slat may have [mm]."""
    return slat_length_mm / BOW_SHARE


rule(
    slat_bow_limit_mm,
    symbol="f_slat,max",
    unit="mm",
    formula="f_max = L/50",
    basis="practice",
    source="practice of this project",
)


def bent(*, slat: Slat, slat_length_mm: float, engagement_mm: float, road_speed_km_h: float) -> Bent:
    """A slat under the road's wind; `engagement_mm` is that of the cold slat."""
    pressure = wind_pressure_pa(road_speed_km_h=road_speed_km_h)
    load = slat_load_n_per_mm(wind_pressure_pa=pressure, pitch_mm=slat.pitch_mm)
    bow = slat_bow_mm(slat_load_n_per_mm=load, slat_length_mm=slat_length_mm, second_moment_mm4=slat.second_moment_mm4)
    draw_in = draw_in_mm(slat_bow_mm=bow, slat_length_mm=slat_length_mm)
    return Bent(
        wind_pressure_pa=pressure,
        stress_mpa=slat_stress_mpa(
            slat_moment_n_mm=slat_moment_n_mm(slat_load_n_per_mm=load, slat_length_mm=slat_length_mm),
            section_modulus_mm3=slat.section_modulus_mm3,
        ),
        bow_mm=bow,
        draw_in_mm=draw_in,
        engagement_left_mm=engagement_left_mm(engagement_mm=engagement_mm, draw_in_mm=draw_in),
    )

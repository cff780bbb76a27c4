"""The tube's torsion springs: the formulas of one spring, or of two alike in parallel."""

from math import log10, pi, pow, sqrt
from typing import Final

from ..audit.rules import rule
from .constants import STEEL_DENSITY_KG_PER_M3

STRENGTH_AT_1_MM_MPA: Final = 2211.0
"""Tensile strength of music wire of 1 mm [MPa]. Source: ASTM A228 as fitted in Shigley, table of tensile strengths
(A = 2211 MPa·mm^m, m = 0.145, wires of 0.10 to 6.5 mm)."""

STRENGTH_EXPONENT: Final = 0.145
"""How the tensile strength of music wire falls with its diameter [1]. Source: as above."""

YIELD_SHARE: Final = 0.78
"""Bending stress that music wire stands as a share of its tensile strength [1]. Source: Shigley, torsion springs."""

STRESS_IN_HAND: Final = 1.1
"""Safety kept on the spring's stress and on its fatigue [1]. Source: practice of this project."""

BORE_IN_HAND: Final = 1.1
"""Wound bore over shaft diameter that is kept [1]. Source: practice of this project."""

COILS_MIN: Final = 3
"""Least number of coils. Source: EN 13906-3:2014, scope."""

INDEX_MIN: Final = 4.0
INDEX_MAX: Final = 20.0
"""Least and greatest spring index for which the formulas are meant. Source: EN 13906-3:2014, scope."""

REPEATED_SHARE: Final = 0.53
REPEATED_SHARE_LATER: Final = 0.50
"""Greatest bending stress from zero that unpeened music wire bears 10⁵ and 10⁶ times, over its tensile strength [1].
Source: Shigley, torsion springs (Associated Spring's table), from memory."""

CYCLES_MIN: Final = 1e5
CYCLES_MAX: Final = 1e6
"""Between these cycles the share falls with the logarithm; outside it is held."""

DAYS_A_YEAR: Final = 365.0

TURN_RAD: Final = 2 * pi

SPRINGS: Final = "helical torsion spring, Shigley, Mechanical Engineering Design, ch. 10"


def mean_diameter_mm(*, tube_radius_mm: float, tube_wall_mm: float, radial_clearance_mm: float, wire_mm: float) -> float:
    """Mean diameter of a spring's coils [mm]."""
    return 2 * (tube_radius_mm - tube_wall_mm - radial_clearance_mm) - wire_mm


rule(
    mean_diameter_mm,
    symbol="D",
    unit="mm",
    formula="D = 2·(r - wall) - 2·clearance - d",
    basis="catalogue",
    source="the spring lies in the tube's bore with a radial clearance",
)


def rate_n_mm(*, elastic_modulus_mpa: float, wire_mm: float, mean_diameter_mm: float, coils: float) -> float:
    """Rate of one spring per radian [N·mm]."""
    return elastic_modulus_mpa * pow(wire_mm, 4.0) / (64 * mean_diameter_mm * coils)


rule(
    rate_n_mm,
    symbol="k",
    unit="N·mm",
    formula="k = E·d⁴/(64·D·n) per radian, for each spring",
    basis="handbook",
    source=f"{SPRINGS}; the theoretical form with 64, which is also that of EN 13906-3 (3667 = 64·180/π). The form with "
    "10.8 per turn is not used: its 6 % are an allowance for friction between the coils of a spring on an arbor, and a "
    "spring that lies free in a tube has neither; the ends are fixed in fittings, so there are no legs to add either",
)


def rate_per_turn_n_m(*, spring_count: int, rate_n_mm: float) -> float:
    """Rate of all springs together per turn [N·m]."""
    return spring_count * rate_n_mm * TURN_RAD / 1000


rule(
    rate_per_turn_n_m,
    symbol="k_turn",
    unit="N·m",
    formula="k_turn = count·k·2π/1000",
    basis="geometry",
    source="springs in parallel add up; one turn is 2π",
)


def turns_closed(*, pretension_turns: float, turned_rad: float) -> float:
    """Turns in the spring with the shutter closed [turns]."""
    return pretension_turns + turned_rad / TURN_RAD


rule(
    turns_closed,
    symbol="N_c",
    unit="turns",
    formula="N_c = pretension + turns of the tube over the lift",
    basis="geometry",
    source="the spring is wound first, then the closing curtain winds it on",
)


def moment_n_mm(*, rate_n_mm: float, turns: float) -> float:
    """Moment of one spring with so many turns in it [N·mm]."""
    return rate_n_mm * TURN_RAD * turns


rule(moment_n_mm, symbol="M_1", unit="N·mm", formula="M_1 = k·2π·N", basis="handbook", source=f"{SPRINGS}; linear spring")


def spring_index(*, mean_diameter_mm: float, wire_mm: float) -> float:
    """Spring index [1]."""
    return mean_diameter_mm / wire_mm


rule(spring_index, symbol="C", unit="1", formula="C = D/d", basis="handbook", source=SPRINGS)


def inner_stress_factor(*, spring_index: float) -> float:
    """Stress factor of the coil's inner fibre [1]."""
    return (4 * spring_index * spring_index - spring_index - 1) / (4 * spring_index * (spring_index - 1))


rule(
    inner_stress_factor,
    symbol="K_i",
    unit="1",
    formula="K_i = (4·C² - C - 1)/(4·C·(C - 1))",
    basis="handbook",
    source=f"{SPRINGS} (Wahl's factor of the inner fibre); EN 13906-3 writes q instead, about 0.7 % higher at C = 10",
)


def spring_stress_mpa(*, inner_stress_factor: float, moment_n_mm: float, wire_mm: float) -> float:
    """Greatest bending stress of the wire [MPa]."""
    return inner_stress_factor * 32 * moment_n_mm / (pi * pow(wire_mm, 3.0))


rule(spring_stress_mpa, symbol="σ", unit="MPa", formula="σ = K_i·32·M/(π·d³)", basis="handbook", source=SPRINGS)


def tensile_strength_mpa(*, wire_mm: float) -> float:
    """Tensile strength of music wire [MPa]."""
    return STRENGTH_AT_1_MM_MPA / pow(wire_mm, STRENGTH_EXPONENT)


rule(
    tensile_strength_mpa,
    symbol="S_ut",
    unit="MPa",
    formula="S_ut = 2211/d^0.145",
    basis="handbook",
    source="music wire ASTM A228 as fitted in Shigley, table of tensile strengths",
)


def spring_stress_limit_mpa(*, tensile_strength_mpa: float) -> float:
    """Bending stress that the wire may bear at rest [MPa]."""
    return YIELD_SHARE * tensile_strength_mpa / STRESS_IN_HAND


rule(
    spring_stress_limit_mpa,
    symbol="σ_max",
    unit="MPa",
    formula="σ_max = 0.78·S_ut/1.1",
    basis="handbook",
    source=f"{SPRINGS}; 1.1 in hand: practice of this project",
)


def service_cycles(*, cycles_per_day: float, service_years: float) -> float:
    """Times the shutter opens and closes in its life [1]."""
    return cycles_per_day * DAYS_A_YEAR * service_years


rule(
    service_cycles,
    symbol="z",
    unit="1",
    formula="z = cycles a day·365·service years",
    basis="practice",
    source="practice of this project",
)


def repeated_share(cycles: float) -> float:
    """Greatest bending stress from zero that the wire bears so many times, over its tensile strength [1]."""
    share = REPEATED_SHARE
    if cycles > CYCLES_MIN:
        decades = log10(min(cycles, CYCLES_MAX) / CYCLES_MIN) / log10(CYCLES_MAX / CYCLES_MIN)
        share += (REPEATED_SHARE_LATER - REPEATED_SHARE) * decades
    return share


def repeated_strength_mpa(*, tensile_strength_mpa: float, cycles: float) -> float:
    """Greatest bending stress from zero that the wire bears so many times [MPa]."""
    return repeated_share(cycles) * tensile_strength_mpa


rule(
    repeated_strength_mpa,
    symbol="S_r",
    unit="MPa",
    formula="S_r = (0.53 at 10⁵ to 0.50 at 10⁶ cycles, by the logarithm, outside held)·S_ut",
    basis="handbook",
    source=f"unpeened music wire, {SPRINGS} (from memory)",
)


def fatigue_safety(
    *, stress_open_mpa: float, stress_closed_mpa: float, tensile_strength_mpa: float, repeated_strength_mpa: float
) -> float:
    """Safety of a spring that works between two stresses against fatigue [1]."""
    alternating, mean = (stress_closed_mpa - stress_open_mpa) / 2, (stress_closed_mpa + stress_open_mpa) / 2
    half = repeated_strength_mpa / 2
    reversed_mpa = half / (1 - pow(half / tensile_strength_mpa, 2.0))
    by_mean, by_alternating = pow(mean / tensile_strength_mpa, 2.0), alternating / reversed_mpa
    return (sqrt(by_alternating * by_alternating + 4 * by_mean) - by_alternating) / (2 * by_mean)


rule(
    fatigue_safety,
    symbol="n_f",
    unit="1",
    formula="n_f·σ_a/S_e + (n_f·σ_m/S_ut)² = 1, S_e = (S_r/2)/(1 - (S_r/2/S_ut)²), σ_a and σ_m from open to closed",
    basis="handbook",
    source=f"Gerber's line, {SPRINGS}",
)


def stored_energy_j(*, spring_count: int, rate_n_mm: float, turns: float) -> float:
    """Energy stored in all springs with so many turns in them [J]."""
    return spring_count * rate_n_mm * pow(TURN_RAD * turns, 2.0) / 2 / 1000


rule(
    stored_energy_j,
    symbol="E",
    unit="J",
    formula="E = count·k·(2π·N)²/2",
    basis="handbook",
    source="linear spring",
)


def spring_body_mm(*, spring_count: int, wire_mm: float, coils: float, turns_closed: float) -> float:
    """Length of all spring bodies together when wound up [mm]."""
    return spring_count * wire_mm * (coils + 1 + turns_closed)


rule(
    spring_body_mm,
    symbol="l_f",
    unit="mm",
    formula="l_f = count·d·(n + 1 + N_c)",
    basis="handbook",
    source=f"{SPRINGS}; winding adds a coil a turn; two springs share the tube's length",
)


def spring_body_max_mm(*, tube_length_mm: float, end_fittings_mm: float) -> float:
    """Length that the tube offers to spring bodies [mm]."""
    return tube_length_mm - end_fittings_mm


rule(
    spring_body_max_mm,
    symbol="l_max",
    unit="mm",
    formula="l_max = l_tube - end fittings",
    basis="catalogue",
    source="the end fittings are counted once, also for two springs",
)


def wound_bore_mm(*, mean_diameter_mm: float, coils: float, turns_closed: float, wire_mm: float) -> float:
    """Bore of the wound-up spring [mm]."""
    return mean_diameter_mm * coils / (coils + turns_closed) - wire_mm


rule(
    wound_bore_mm,
    symbol="D'",
    unit="mm",
    formula="D' = D·n/(n + N_c) - d",
    basis="handbook",
    source=f"{SPRINGS}; the wire's length stays, the turns add to the coils",
)


def wound_bore_min_mm(*, shaft_diameter_mm: float) -> float:
    """Least bore of the wound-up spring over the shaft [mm]."""
    return BORE_IN_HAND * shaft_diameter_mm


rule(
    wound_bore_min_mm,
    symbol="D'_min",
    unit="mm",
    formula="D'_min = 1.1·shaft",
    basis="practice",
    source="practice of this project",
)


def springs_mass_kg(*, spring_count: int, mean_diameter_mm: float, coils: int, wire_mm: float) -> float:
    """Mass of all springs [kg]."""
    wire_mm3 = pi * mean_diameter_mm * coils * pi * pow(wire_mm, 2.0) / 4
    return spring_count * wire_mm3 * STEEL_DENSITY_KG_PER_M3 * 1e-9


rule(
    springs_mass_kg,
    symbol="m_w",
    unit="kg",
    formula="m_w = count·π·D·n·(π·d²/4)·ρ, ρ 7850 kg/m³",
    basis="geometry",
    source="wire of the coils, without its legs",
)

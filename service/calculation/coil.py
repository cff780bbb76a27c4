"""The coil: rigid slats wound on the tube. Slats are chords, hinges lie on the spiral (chordal spiral).

How a coil grows is derived here from the geometry of rigid slats; no published formula covers it. The strip formula
for thin material is its limit for a pitch of 0 and is reported beside it as a lower bound.
"""

from math import acos, asin, atan, pi, sqrt
from typing import Final, final

from ..audit.rules import rule
from .constants import DEG_PER_RAD

TABLE_LENGTH_MM: Final = 6000.0
"""Curtain length that a coil table covers at least."""

TABLE_SLATS_MIN: Final = 200
"""Slats that a coil table covers at least: the greatest count a caller may give."""

TABLES_MAX: Final = 512
"""Tables that are kept."""

ANGLE_RESOLUTION_RAD: Final = 1e-15
"""Change of an angle at which the iteration from hinge to hinge ends."""

DERIVED: Final = "own derivation from rigid slats as chords, checked against shapely"


def first_hinge_radius_mm(*, tube_radius_mm: float, pitch_mm: float, thickness_mm: float) -> float:
    """Radius of the first hinge on the bare tube [mm]."""
    return sqrt((tube_radius_mm + thickness_mm / 2) ** 2 + (pitch_mm / 2) ** 2)


def layer_spacing_mm(*, hinge_radius_mm: float, pitch_mm: float, thickness_mm: float, nesting: float) -> float:
    """Distance of one layer to the next at a hinge radius [mm]."""
    return thickness_mm + nesting * (hinge_radius_mm - sqrt(hinge_radius_mm * hinge_radius_mm - pitch_mm * pitch_mm / 4))


def _next_hinge(hinge_radius_mm: float, spacing_mm: float, pitch_mm: float) -> tuple[float, float]:
    """Radius [mm] of the next hinge and the angle [rad] to it, so that their chord is exactly one pitch."""
    angle = 2 * asin(min(1.0, pitch_mm / (2 * hinge_radius_mm)))
    growth = spacing_mm / (2 * pi)
    for _ in range(60):
        radius = hinge_radius_mm + growth * angle
        cosine = (hinge_radius_mm**2 + radius**2 - pitch_mm**2) / (2 * hinge_radius_mm * radius)
        refined = acos(max(-1.0, min(1.0, cosine)))
        if abs(refined - angle) < ANGLE_RESOLUTION_RAD:
            break
        angle = refined
    return hinge_radius_mm + growth * angle, angle


@final
class WoundSlat:
    """A slat on the coil: radius and angle of its inner hinge, and how much more those of its outer one are."""

    def __init__(self, *, radius_mm: float, growth_mm: float, angle_rad: float, turn_rad: float) -> None:
        self.radius_mm = radius_mm
        self.growth_mm = growth_mm
        self.angle_rad = angle_rad
        self.turn_rad = turn_rad


@final
class CoilTable:
    """The hinges of a coil, wound slat by slat from the tube outwards: radius [mm] and angle turned [rad].

    The shape of each is (slats + 1,). `slats` has the same by slat, as plain numbers, for those who look often.

    Raises:
        ValueError: the pitch spans more than the tube's first layer, so that no coil forms.
    """

    def __init__(self, *, tube_radius_mm: float, pitch_mm: float, thickness_mm: float, nesting: float) -> None:
        radius = first_hinge_radius_mm(tube_radius_mm=tube_radius_mm, pitch_mm=pitch_mm, thickness_mm=thickness_mm)
        radii, angles = [radius], [0.0]
        for _ in range(max(TABLE_SLATS_MIN, int(TABLE_LENGTH_MM / pitch_mm)) + 1):
            spacing = layer_spacing_mm(hinge_radius_mm=radius, pitch_mm=pitch_mm, thickness_mm=thickness_mm, nesting=nesting)
            radius, angle = _next_hinge(radius, spacing, pitch_mm)
            radii.append(radius)
            angles.append(angles[-1] + angle)
        self.tube_radius_mm = tube_radius_mm
        self.pitch_mm = pitch_mm
        self.thickness_mm = thickness_mm
        self.nesting = nesting
        self.radii_mm = radii
        self.angles_rad = angles
        self.slats = [
            WoundSlat(
                radius_mm=radii[index],
                growth_mm=radii[index + 1] - radii[index],
                angle_rad=angles[index],
                turn_rad=angles[index + 1] - angles[index],
            )
            for index in range(len(radii) - 1)
        ]


TABLES: Final[list[CoilTable]] = []
"""The tables made so far. A catalogue has a few; to compare their numbers takes a tenth of what it takes to hash them."""


def coil_table(*, tube_radius_mm: float, pitch_mm: float, thickness_mm: float, nesting: float) -> CoilTable:
    """The table of a slat on a tube, made once.

    Raises:
        ValueError: the pitch spans more than the tube's first layer, so that no coil forms.
    """
    for table in TABLES:
        if (
            table.tube_radius_mm == tube_radius_mm
            and table.thickness_mm == thickness_mm
            and table.pitch_mm == pitch_mm
            and table.nesting == nesting
        ):
            return table
    made = CoilTable(tube_radius_mm=tube_radius_mm, pitch_mm=pitch_mm, thickness_mm=thickness_mm, nesting=nesting)
    if len(TABLES) == TABLES_MAX:
        TABLES.clear()
    TABLES.append(made)
    return made


def _between(values: list[float], position: float) -> float:
    """The value at a fractional position, linear between neighbours; before the first it is the first."""
    if position <= 0:
        return values[0]
    index = int(position)
    low = values[index]
    return low + (position - index) * (values[index + 1] - low)


def strap_radius_mm(*, tube_radius_mm: float, strap_thickness_mm: float) -> float:
    """Radius at which the strap alone leaves the tube [mm]: its middle."""
    return tube_radius_mm + strap_thickness_mm / 2


rule(
    strap_radius_mm,
    symbol="r_s",
    unit="mm",
    formula="r_s = r + strap thickness/2",
    basis="geometry",
    source="a thin band bends about its middle",
)


def hinge_radius_mm(
    *, tube_radius_mm: float, pitch_mm: float, thickness_mm: float, nesting: float, slats_wound: float
) -> float:
    """Radius of the outermost hinge with so many slats wound [mm].

    Raises:
        IndexError: more slats than a coil table covers.
    """
    table = coil_table(tube_radius_mm=tube_radius_mm, pitch_mm=pitch_mm, thickness_mm=thickness_mm, nesting=nesting)
    return _between(table.radii_mm, slats_wound)


rule(
    hinge_radius_mm,
    symbol="b",
    unit="mm",
    formula="ρ0 = √((r + t/2)² + (p/2)²); ρ grows by s·Δθ/2π a slat, s = t + η·(ρ - √(ρ² - p²/4)), "
    "p² = ρ1² + ρ2² - 2·ρ1·ρ2·cos Δθ; linear between hinges",
    basis="geometry",
    source=f"first slat tangent to the tube at its middle, layers apart by the chord's sagitta; {DERIVED}",
)


def hinge_angle_rad(
    *, tube_radius_mm: float, pitch_mm: float, thickness_mm: float, nesting: float, slats_wound: float
) -> float:
    """Angle through which the tube has turned with so many slats wound [rad].

    Raises:
        IndexError: more slats than a coil table covers.
    """
    table = coil_table(tube_radius_mm=tube_radius_mm, pitch_mm=pitch_mm, thickness_mm=thickness_mm, nesting=nesting)
    return _between(table.angles_rad, slats_wound)


rule(
    hinge_angle_rad,
    symbol="θ",
    unit="rad",
    formula="θ = sum of Δθ over the wound slats; linear between hinges",
    basis="geometry",
    source=DERIVED,
)


def outer_radius_mm(*, hinge_radius_mm: float, thickness_mm: float) -> float:
    """Outer radius of the coil [mm]: its widest point at any rotation."""
    return hinge_radius_mm + thickness_mm / 2


rule(
    outer_radius_mm,
    symbol="R",
    unit="mm",
    formula="R = ρ + t/2",
    basis="geometry",
    source="widest point of the coil from its axis at any rotation",
)


def turns(*, angle_rad: float) -> float:
    """Turns of the coil [turns]."""
    return angle_rad / (2 * pi)


rule(turns, symbol="N", unit="turns", formula="N = θ/2π", basis="geometry", source="definition")


def ideal_radius_mm(*, tube_radius_mm: float, pitch_mm: float, thickness_mm: float, slat_count: int) -> float:
    """Outer radius if the curtain were a limp strip [mm]: a lower bound of the coil."""
    core = tube_radius_mm + thickness_mm / 2
    return sqrt(core * core + slat_count * pitch_mm * thickness_mm / pi) + thickness_mm / 2


rule(
    ideal_radius_mm,
    symbol="R_ideal",
    unit="mm",
    formula="R_ideal = √((r + t/2)² + n·p·t/π) + t/2",
    basis="handbook",
    source="area of a wound strip, L = π·(R² - r²)/t",
)


def measured_difference_percent(*, measured_radius_mm: float, coil_radius_mm: float) -> float:
    """How far a measured coil differs from the computed one, either way [%]."""
    return 100 * abs(measured_radius_mm - coil_radius_mm) / coil_radius_mm


rule(
    measured_difference_percent,
    symbol="ΔR%",
    unit="%",
    formula="ΔR% = 100·|R_measured - R|/R",
    basis="geometry",
    source="definition",
)


def hinge_bend_on_tube_deg(*, tube_radius_mm: float, pitch_mm: float, thickness_mm: float) -> float:
    """Bend of a hinge on the bare tube [deg]."""
    return 2 * atan(pitch_mm / 2 / (tube_radius_mm + thickness_mm / 2)) * DEG_PER_RAD


rule(
    hinge_bend_on_tube_deg,
    symbol="γ_tube",
    unit="deg",
    formula="γ = 2·atan((p/2)/(r + t/2))",
    basis="geometry",
    source="neighbouring chords, each tangent to the tube at its middle",
)


def slats_within(*, tube_radius_mm: float, pitch_mm: float, thickness_mm: float, nesting: float, radius_mm: float) -> int:
    """The greatest slat count whose coil stays within an outer radius; 0 when even the first slat does not."""
    table = coil_table(tube_radius_mm=tube_radius_mm, pitch_mm=pitch_mm, thickness_mm=thickness_mm, nesting=nesting)
    reach = radius_mm - thickness_mm / 2
    return max(0, sum(1 for hinge in table.radii_mm if hinge <= reach) - 1)

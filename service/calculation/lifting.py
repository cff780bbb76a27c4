"""Lifting: how much one person should lift to the header, and who or what lifts more."""

from math import fabs
from typing import Final, final

from ..audit.rules import rule

LOAD_CONSTANT_KG: Final = 23.0
"""Load constant of the revised lifting equation [kg]. Source: revised NIOSH lifting equation, 1991."""

REACH_CM: Final = 50.0
"""Horizontal distance of the hands to the ankles [cm] while a shutter is held to its header: assumption of this project."""

HEIGHT_CM: Final = 175.0
"""Height of the hands [cm] there: assumption of this project."""


@final
class Lifting:
    """What one person should lift, how many lift this shutter, and whether a trestle or lift is needed as well."""

    def __init__(self, *, recommended_kg: float, persons: int, lift_needed: bool) -> None:
        self.recommended_kg = recommended_kg
        self.persons = persons
        self.lift_needed = lift_needed


def recommended_kg(*, reach_cm: float, height_cm: float) -> float:
    """Recommended weight a person [kg]."""
    return LOAD_CONSTANT_KG * (25 / reach_cm) * (1 - 0.003 * fabs(height_cm - 75))


rule(
    recommended_kg,
    symbol="RWL",
    unit="kg",
    formula="RWL = 23·(25/H)·(1 - 0.003·|V - 75|), the other multipliers 1",
    basis="handbook",
    source="revised NIOSH lifting equation, 1991 (Waters et al. 1993), metric form",
)


def lifted_kg(*, curtain_mass_kg: float, tube_mass_kg: float, springs_mass_kg: float) -> float:
    """Mass that is held up while the tube is seated [kg]: the curtain alone, while it is led in, is less."""
    return curtain_mass_kg + tube_mass_kg + springs_mass_kg


rule(
    lifted_kg,
    symbol="m_lift",
    unit="kg",
    formula="m_lift = curtain + tube + springs",
    basis="practice",
    source="common practice: the tube is seated with curtain and springs on it",
)


def lifting_of(*, lifted_kg: float) -> Lifting:
    """One person up to the recommended weight, else two; over twice that a trestle or lift as well."""
    recommended = recommended_kg(reach_cm=REACH_CM, height_cm=HEIGHT_CM)
    return Lifting(
        recommended_kg=recommended,
        persons=1 if lifted_kg <= recommended else 2,
        lift_needed=lifted_kg > 2 * recommended,
    )

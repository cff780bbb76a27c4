"""Care: how often a shutter is looked at, and what half a turn more would ask of its springs."""

from math import floor
from typing import Final

from ..audit.rules import rule
from .constants import HALF_TURN

INSPECTION_CYCLES: Final = 5000
"""Times a shutter may run from one inspection to the next. Source: practice of this project."""


def inspection_months(*, cycles_per_day: float) -> int:
    """Time from one inspection to the next [months]."""
    cycles_a_month = cycles_per_day * 365 / 12
    return max(1, min(12, floor(INSPECTION_CYCLES / max(cycles_a_month, 1.0))))


rule(
    inspection_months,
    symbol="T_i",
    unit="months",
    formula="T_i = whole months in which the shutter runs 5000 times, from 1 to 12",
    basis="assumption",
    source="practice of this project: look at springs, straps and wheels once a year, more often where they work more",
)


def bears_half_a_turn_more(*, stress_mpa: float, stress_limit_mpa: float, turns_closed: float) -> bool:
    """Whether the springs bear half a turn more pretension: stress grows with the turns in the closed spring."""
    return stress_mpa * (turns_closed + HALF_TURN) / turns_closed <= stress_limit_mpa

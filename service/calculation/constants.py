"""Numbers that no catalogue may change, each with its source."""

from math import pi
from typing import Final

ALUMINIUM_EXPANSION_PER_K: Final = 23e-6
"""Coefficient of linear thermal expansion [1/K]. Source: EN 1999-1-1, 3.2.5, read in a draft of it (prEN)."""

BODY_EXPANSION_PER_K: Final[dict[str, float]] = {"steel": 12e-6, "aluminium": 23e-6, "composite": 10e-6}
"""Coefficient of linear thermal expansion of the vehicle's body [1/K]. Source: steel EN 1993-1-1, 3.2.6, and aluminium
EN 1999-1-1, 3.2.5 (both from memory); composite: assumption, glass fibre along its layers."""

REFERENCE_TEMPERATURE_C: Final = 20.0
"""Temperature [°C] at which catalogue lengths hold. Source: ISO 1."""

GRAVITY_M_PER_S2: Final = 9.80665
"""Standard acceleration of free fall [m/s²]. Source: ISO 80000-3."""

STEEL_DENSITY_KG_PER_M3: Final = 7850.0
"""Density of steel [kg/m³]. Source: EN 1991-1-1, table A.4 (77.0 to 78.5 kN/m³), the upper value, as reprinted."""

SEAL_STANDING_SHARE: Final = 2 / 3
"""Share of the free bottom seal that is left standing when the shutter is closed. Source: common practice."""

HALF_TURN: Final = 0.5
"""Step of the pretension [turns]: the shaft can be held at every half turn. Source: practice of this project."""

DEG_PER_RAD: Final = 180 / pi
"""What `math.degrees` multiplies by, which is called through Python where the core is compiled."""

RAD_PER_DEG: Final = pi / 180
"""The same of `math.radians`."""

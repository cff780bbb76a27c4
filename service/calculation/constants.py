"""Numbers that no catalogue may change, each with its source."""

ALUMINIUM_EXPANSION_PER_K = 23e-6
"""Coefficient of linear thermal expansion [1/K]. Source: EN 1999-1-1, 3.2.5, read in a draft of it (prEN)."""

REFERENCE_TEMPERATURE_C = 20.0
"""Temperature [°C] at which catalogue lengths hold. Source: ISO 1."""

STEEL_DENSITY_KG_PER_M3 = 7850.0
"""Density of steel [kg/m³]. Source: EN 1991-1-1, table A.4 (77.0 to 78.5 kN/m³), the upper value, as reprinted."""

SEAL_PRESSED_SHARE = 1 / 3
"""Share of the free bottom seal that is pressed when the shutter is closed. Source: common practice."""

SEAL_STANDING_SHARE = 1 - SEAL_PRESSED_SHARE
"""Share of the free bottom seal that is left standing when the shutter is closed. Source: common practice."""

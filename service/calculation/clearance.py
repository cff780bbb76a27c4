"""Room around the coil: what is left to the roof, the wheel, the rear and the header."""

from math import hypot

from service.audit.rules import rule

ROOM = "distance between the coil's circle and its surroundings"


@rule(symbol="c_roof", unit="mm", formula="c = headroom - z_b - R", basis="geometry", source=ROOM)
def roof_clearance_mm(*, headroom_mm: float, bracket_z_mm: float, coil_radius_mm: float) -> float:
    """Clearance from coil to roof [mm]."""
    return headroom_mm - bracket_z_mm - coil_radius_mm


@rule(
    symbol="c_wheel",
    unit="mm",
    formula="c = D - R - wheel allowance",
    basis="practice",
    source="common practice: bracket to wheel at least R + running clearance + an allowance for the wheel",
)
def wheel_clearance_mm(*, centre_distance_mm: float, coil_radius_mm: float, wheel_allowance_mm: float) -> float:
    """Clearance from coil to the curtain on the wheel [mm]."""
    return centre_distance_mm - coil_radius_mm - wheel_allowance_mm


@rule(symbol="c_rear", unit="mm", formula="c = header_thickness + depth - x_b - R", basis="geometry", source=ROOM)
def rear_clearance_mm(*, header_thickness_mm: float, depth_mm: float, bracket_x_mm: float, coil_radius_mm: float) -> float:
    """Clearance from coil to the rear obstruction [mm]."""
    return header_thickness_mm + depth_mm - bracket_x_mm - coil_radius_mm


@rule(
    symbol="c_header",
    unit="mm",
    formula="c = distance of the bracket to the header's inner face (its lower edge when the bracket lies below) - R",
    basis="geometry",
    source=ROOM,
)
def header_clearance_mm(
    *, header_thickness_mm: float, bracket_x_mm: float, bracket_z_mm: float, coil_radius_mm: float
) -> float:
    """Clearance from coil to header [mm]."""
    return hypot(bracket_x_mm - header_thickness_mm, min(0.0, bracket_z_mm)) - coil_radius_mm

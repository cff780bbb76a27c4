"""The curtain's path between wheel and coil: the common outer tangent, over the top of both."""

from math import asin, atan2, cos, degrees, hypot, pi, sin, sqrt
from typing import NamedTuple

from service.audit.rules import rule

TANGENT = "common outer tangent of two circles"


class Centres(NamedTuple):
    """The wheel's and the bracket's centres and the hinges' path radius on the wheel."""

    wheel_x_mm: float
    wheel_z_mm: float
    bracket_x_mm: float
    bracket_z_mm: float
    wheel_path_radius_mm: float


@rule(symbol="D", unit="mm", formula="D = |WB|", basis="geometry", source="distance of two points")
def centre_distance_mm(*, wheel_x_mm: float, wheel_z_mm: float, bracket_x_mm: float, bracket_z_mm: float) -> float:
    """Distance of the wheel's and the bracket's centres [mm]."""
    return hypot(bracket_x_mm - wheel_x_mm, bracket_z_mm - wheel_z_mm)


@rule(symbol="ψ", unit="rad", formula="ψ = atan2(dz, dx) + asin((b - a)/D)", basis="geometry", source=TANGENT)
def rise_rad(
    *,
    wheel_x_mm: float,
    wheel_z_mm: float,
    bracket_x_mm: float,
    bracket_z_mm: float,
    wheel_path_radius_mm: float,
    hinge_radius_mm: float,
) -> float:
    """Rise of the free curtain from wheel to coil [rad].

    Where one circle lies inside the other there is no tangent; the rise is then told as if they just touched, and the
    clearance check of the same place fails.
    """
    dx, dz = bracket_x_mm - wheel_x_mm, bracket_z_mm - wheel_z_mm
    sine = (hinge_radius_mm - wheel_path_radius_mm) / hypot(dx, dz)
    return atan2(dz, dx) + asin(max(-1.0, min(1.0, sine)))


@rule(symbol="arc", unit="mm", formula="arc = a·(π/2 - ψ)", basis="geometry", source=TANGENT)
def arc_on_wheel_mm(*, wheel_path_radius_mm: float, rise_rad: float) -> float:
    """Length of the hinges' path on the wheel [mm]; negative when the curtain would not touch it."""
    return wheel_path_radius_mm * (pi / 2 - rise_rad)


@rule(symbol="free", unit="mm", formula="free = √(D² - (b - a)²)", basis="geometry", source=TANGENT)
def free_length_mm(*, centre_distance_mm: float, wheel_path_radius_mm: float, hinge_radius_mm: float) -> float:
    """Length of the free curtain between wheel and coil [mm]; 0 where there is no tangent."""
    difference = hinge_radius_mm - wheel_path_radius_mm
    return sqrt(max(0.0, centre_distance_mm * centre_distance_mm - difference * difference))


@rule(
    symbol="ψ°",
    unit="deg",
    formula="ψ° = greater of ψ with the bare tube and with the full coil",
    basis="geometry",
    source=TANGENT,
)
def greatest_rise_deg(*, rise_bare_rad: float, rise_full_rad: float) -> float:
    """Greatest rise of the free curtain [deg]; over 90 it would not touch the wheel."""
    return degrees(max(rise_bare_rad, rise_full_rad))


@rule(symbol="l", unit="mm", formula="l = z_wheel - z_bar_top + arc + free", basis="geometry", source="sum along the path")
def path_length_mm(*, wheel_z_mm: float, bar_top_z_mm: float, arc_on_wheel_mm: float, free_length_mm: float) -> float:
    """Curtain between the bottom bar's top and the coil [mm]."""
    return wheel_z_mm - bar_top_z_mm + arc_on_wheel_mm + free_length_mm


def path_length_over_mm(*, centres: Centres, bar_top_z_mm: float, hinge_radius_mm: float) -> float:
    """The path's length [mm] for one hinge radius on the coil: the rules above in one go."""
    wheel_x, wheel_z, bracket_x, bracket_z, path_radius = centres
    rise = rise_rad(
        wheel_x_mm=wheel_x,
        wheel_z_mm=wheel_z,
        bracket_x_mm=bracket_x,
        bracket_z_mm=bracket_z,
        wheel_path_radius_mm=path_radius,
        hinge_radius_mm=hinge_radius_mm,
    )
    free = free_length_mm(
        centre_distance_mm=hypot(bracket_x - wheel_x, bracket_z - wheel_z),
        wheel_path_radius_mm=path_radius,
        hinge_radius_mm=hinge_radius_mm,
    )
    arc = arc_on_wheel_mm(wheel_path_radius_mm=path_radius, rise_rad=rise)
    return path_length_mm(wheel_z_mm=wheel_z, bar_top_z_mm=bar_top_z_mm, arc_on_wheel_mm=arc, free_length_mm=free)


def point_on_path(*, centres: Centres, rise_rad: float, bar_top_z_mm: float, along_mm: float) -> tuple[float, float]:
    """The point (x, z) [mm] of the path so far from the bottom bar's top, measured along it."""
    wheel_x, wheel_z, _, _, radius = centres
    beyond_straight = along_mm - (wheel_z - bar_top_z_mm)
    if beyond_straight <= 0:
        return wheel_x - radius, bar_top_z_mm + along_mm
    arc = arc_on_wheel_mm(wheel_path_radius_mm=radius, rise_rad=rise_rad)
    if beyond_straight <= arc:
        angle = pi - beyond_straight / radius
        return wheel_x + radius * cos(angle), wheel_z + radius * sin(angle)
    beyond_arc = beyond_straight - arc
    return (
        wheel_x - radius * sin(rise_rad) + beyond_arc * cos(rise_rad),
        wheel_z + radius * cos(rise_rad) + beyond_arc * sin(rise_rad),
    )

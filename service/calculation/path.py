"""The curtain's path between wheel and coil: the common outer tangent, over the top of both."""

from math import asin, atan2, cos, hypot, pi, sin, sqrt
from typing import Final, final

from ..audit.rules import rule
from .constants import DEG_PER_RAD

TANGENT: Final = "common outer tangent of two circles"


@final
class Centres:
    """The wheel's and the bracket's centres and the hinges' path radius on the wheel."""

    def __init__(
        self,
        *,
        wheel_x_mm: float,
        wheel_z_mm: float,
        bracket_x_mm: float,
        bracket_z_mm: float,
        wheel_path_radius_mm: float,
    ) -> None:
        self.wheel_x_mm = wheel_x_mm
        self.wheel_z_mm = wheel_z_mm
        self.bracket_x_mm = bracket_x_mm
        self.bracket_z_mm = bracket_z_mm
        self.wheel_path_radius_mm = wheel_path_radius_mm


def centre_distance_mm(*, wheel_x_mm: float, wheel_z_mm: float, bracket_x_mm: float, bracket_z_mm: float) -> float:
    """Distance of the wheel's and the bracket's centres [mm]."""
    return hypot(bracket_x_mm - wheel_x_mm, bracket_z_mm - wheel_z_mm)


rule(centre_distance_mm, symbol="D", unit="mm", formula="D = |WB|", basis="geometry", source="distance of two points")


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


rule(rise_rad, symbol="ψ", unit="rad", formula="ψ = atan2(dz, dx) + asin((b - a)/D)", basis="geometry", source=TANGENT)


def arc_on_wheel_mm(*, wheel_path_radius_mm: float, rise_rad: float) -> float:
    """Length of the hinges' path on the wheel [mm]; negative when the curtain would not touch it."""
    return wheel_path_radius_mm * (pi / 2 - rise_rad)


rule(arc_on_wheel_mm, symbol="arc", unit="mm", formula="arc = a·(π/2 - ψ)", basis="geometry", source=TANGENT)


def free_length_mm(*, centre_distance_mm: float, wheel_path_radius_mm: float, hinge_radius_mm: float) -> float:
    """Length of the free curtain between wheel and coil [mm]; 0 where there is no tangent."""
    difference = hinge_radius_mm - wheel_path_radius_mm
    return sqrt(max(0.0, centre_distance_mm * centre_distance_mm - difference * difference))


rule(free_length_mm, symbol="free", unit="mm", formula="free = √(D² - (b - a)²)", basis="geometry", source=TANGENT)


def greatest_rise_deg(*, rise_strap_rad: float, rise_full_rad: float) -> float:
    """Greatest rise of the free curtain [deg]; over 90 it would not touch the wheel."""
    return max(rise_strap_rad, rise_full_rad) * DEG_PER_RAD


rule(
    greatest_rise_deg,
    symbol="ψ°",
    unit="deg",
    formula="ψ° = greater of ψ with the strap alone and with the full coil",
    basis="geometry",
    source=TANGENT,
)


def path_length_mm(*, wheel_z_mm: float, bar_top_z_mm: float, arc_on_wheel_mm: float, free_length_mm: float) -> float:
    """Curtain between the bottom bar's top and the coil [mm]."""
    return wheel_z_mm - bar_top_z_mm + arc_on_wheel_mm + free_length_mm


rule(
    path_length_mm,
    symbol="l",
    unit="mm",
    formula="l = z_wheel - z_bar_top + arc + free",
    basis="geometry",
    source="sum along the path",
)


def point_on_path(*, centres: Centres, rise_rad: float, bar_top_z_mm: float, along_mm: float) -> tuple[float, float]:
    """The point (x, z) [mm] of the path so far from the bottom bar's top, measured along it."""
    wheel_x, wheel_z, radius = centres.wheel_x_mm, centres.wheel_z_mm, centres.wheel_path_radius_mm
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

"""The curtain's path over wheel and coil. Expected values: hand."""

from math import atan2, cos, hypot, pi, sin, sqrt

import pytest

from service.calculation import path

LEVEL = {
    "wheel_x_mm": 0.0,
    "wheel_z_mm": 0.0,
    "bracket_x_mm": 100.0,
    "bracket_z_mm": 0.0,
    "wheel_path_radius_mm": 30.0,
}


def test_equal_circles_side_by_side():
    # the tangent is level: a quarter of the wheel is touched and the free length is the distance
    rise = path.rise_rad(**LEVEL, hinge_radius_mm=30.0)
    assert rise == 0.0
    assert path.arc_on_wheel_mm(wheel_path_radius_mm=30.0, rise_rad=rise) == pytest.approx(15 * pi, rel=1e-15)
    assert path.free_length_mm(centre_distance_mm=100.0, wheel_path_radius_mm=30.0, hinge_radius_mm=30.0) == 100.0


def test_larger_coil_beside_the_wheel():
    # 3-4-5: radii 30 and 90, centres 100 apart: sin ψ = 0.6, free length 80
    rise = path.rise_rad(**LEVEL, hinge_radius_mm=90.0)
    assert sin(rise) == pytest.approx(0.6, rel=1e-15)
    free = path.free_length_mm(centre_distance_mm=100.0, wheel_path_radius_mm=30.0, hinge_radius_mm=90.0)
    assert free == pytest.approx(80.0, rel=1e-15)


def test_tangent_touches_both_circles_at_right_angles():
    centres = {
        "wheel_x_mm": 90.0,
        "wheel_z_mm": 6.0,
        "bracket_x_mm": 210.0,
        "bracket_z_mm": 88.0,
        "wheel_path_radius_mm": 30.0,
    }
    rise = path.rise_rad(**centres, hinge_radius_mm=70.0)
    on_wheel = (90 - 30 * sin(rise), 6 + 30 * cos(rise))
    on_coil = (210 - 70 * sin(rise), 88 + 70 * cos(rise))
    assert atan2(on_coil[1] - on_wheel[1], on_coil[0] - on_wheel[0]) == pytest.approx(rise, rel=1e-12)
    free = path.free_length_mm(centre_distance_mm=hypot(120.0, 82.0), wheel_path_radius_mm=30.0, hinge_radius_mm=70.0)
    assert hypot(on_coil[0] - on_wheel[0], on_coil[1] - on_wheel[1]) == pytest.approx(free, rel=1e-12)


def test_path_is_the_sum_of_its_parts():
    # 50 up to the wheel, a quarter of its circle, 100 across
    arc = path.arc_on_wheel_mm(wheel_path_radius_mm=30.0, rise_rad=0.0)
    length = path.path_length_mm(wheel_z_mm=0.0, bar_top_z_mm=-50.0, arc_on_wheel_mm=arc, free_length_mm=100.0)
    assert length == pytest.approx(50 + 15 * pi + 100, rel=1e-15)


def test_points_along_the_path():
    def at(along_mm):
        return path.point_on_path(centres=path.Centres(**LEVEL), rise_rad=0.0, bar_top_z_mm=-50.0, along_mm=along_mm)

    assert at(0.0) == (-30.0, -50.0)
    assert at(50.0) == (-30.0, 0.0)
    assert at(50 + 7.5 * pi) == pytest.approx((-30 * sqrt(0.5), 30 * sqrt(0.5)), rel=1e-12)
    assert at(50 + 15 * pi + 40) == pytest.approx((40.0, 30.0), rel=1e-12)


def test_greatest_rise_is_the_steeper_of_strap_and_full():
    assert path.greatest_rise_deg(rise_strap_rad=pi / 4, rise_full_rad=pi / 3) == pytest.approx(60.0)
    assert path.greatest_rise_deg(rise_strap_rad=pi / 3, rise_full_rad=pi / 4) == pytest.approx(60.0)


def test_circles_inside_each_other_have_no_free_length():
    # a coil that swallows the wheel has no tangent; it is told as if the circles just touched
    assert path.free_length_mm(centre_distance_mm=50.0, wheel_path_radius_mm=30.0, hinge_radius_mm=90.0) == 0.0
    assert path.rise_rad(**{**LEVEL, "bracket_x_mm": 50.0}, hinge_radius_mm=90.0) == pi / 2


def test_distance_of_centres():
    assert path.centre_distance_mm(wheel_x_mm=10.0, wheel_z_mm=5.0, bracket_x_mm=130.0, bracket_z_mm=55.0) == 130.0

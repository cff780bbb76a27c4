"""The coil, hinge by hinge. Expected values: hand, except where said otherwise."""

from math import atan, cos, degrees, pi, sqrt

import pytest

from service.calculation import coil

SLIM_ON_T50 = {"tube_radius_mm": 25.0, "pitch_mm": 28.0, "thickness_mm": 8.0, "nesting": 1.0}


def test_first_hinge_is_the_hypotenuse_over_half_a_slat():
    # 20-21-29: the tube's radius and half a slat make 20, half the pitch is 21
    assert coil.first_hinge_radius_mm(tube_radius_mm=16.0, pitch_mm=42.0, thickness_mm=8.0) == 29.0


@pytest.mark.parametrize(("nesting", "spacing"), [(0.0, 8.0), (0.5, 12.5), (1.0, 17.0)])
def test_layers_are_spaced_by_thickness_and_sagitta(nesting, spacing):
    # 20-21-29: a chord of 42 in a circle of 29 lies 20 from its centre, its sagitta is 9
    assert coil.layer_spacing_mm(hinge_radius_mm=29.0, pitch_mm=42.0, thickness_mm=8.0, nesting=nesting) == spacing


def test_second_hinge_solves_the_law_of_cosines_with_the_growth():
    table = coil.coil_table(**SLIM_ON_T50)
    first, second = table.radii_mm[:2]
    turned = table.angles_rad[1]
    spacing = 8 + first - sqrt(first**2 - 14**2)
    assert first == pytest.approx(sqrt(29**2 + 14**2), rel=1e-15)
    assert second - first == pytest.approx(spacing * turned / (2 * pi), rel=1e-12)
    assert first**2 + second**2 - 2 * first * second * cos(turned) == pytest.approx(28.0**2, rel=1e-12)


def test_between_hinges_the_radius_is_linear():
    table = coil.coil_table(**SLIM_ON_T50)
    third = coil.hinge_radius_mm(**SLIM_ON_T50, slats_wound=3.25)
    assert third == pytest.approx(0.75 * table.radii_mm[3] + 0.25 * table.radii_mm[4], rel=1e-15)
    turned = coil.hinge_angle_rad(**SLIM_ON_T50, slats_wound=3.25)
    assert turned == pytest.approx(0.75 * table.angles_rad[3] + 0.25 * table.angles_rad[4], rel=1e-15)


def test_nothing_wound_is_the_first_hinge():
    assert coil.hinge_radius_mm(**SLIM_ON_T50, slats_wound=0.0) == coil.coil_table(**SLIM_ON_T50).radii_mm[0]
    assert coil.hinge_angle_rad(**SLIM_ON_T50, slats_wound=0.0) == 0.0


def test_table_covers_the_longest_curtain():
    assert coil.hinge_radius_mm(**SLIM_ON_T50, slats_wound=200) > 0
    fine = coil.coil_table(tube_radius_mm=25.0, pitch_mm=10.0, thickness_mm=4.0, nesting=1.0)
    assert (len(fine.radii_mm) - 1) * 10 >= 6000
    with pytest.raises(IndexError):
        coil.hinge_radius_mm(**SLIM_ON_T50, slats_wound=len(coil.coil_table(**SLIM_ON_T50).radii_mm))


def test_a_table_is_made_once(monkeypatch):
    monkeypatch.setattr(coil, "TABLES", [])
    monkeypatch.setattr(coil, "TABLES_MAX", 2)
    first = coil.coil_table(**SLIM_ON_T50)
    assert coil.coil_table(**SLIM_ON_T50) is first
    # another number makes another table
    thicker = coil.coil_table(**{**SLIM_ON_T50, "thickness_mm": 8.5})
    assert thicker.radii_mm[0] > first.radii_mm[0]
    assert list(coil.TABLES) == [first, thicker]
    # one more than is kept
    coil.coil_table(**{**SLIM_ON_T50, "nesting": 0.5})
    assert len(coil.TABLES) == 1
    assert coil.coil_table(**SLIM_ON_T50).radii_mm == first.radii_mm


def test_bend_on_the_tube_is_twice_the_half_slats_angle():
    # 2·atan(14/29)
    bend = coil.hinge_bend_on_tube_deg(tube_radius_mm=25.0, pitch_mm=28.0, thickness_mm=8.0)
    assert bend == pytest.approx(2 * degrees(atan(14 / 29)), rel=1e-15)
    # a slat as long as the tube's mid-line is thick turns by a right angle
    assert coil.hinge_bend_on_tube_deg(tube_radius_mm=10.0, pitch_mm=28.0, thickness_mm=8.0) == pytest.approx(90.0)


def test_ideal_radius_is_that_of_a_limp_strip():
    # 3-4-5: core 30, wound area π·40²
    ideal = coil.ideal_radius_mm(tube_radius_mm=26.0, pitch_mm=20 * pi, thickness_mm=8.0, slat_count=10)
    assert ideal == pytest.approx(50 + 4, abs=1e-12)


def test_turns_and_outer_radius():
    assert coil.turns(angle_rad=9 * pi) == 4.5
    assert coil.outer_radius_mm(hinge_radius_mm=76.5, thickness_mm=8.0) == 80.5


def test_slats_within_a_radius():
    radii = coil.coil_table(**SLIM_ON_T50).radii_mm
    assert coil.slats_within(**SLIM_ON_T50, radius_mm=radii[40] + 4) == 40
    assert coil.slats_within(**SLIM_ON_T50, radius_mm=(radii[40] + radii[41]) / 2 + 4) == 40
    assert coil.slats_within(**SLIM_ON_T50, radius_mm=10.0) == 0


def test_the_strap_leaves_the_tube_at_its_middle():
    assert coil.strap_radius_mm(tube_radius_mm=25.0, strap_thickness_mm=2.0) == 26.0


@pytest.mark.parametrize("measured", [84.0, 76.0])
def test_how_far_a_measured_coil_differs(measured):
    # 4 mm of 80 either way
    assert coil.measured_difference_percent(measured_radius_mm=measured, coil_radius_mm=80.0) == pytest.approx(5.0)

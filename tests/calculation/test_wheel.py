"""Side plate, wheel and the pinch at the mouth. Expected values: hand, except where said otherwise."""

from math import pi, sin, sqrt

import pytest

from service.calculation import wheel


def test_holes_stand_where_plate_and_drawing_put_them():
    assert wheel.plate_front_x_mm(header_thickness_mm=40.0, setback_mm=8.0) == 48.0
    assert wheel.plate_base_z_mm(mouth_z_mm=10.0, plate_offset_mm=-3.0) == 7.0
    assert wheel.hole_x_mm(plate_front_x_mm=48.0, from_front_mm=50.0) == 98.0
    assert wheel.hole_z_mm(plate_base_z_mm=7.0, from_base_mm=18.0) == 25.0
    assert wheel.plate_rear_x_mm(plate_front_x_mm=48.0, plate_deep_mm=240.0) == 288.0
    assert wheel.plate_top_z_mm(plate_base_z_mm=7.0, plate_high_mm=200.0) == 207.0
    assert wheel.below_roof_mm(headroom_mm=310.0, hole_z_mm=25.0) == 285.0


def test_curtain_hangs_half_a_slat_off_the_wheel():
    radius = wheel.wheel_path_radius_mm(wheel_radius_mm=26.0, thickness_mm=8.0)
    assert radius == 30.0
    assert wheel.curtain_plane_x_mm(wheel_x_mm=90.0, wheel_path_radius_mm=radius) == 60.0


def test_a_chord_as_long_as_the_radius_bends_by_60():
    assert wheel.hinge_bend_on_wheel_deg(pitch_mm=30.0, wheel_radius_mm=26.0, thickness_mm=8.0) == pytest.approx(
        60.0, rel=1e-15
    )


def test_a_slat_longer_than_the_wheel_is_wide_counts_as_folded():
    assert wheel.hinge_bend_on_wheel_deg(pitch_mm=61.0, wheel_radius_mm=26.0, thickness_mm=8.0) == 180.0


def test_pinch_at_an_angle_worked_by_hand():
    # wheel of 30 with its centre at the mouth, slat of 25, upper hinge turned by 30°: it stands 30·(1 - √3/2) off the
    # track and 15 over the mouth; the lower hinge is √(25² - 4.019²) below it; the greatest offset is at least that
    across = 30 * (1 - sqrt(3) / 2)
    along = sqrt(25**2 - across**2)
    by_hand = (along - 30 * sin(pi / 6)) * across / along
    greatest = wheel.entry_shift_mm(above_mouth_mm=0.0, wheel_path_radius_mm=30.0, pitch_mm=25.0)
    assert by_hand == pytest.approx(1.5759, abs=5e-5)
    assert by_hand <= greatest < 1.7


def test_pinch_of_the_sample_wheel_holes():
    # regression: 18, 40 and 62 above the mouth; a grid over all angles confirms them in the property tests
    shifts = [
        wheel.entry_shift_mm(above_mouth_mm=above, wheel_path_radius_mm=30.0, pitch_mm=28.0) for above in (18.0, 40.0, 62.0)
    ]
    assert shifts == pytest.approx([0.089063, 0.0, 0.0], abs=5e-7)


def test_an_offset_is_searched_once(monkeypatch):
    monkeypatch.setattr(wheel, "SHIFTS", {})
    monkeypatch.setattr(wheel, "SHIFTS_MAX", 2)
    asked = [{"above_mouth_mm": above, "wheel_path_radius_mm": 30.0, "pitch_mm": 28.0} for above in (18.0, 40.0, 17.0)]
    first, second, third = (wheel.entry_shift_mm(**one) for one in asked)
    assert first < third
    assert second == 0.0
    # one more than is kept
    assert {17.0: third} == {above: shift for (above, _, _), shift in wheel.SHIFTS.items()}
    assert wheel.entry_shift_mm(**asked[0]) == first


def test_play_of_a_slat_in_its_slot():
    assert wheel.entry_shift_max_mm(slot_width_mm=10.0, thickness_mm=8.0) == 1.0

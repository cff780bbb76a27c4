"""Room around coil, plate and curtain. Expected values: hand; shapely checks them all in the published tests."""

from math import pi

import pytest

from service.calculation import clearance

BOX = {"box_x_mm": 300.0, "box_z_mm": 100.0, "box_deep_mm": 50.0, "box_high_mm": 40.0}


def test_roof_wheel_and_rear():
    assert clearance.roof_clearance_mm(headroom_mm=310.0, bracket_z_mm=88.0, coil_radius_mm=80.0) == 142.0
    assert clearance.wheel_clearance_mm(centre_distance_mm=145.0, coil_radius_mm=80.0, wheel_allowance_mm=39.0) == 26.0
    rear = clearance.rear_clearance_mm(header_thickness_mm=40.0, depth_mm=620.0, bracket_x_mm=210.0, coil_radius_mm=80.0)
    assert rear == 370.0
    assert clearance.rear_x_mm(header_thickness_mm=40.0, depth_mm=620.0) == 660.0


@pytest.mark.parametrize(
    ("bracket_z_mm", "clearance_mm"),
    [
        (88.0, 90.0),  # beside the header: 210 - 40 - 80
        (0.0, 90.0),  # at the height of its base
        (-408.0, 362.0),  # below it: 170-408-442 to its lower edge, less 80
        (718.0, 362.0),  # above its upper end at 310 likewise
    ],
)
def test_header(bracket_z_mm, clearance_mm):
    left = clearance.header_clearance_mm(
        header_thickness_mm=40.0, headroom_mm=310.0, bracket_x_mm=210.0, bracket_z_mm=bracket_z_mm, coil_radius_mm=80.0
    )
    assert left == pytest.approx(clearance_mm, abs=1e-9)


@pytest.mark.parametrize(
    ("x", "z", "distance"), [(320.0, 120.0, 0.0), (290.0, 120.0, 10.0), (270.0, 60.0, 50.0), (353.0, 144.0, 5.0)]
)
def test_distance_to_a_box(x, z, distance):
    # inside, beside it, and from corners by 30-40-50 and 3-4-5
    assert clearance.box_distance_mm(x_mm=x, z_mm=z, **BOX) == distance
    left = clearance.obstacle_clearance_mm(bracket_x_mm=x, bracket_z_mm=z, coil_radius_mm=80.0, **BOX)
    assert left == distance - 80.0


@pytest.mark.parametrize(("front", "base", "gap"), [(40.0, -12.0, 20.0), (40.0, 190.0, 50.0), (100.0, 0.0, -40.0)])
def test_gap_of_a_plate(front, base, gap):
    # 240 by 200: before the box by 20, above it by 50 (and 20 before it), over it by 40 one way and 100 another
    found = clearance.plate_to_box_mm(
        plate_front_x_mm=front, plate_base_z_mm=base, plate_deep_mm=240.0, plate_high_mm=200.0, **BOX
    )
    assert found == gap


def run(**box):
    """A curtain on a wheel of 30 at (90, 6): 120 long and level at the strap, 100 long and rising 45° at the coil."""
    return clearance.curtain_to_box_mm(
        wheel_x_mm=90.0,
        wheel_z_mm=6.0,
        wheel_path_radius_mm=30.0,
        rise_strap_rad=0.0,
        free_strap_mm=120.0,
        rise_full_rad=pi / 4,
        free_full_mm=100.0,
        sill_z_mm=-1420.0,
        thickness_mm=8.0,
        box_deep_mm=10.0,
        box_high_mm=10.0,
        **box,
    )


@pytest.mark.parametrize(
    ("x", "z", "left"),
    [
        (75.0, -500.0, 11.0),  # behind the track line at 60: by 15, less half a slat
        (30.0, -500.0, 16.0),  # before it: from 40 by 20, less half a slat
        (55.0, -500.0, -4.0),  # in it
        (55.0, -1440.0, 6.0),  # under the sill, by 10
        (150.0, 11.0, 11.0),  # under the level free part at 36, by 15
        (120.0, 45.0, -4.0),  # between the level part and the rising one, which sweeps it
        (150.0, 60.0, -4.0),  # swept as well, and far from both
        (205.0, 60.0, 20.0),  # beyond what is swept, over the level part by 24
    ],
)
def test_running_curtain(x, z, left):
    assert run(box_x_mm=x, box_z_mm=z) == pytest.approx(left, abs=1e-9)


def test_thick_slats_take_room():
    # hand: the coil grows by 0.6
    left = clearance.thick_clearance_mm(clearance_mm=22.0, coil_radius_mm=80.3, radius_thick_mm=80.9)
    assert left == pytest.approx(21.4, abs=1e-12)

"""Room around the coil. Expected values: hand."""

import pytest

from service.calculation import clearance


def test_roof_wheel_and_rear() -> None:
    assert clearance.roof_clearance_mm(headroom_mm=310.0, bracket_z_mm=88.0, coil_radius_mm=80.0) == 142.0
    assert clearance.wheel_clearance_mm(centre_distance_mm=145.0, coil_radius_mm=80.0, wheel_allowance_mm=39.0) == 26.0
    rear = clearance.rear_clearance_mm(header_thickness_mm=40.0, depth_mm=620.0, bracket_x_mm=210.0, coil_radius_mm=80.0)
    assert rear == 370.0


@pytest.mark.parametrize(
    ("bracket_z_mm", "clearance_mm"),
    [
        (88.0, 90.0),  # beside the header: 210 - 40 - 80
        (0.0, 90.0),  # at the height of its base
        (-408.0, 362.0),  # below it: 170-408-442 to its lower edge, less 80
    ],
)
def test_header(bracket_z_mm: float, clearance_mm: float) -> None:
    left = clearance.header_clearance_mm(
        header_thickness_mm=40.0, bracket_x_mm=210.0, bracket_z_mm=bracket_z_mm, coil_radius_mm=80.0
    )
    assert left == pytest.approx(clearance_mm, abs=1e-9)

"""Care. Expected values: hand."""

import pytest

from service.calculation import care


@pytest.mark.parametrize(
    ("cycles", "months"), [(0.0, 12), (10.0, 12), (13.6, 12), (13.8, 11), (50.0, 3), (160.0, 1), (1000.0, 1)]
)
def test_inspections(cycles, months):
    # 5000 cycles between: 10 a day are 304 a month, and a year at most; 13.8 are 419.75 a month, 50 are 1520.8
    assert care.inspection_months(cycles_per_day=cycles) == months


@pytest.mark.parametrize(("limit", "bears"), [(1050.0, True), (1049.9, False)])
def test_half_a_turn_more(limit, bears):
    # 1000·10.5/10
    assert care.bears_half_a_turn_more(stress_mpa=1000.0, stress_limit_mpa=limit, turns_closed=10.0) is bears

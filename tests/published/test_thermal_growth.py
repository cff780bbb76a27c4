"""Thermal growth of aluminium slats with the coefficient of the European standard for aluminium structures.

@techreport{en1999-1-1, institution = {CEN}, title = {EN 1999-1-1, Eurocode 9: Design of aluminium structures, General
  structural rules}, note = {3.2.5 (1): coefficient of linear thermal expansion 23e-6 per °C; read in the final draft
  prEN 1999-1-1:05-2004}}
"""

import pytest

from service.calculation import constants, curtain


def test_coefficient_is_the_standards() -> None:
    # published: EN 1999-1-1, 3.2.5 (1)
    assert constants.ALUMINIUM_EXPANSION_PER_K == 23e-6


def test_a_slat_fills_its_room_when_hot() -> None:
    # hand: 2000·(1 + 23e-6·(70 - 20)) = 2002.3
    length = curtain.slat_length_mm(daylight_width_mm=1980.3, slot_depth_mm=13.0, end_gap_mm=2.0, temperature_max_c=70.0)
    assert length == pytest.approx(2000.0, abs=1e-9)


def test_a_slat_shrinks_when_cold() -> None:
    # hand: 2000·(1 - 23e-6·60) = 1997.24 at -40 °C, 60 K below the reference temperature
    assert curtain.slat_length_cold_mm(slat_length_mm=2000.0, temperature_min_c=-40.0) == pytest.approx(1997.24, abs=1e-9)


@pytest.mark.parametrize("length", [250.0, 1165.196, 3000.0])
def test_nothing_grows_at_the_reference_temperature(length: float) -> None:
    # hand: no difference in temperature; 20 °C is the reference temperature of ISO 1
    assert curtain.slat_length_cold_mm(slat_length_mm=length, temperature_min_c=20.0) == length


def test_growth_between_the_extremes_is_the_difference_of_temperatures() -> None:
    # hand: between -20 and 50 °C a slat of 1000 mm (at 20 °C) moves by 1000·23e-6·70 = 1.61 mm
    cold = curtain.slat_length_cold_mm(slat_length_mm=1000.0, temperature_min_c=-20.0)
    hot = curtain.slat_length_cold_mm(slat_length_mm=1000.0, temperature_min_c=50.0)
    assert hot - cold == pytest.approx(1.61, abs=1e-9)

"""Thermal growth of aluminium slats in a body of steel, aluminium or composite.

@techreport{en1999-1-1, institution = {CEN}, title = {EN 1999-1-1, Eurocode 9: Design of aluminium structures, General
  structural rules}, note = {3.2.5 (1): coefficient of linear thermal expansion 23e-6 per °C; read in the final draft
  prEN 1999-1-1:05-2004}}
@techreport{en1993-1-1, institution = {CEN}, title = {EN 1993-1-1, Eurocode 3: Design of steel structures, General rules},
  note = {3.2.6: coefficient of linear thermal expansion 12e-6 per K; from memory}}
"""

import pytest

from service.calculation import constants, curtain


def test_coefficients_are_the_standards():
    # published: EN 1999-1-1, 3.2.5 (1); from memory: EN 1993-1-1, 3.2.6; composite: assumption
    assert constants.ALUMINIUM_EXPANSION_PER_K == 23e-6
    assert constants.BODY_EXPANSION_PER_K == {"steel": 12e-6, "aluminium": 23e-6, "composite": 10e-6}
    assert curtain.body_expansion_per_k(body="steel") == 12e-6


def slat_length(**changes):
    """A slat between lips 1980 mm apart; slots of 13, end gaps of 2."""
    given = {
        "lips_mm": 1980.0,
        "slot_depth_mm": 13.0,
        "end_gap_mm": 2.0,
        "body_expansion_per_k": 0.0,
        "temperature_max_c": 70.0,
    }
    return curtain.slat_length_mm(**{**given, **changes})


def test_a_slat_fills_its_room_when_hot():
    # hand: (1979.9763 + 22)·… a rigid body: 1980 + 22 = 2002 = L·(1 + 23e-6·50)
    assert slat_length() == pytest.approx(2002 / 1.00115, abs=1e-9)
    # hand: a steel body grows by 1980·12e-6·50 = 1.188
    assert slat_length(body_expansion_per_k=12e-6) == pytest.approx(2003.188 / 1.00115, abs=1e-9)


def test_in_a_body_of_aluminium_only_the_slots_are_lost():
    # hand: lips and slat grow alike; 22 mm of slot do not: 22·(1 - 1/1.00115) = 0.02527
    assert 2002 - slat_length(body_expansion_per_k=23e-6) == pytest.approx(0.025271, abs=1e-6)


def test_a_slat_shrinks_when_cold():
    # hand: 2000·(1 - 23e-6·60) = 1997.24 at -40 °C, 60 K below the reference temperature
    assert curtain.slat_length_cold_mm(slat_length_mm=2000.0, temperature_min_c=-40.0) == pytest.approx(1997.24, abs=1e-9)


def test_a_body_shrinks_when_cold():
    # hand: 2000·(1 - 12e-6·60)
    cold = curtain.lips_cold_mm(lips_mm=2000.0, body_expansion_per_k=12e-6, temperature_min_c=-40.0)
    assert cold == pytest.approx(1998.56, abs=1e-9)


@pytest.mark.parametrize("length", [250.0, 1165.608, 3000.0])
def test_nothing_grows_at_the_reference_temperature(length):
    # hand: no difference in temperature; 20 °C is the reference temperature of ISO 1
    assert curtain.slat_length_cold_mm(slat_length_mm=length, temperature_min_c=20.0) == length
    assert curtain.lips_cold_mm(lips_mm=length, body_expansion_per_k=12e-6, temperature_min_c=20.0) == length


def test_growth_between_the_extremes_is_the_difference_of_temperatures():
    # hand: between -20 and 50 °C a slat of 1000 mm (at 20 °C) moves by 1000·23e-6·70 = 1.61 mm
    cold = curtain.slat_length_cold_mm(slat_length_mm=1000.0, temperature_min_c=-20.0)
    hot = curtain.slat_length_cold_mm(slat_length_mm=1000.0, temperature_min_c=50.0)
    assert hot - cold == pytest.approx(1.61, abs=1e-9)

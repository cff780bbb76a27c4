"""Strength of a whole shutter: which figure meets which limit."""

import pytest
import samples

from service.calculation.strength import Stressed, strength_of


def stressed(**changes: object) -> Stressed:
    """The sample shutter at 110 km/h with parts of it exchanged."""
    given = {
        "slat": samples.SLIM,
        "tube": samples.T50,
        "slat_length_mm": 1165.196,
        "engagement_mm": 7.124,
        "engagement_min_mm": 6.0,
        "curtain_mass_kg": 14.507,
        "road_speed_km_h": 110.0,
    }
    return strength_of(**{**given, **changes})


def test_sample_shutter() -> None:
    # hand: q = 0.6125·(110/3.6)²·1.2; w = q·28/1e6; M = w·L²/8; f and draw-in by the formulas; ring of radius 25, wall 2
    found = stressed().strength
    assert found.wind_pressure_pa == pytest.approx(686.227, abs=1e-3)
    assert found.slat_stress_mpa == pytest.approx(23.2922, abs=1e-3)
    assert found.slat_bow_mm == pytest.approx(11.7646, abs=1e-3)
    assert found.engagement_left_mm == pytest.approx(7.124 - 8 * 11.7646**2 / (3 * 1165.196), abs=1e-3)
    assert found.tube_sag_mm == pytest.approx(0.16036, abs=1e-4)


def test_checks_compare_with_the_limits() -> None:
    told = stressed()
    checks = {name: (value, limit) for name, value, limit in told.checks}
    assert checks["slat_stress"] == (told.strength.slat_stress_mpa, pytest.approx(100.0))  # hand: 150/1.5
    assert checks["engagement_bowed"] == (told.strength.engagement_left_mm, 6.0)
    assert checks["tube_sag"] == (told.strength.tube_sag_mm, pytest.approx(1165.196 / 500))  # hand: span/500


def test_standing_still_nothing_bows() -> None:
    found = stressed(road_speed_km_h=0.0).strength
    assert (found.wind_pressure_pa, found.slat_stress_mpa, found.slat_bow_mm) == (0.0, 0.0, 0.0)
    assert found.engagement_left_mm == 7.124


def test_a_wide_slim_slat_bows_out_of_its_track() -> None:
    # hand: f = 11.7646·(1590/1165.196)⁴ = 40.79 mm, draw-in 8·f²/(3·1590) = 2.79 mm of 7.124
    found = stressed(slat_length_mm=1590.0).strength
    assert found.slat_bow_mm == pytest.approx(40.79, abs=0.01)
    assert found.engagement_left_mm == pytest.approx(4.33, abs=0.01)

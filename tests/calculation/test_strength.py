"""Strength of a slat and of whole shutters: which figure meets which limit."""

from dataclasses import replace

import pytest
import samples

from service.calculation import strength
from service.calculation.fitting import fit


def bent(**changes):
    """The sample shutter's slat at 110 km/h with parts of it exchanged."""
    given = {"slat": samples.SLIM, "slat_length_mm": 1165.196, "engagement_mm": 7.124, "road_speed_km_h": 110.0}
    return strength.bent(**{**given, **changes})


def test_sample_slat():
    # hand: q = 0.6125·(110/3.6)²·1.2; w = q·28/1e6; M = w·L²/8; f and draw-in by the formulas
    found = bent()
    assert found.wind_pressure_pa == pytest.approx(686.227, abs=1e-3)
    assert found.stress_mpa == pytest.approx(23.2922, abs=1e-3)
    assert found.bow_mm == pytest.approx(11.7646, abs=1e-3)
    assert found.draw_in_mm == pytest.approx(8 * 11.7646**2 / (3 * 1165.196), abs=1e-3)
    assert found.engagement_left_mm == pytest.approx(7.124 - 8 * 11.7646**2 / (3 * 1165.196), abs=1e-3)


def test_sample_tube():
    # hand: ring of radius 25 and wall 2, 1144 long: 301.59 mm² weigh 2.708 kg; 12.5 kg of curtain on it
    mass = strength.tube_mass_kg(tube_radius_mm=25.0, tube_wall_mm=2.0, tube_length_mm=1144.0)
    assert mass == pytest.approx(2.7084, abs=1e-4)
    ring = strength.tube_second_moment_mm4(tube_radius_mm=25.0, tube_wall_mm=2.0)
    sag = strength.tube_sag_mm(curtain_mass_kg=12.5, tube_mass_kg=mass, tube_length_mm=1144.0, tube_second_moment_mm4=ring)
    assert sag == pytest.approx(5 * 9.80665 * 15.2084 * 1144**3 / (384 * 210_000 * ring), rel=1e-5)
    assert strength.tube_sag_limit_mm(tube_length_mm=1144.0) == 2.288


def test_checks_compare_with_the_limits():
    answer = fit(samples.JOB).answer
    limits = {check.id: check.limit for check in answer.checks}
    assert (limits["slat_stress"], limits["slat_yield"]) == (pytest.approx(100.0), 150.0)  # hand: 150/1.5
    assert (limits["held_in_track"], limits["engagement_bowed"], limits["engagement"]) == (2.0, 6.0, 6.0)
    assert limits["slat_bow"] == pytest.approx(answer.curtain.slat_length_mm / 50)
    assert limits["tube_sag"] == pytest.approx(answer.curtain.tube_length_mm / 500)


def test_standing_still_nothing_bows():
    found = bent(road_speed_km_h=0.0)
    assert (found.wind_pressure_pa, found.stress_mpa, found.bow_mm) == (0.0, 0.0, 0.0)
    assert found.engagement_left_mm == 7.124


def test_a_wide_slim_slat_bows_out_of_its_track():
    # hand: f = 11.7646·(1590/1165.196)⁴ = 40.79 mm, draw-in 8·f²/(3·1590) = 2.79 mm of 7.124
    found = bent(slat_length_mm=1590.0)
    assert found.bow_mm == pytest.approx(40.79, abs=0.01)
    assert found.engagement_left_mm == pytest.approx(4.33, abs=0.01)


def test_the_load_behind_the_curtain():
    answer = fit(samples.job({"load_gap_mm": 30.0})).answer
    check = samples.check_of(answer, "load_gap")
    assert (check.value, check.limit, check.state) == (answer.strength.slat_bow_mm, 30.0, "ok")
    assert "load_gap" not in [check.id for check in fit(samples.JOB).answer.checks]


def test_held_but_not_deep_enough_is_a_caution():
    # regression: at 140 km/h the wide slat keeps between 2 and 6 mm
    job = samples.job({"width_mm": 1350.0}, duty=samples.duty(road_speed_km_h=140.0))
    answer = fit(job).answer
    assert 2 < answer.strength.engagement_left_mm < 6
    assert samples.check_of(answer, "engagement_bowed").state == "fails"
    assert samples.check_of(answer, "held_in_track").state == "ok"
    assert answer.verdict == "fits_with_cautions"


def test_out_of_the_track_does_not_fit():
    job = replace(samples.job({"width_mm": 1600.0}), duty=samples.duty(road_speed_km_h=140.0))
    answer = fit(job).answer
    assert answer.strength.engagement_left_mm < 2
    assert answer.verdict == "does_not_fit"

"""Wiring of the options. Expected values: hand."""

import pytest
import samples

from service.calculation.wiring import wired

TRACK_MM, OUTER_MM = 1406.0, 1180.0


def wiring_of(*options, **duty):
    """Wiring of a shutter with tracks of 1406 mm, 1180 mm over both, at 20 °C."""
    job = samples.job(options=frozenset(options), duty=samples.duty(temperature_max_c=20.0, **duty))
    return wired(job=job, track_length_mm=TRACK_MM, outer_width_mm=OUTER_MM)


@pytest.mark.parametrize("options", [(), ("drip_rail", "pull_strap", "inside_release", "perimeter_seal")])
def test_nothing_is_wired_where_no_option_needs_it(options):
    assert wiring_of(*options) is None


def test_lights_and_lock():
    # 2.812 m·7.2 W/m/12 V = 1.6872 A and 1.5 A; 3.984 A asked for: 4 A. Ampere metres 4·3.1872 + 1.18·0.8436 = 13.744;
    # 1.5 mm² loses 2·13.744·13.3/1000 = 0.3656, over 0.36; 2.5 mm² 0.2194, 1.828 %
    told = wiring_of("strip_light", "electric_lock")
    assert told.wiring.strip_light_m == pytest.approx(2.812)
    assert told.wiring.current_a == pytest.approx(3.1872)
    assert told.wiring.fuse_a == 4
    assert told.wiring.conductor_mm2 == 2.5
    assert told.wiring.voltage_drop_v == pytest.approx(0.21936, abs=1e-5)
    assert told.voltage_drop_percent == pytest.approx(1.828, abs=1e-3)


def test_a_hot_cable_loses_more():
    # 1 + 0.00393·60
    cold = wiring_of("electric_lock").wiring
    hot = wired(
        job=samples.job(options=frozenset({"electric_lock"}), duty=samples.duty(temperature_max_c=80.0)),
        track_length_mm=TRACK_MM,
        outer_width_mm=OUTER_MM,
    ).wiring
    assert (cold.conductor_mm2, hot.conductor_mm2) == (0.75, 1.0)
    assert hot.voltage_drop_v == pytest.approx(2 * 4 * 1.5 * 19.5 / 1000 * 1.2358, rel=1e-12)


def test_lock_alone_has_no_light():
    told = wiring_of("electric_lock").wiring
    assert (told.strip_light_m, told.current_a, told.fuse_a) == (0.0, 1.5, 2)


def test_door_switch_is_a_signal():
    told = wiring_of("door_switch").wiring
    assert (told.current_a, told.fuse_a, told.conductor_mm2, told.voltage_drop_v) == (0.0, 1, 0.5, 0.0)


def test_higher_voltage_takes_less_copper():
    low, high = (wiring_of("strip_light", "electric_lock", supply_v=volts).wiring for volts in (12.0, 24.0))
    assert high.current_a < low.current_a
    assert high.conductor_mm2 < low.conductor_mm2


def test_a_fuse_is_not_above_what_the_conductor_bears():
    # a run of no length loses nothing in the cable, but 3.1872 A take a fuse of 4, which 0.5 mm² bears; 24 m of light do not
    assert wiring_of("electric_lock", "strip_light", cable_run_m=0.0).wiring.conductor_mm2 == 0.5
    job = samples.job(options=frozenset({"strip_light"}), duty=samples.duty(cable_run_m=0.0, temperature_max_c=20.0))
    long = wired(job=job, track_length_mm=9000.0, outer_width_mm=100.0).wiring
    # 18 m·7.2/12 = 10.8 A: 15 A, which takes 1.5 mm²
    assert (long.fuse_a, long.conductor_mm2) == (15.0, 1.5)


def test_a_run_too_long_for_the_table_is_told():
    # 16 mm² over 100 m loses 2·(100·3.1872 + 1.18·0.8436)·1.21/1000 = 0.7737 V, 6.448 %
    told = wiring_of("strip_light", "electric_lock", cable_run_m=100.0)
    assert told.wiring.conductor_mm2 == 16.0
    assert told.voltage_drop_percent == pytest.approx(6.448, abs=1e-3)

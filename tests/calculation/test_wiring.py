"""Wiring of the options."""

import pytest

from service.calculation.job import Electrics
from service.calculation.wiring import Wired, wiring_of

LOADS = Electrics(strip_light_w_per_m=7.2, lock_current_a=1.5)


def wired(*options: str, supply_v: float = 12.0, cable_run_m: float = 4.0) -> Wired:
    """Wiring of a shutter with tracks of 1406 mm."""
    return wiring_of(
        options=frozenset(options),
        electrics=LOADS,
        track_length_mm=1406.0,
        supply_v=supply_v,
        cable_run_m=cable_run_m,
    )


@pytest.mark.parametrize("options", [(), ("drip_rail", "pull_strap", "inside_release", "perimeter_seal")])
def test_nothing_is_wired_where_no_option_needs_it(options: tuple[str, ...]) -> None:
    assert wired(*options) == Wired(None, ())


def test_lights_and_lock() -> None:
    # hand: 2.812 m·7.2 W/m/12 V = 1.6872 A and 1.5 A; 3.984 A asked for: 4 A; 0.75 mm² loses 2·4·3.1872·26/1000 V = 0.663,
    # 1.5 mm² 0.339 V, the first under 0.36
    told = wired("strip_light", "electric_lock")
    assert told.wiring.strip_light_m == pytest.approx(2.812)
    assert told.wiring.current_a == pytest.approx(3.1872)
    assert told.wiring.fuse_a == 4
    assert told.wiring.conductor_mm2 == 1.5
    assert told.wiring.voltage_drop_v == pytest.approx(0.3391, abs=1e-4)
    assert told.checks == (("voltage_drop", told.wiring.voltage_drop_v, pytest.approx(0.36)),)


def test_lock_alone_has_no_light() -> None:
    told = wired("electric_lock").wiring
    assert (told.strip_light_m, told.current_a, told.fuse_a) == (0.0, 1.5, 2)


def test_door_switch_is_a_signal() -> None:
    told = wired("door_switch").wiring
    assert (told.current_a, told.fuse_a, told.conductor_mm2, told.voltage_drop_v) == (0.0, 1, 0.5, 0.0)


def test_higher_voltage_takes_less_copper() -> None:
    low, high = wired("strip_light", "electric_lock").wiring, wired("strip_light", "electric_lock", supply_v=24.0).wiring
    assert high.current_a < low.current_a
    assert high.conductor_mm2 < low.conductor_mm2


def test_a_run_too_long_for_the_table_is_told() -> None:
    # hand: 16 mm² over 100 m loses 2·100·3.1872·1.21/1000 = 0.771 V, more than 0.36
    told = wired("strip_light", "electric_lock", cable_run_m=100.0)
    assert told.wiring.conductor_mm2 == 16.0
    ((name, value, limit),) = told.checks
    assert (name, value > limit) == ("voltage_drop", True)
    assert value == pytest.approx(0.7713, abs=1e-4)

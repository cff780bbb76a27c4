"""Wiring of the electrical options: strip lights, lock and door switch on one fused supply."""

from typing import Final, final

from ..audit.rules import rule
from .constants import REFERENCE_TEMPERATURE_C
from .job import Job

ELECTRICAL_OPTIONS: Final = frozenset({"strip_light", "electric_lock", "door_switch"})
"""Options that need a supply."""

FUSE_RATINGS_A: Final[tuple[float, ...]] = (1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0)
"""Ratings of blade fuses [A]. Source: colour table of blade fuses (ISO 8820-3 itself not opened)."""

FUSE_IN_HAND: Final = 1.25
"""Fuse rating over steady current that is kept [1]. Source: practice of this project."""

CLASS_5_OHM_PER_KM: Final[dict[float, float]] = {
    0.5: 39.0,
    0.75: 26.0,
    1.0: 19.5,
    1.5: 13.3,
    2.5: 7.98,
    4.0: 4.95,
    6.0: 3.30,
    10.0: 1.91,
    16.0: 1.21,
}
"""Greatest resistance of flexible copper conductors at 20 °C [ohm/km] by area [mm²], smallest first.
Source: IEC 60228, class 5, plain copper, as reprinted on three pages that agree."""

DROP_PERCENT_MAX: Final = 3.0
"""Part of the supply voltage that the cable may lose [%]. Source: practice of this project."""

AREA_MAX_MM2: Final = 16.0
"""The greatest conductor of the table [mm²]."""


BLADE_FUSE_OF_MM2: Final[dict[float, float]] = {
    0.5: 5.0,
    0.75: 7.5,
    1.0: 10.0,
    1.5: 15.0,
    2.5: 20.0,
    4.0: 30.0,
    6.0: 40.0,
    10.0: 40.0,
    16.0: 40.0,
}
"""Greatest blade fuse [A] that protects a conductor in a vehicle by area [mm²]. Source: common practice, from memory; the
maker's figures for the cable in its bundle come first."""

COPPER_PER_K: Final = 0.00393
"""Temperature coefficient of copper's resistance at 20 °C [1/K]. Source: IEC 60028."""


@final
class Wiring:
    """The supply of the electrical options; the length is that of both strip lights together."""

    def __init__(
        self, *, strip_light_m: float, current_a: float, fuse_a: float, conductor_mm2: float, voltage_drop_v: float
    ) -> None:
        self.strip_light_m = strip_light_m
        self.current_a = current_a
        self.fuse_a = fuse_a
        self.conductor_mm2 = conductor_mm2
        self.voltage_drop_v = voltage_drop_v


def strip_light_m(*, track_length_mm: float) -> float:
    """Length of both strip lights together [m]."""
    return 2 * track_length_mm / 1000


rule(
    strip_light_m,
    symbol="l_L",
    unit="m",
    formula="l_L = 2·track length/1000",
    basis="practice",
    source="common practice: a strip light on each track, as long as the track",
)


def light_current_a(*, strip_light_m: float, strip_light_w_per_m: float, supply_v: float) -> float:
    """Current of both strip lights together [A]."""
    return strip_light_m * strip_light_w_per_m / supply_v


rule(
    light_current_a,
    symbol="I_L",
    unit="A",
    formula="I_L = l_L·w_L/U",
    basis="catalogue",
    source="load of the catalogue",
)


def supply_current_a(*, light_current_a: float, lock_current_a: float) -> float:
    """Greatest current of the supply [A]."""
    return light_current_a + lock_current_a


rule(
    supply_current_a,
    symbol="I",
    unit="A",
    formula="I = I_L + I_lock",
    basis="catalogue",
    source="loads of the catalogue; the lock's current is momentary and is counted in full while the lights are on",
)


def fuse_a(*, current_a: float) -> float:
    """Rating of the blade fuse [A].

    Raises:
        ValueError: no standard blade fuse is great enough (a catalogue's loads must not come to that).
    """
    for rating in FUSE_RATINGS_A:
        if rating >= FUSE_IN_HAND * current_a:
            return rating
    raise ValueError(f"no standard blade fuse carries {current_a} A")


rule(
    fuse_a,
    symbol="I_f",
    unit="A",
    formula="I_f = least standard rating of at least 1.25·I",
    basis="standard",
    source="standard ratings of blade fuses (ISO 8820-3, ratings from a colour table); 1.25: practice of this project",
)


def copper_resistance_factor(*, temperature_max_c: float) -> float:
    """Resistance of copper at the highest temperature over that at 20 °C [1]."""
    return 1 + COPPER_PER_K * (temperature_max_c - REFERENCE_TEMPERATURE_C)


rule(
    copper_resistance_factor,
    symbol="f_T",
    unit="1",
    formula="f_T = 1 + 0.00393·(T_max - 20)",
    basis="standard",
    source="IEC 60028: temperature coefficient of annealed copper at 20 °C",
)


def voltage_drop_v(
    *,
    cable_run_m: float,
    current_a: float,
    link_m: float,
    link_current_a: float,
    conductor_mm2: float,
    resistance_factor: float,
) -> float:
    """Voltage lost on the way to the second light [V].

    Raises:
        KeyError: the table has no such conductor.
    """
    ampere_metres = cable_run_m * current_a + link_m * link_current_a
    return 2 * ampere_metres / 1000 * CLASS_5_OHM_PER_KM[conductor_mm2] * resistance_factor


rule(
    voltage_drop_v,
    symbol="ΔU",
    unit="V",
    formula="ΔU = 2·(run·I + link·I_L/2)·r·f_T, r of IEC 60228 class 5 at 20 °C",
    basis="standard",
    source="Ohm's law over cable and link and back; resistances of IEC 60228, class 5, plain copper (from reprints)",
)


def voltage_drop_percent(*, voltage_drop_v: float, supply_v: float) -> float:
    """Voltage lost as a part of the supply [%]."""
    return 100 * voltage_drop_v / supply_v


rule(
    voltage_drop_percent,
    symbol="ΔU%",
    unit="%",
    formula="ΔU% = 100·ΔU/U",
    basis="geometry",
    source="definition",
)


def conductor_mm2(
    *,
    cable_run_m: float,
    current_a: float,
    link_m: float,
    link_current_a: float,
    fuse_a: float,
    supply_v: float,
    resistance_factor: float,
) -> float:
    """Area of each conductor [mm²]; the greatest of the table where even that one loses too much."""
    for area, fuse in BLADE_FUSE_OF_MM2.items():
        ampere_metres = cable_run_m * current_a + link_m * link_current_a
        lost = 2 * ampere_metres / 1000 * CLASS_5_OHM_PER_KM[area] * resistance_factor
        if lost <= DROP_PERCENT_MAX / 100 * supply_v and fuse_a <= fuse:
            return area
    return AREA_MAX_MM2


rule(
    conductor_mm2,
    symbol="A",
    unit="mm²",
    formula="A = least area of IEC 60228 class 5 whose ΔU is at most 3 % and which bears the fuse, else the greatest",
    basis="standard",
    source="areas of IEC 60228, class 5, from 0.5 to 16 mm²; fuse of a conductor: common practice, from memory",
)


@final
class Wired:
    """The wiring and the share of the supply that is lost in it."""

    def __init__(self, *, wiring: Wiring, voltage_drop_percent: float) -> None:
        self.wiring = wiring
        self.voltage_drop_percent = voltage_drop_percent


def wired(*, job: Job, track_length_mm: float, outer_width_mm: float) -> Wired | None:
    """The wiring of the chosen options; nothing where none of them needs a supply."""
    options, electrics, duty = job.options, job.hardware.electrics, job.duty
    if not ELECTRICAL_OPTIONS & options:
        return None
    length = light = 0.0
    if "strip_light" in options:
        length = strip_light_m(track_length_mm=track_length_mm)
        light = light_current_a(
            strip_light_m=length, strip_light_w_per_m=electrics.strip_light_w_per_m, supply_v=duty.supply_v
        )
    current = supply_current_a(
        light_current_a=light, lock_current_a=electrics.lock_current_a if "electric_lock" in options else 0.0
    )
    fuse = fuse_a(current_a=current)
    factor = copper_resistance_factor(temperature_max_c=duty.temperature_max_c)
    link_m, link_current = outer_width_mm / 1000, light / 2
    area = conductor_mm2(
        cable_run_m=duty.cable_run_m,
        current_a=current,
        link_m=link_m,
        link_current_a=link_current,
        fuse_a=fuse,
        supply_v=duty.supply_v,
        resistance_factor=factor,
    )
    drop = voltage_drop_v(
        cable_run_m=duty.cable_run_m,
        current_a=current,
        link_m=link_m,
        link_current_a=link_current,
        conductor_mm2=area,
        resistance_factor=factor,
    )
    return Wired(
        wiring=Wiring(strip_light_m=length, current_a=current, fuse_a=fuse, conductor_mm2=area, voltage_drop_v=drop),
        voltage_drop_percent=voltage_drop_percent(voltage_drop_v=drop, supply_v=duty.supply_v),
    )

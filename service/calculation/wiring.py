"""Wiring of the electrical options: strip lights, lock and door switch on one fused supply."""

from typing import NamedTuple

from service.audit.recorder import Use, plain
from service.audit.rules import rule
from service.calculation.job import Electrics

ELECTRICAL_OPTIONS = frozenset({"strip_light", "electric_lock", "door_switch"})
"""Options that need a supply."""

FUSE_RATINGS_A = (1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0)
"""Ratings of blade fuses [A]. Source: colour table of blade fuses (ISO 8820-3 itself not opened)."""

FUSE_IN_HAND = 1.25
"""Fuse rating over steady current that is kept [1]. Source: practice of this project."""

CLASS_5_OHM_PER_KM = {
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

DROP_SHARE_MAX = 0.03
"""Share of the supply voltage that the cable may lose [1]. Source: practice of this project."""


class Wiring(NamedTuple):
    """The supply of the electrical options; the length is that of both strip lights together."""

    strip_light_m: float
    current_a: float
    fuse_a: float
    conductor_mm2: float
    voltage_drop_v: float


class Wired(NamedTuple):
    """The wiring (None where no option needs it) and its checks as (id, value, limit)."""

    wiring: Wiring | None
    checks: tuple[tuple[str, float, float], ...]


@rule(
    symbol="l_L",
    unit="m",
    formula="l_L = 2·track length/1000",
    basis="practice",
    source="common practice: a strip light on each track, as long as the track",
)
def strip_light_m(*, track_length_mm: float) -> float:
    """Length of both strip lights together [m]."""
    return 2 * track_length_mm / 1000


@rule(
    symbol="I",
    unit="A",
    formula="I = l_L·w_L/U + I_lock",
    basis="catalogue",
    source="loads of the catalogue; the lock's current is momentary and is counted in full while the lights are on",
)
def supply_current_a(*, strip_light_m: float, strip_light_w_per_m: float, supply_v: float, lock_current_a: float) -> float:
    """Greatest current of the supply [A]."""
    return strip_light_m * strip_light_w_per_m / supply_v + lock_current_a


@rule(
    symbol="I_f",
    unit="A",
    formula="I_f = least standard rating of at least 1.25·I",
    basis="standard",
    source="standard ratings of blade fuses (ISO 8820-3, ratings from a colour table); 1.25: practice of this project",
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


@rule(
    symbol="ΔU",
    unit="V",
    formula="ΔU = 2·l·I·r, r of IEC 60228 class 5 at 20 °C",
    basis="standard",
    source="Ohm's law over the run and back; resistances of IEC 60228, class 5, plain copper (from reprints)",
)
def voltage_drop_v(*, cable_run_m: float, current_a: float, conductor_mm2: float) -> float:
    """Voltage lost in the cable [V].

    Raises:
        KeyError: the table has no such conductor.
    """
    return 2 * cable_run_m / 1000 * current_a * CLASS_5_OHM_PER_KM[conductor_mm2]


@rule(symbol="ΔU_max", unit="V", formula="ΔU_max = 0.03·U", basis="practice", source="practice of this project: 3 % lost")
def voltage_drop_max_v(*, supply_v: float) -> float:
    """Voltage that the cable may lose [V]."""
    return DROP_SHARE_MAX * supply_v


@rule(
    symbol="A",
    unit="mm²",
    formula="A = least area of IEC 60228 class 5 whose ΔU is at most ΔU_max, else the greatest",
    basis="standard",
    source="areas of IEC 60228, class 5, from 0.5 to 16 mm²; chosen by voltage drop alone",
)
def conductor_mm2(*, cable_run_m: float, current_a: float, voltage_drop_max_v: float) -> float:
    """Area of each conductor [mm²]; the greatest of the table where even that one loses too much."""
    for area in CLASS_5_OHM_PER_KM:
        lost = voltage_drop_v(cable_run_m=cable_run_m, current_a=current_a, conductor_mm2=area)
        if lost <= voltage_drop_max_v:
            return area
    return max(CLASS_5_OHM_PER_KM)


def wiring_of(
    *,
    options: frozenset[str],
    electrics: Electrics,
    track_length_mm: float,
    supply_v: float,
    cable_run_m: float,
    use: Use = plain,
) -> Wired:
    """Wire the chosen options; nothing where none of them needs a supply."""
    if not ELECTRICAL_OPTIONS & options:
        return Wired(None, ())
    light = use(strip_light_m)(track_length_mm=track_length_mm) if "strip_light" in options else 0.0
    current = use(supply_current_a)(
        strip_light_m=light,
        strip_light_w_per_m=electrics.strip_light_w_per_m,
        supply_v=supply_v,
        lock_current_a=electrics.lock_current_a if "electric_lock" in options else 0.0,
    )
    most = use(voltage_drop_max_v)(supply_v=supply_v)
    area = use(conductor_mm2)(cable_run_m=cable_run_m, current_a=current, voltage_drop_max_v=most)
    drop = use(voltage_drop_v)(cable_run_m=cable_run_m, current_a=current, conductor_mm2=area)
    return Wired(
        Wiring(light, current, use(fuse_a)(current_a=current), area, drop),
        (("voltage_drop", drop, most),),
    )

"""The choice of springs: wire, coils and pretension that leave the least greatest hand force over the lift.

For a given pretension every spring is a rate, and the hand force in each position is two straight lines over that rate, one
for each direction, raised by the drag of the position. The greatest of all lines is convex in the rate, so that one rate is
best, and whole coils lie on either side of it. Over the pretension the best so found falls to one least value and rises
again: were the values at two pretensions on one side of the least equal, then, the greatest of all lines being convex in
torque and rate together, every pretension between them and the least would have a lower one. So the least is found by
halving, and the search goes on outwards from there only while a spring could still be as good as the best one made.

A spring's stress, fatigue and bore bound its coils from below, the tube's room and the lift left at the open end from above.
"""

from functools import lru_cache
from math import ceil, floor, inf, pi
from typing import Final, final

from . import spring
from .constants import HALF_TURN
from .job import SpringSet, Tube

HALF_TURNS_MAX: Final = 60
"""Greatest pretension that is looked at [half turns]."""

SAME_FORCE_N: Final = 0.5
"""Hand force [N] that nobody feels: among springs so near to the best the simplest is taken."""

SLACK: Final = 1e-9
"""Part of a coil, and of a newton, that counts as rounding noise."""

EXCHANGES_MAX: Final = 200
"""More exchanges than the lines of 25 positions ever need; bounds the loop should rounding noise make it circle."""

TURN_RAD: Final = 2 * pi


@final
class Lift:
    """What springs have to balance in every position of the lift, closed first; shape (positions,) each.

    `turned_rad` is the angle by which the tube is turned back from the open end.
    """

    def __init__(
        self, *, weights_n: list[float], levers_mm: list[float], drags_n: list[float], turned_rad: list[float]
    ) -> None:
        self.weights_n = weights_n
        self.levers_mm = levers_mm
        self.turned_rad = turned_rad
        self.falling_n = [weight + drag for weight, drag in zip(weights_n, drags_n)]
        self.rising_n = [drag - weight for weight, drag in zip(weights_n, drags_n)]
        self.turns = turned_rad[0] / TURN_RAD


@final
class Wire:
    """A wire that makes springs for a tube: the figures of a spring of one coil, wound by one turn where it is wound."""

    def __init__(self, *, springs: SpringSet, tube: Tube, wire_mm: float) -> None:
        diameter = spring.mean_diameter_mm(
            tube_radius_mm=tube.radius_mm,
            tube_wall_mm=tube.wall_mm,
            radial_clearance_mm=springs.radial_clearance_mm,
            wire_mm=wire_mm,
        )
        index = spring.spring_index(mean_diameter_mm=diameter, wire_mm=wire_mm)
        bore = spring.wound_bore_min_mm(shaft_diameter_mm=springs.shaft_diameter_mm) + wire_mm
        self.wire_mm = wire_mm
        self.diameter_mm = diameter
        self.bore_taken_mm = bore
        self.usable = spring.INDEX_MIN <= index <= spring.INDEX_MAX and diameter > bore
        self.rate_n_mm = 0.0
        self.stress_mpa = 0.0
        self.tensile_mpa = 0.0
        self.stress_limit_mpa = 0.0
        if self.usable:
            self.rate_n_mm = spring.rate_n_mm(
                elastic_modulus_mpa=springs.elastic_modulus_mpa, wire_mm=wire_mm, mean_diameter_mm=diameter, coils=1.0
            )
            self.stress_mpa = spring.spring_stress_mpa(
                inner_stress_factor=spring.inner_stress_factor(spring_index=index),
                moment_n_mm=self.rate_n_mm * TURN_RAD,
                wire_mm=wire_mm,
            )
            self.tensile_mpa = spring.tensile_strength_mpa(wire_mm=wire_mm)
            self.stress_limit_mpa = spring.spring_stress_limit_mpa(tensile_strength_mpa=self.tensile_mpa)


@final
class Demand:
    """What bounds the springs: room in the tube, torque that holds the shutter open, cycles of its life."""

    def __init__(self, *, room_mm: float, open_torque_min_n_mm: float, cycles: float) -> None:
        self.room_mm = room_mm
        self.open_torque_min_n_mm = open_torque_min_n_mm
        self.cycles = cycles


@final
class Choice:
    """The chosen spring and whether it can be made; if not, it is the one nearest to its limits."""

    def __init__(self, *, spring_count: int, wire_mm: float, coils: int, pretension_turns: float, made: bool) -> None:
        self.spring_count = spring_count
        self.wire_mm = wire_mm
        self.coils = coils
        self.pretension_turns = pretension_turns
        self.made = made


@lru_cache(maxsize=512)
def wires_for(springs: SpringSet, tube: Tube) -> list[Wire]:
    """The wires of a catalogue that make springs for a tube, the thinnest first; none where the tube takes none."""
    made = [Wire(springs=springs, tube=tube, wire_mm=wire) for wire in sorted(springs.wires_mm)]
    return [wire for wire in made if wire.usable]


@final
class Level:
    """A pretension: the gain of each position (hand force for each unit of rate), the best rate and the force it leaves."""

    def __init__(self, *, half_turns: int, lift: Lift) -> None:
        angle = TURN_RAD * HALF_TURN * half_turns
        gains = [(angle + turned) / lever for turned, lever in zip(lift.turned_rad, lift.levers_mm)]
        falling, rising = lift.falling_n, lift.rising_n
        first, second = 0, len(gains) - 1
        rate = force = 0.0
        # where the two lines cross that are greatest so far; each exchange takes one that is greater there
        for _ in range(EXCHANGES_MAX):
            rate = max(0.0, (falling[first] - rising[second]) / (gains[first] + gains[second]))
            force = max(falling[first] - rate * gains[first], rising[second] + rate * gains[second])
            high, low = force + SLACK, force + SLACK
            new_first, new_second = first, second
            for position, gain in enumerate(gains):
                if falling[position] - rate * gain > high:
                    high, new_first = falling[position] - rate * gain, position
                if rising[position] + rate * gain > low:
                    low, new_second = rising[position] + rate * gain, position
            if new_first == first and new_second == second:
                break
            first, second = new_first, new_second
        self.half_turns = half_turns
        self.gains = gains
        self.rate_n_mm = rate
        self.force_n = force
        self.first = first
        self.second = second


def greatest_force_n(lift: Lift, level: Level, rate_n_mm: float) -> float:
    """The greatest hand force over the lift that a rate leaves at a pretension [N]."""
    greatest = -inf
    for falling, rising, gain in zip(lift.falling_n, lift.rising_n, level.gains):
        given = rate_n_mm * gain
        greatest = max(greatest, falling - given, rising + given)
    return greatest


def coils_range(wire: Wire, spring_count: int, half_turns: int, lift: Lift, demand: Demand) -> tuple[int, int]:
    """The least and the greatest whole number of coils that all limits allow; the least is greater where there is none."""
    pretension = HALF_TURN * half_turns
    turns = pretension + lift.turns
    safety = spring.fatigue_safety(
        stress_open_mpa=wire.stress_mpa * pretension,
        stress_closed_mpa=wire.stress_mpa * turns,
        tensile_strength_mpa=wire.tensile_mpa,
        repeated_strength_mpa=spring.repeated_strength_mpa(tensile_strength_mpa=wire.tensile_mpa, cycles=demand.cycles),
    )
    least = max(
        float(spring.COILS_MIN),
        turns * wire.stress_mpa / wire.stress_limit_mpa,
        turns * wire.bore_taken_mm / (wire.diameter_mm - wire.bore_taken_mm),
        spring.STRESS_IN_HAND / safety,
    )
    most = min(
        demand.room_mm / (spring_count * wire.wire_mm) - 1 - turns,
        spring_count * wire.rate_n_mm * TURN_RAD * pretension / demand.open_torque_min_n_mm,
    )
    return ceil(least - SLACK), floor(most + SLACK)


def choose(  # noqa: C901 - one search, told step by step above
    *, lift: Lift, offered: list[Wire], demand: Demand
) -> Choice:
    """The springs of the least greatest hand force; of those within half a newton the simplest.

    Raises:
        ValueError: there is no wire.
    """
    if not offered:
        raise ValueError("no wire of the catalogue makes a spring in this tube")
    levels: dict[int, Level] = {}

    def level_at(half_turns: int) -> Level:
        known = levels.get(half_turns)
        if known is None:
            known = levels[half_turns] = Level(half_turns=half_turns, lift=lift)
        return known

    low, high = 1, HALF_TURNS_MAX
    while low < high:
        middle = (low + high) // 2
        if level_at(middle).force_n <= level_at(middle + 1).force_n:
            high = middle
        else:
            low = middle + 1
    best = inf
    near: list[Level] = []
    for direction in (range(low, 0, -1), range(low + 1, HALF_TURNS_MAX + 1)):
        for half_turns in direction:
            level = level_at(half_turns)
            if level.force_n > best + SAME_FORCE_N:
                break
            near.append(level)
            for count in (1, 2):
                for wire in offered:
                    best = min(best, _least_force_n(level, wire, count, lift, demand, best))
    if best == inf:
        return _nearest(lift, offered, demand)
    return _simplest(sorted(near, key=lambda level: level.half_turns), lift, offered, demand, best + SAME_FORCE_N)


def _least_force_n(level: Level, wire: Wire, count: int, lift: Lift, demand: Demand, known_n: float) -> float:
    """The least greatest hand force of one wire at a pretension [N], where it is below a known one; else infinite."""
    least, most = coils_range(wire, count, level.half_turns, lift, demand)
    if least > most:
        return inf
    one_coil = count * wire.rate_n_mm
    ideal = min(max(one_coil / level.rate_n_mm if level.rate_n_mm > 0 else inf, float(least)), float(most))
    best, below = inf, floor(ideal)
    for coils in (below, below + 1):
        if not least <= coils <= most:
            continue
        rate = one_coil / coils
        falling = lift.falling_n[level.first] - rate * level.gains[level.first]
        rising = lift.rising_n[level.second] + rate * level.gains[level.second]
        if max(falling, rising) < min(best, known_n):
            best = min(best, greatest_force_n(lift, level, rate))
    return best


def _simplest(near: list[Level], lift: Lift, offered: list[Wire], demand: Demand, allowed_n: float) -> Choice:
    """Fewest springs, then the thinnest wire, then fewest coils, then the least pretension within an allowed hand force."""
    for count in (1, 2):
        for wire in offered:
            one_coil = count * wire.rate_n_mm
            coils, half_turns = 0, 0
            for level in near:
                rate_min, rate_max = 0.0, inf
                for falling, rising, gain in zip(lift.falling_n, lift.rising_n, level.gains):
                    rate_min = max(rate_min, (falling - allowed_n) / gain)
                    rate_max = min(rate_max, (allowed_n - rising) / gain)
                if rate_max <= 0 or rate_min > rate_max:
                    continue
                least, most = coils_range(wire, count, level.half_turns, lift, demand)
                fewest = max(least, ceil(one_coil / rate_max - SLACK))
                within = fewest <= most and (rate_min <= 0 or fewest <= one_coil / rate_min + SLACK)
                if within and (not coils or fewest < coils):
                    coils, half_turns = fewest, level.half_turns
            if coils:
                pretension = HALF_TURN * half_turns
                return Choice(spring_count=count, wire_mm=wire.wire_mm, coils=coils, pretension_turns=pretension, made=True)
    raise AssertionError("the best spring is within half a newton of itself")


def _nearest(lift: Lift, offered: list[Wire], demand: Demand) -> Choice:
    """The spring nearest to its limits: the least sum of relative shortfalls of stress, fatigue, body, bore and lift left.

    Each shortfall is convex in the number of coils (one over the coils, or straight in them), and so is their sum: the least
    lies where one coil more no longer brings less.
    """
    best, nearest = inf, Choice(spring_count=1, wire_mm=offered[0].wire_mm, coils=3, pretension_turns=HALF_TURN, made=False)
    for count in (1, 2):
        for wire in offered:
            for half_turns in range(1, HALF_TURNS_MAX + 1):
                short, coils = _least_shortfall(wire, count, half_turns, lift, demand)
                if short < best - SLACK:
                    best = short
                    nearest = Choice(
                        spring_count=count,
                        wire_mm=wire.wire_mm,
                        coils=coils,
                        pretension_turns=HALF_TURN * half_turns,
                        made=False,
                    )
    return nearest


def _least_shortfall(wire: Wire, count: int, half_turns: int, lift: Lift, demand: Demand) -> tuple[float, int]:
    """The least sum of relative shortfalls of a wire at a pretension, and the coils that leave it."""
    pretension = HALF_TURN * half_turns
    turns = pretension + lift.turns
    safety_of_one_coil = spring.fatigue_safety(
        stress_open_mpa=wire.stress_mpa * pretension,
        stress_closed_mpa=wire.stress_mpa * turns,
        tensile_strength_mpa=wire.tensile_mpa,
        repeated_strength_mpa=spring.repeated_strength_mpa(tensile_strength_mpa=wire.tensile_mpa, cycles=demand.cycles),
    )
    by_stress = turns * wire.stress_mpa / wire.stress_limit_mpa
    by_fatigue = spring.STRESS_IN_HAND / safety_of_one_coil
    by_lift = demand.open_torque_min_n_mm / (count * wire.rate_n_mm * TURN_RAD * pretension)
    bore_min, room = wire.bore_taken_mm - wire.wire_mm, max(1.0, demand.room_mm)

    def shortfall(coils: int) -> float:
        bore = wire.diameter_mm * coils / (coils + turns) - wire.wire_mm
        return (
            max(0.0, by_stress / coils - 1)
            + max(0.0, by_fatigue / coils - 1)
            + max(0.0, by_lift * coils - 1)
            + max(0.0, count * wire.wire_mm * (coils + 1 + turns) / room - 1)
            + max(0.0, bore_min / bore - 1)
        )

    low = max(spring.COILS_MIN, floor(turns * wire.wire_mm / (wire.diameter_mm - wire.wire_mm)) + 1)
    bore_coils = turns * wire.bore_taken_mm / (wire.diameter_mm - wire.bore_taken_mm)
    high = max(low, ceil(max(by_stress, by_fatigue, bore_coils)))
    while low < high:
        middle = (low + high) // 2
        if shortfall(middle) <= shortfall(middle + 1):
            high = middle
        else:
            low = middle + 1
    return shortfall(low), low

"""The choice of springs: wire, coils and pretension that leave the least greatest hand force over the lift.

With the torque c at the open end and the rate k a spring leaves in each position two straight forces over (c, k), one for
each direction, raised by the drag of the position: their greatest is convex in (c, k). What bounds a spring of one wire is
straight there too (room in the tube, stress, bore, lift left at the open end), or convex (Gerber's line of fatigue). So for
each wire the best force over the pretension, whatever the coils, falls to one least value and rises again: the search goes
downhill over the half turns, then outwards from there until the force is no longer of interest. Whole coils lie on either
side of the best rate. A wire is not searched at all where one or two positions of the lift rule it out: straight limits
leave a triangle of springs, and a straight force is least in one of its corners.
"""

from math import ceil, floor, inf, pi, sqrt
from typing import Final, final

from . import spring
from .constants import HALF_TURN
from .job import SpringSet, Tube

HALF_TURNS_MAX: Final = 60
"""Greatest pretension that is looked at [half turns]."""

HALF_TURNS_USUAL: Final = 15
"""A pretension [half turns] that many shutters have: there the search begins."""

SAME_FORCE_N: Final = 0.5
"""Hand force [N] that nobody feels: among springs so near to the best the simplest is taken."""

SLACK: Final = 1e-9
"""Part of a coil, and of a newton, that counts as rounding noise."""

EXCHANGES_MAX: Final = 200
"""More exchanges than the lines of 25 positions ever need; bounds the loop should rounding noise make it circle."""

TURN_RAD: Final = 2 * pi
HALF_TURN_RAD: Final = pi

WIRES_MAX: Final = 512
"""Tubes whose wires are kept."""

THINNED: Final = 6
"""Every how many positions of the lift a search looks at first: the closed end and a quarter of the lift mostly decide."""

COILS_MIN: Final = float(spring.COILS_MIN)


@final
class Station:
    """One position of the lift: what springs have to balance there.

    `turned_rad` is the angle by which the tube is turned back from the open end. With the gain g (the angle in the springs
    over the lever) and a rate k, the hand force up is `falling` - k·g and that down `rising` + k·g.
    """

    def __init__(self, *, weight_n: float, lever_mm: float, drag_n: float, turned_rad: float) -> None:
        self.falling_n = weight_n + drag_n
        self.rising_n = drag_n - weight_n
        self.per_lever = 1 / lever_mm
        self.turned_rad = turned_rad


@final
class Lift:
    """The positions of the lift, closed first. `first` and `second` are those whose lines decided last."""

    def __init__(self, stations: list[Station]) -> None:
        self.stations = stations
        self.turns = stations[0].turned_rad / TURN_RAD
        self.first = stations[0]
        self.second = stations[-1]

    def greatest_force_n(self, pretension_rad: float, rate_n_mm: float) -> float:
        """The greatest hand force over the lift that a rate leaves at a pretension [N]."""
        greatest = -inf
        for one in self.stations:
            given = rate_n_mm * (pretension_rad + one.turned_rad) * one.per_lever
            greatest = max(greatest, one.falling_n - given)
            greatest = max(greatest, one.rising_n + given)
        return greatest

    def best_rate_n_mm(self, pretension_rad: float) -> float:
        """The rate that leaves the least greatest hand force at a pretension [N·mm].

        Where the two lines cross that are greatest so far lies the best rate for them alone; each exchange takes the lines
        that are greatest there, and raises the force that they enforce, until none is greater. The lines of the last
        pretension come first: they are mostly those of the next one too.
        """
        first, second = self.first, self.second
        rate = 0.0
        for _exchange in range(EXCHANGES_MAX):
            gain_first = (pretension_rad + first.turned_rad) * first.per_lever
            gain_second = (pretension_rad + second.turned_rad) * second.per_lever
            rate = (first.falling_n - second.rising_n) / (gain_first + gain_second)
            highest = lowest = first.falling_n - rate * gain_first + SLACK
            new_first, new_second = first, second
            for one in self.stations:
                given = rate * (pretension_rad + one.turned_rad) * one.per_lever
                if one.falling_n - given > highest:
                    highest, new_first = one.falling_n - given, one
                if one.rising_n + given > lowest:
                    lowest, new_second = one.rising_n + given, one
            if new_first is first and new_second is second:
                break
            first, second = new_first, new_second
        self.first, self.second = first, second
        return max(rate, 0.0)

    def thinned(self) -> "Lift":
        """The same with a few of its positions only: its greatest force is never more."""
        return Lift(self.stations[::THINNED])

    def rates_within(self, pretension_rad: float, allowed_n: float) -> tuple[float, float]:
        """The least and the greatest rate that keep the hand force within what is allowed; the first is greater if none."""
        low, high = 0.0, inf
        for one in self.stations:
            gain = (pretension_rad + one.turned_rad) * one.per_lever
            low = max(low, (one.falling_n - allowed_n) / gain)
            high = min(high, (allowed_n - one.rising_n) / gain)
        return low, high


def lift_of(*, weights_n: list[float], levers_mm: list[float], drags_n: list[float], turned_rad: list[float]) -> Lift:
    """The lift whose weights act at levers, against drags; shape (positions,) each, closed first."""
    return Lift(
        [
            Station(weight_n=weight, lever_mm=lever, drag_n=drag, turned_rad=turned)
            for weight, lever, drag, turned in zip(weights_n, levers_mm, drags_n, turned_rad)
        ]
    )


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
        self.repeated_share = spring.repeated_share(cycles)


@final
class Choice:
    """The chosen spring and whether it can be made; if not, it is the one nearest to its limits."""

    def __init__(self, *, spring_count: int, wire_mm: float, coils: int, pretension_turns: float, made: bool) -> None:
        self.spring_count = spring_count
        self.wire_mm = wire_mm
        self.coils = coils
        self.pretension_turns = pretension_turns
        self.made = made


WIRES: Final[dict[tuple[SpringSet, Tube], list[Wire]]] = {}
"""The wires that were found so far, by the catalogue's springs and the tube."""


def wires_for(springs: SpringSet, tube: Tube) -> list[Wire]:
    """The wires of a catalogue that make springs for a tube, the thinnest first; none where the tube takes none."""
    found = WIRES.get((springs, tube))
    if found is None:
        if len(WIRES) == WIRES_MAX:
            WIRES.clear()
        made = [Wire(springs=springs, tube=tube, wire_mm=wire) for wire in sorted(springs.wires_mm)]
        found = WIRES[springs, tube] = [wire for wire in made if wire.usable]
    return found


@final
class Bounds:
    """Springs of one wire, one or two in parallel, at a lift: how many coils they may have at a pretension.

    No spring betters `least_n`. Pretensions of interest lie from `first` to `last` [half turns]: none where nobody looked.
    """

    def __init__(self, *, wire: Wire, spring_count: int, lift_turns: float, demand: Demand) -> None:
        strength = demand.repeated_share * wire.tensile_mpa / 2
        share = strength / wire.tensile_mpa
        reversed_mpa = strength / (1 - share * share)
        self.wire = wire
        self.spring_count = spring_count
        self.one_coil_n_mm = spring_count * wire.rate_n_mm
        self.lift_turns = lift_turns
        self.coils_of_room = demand.room_mm / (spring_count * wire.wire_mm) - 1
        self.coils_of_lift = self.one_coil_n_mm * TURN_RAD / demand.open_torque_min_n_mm
        self.coils_of_turn = max(
            wire.stress_mpa / wire.stress_limit_mpa, wire.bore_taken_mm / (wire.diameter_mm - wire.bore_taken_mm)
        )
        self.alternating = spring.STRESS_IN_HAND * wire.stress_mpa * lift_turns / 2 / reversed_mpa
        self.mean_of_turn = spring.STRESS_IN_HAND * wire.stress_mpa / wire.tensile_mpa
        self.least_n = inf
        self.first = 1
        self.last = 0

    def least_force_n(self, stations: list[Station]) -> float:
        """A hand force [N] that no spring can better in some positions of the lift; infinite where the limits leave none.

        The torque in a position is straight over 1/coils and pretension/coils, and so are the limits of room, of stress and
        bore, and of the lift left: they leave a triangle, and either force is least in one of its corners. So is the mean of
        the force down at the closed end and the force up elsewhere, which mostly decide: the greater of two is no less.
        """
        turns = max(self.lift_turns, SLACK)
        wound = 1 / self.coils_of_turn  # turns of the closed spring for each of its coils, at most
        held = 1 / self.coils_of_lift  # of the open one, at least
        room = self.coils_of_room - turns
        if room < COILS_MIN * (1 + held):
            return inf
        soft, stiff, strong = (1 + held) / room, (wound - held) / turns, (1 + wound) / self.coils_of_room  # 1/coils
        if soft > stiff + SLACK:
            return inf
        held_rad, strong_rad = TURN_RAD * held, TURN_RAD * (wound - turns * strong)
        closed, least = stations[0], -inf
        closed_rate = self.one_coil_n_mm * closed.per_lever
        closed_soft = closed_rate * (held_rad + soft * closed.turned_rad)
        closed_stiff = closed_rate * (held_rad + stiff * closed.turned_rad)
        closed_strong = closed_rate * (strong_rad + strong * closed.turned_rad)
        for one in stations:
            rate = self.one_coil_n_mm * one.per_lever
            at_soft = rate * (held_rad + soft * one.turned_rad)
            at_stiff = rate * (held_rad + stiff * one.turned_rad)
            at_strong = rate * (strong_rad + strong * one.turned_rad)
            least = max(least, one.rising_n + min(at_soft, at_strong))
            least = max(least, one.falling_n - max(at_stiff, at_strong))
            between = min(closed_soft - at_soft, closed_stiff - at_stiff)
            between = min(between, closed_strong - at_strong)
            least = max(least, (one.falling_n + closed.rising_n + between) / 2)
        return least

    def least_coils(self, half_turns: int) -> float:
        """The coils that stress, bore and fatigue ask for at a pretension."""
        turns = HALF_TURN * half_turns + self.lift_turns
        least = max(turns * self.coils_of_turn, self.coils_of_fatigue(half_turns))
        return max(least, COILS_MIN)

    def coils_of_fatigue(self, half_turns: int) -> float:
        """The coils that fatigue asks for at a pretension."""
        mean = self.mean_of_turn * (HALF_TURN * half_turns + self.lift_turns / 2)
        return (self.alternating + sqrt(self.alternating * self.alternating + 4 * mean * mean)) / 2

    def most_coils(self, half_turns: int) -> float:
        """The coils that the tube has room for and that still hold the shutter open at a pretension."""
        pretension = HALF_TURN * half_turns
        return min(self.coils_of_room - pretension - self.lift_turns, self.coils_of_lift * pretension)

    def allowed_half_turns(self, wanted: int) -> int:
        """The pretension [half turns] nearest to a wanted one of those that the lift left and the room allow, if any are."""
        spare = self.coils_of_lift - self.coils_of_turn
        least = self.lift_turns * self.coils_of_turn / spare if spare > 0 else 0.0
        most = self.coils_of_room / (1 + self.coils_of_turn) - self.lift_turns
        allowed = min(max(wanted, ceil(least / HALF_TURN)), floor(most / HALF_TURN))
        return min(max(allowed, 1), HALF_TURNS_MAX)


@final
class Search:
    """The search for the least greatest hand force; `best_n` is that of the best spring found so far.

    Pretensions are looked at in a few positions of the lift first, which gives a force that they cannot better; only where
    that is below the best so far are whole coils tried in every position. A wire is looked at first at `half_turns`, which
    were best for the last one: without limits the best pretension is the same for all.
    """

    def __init__(self, lift: Lift) -> None:
        self.lift = lift
        self.few = lift.thinned()
        self.best_n = inf
        self.half_turns = HALF_TURNS_USUAL

    def look_at(self, bounds: Bounds) -> None:
        """Search the pretensions of one wire: downhill to the least force, then outwards as long as it is of interest."""
        best = self._downhill(bounds, bounds.allowed_half_turns(self.half_turns), -1)
        best = self.half_turns = self._downhill(bounds, best, 1)
        bounds.first = self._outwards(bounds, best, -1) + 1
        bounds.last = self._outwards(bounds, best + 1, 1) - 1

    def _downhill(self, bounds: Bounds, half_turns: int, direction: int) -> int:
        """The pretension [half turns] in a direction behind which the force rises."""
        force = self._force_n(bounds, half_turns)
        while 1 <= half_turns + direction <= HALF_TURNS_MAX:
            following = self._force_n(bounds, half_turns + direction)
            if following > force:
                break
            half_turns += direction
            force = following
        return half_turns

    def _outwards(self, bounds: Bounds, half_turns: int, direction: int) -> int:
        """Whole coils wherever they could better the best, in a direction in which the force rises; where that ends."""
        while 1 <= half_turns <= HALF_TURNS_MAX:
            force = self._force_n(bounds, half_turns)
            if force == inf or force > self.best_n + SAME_FORCE_N:
                break
            if force < self.best_n:
                self._try_whole(bounds, half_turns)
            half_turns += direction
        return half_turns

    def _force_n(self, bounds: Bounds, half_turns: int) -> float:
        """A hand force [N] that a wire cannot better at a pretension; infinite where its limits leave no coils."""
        least, most = bounds.least_coils(half_turns), bounds.most_coils(half_turns)
        if least > most + SLACK:
            return inf
        angle = HALF_TURN_RAD * half_turns
        coils = _nearest_coils(bounds, self.few.best_rate_n_mm(angle), least, most)
        return self.few.greatest_force_n(angle, bounds.one_coil_n_mm / coils)

    def _try_whole(self, bounds: Bounds, half_turns: int) -> None:
        """Whole coils on both sides of the best rate at a pretension, in every position."""
        least, most, angle = bounds.least_coils(half_turns), bounds.most_coils(half_turns), HALF_TURN_RAD * half_turns
        below = floor(_nearest_coils(bounds, self.lift.best_rate_n_mm(angle), least, most) + SLACK)
        for whole in range(below, below + 2):
            if least - SLACK <= whole <= most + SLACK:
                rate = bounds.one_coil_n_mm / whole
                if self.few.greatest_force_n(angle, rate) < self.best_n:
                    self.best_n = min(self.best_n, self.lift.greatest_force_n(angle, rate))


def _nearest_coils(bounds: Bounds, rate_n_mm: float, least: float, most: float) -> float:
    """The coils between two bounds that come nearest to a rate."""
    coils = bounds.one_coil_n_mm / rate_n_mm if rate_n_mm > 0 else most
    return min(max(coils, least), most)


def best(*, lift: Lift, offered: list[Wire], demand: Demand) -> Choice | None:
    """The springs of the least greatest hand force, of those within half a newton the simplest; None if none can be made."""
    every = _every(lift=lift, offered=offered, demand=demand)
    search = Search(lift)
    promising, least = None, inf
    for bounds in every:
        bounds.least_n = bounds.least_force_n(search.few.stations)
        if bounds.least_n < least:
            promising, least = bounds, bounds.least_n
    if promising is not None:
        search.look_at(promising)
    for bounds in every:
        if bounds is not promising and bounds.least_n < search.best_n + SAME_FORCE_N:
            search.look_at(bounds)
    if search.best_n == inf:
        return None
    return _simplest(every, lift, search.best_n + SAME_FORCE_N)


def _every(*, lift: Lift, offered: list[Wire], demand: Demand) -> list[Bounds]:
    """One spring of each wire, then two."""
    every = [Bounds(wire=wire, spring_count=1, lift_turns=lift.turns, demand=demand) for wire in offered]
    return every + [Bounds(wire=wire, spring_count=2, lift_turns=lift.turns, demand=demand) for wire in offered]


def can_be_made(*, lift: Lift, offered: list[Wire], demand: Demand) -> bool:
    """Whether any spring can be made, whatever force it leaves."""
    for bounds in _every(lift=lift, offered=offered, demand=demand):
        if bounds.least_force_n(lift.stations) == inf:
            continue
        for half_turns in range(1, HALF_TURNS_MAX + 1):
            if ceil(bounds.least_coils(half_turns) - SLACK) <= floor(bounds.most_coils(half_turns) + SLACK):
                return True
    return False


def _simplest(every: list[Bounds], lift: Lift, allowed_n: float) -> Choice:
    """Fewest springs, then the thinnest wire, then fewest coils, then the least pretension within an allowed hand force."""
    for bounds in every:
        coils, chosen = 0, 0
        for half_turns in range(bounds.first, bounds.last + 1):
            low, high = lift.rates_within(HALF_TURN_RAD * half_turns, allowed_n)
            if high <= 0 or low > high:
                continue
            fewest = ceil(max(bounds.least_coils(half_turns), bounds.one_coil_n_mm / high) - SLACK)
            most = bounds.most_coils(half_turns)
            if low > 0:
                most = min(most, bounds.one_coil_n_mm / low)
            if fewest <= most + SLACK and (coils == 0 or fewest < coils):
                coils, chosen = fewest, half_turns
        if coils:
            return Choice(
                spring_count=bounds.spring_count,
                wire_mm=bounds.wire.wire_mm,
                coils=coils,
                pretension_turns=HALF_TURN * chosen,
                made=True,
            )
    raise AssertionError("the best spring is within half a newton of itself")


def nearest(*, lift: Lift, offered: list[Wire], demand: Demand) -> Choice:
    """The spring nearest to its limits: the least sum of relative shortfalls of stress, fatigue, body, bore and lift left.

    Each shortfall is convex in the number of coils (one over the coils, or straight in them), and so is their sum: the least
    lies where one coil more no longer brings less.
    """
    least, found = inf, Choice(spring_count=1, wire_mm=offered[0].wire_mm, coils=3, pretension_turns=HALF_TURN, made=False)
    for bounds in _every(lift=lift, offered=offered, demand=demand):
        for half_turns in range(1, HALF_TURNS_MAX + 1):
            shortfall = Shortfall(bounds=bounds, half_turns=half_turns, room_mm=demand.room_mm)
            coils = shortfall.best_coils()
            short = shortfall.of(coils)
            if short < least - SLACK:
                least = short
                found = Choice(
                    spring_count=bounds.spring_count,
                    wire_mm=bounds.wire.wire_mm,
                    coils=coils,
                    pretension_turns=HALF_TURN * half_turns,
                    made=False,
                )
    return found


@final
class Shortfall:
    """How far springs of a wire at a pretension are from their limits, over the number of coils."""

    def __init__(self, *, bounds: Bounds, half_turns: int, room_mm: float) -> None:
        wire = bounds.wire
        pretension = HALF_TURN * half_turns
        turns = pretension + bounds.lift_turns
        self.turns = turns
        self.wire_mm = wire.wire_mm
        self.diameter_mm = wire.diameter_mm
        self.bore_min_mm = wire.bore_taken_mm - wire.wire_mm
        self.bore_coils = turns * wire.bore_taken_mm / (wire.diameter_mm - wire.bore_taken_mm)
        self.by_stress = turns * wire.stress_mpa / wire.stress_limit_mpa
        self.by_fatigue = bounds.coils_of_fatigue(half_turns)
        self.by_lift = 1 / (bounds.coils_of_lift * pretension)
        self.by_room = bounds.spring_count * wire.wire_mm / max(1.0, room_mm)

    def of(self, coils: int) -> float:
        """The sum of the relative shortfalls with so many coils."""
        bore = self.diameter_mm * coils / (coils + self.turns) - self.wire_mm
        return (
            _beyond_one(self.by_stress / coils)
            + _beyond_one(self.by_fatigue / coils)
            + _beyond_one(self.by_lift * coils)
            + _beyond_one(self.by_room * (coils + 1 + self.turns))
            + _beyond_one(self.bore_min_mm / bore)
        )

    def best_coils(self) -> int:
        """The number of coils with the least sum; at fewer the wound spring would have no bore at all."""
        low = max(spring.COILS_MIN, floor(self.turns * self.wire_mm / (self.diameter_mm - self.wire_mm)) + 1)
        high = max(low, ceil(max(self.by_stress, self.by_fatigue, self.bore_coils)))
        while low < high:
            middle = (low + high) // 2
            if self.of(middle) <= self.of(middle + 1):
                high = middle
            else:
                low = middle + 1
        return low


def _beyond_one(value: float) -> float:
    """How far a figure lies above 1."""
    return max(value - 1, 0.0)

"""The tube's torsion springs: formulas of one spring, and the choice of wire, coils and pretension.

The choice is within half a newton of the best spring that can be made from the catalogue's wires with whole coils and
pretension to the half turn. No grid is searched: the greatest hand force over the lift is convex in torque and rate,
and for a given pretension a spring's stress, body and bore only bound its number of coils from both sides.
"""

from functools import lru_cache
from math import ceil, floor, inf, pi
from typing import NamedTuple

from service.audit.rules import rule
from service.calculation.constants import STEEL_DENSITY_KG_PER_M3
from service.calculation.job import SpringSet
from service.calculation.minimax import SLACK_N, Level, best_level

STRENGTH_AT_1_MM_MPA = 2211.0
"""Tensile strength of music wire of 1 mm [MPa]. Source: ASTM A228 as fitted in Shigley, table of tensile strengths
(A = 2211 MPa·mm^m, m = 0.145, wires of 0.10 to 6.5 mm)."""

STRENGTH_EXPONENT = 0.145
"""How the tensile strength of music wire falls with its diameter [1]. Source: as above."""

YIELD_SHARE = 0.78
"""Bending stress that music wire stands as a share of its tensile strength [1]. Source: Shigley, torsion springs."""

STRESS_IN_HAND = 1.1
"""Safety kept on the spring's stress [1]. Source: practice of this project."""

BORE_IN_HAND = 1.1
"""Wound bore over shaft diameter that is kept [1]. Source: practice of this project."""

COILS_MIN = 3
"""Least number of coils. Source: EN 13906-3:2014, scope."""

INDEX_MIN, INDEX_MAX = 4.0, 20.0
"""Least and greatest spring index for which the formulas are meant. Source: EN 13906-3:2014, scope."""

HALF_TURN = 0.5
"""Step of the pretension [turns]: the tube's end can be held at every half turn. Source: practice of this project."""

RATE_SHARE_MIN = 1 / (40 * pi)
"""Least rate per radian that is sought, as a share of the torque at the open end: 20 turns of pretension."""

SAME_PULL_N = 0.25
"""Hand force [N] that nobody feels: a spring better by less is not looked for, a position worse by less not looked at.
The two together keep the chosen spring within half a newton of the best that can be made."""

TURN_RAD = 2 * pi

SPRINGS = "helical torsion spring, Shigley, Mechanical Engineering Design, ch. 10"


class Spring(NamedTuple):
    """A chosen spring; two alike work in parallel where the count is two."""

    spring_count: int
    wire_mm: float
    coils: int
    pretension_turns: float


class Task(NamedTuple):
    """What springs have to balance, over the positions of the lift from closed to open, and how.

    `wound_rad` is the angle by which the tube is turned back from the open end, `open_torque_min_n_mm` what holds the
    shutter open, `open_torque_n_mm` and `rate_n_mm` (per radian) the best linear spring.
    """

    tensions_n: tuple[float, ...]
    levers_mm: tuple[float, ...]
    wound_rad: tuple[float, ...]
    open_torque_min_n_mm: float
    open_torque_n_mm: float
    rate_n_mm: float
    body_max_mm: float


class Choice(NamedTuple):
    """The chosen spring and whether it can be made; if not it is the one nearest to its limits.

    `body_needed_mm` then tells the room in which one or two springs of the best rate would bear the torque, if any can.
    """

    spring: Spring
    can_be_made: bool
    body_needed_mm: float | None


@rule(
    symbol="D",
    unit="mm",
    formula="D = 2·(r - wall) - 2·clearance - d",
    basis="catalogue",
    source="the spring lies in the tube's bore with a radial clearance",
)
def mean_diameter_mm(*, tube_radius_mm: float, tube_wall_mm: float, radial_clearance_mm: float, wire_mm: float) -> float:
    """Mean diameter of a spring's coils [mm]."""
    return 2 * (tube_radius_mm - tube_wall_mm - radial_clearance_mm) - wire_mm


@rule(
    symbol="k",
    unit="N·mm",
    formula="k = E·d⁴/(64·D·n) per radian, for each spring",
    basis="handbook",
    source=f"{SPRINGS}; the theoretical form with 64, which is also that of EN 13906-3 (3667 = 64·180/π). The form with "
    "10.8 per turn is not used: its 6 % are an allowance for friction between the coils of a spring on an arbor, and a "
    "spring that lies free in a tube has neither; the ends are fixed in fittings, so there are no legs to add either",
)
def rate_n_mm(*, elastic_modulus_mpa: float, wire_mm: float, mean_diameter_mm: float, coils: float) -> float:
    """Rate of one spring per radian [N·mm]."""
    return elastic_modulus_mpa * wire_mm**4 / (64 * mean_diameter_mm * coils)


@rule(
    symbol="k_turn",
    unit="N·m",
    formula="k_turn = count·k·2π/1000",
    basis="geometry",
    source="springs in parallel add up; one turn is 2π",
)
def rate_per_turn_n_m(*, spring_count: int, rate_n_mm: float) -> float:
    """Rate of all springs together per turn [N·m]."""
    return spring_count * rate_n_mm * TURN_RAD / 1000


@rule(
    symbol="N_c",
    unit="turns",
    formula="N_c = pretension + turns of the tube over the lift",
    basis="geometry",
    source="the spring is wound first, then the closing curtain winds it on",
)
def turns_closed(*, pretension_turns: float, wound_rad: tuple[float, ...]) -> float:
    """Turns in the spring with the shutter closed [turns]."""
    return pretension_turns + wound_rad[0] / TURN_RAD


@rule(
    symbol="M",
    unit="N·mm",
    formula="M = count·k·(2π·pretension + u), u the angle still wound beyond the open end",
    basis="handbook",
    source=f"{SPRINGS}; linear spring",
)
def torques_given_n_mm(
    *, spring_count: int, rate_n_mm: float, pretension_turns: float, wound_rad: tuple[float, ...]
) -> tuple[float, ...]:
    """Torque of all springs together in every position [N·mm]."""
    rate, pretension = spring_count * rate_n_mm, TURN_RAD * pretension_turns
    return tuple([rate * (pretension + wound) for wound in wound_rad])


@rule(symbol="M_1", unit="N·mm", formula="M_1 = k·2π·N", basis="handbook", source=f"{SPRINGS}; linear spring")
def moment_n_mm(*, rate_n_mm: float, turns: float) -> float:
    """Moment of one spring with so many turns in it [N·mm]."""
    return rate_n_mm * TURN_RAD * turns


@rule(symbol="C", unit="1", formula="C = D/d", basis="handbook", source=SPRINGS)
def spring_index(*, mean_diameter_mm: float, wire_mm: float) -> float:
    """Spring index [1]."""
    return mean_diameter_mm / wire_mm


@rule(
    symbol="K_i",
    unit="1",
    formula="K_i = (4·C² - C - 1)/(4·C·(C - 1))",
    basis="handbook",
    source=f"{SPRINGS} (Wahl's factor of the inner fibre); EN 13906-3 writes q instead, about 0.7 % higher at C = 10",
)
def inner_stress_factor(*, spring_index: float) -> float:
    """Stress factor of the coil's inner fibre [1]."""
    return (4 * spring_index * spring_index - spring_index - 1) / (4 * spring_index * (spring_index - 1))


@rule(symbol="σ", unit="MPa", formula="σ = K_i·32·M/(π·d³)", basis="handbook", source=SPRINGS)
def spring_stress_mpa(*, inner_stress_factor: float, moment_n_mm: float, wire_mm: float) -> float:
    """Greatest bending stress of the wire [MPa]."""
    return inner_stress_factor * 32 * moment_n_mm / (pi * wire_mm**3)


@rule(
    symbol="σ_max",
    unit="MPa",
    formula="σ_max = 0.78·2211/d^0.145/1.1",
    basis="handbook",
    source=f"music wire ASTM A228, {SPRINGS}; 1.1 in hand: practice of this project. Rated for static load: the daily "
    "cycles of a compartment's shutter are few, and fatigue is not judged",
)
def spring_stress_limit_mpa(*, wire_mm: float) -> float:
    """Bending stress that the wire may bear [MPa]."""
    strength: float = STRENGTH_AT_1_MM_MPA / wire_mm**STRENGTH_EXPONENT
    return YIELD_SHARE * strength / STRESS_IN_HAND


@rule(
    symbol="l_f",
    unit="mm",
    formula="l_f = count·d·(n + 1 + N_c)",
    basis="handbook",
    source=f"{SPRINGS}; winding adds a coil a turn; two springs share the tube's length",
)
def spring_body_mm(*, spring_count: int, wire_mm: float, coils: float, turns_closed: float) -> float:
    """Length of all spring bodies together when wound up [mm]."""
    return spring_count * wire_mm * (coils + 1 + turns_closed)


@rule(
    symbol="l_max",
    unit="mm",
    formula="l_max = L - end fittings",
    basis="catalogue",
    source="the tube is as long as a slat: it spans between the brackets as the slats between the tracks (assumption); "
    "the end fittings are counted once, also for two springs",
)
def spring_body_max_mm(*, slat_length_mm: float, end_fittings_mm: float) -> float:
    """Length that the tube offers to spring bodies [mm]."""
    return slat_length_mm - end_fittings_mm


@rule(
    symbol="D'",
    unit="mm",
    formula="D' = D·n/(n + N_c) - d",
    basis="handbook",
    source=f"{SPRINGS}; the wire's length stays, the turns add to the coils",
)
def wound_bore_mm(*, mean_diameter_mm: float, coils: float, turns_closed: float, wire_mm: float) -> float:
    """Bore of the wound-up spring [mm]."""
    return mean_diameter_mm * coils / (coils + turns_closed) - wire_mm


@rule(symbol="D'_min", unit="mm", formula="D'_min = 1.1·shaft", basis="practice", source="practice of this project")
def wound_bore_min_mm(*, shaft_diameter_mm: float) -> float:
    """Least bore of the wound-up spring over the shaft [mm]."""
    return BORE_IN_HAND * shaft_diameter_mm


@rule(
    symbol="m_w",
    unit="kg",
    formula="m_w = count·π·D·n·(π·d²/4)·ρ, ρ 7850 kg/m³",
    basis="geometry",
    source="wire of the coils, without its legs",
)
def springs_mass_kg(*, spring_count: int, mean_diameter_mm: float, coils: int, wire_mm: float) -> float:
    """Mass of all springs [kg]."""
    wire_mm3 = pi * mean_diameter_mm * coils * pi * wire_mm**2 / 4
    return spring_count * wire_mm3 * STEEL_DENSITY_KG_PER_M3 * 1e-9


class Wire(NamedTuple):
    """What one wire can do in one tube, apart from the length.

    `rate_of_one_coil_n_mm` is per radian; `coils_per_turn` is the least number of coils for every turn in the spring,
    by stress (M = k·2π·N_c with k falling with n) or by bore: both ask for coils in proportion to the turns.
    """

    wire_mm: float
    mean_diameter_mm: float
    rate_of_one_coil_n_mm: float
    coils_per_turn: float


@lru_cache(maxsize=512)
def wires(*, springs: SpringSet, tube_radius_mm: float, tube_wall_mm: float) -> tuple[Wire, ...]:
    """The catalogue's wires that make a spring in this tube; made once for each tube.

    Raises:
        ValueError: there is none: every wire's index lies outside 4 to 20, or its spring leaves no room for the shaft.
    """
    made = []
    bore_min = wound_bore_min_mm(shaft_diameter_mm=springs.shaft_diameter_mm)
    for wire in springs.wires_mm:
        diameter = mean_diameter_mm(
            tube_radius_mm=tube_radius_mm,
            tube_wall_mm=tube_wall_mm,
            radial_clearance_mm=springs.radial_clearance_mm,
            wire_mm=wire,
        )
        index = spring_index(mean_diameter_mm=diameter, wire_mm=wire)
        if not INDEX_MIN <= index <= INDEX_MAX or diameter - wire <= bore_min:
            continue
        one_coil = rate_n_mm(
            elastic_modulus_mpa=springs.elastic_modulus_mpa, wire_mm=wire, mean_diameter_mm=diameter, coils=1
        )
        stress_of_turn = spring_stress_mpa(
            inner_stress_factor=inner_stress_factor(spring_index=index), moment_n_mm=one_coil * TURN_RAD, wire_mm=wire
        )
        by_stress = stress_of_turn / spring_stress_limit_mpa(wire_mm=wire)
        by_bore = (bore_min + wire) / (diameter - wire - bore_min)
        made.append(Wire(wire, diameter, one_coil, max(by_stress, by_bore)))
    if not made:
        raise ValueError("no wire of the catalogue makes a spring in this tube")
    return tuple(made)


def choose_spring(*, task: Task, offered: tuple[Wire, ...], pull_max_n: float) -> Choice:
    """The spring that leaves the least greatest hand force: one where one serves, else two alike in parallel.

    One spring serves when its stress, body and bore allow it, when it holds the shutter open and when the hand force
    without drag stays within `pull_max_n`. Where neither one nor two serve, the better of those that can be made is
    taken, and where none can be made, the one nearest to its limits.
    """
    one = _best_of(1, task, offered, pull_max_n)
    if one:
        return Choice(one.spring, can_be_made=True, body_needed_mm=None)
    two = _best_of(2, task, offered, inf)
    if two and two.pull_n <= pull_max_n:
        return Choice(two.spring, can_be_made=True, body_needed_mm=None)
    made = [found for found in (_best_of(1, task, offered, inf), two) if found]
    if made:
        return Choice(min(made, key=lambda found: found.pull_n).spring, can_be_made=True, body_needed_mm=None)
    return _nearest(task, offered)


class _Found(NamedTuple):
    """A spring and the greatest hand force without drag that it leaves in the positions looked at."""

    pull_n: float
    spring: Spring
    rate_n_mm: float


def _pulls(task: Task, open_torque_n_mm: float, rate_n_mm: float) -> list[float]:
    """Hand force without drag, up or down, in every position [N]."""
    return [
        abs(tension - (open_torque_n_mm + rate_n_mm * wound) / lever)
        for tension, lever, wound in zip(task.tensions_n, task.levers_mm, task.wound_rad)
    ]


def _best_of(count: int, task: Task, offered: tuple[Wire, ...], pull_max_n: float) -> _Found | None:
    """The best spring of so many alike that leaves no more than a hand force; None where none can be made.

    The search looks at the few positions that decide, first those of the best line, and adds the one missed most until
    the answer holds for all.
    """
    pulls = _pulls(task, task.open_torque_n_mm, task.rate_n_mm)
    decisive = max(pulls) - SLACK_N
    looked_at = [position for position, pull in enumerate(pulls) if pull >= decisive or position == 0]
    while True:
        found = _best_at(count, task, offered, looked_at, pull_max_n)
        if found is None:
            return None
        pulls = _pulls(task, TURN_RAD * found.spring.pretension_turns * found.rate_n_mm, found.rate_n_mm)
        greatest = max(pulls)
        if greatest <= min(found.pull_n + SAME_PULL_N, pull_max_n):
            return found._replace(pull_n=greatest)
        looked_at.append(pulls.index(greatest))


def _best_at(count: int, task: Task, offered: tuple[Wire, ...], looked_at: list[int], pull_max_n: float) -> _Found | None:
    """The best spring of so many alike as seen from some positions, the closed one among them.

    The most promising wire comes first. For each the pretensions that its limits allow are tried outwards from the best
    line's. Whatever the number of coils, the greatest hand force rises on both sides of the best pretension, so a
    direction ends where even a part of a coil could not better what was found.
    """
    seen = _Seen(
        tensions_n=[task.tensions_n[position] for position in looked_at],
        levers_mm=[task.levers_mm[position] for position in looked_at],
        wound_rad=[task.wound_rad[position] for position in looked_at],
        levels={},
    )
    wished = 2 * task.open_torque_n_mm / (TURN_RAD * max(task.rate_n_mm, task.open_torque_n_mm * RATE_SHARE_MIN))
    ranges = [made for wire in offered if (made := _range(count, task, wire, seen))]
    best: _Found | None = None
    aim = pull_max_n
    for one in sorted(ranges):
        if one.pull_least_n >= aim:
            break
        start = int(min(max(wished, one.halves_min), one.halves_max))
        for tried in (range(start, one.halves_min - 1, -1), range(start + 1, one.halves_max + 1)):
            better = _better(one, tried, seen, aim)
            if better:
                best, aim = better, better.pull_n - SAME_PULL_N
    return best


class _Seen(NamedTuple):
    """The positions looked at, and for each pretension [half turns] their gains and the best rate."""

    tensions_n: list[float]
    levers_mm: list[float]
    wound_rad: list[float]
    levels: dict[int, tuple[list[float], Level]]


class _Range(NamedTuple):
    """What a wire's limits allow, and a hand force [N] that no spring of it can better.

    `rate_of_one_coil_n_mm` is that of all springs together; the coils that hold the shutter open, `coils_per_half`,
    grow with the pretension, those of stress and bore, `coils_per_turn`, with all turns in the closed spring.
    """

    pull_least_n: float
    spring_count: int
    wire_mm: float
    rate_of_one_coil_n_mm: float
    coils_per_turn: float
    coils_per_half: float
    coils_room: float
    turns_lift: float
    halves_min: int
    halves_max: int


def _range(count: int, task: Task, wire: Wire, seen: _Seen) -> _Range | None:
    """The pretensions that a wire allows; None where there is none."""
    one_coil = count * wire.rate_of_one_coil_n_mm
    turns_lift = task.wound_rad[0] / TURN_RAD
    coils_room = task.body_max_mm / (count * wire.wire_mm) - 1
    coils_per_half = one_coil * TURN_RAD * HALF_TURN / task.open_torque_min_n_mm
    spare = coils_per_half - wire.coils_per_turn * HALF_TURN
    halves_max = floor(2 * (coils_room / (1 + wire.coils_per_turn) - turns_lift))
    if spare <= 0 or halves_max < 1:
        return None
    halves_min = max(1, ceil(turns_lift * wire.coils_per_turn / spare))
    if halves_min > halves_max:
        return None
    rate_least = one_coil / (coils_room - turns_lift)
    too_weak = seen.tensions_n[0] - one_coil * TURN_RAD / wire.coils_per_turn / seen.levers_mm[0]
    too_stiff = (task.open_torque_min_n_mm + rate_least * seen.wound_rad[0]) / seen.levers_mm[0] - seen.tensions_n[0]
    return _Range(
        max(too_weak, too_stiff),
        count,
        wire.wire_mm,
        one_coil,
        wire.coils_per_turn,
        coils_per_half,
        coils_room,
        turns_lift,
        halves_min,
        halves_max,
    )


def _better(one: _Range, tried: range, seen: _Seen, aim_n: float) -> _Found | None:
    """The best spring of one wire that leaves less than a hand force aimed at, pretensions tried in one direction."""
    best: _Found | None = None
    aim = aim_n
    before = inf
    for halves in tried:
        if halves not in seen.levels:
            angle = TURN_RAD * HALF_TURN * halves
            gains = [(angle + wound) / lever for wound, lever in zip(seen.wound_rad, seen.levers_mm)]
            seen.levels[halves] = gains, best_level(wanted=seen.tensions_n, gains=gains, high=0, low=-1)
        gains, level = seen.levels[halves]
        if level.miss >= aim:
            break
        turns = HALF_TURN * halves + one.turns_lift
        most = min(one.coils_room - turns, one.coils_per_half * halves)
        least = max(COILS_MIN, turns * one.coils_per_turn)
        ideal = one.rate_of_one_coil_n_mm / level.factor
        within = min(max(ideal, least), most)
        bound = level.miss
        if within != ideal:
            bound = _greatest_pull(seen.tensions_n, gains, one.rate_of_one_coil_n_mm / within)
        if bound >= aim and bound >= before:
            break
        before = bound
        for coils in (floor(within), floor(within) + 1):
            if least <= coils <= most and bound < aim:
                rate = one.rate_of_one_coil_n_mm / coils
                pull = _greatest_pull(seen.tensions_n, gains, rate)
                if pull < (best.pull_n if best else aim):
                    aim = pull - SAME_PULL_N
                    best = _Found(pull, Spring(one.spring_count, one.wire_mm, coils, HALF_TURN * halves), rate)
    return best


def _greatest_pull(tensions_n: list[float], gains: list[float], rate_n_mm: float) -> float:
    """Greatest hand force without drag in the positions looked at [N]."""
    return max([abs(tension - rate_n_mm * gain) for tension, gain in zip(tensions_n, gains)])


def _nearest(task: Task, offered: tuple[Wire, ...]) -> Choice:
    """The spring nearest to its limits among those of the best rate that hold the shutter open.

    How far off one is counts as a share: coils asked for by stress and bore over its coils, or body over the room.
    """
    rate = max(task.rate_n_mm, task.open_torque_n_mm * RATE_SHARE_MIN)
    pretension = HALF_TURN * max(1, round(task.open_torque_n_mm / (rate * TURN_RAD * HALF_TURN)))
    turns = pretension + task.wound_rad[0] / TURN_RAD
    tried, bodies = [], []
    for count in (1, 2):
        for wire in offered:
            one_coil = count * wire.rate_of_one_coil_n_mm
            holding = one_coil * TURN_RAD * pretension / task.open_torque_min_n_mm
            coils = max(COILS_MIN, floor(min(one_coil / rate, holding)))
            body = spring_body_mm(spring_count=count, wire_mm=wire.wire_mm, coils=coils, turns_closed=turns)
            strain = turns * wire.coils_per_turn / coils
            if strain <= 1:
                bodies.append(body)
            tried.append((max(strain, body / max(1.0, task.body_max_mm)), Spring(count, wire.wire_mm, coils, pretension)))
    return Choice(min(tried)[1], can_be_made=False, body_needed_mm=min(bodies, default=None))

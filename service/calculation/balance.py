"""The balance: torque needed over the lift by virtual work, the springs that give it, and what is left for the hand.

The lift is looked at in 25 even positions, closed first. A rule that holds in every position takes and gives all
positions at once, so that it is applied (and noted) once. Forces are those at the bottom bar. Energy is conserved: what the
springs give and what the hand adds beyond drag is what the weight gains. Two things are left out: the ripple from slat to
slat (rigid slats lie on the tube as chords), and the millimetre or two by which the path shortens when the first hinge
arrives on the tube, before which the strap alone is on it.
"""

from math import asin, atan2, hypot, inf, pi, sqrt
from typing import Final, final

from ..audit.rules import rule
from . import curtain, spring, spring_choice
from .coil import CoilTable, coil_table
from .constants import GRAVITY_M_PER_S2
from .job import Job, Tube
from .spring_choice import Choice, Demand, Lift
from .trial import Trial

POSITIONS: Final = 25
"""Positions of the lift that are looked at, both ends included."""

ENDS: Final = 2
"""Positions that decide whether a spring can be made at all."""

LIFT_LEFT_MIN_N: Final = 5.0
"""Lift [N] that the springs must leave at the open end, so that the shutter stays up. Source: practice of this project."""

WOUND_RESOLUTION: Final = 1e-10
"""Correction [slats] after which the wound length counts as found."""

LEVER_SHARE_MIN: Final = 0.1
"""Least lever as a share of that of a coil which does not grow: it bounds figures of a coil that overlaps its wheel."""

VIRTUAL_WORK: Final = "virtual work of a chain without bending stiffness; what is wound counts at the axis' height"


@final
class BalancePoint:
    """One position of the lift."""

    def __init__(
        self,
        *,
        lift_mm: float,
        lever_mm: float,
        weight_n: float,
        torque_needed_n_m: float,
        torque_given_n_m: float,
        drag_n: float,
        hand_up_n: float,
        hand_down_n: float,
    ) -> None:
        self.lift_mm = lift_mm
        self.lever_mm = lever_mm
        self.weight_n = weight_n
        self.torque_needed_n_m = torque_needed_n_m
        self.torque_given_n_m = torque_given_n_m
        self.drag_n = drag_n
        self.hand_up_n = hand_up_n
        self.hand_down_n = hand_down_n


@final
class OverLift:
    """The balance over the lift; shape (positions,) each, closed first."""

    def __init__(
        self,
        *,
        lifts_mm: list[float],
        levers_mm: list[float],
        weights_n: list[float],
        torques_needed_n_mm: list[float],
        torques_given_n_mm: list[float],
        drags_n: list[float],
        hands_up_n: list[float],
        hands_down_n: list[float],
    ) -> None:
        self.lifts_mm = lifts_mm
        self.levers_mm = levers_mm
        self.weights_n = weights_n
        self.torques_needed_n_mm = torques_needed_n_mm
        self.torques_given_n_mm = torques_given_n_mm
        self.drags_n = drags_n
        self.hands_up_n = hands_up_n
        self.hands_down_n = hands_down_n


@final
class Balance:
    """The springs and what they leave for the hand.

    `wire_mm`, `mean_diameter_mm` and `coils` describe each spring, `rate_n_m_per_turn` and the energies all springs
    together. `pretension_turns` are the turns in the spring with the shutter open, `turns_closed` adds the tube's turns over
    the lift; `stress_mpa` belongs to the closed shutter. `hand_force_max_n` is the greatest over the lift, up or down,
    `hand_force_open_n` the pull that starts it down from the open end, `hand_force_closed_n` the lift that starts it up from
    the closed end; each with the drag of its position. A negative one means that it starts by itself.
    """

    def __init__(
        self,
        *,
        spring_count: int,
        wire_mm: float,
        mean_diameter_mm: float,
        coils: int,
        rate_n_m_per_turn: float,
        pretension_turns: float,
        turns_closed: float,
        stress_mpa: float,
        stress_limit_mpa: float,
        hand_force_max_n: float,
        hand_force_open_n: float,
        hand_force_closed_n: float,
        drag_closed_n: float,
        drag_open_n: float,
        energy_closed_j: float,
        energy_open_j: float,
        cycles: float,
        fatigue_safety: float,
        over_lift: OverLift,
    ) -> None:
        self.spring_count = spring_count
        self.wire_mm = wire_mm
        self.mean_diameter_mm = mean_diameter_mm
        self.coils = coils
        self.rate_n_m_per_turn = rate_n_m_per_turn
        self.pretension_turns = pretension_turns
        self.turns_closed = turns_closed
        self.stress_mpa = stress_mpa
        self.stress_limit_mpa = stress_limit_mpa
        self.hand_force_max_n = hand_force_max_n
        self.hand_force_open_n = hand_force_open_n
        self.hand_force_closed_n = hand_force_closed_n
        self.drag_closed_n = drag_closed_n
        self.drag_open_n = drag_open_n
        self.energy_closed_j = energy_closed_j
        self.energy_open_j = energy_open_j
        self.cycles = cycles
        self.fatigue_safety = fatigue_safety
        self.over_lift = over_lift

    @property
    def curve(self) -> list[BalancePoint]:
        """The positions of the lift, closed first; put together when they are asked for, which is seldom."""
        one = self.over_lift
        return [
            BalancePoint(
                lift_mm=one.lifts_mm[i],
                lever_mm=one.levers_mm[i],
                weight_n=one.weights_n[i],
                torque_needed_n_m=one.torques_needed_n_mm[i] / 1000,
                torque_given_n_m=one.torques_given_n_mm[i] / 1000,
                drag_n=one.drags_n[i],
                hand_up_n=one.hands_up_n[i],
                hand_down_n=one.hands_down_n[i],
            )
            for i in range(POSITIONS)
        ]


def bar_tops_mm(*, bar_top_closed_z_mm: float, bar_top_open_z_mm: float, positions: int) -> list[float]:
    """Heights of the bottom bar's top over the lift [mm]."""
    step = (bar_top_open_z_mm - bar_top_closed_z_mm) / (positions - 1)
    return [bar_top_closed_z_mm + step * position for position in range(positions)]


rule(
    bar_tops_mm,
    symbol="z_i",
    unit="mm",
    formula="z_i = z_closed + (z_open - z_closed)·i/(count - 1)",
    basis="assumption",
    source="even positions of the lift, closed first",
)


def lifts_mm(*, bar_tops_mm: list[float]) -> list[float]:
    """How far the bottom bar is lifted, over the lift [mm]."""
    closed = bar_tops_mm[0]
    return [bar_top - closed for bar_top in bar_tops_mm]


rule(
    lifts_mm,
    symbol="Δz",
    unit="mm",
    formula="Δz = z_i - z_closed",
    basis="geometry",
    source="difference of two heights",
)


def wound_slats(
    *,
    slat_count: int,
    bar_tops_mm: list[float],
    wheel_x_mm: float,
    wheel_z_mm: float,
    bracket_x_mm: float,
    bracket_z_mm: float,
    wheel_path_radius_mm: float,
    tube_radius_mm: float,
    strap_radius_mm: float,
    pitch_mm: float,
    thickness_mm: float,
    nesting: float,
) -> list[float]:
    """Slats on the coil over the lift [slats]; negative by so much of a slat as the first hinge is still off the tube.

    The path is that of `path.py`, written out because this is the innermost loop: its length changes by -b/free for each mm
    of hinge radius, which gives Newton's method its slope. From the second position on the last step is the first guess.
    """
    slats = coil_table(tube_radius_mm=tube_radius_mm, pitch_mm=pitch_mm, thickness_mm=thickness_mm, nesting=nesting).slats
    dx, dz = bracket_x_mm - wheel_x_mm, bracket_z_mm - wheel_z_mm
    distance, quarter = hypot(dx, dz), pi / 2 - atan2(dz, dx)
    most = float(slat_count)

    bent_at_first = _bent_path_mm(slats[0].radius_mm - wheel_path_radius_mm, distance, quarter, wheel_path_radius_mm)
    bent_at_strap = _bent_path_mm(strap_radius_mm - wheel_path_radius_mm, distance, quarter, wheel_path_radius_mm)
    found: list[float] = []
    wound, step = 0.0, 0.0
    arcsine = asin  # in the innermost loop a local name is found faster
    for bar_top in bar_tops_mm:
        straight = wheel_z_mm - bar_top
        before = wound
        if most - (straight + bent_at_first) / pitch_mm < 0:
            wound = min(0.0, most - (straight + bent_at_strap) / pitch_mm)
        else:
            wound = min(max(wound + step, 0.0), most)
            for _attempt in range(60):
                index = min(int(wound), slat_count - 1)
                slat = slats[index]
                growth = slat.growth_mm
                radius = slat.radius_mm + growth * (wound - index)
                difference = min(max(radius - wheel_path_radius_mm, -distance), distance)
                free = sqrt(distance * distance - difference * difference)
                arc = wheel_path_radius_mm * (quarter - arcsine(difference / distance))
                missed = most - (straight + arc + free) / pitch_mm - wound
                slope = growth * radius / pitch_mm
                wound += missed * free / (free - slope) if free > 2 * slope else missed
                wound = min(max(wound, 0.0), most)  # only on the way, or where the coil overlaps its wheel
                if -WOUND_RESOLUTION < missed < WOUND_RESOLUTION:
                    break
        step = wound - before
        found.append(wound)
    return found


def _bent_path_mm(difference: float, distance: float, quarter: float, wheel_path_radius: float) -> float:
    """Arc on the wheel and free part together [mm]; `difference` is that of the radii, without a tangent it is bounded."""
    bounded = min(max(difference, -distance), distance)
    free = sqrt(distance * distance - bounded * bounded)
    return wheel_path_radius * (quarter - asin(bounded / distance)) + free


rule(
    wound_slats,
    symbol="n_w",
    unit="slats",
    formula="n_w = n - l(b(n_w))/p; below 0 the strap alone is on the tube and the path is that at r_s, at most 0",
    basis="geometry",
    source="wound length = curtain - path; Newton's method from position to position",
)


def turned_rad(
    *,
    tube_radius_mm: float,
    pitch_mm: float,
    thickness_mm: float,
    nesting: float,
    strap_radius_mm: float,
    wound_slats: list[float],
) -> list[float]:
    """Angle by which the tube is turned back from the open end, over the lift [rad]."""
    table = coil_table(tube_radius_mm=tube_radius_mm, pitch_mm=pitch_mm, thickness_mm=thickness_mm, nesting=nesting)
    last = _turned_rad(table, wound_slats[-1], strap_radius_mm)
    return [last - _turned_rad(table, wound, strap_radius_mm) for wound in wound_slats]


def _turned_rad(table: CoilTable, wound_slats: float, strap_radius_mm: float) -> float:
    """Angle through which the tube has turned since the first hinge lay on it [rad]; negative before."""
    if wound_slats < 0:
        return wound_slats * table.pitch_mm / strap_radius_mm
    index = int(wound_slats)
    slat = table.slats[index]
    return slat.angle_rad + (wound_slats - index) * slat.turn_rad


rule(
    turned_rad,
    symbol="u_i",
    unit="rad",
    formula="u_i = θ_open - θ_i, θ at n_w, linear between hinges; θ = n_w·p/r_s while the strap alone is on the tube",
    basis="geometry",
    source="the coil's table of hinges",
)


def levers_mm(
    *,
    wheel_x_mm: float,
    wheel_z_mm: float,
    bracket_x_mm: float,
    bracket_z_mm: float,
    wheel_path_radius_mm: float,
    tube_radius_mm: float,
    pitch_mm: float,
    thickness_mm: float,
    nesting: float,
    strap_radius_mm: float,
    wound_slats: list[float],
) -> list[float]:
    """How far the bottom bar moves for a radian of the tube, over the lift [mm].

    Where the coil overlaps its wheel (a place that does not fit) the lever is bounded to a tenth of p/Δθ.
    """
    table = coil_table(tube_radius_mm=tube_radius_mm, pitch_mm=pitch_mm, thickness_mm=thickness_mm, nesting=nesting)
    distance = hypot(bracket_x_mm - wheel_x_mm, bracket_z_mm - wheel_z_mm)
    return [_lever_mm(table, wound, distance, wheel_path_radius_mm, strap_radius_mm) for wound in wound_slats]


def _lever_mm(
    table: CoilTable, wound_slats: float, distance_mm: float, wheel_path_radius_mm: float, strap_radius_mm: float
) -> float:
    """How far the bottom bar moves for a radian of the tube [mm]."""
    if wound_slats < 0:
        return strap_radius_mm
    index = int(wound_slats)
    slat = table.slats[index]
    radius = slat.radius_mm + (wound_slats - index) * slat.growth_mm
    difference = radius - wheel_path_radius_mm
    free = sqrt(max(0.0, distance_mm * distance_mm - difference * difference))
    share = 1 - radius * slat.growth_mm / (table.pitch_mm * free) if free > 0 else 0.0
    return table.pitch_mm * max(share, LEVER_SHARE_MIN) / slat.turn_rad


rule(
    levers_mm,
    symbol="ℓ",
    unit="mm",
    formula="ℓ = dz/dθ = p·(1 - b·b'/(p·free))/Δθ, b' and Δθ of the winding slat; r_s while only the strap is on the tube",
    basis="geometry",
    source="derivative of wound length = curtain - path; own derivation, checked by the energy balance",
)


def curtain_mass_kg_per_mm(*, slat_mass_kg_per_m: float, slat_length_mm: float, pitch_mm: float) -> float:
    """Mass of the curtain for each mm of its height [kg/mm]."""
    return slat_mass_kg_per_m * slat_length_mm / 1000 / pitch_mm


rule(
    curtain_mass_kg_per_mm,
    symbol="λ",
    unit="kg/mm",
    formula="λ = m_slat·L/1000/p",
    basis="catalogue",
    source="mass per metre of the catalogue, a slat every pitch",
)


def weights_n(
    *, bar_mass_kg: float, curtain_mass_kg_per_mm: float, bracket_z_mm: float, bar_tops_mm: list[float]
) -> list[float]:
    """Weight at the bottom bar over the lift [N]."""
    return [GRAVITY_M_PER_S2 * (bar_mass_kg + curtain_mass_kg_per_mm * (bracket_z_mm - bar_top)) for bar_top in bar_tops_mm]


rule(
    weights_n,
    symbol="F",
    unit="N",
    formula="F = g·(m_bar + λ·(z_b - z_i))",
    basis="handbook",
    source=VIRTUAL_WORK,
)


def drags_n(
    *,
    bar_tops_mm: list[float],
    mouth_z_mm: float,
    top_seal_length_mm: float,
    track_drag_n_per_m: float,
    seal_drag_n_per_m: float,
    bearings_drag_n: float,
) -> list[float]:
    """Drag over the lift [N]: curtain in both tracks, top seal, wheels and bearings."""
    constant = seal_drag_n_per_m * top_seal_length_mm / 1000 + bearings_drag_n
    return [2 * track_drag_n_per_m * (mouth_z_mm - bar_top) / 1000 + constant for bar_top in bar_tops_mm]


rule(
    drags_n,
    symbol="F_drag",
    unit="N",
    formula="F_drag = 2·track drag·(z_m - z_i) + seal drag·l_s + bearings",
    basis="catalogue",
    source="the catalogue's drag for each metre of curtain in a track and of top seal between the lips",
)


def torques_needed_n_mm(*, weights_n: list[float], levers_mm: list[float]) -> list[float]:
    """Torque that the tube needs over the lift [N·mm]."""
    return [weight * lever for weight, lever in zip(weights_n, levers_mm)]


rule(
    torques_needed_n_mm,
    symbol="M_need",
    unit="N·mm",
    formula="M_need = F·ℓ",
    basis="handbook",
    source=VIRTUAL_WORK,
)


def open_torque_min_n_mm(*, weight_n: float, lift_left_min_n: float, lever_mm: float) -> float:
    """Torque that holds the shutter open [N·mm]."""
    return (weight_n + lift_left_min_n) * lever_mm


rule(
    open_torque_min_n_mm,
    symbol="M_hold",
    unit="N·mm",
    formula="M_hold = (F + 5)·ℓ, both at the open end",
    basis="practice",
    source="practice of this project: 5 N of lift left at the open end, before drag",
)


def torques_given_n_mm(
    *, spring_count: int, rate_n_mm: float, pretension_turns: float, turned_rad: list[float]
) -> list[float]:
    """Torque of all springs together over the lift [N·mm]."""
    rate, pretension = spring_count * rate_n_mm, spring.TURN_RAD * pretension_turns
    return [rate * (pretension + turned) for turned in turned_rad]


rule(
    torques_given_n_mm,
    symbol="M",
    unit="N·mm",
    formula="M = count·k·(2π·pretension + u), u the angle still wound beyond the open end",
    basis="handbook",
    source=f"{spring.SPRINGS}; linear spring",
)


def hands_up_n(
    *, weights_n: list[float], torques_given_n_mm: list[float], levers_mm: list[float], drags_n: list[float]
) -> list[float]:
    """Force that moves the shutter up, over the lift [N]."""
    return [
        weight - torque / lever + drag
        for weight, torque, lever, drag in zip(weights_n, torques_given_n_mm, levers_mm, drags_n)
    ]


rule(hands_up_n, symbol="F_up", unit="N", formula="F_up = F - M/ℓ + F_drag", basis="handbook", source=VIRTUAL_WORK)


def hands_down_n(
    *, weights_n: list[float], torques_given_n_mm: list[float], levers_mm: list[float], drags_n: list[float]
) -> list[float]:
    """Force that moves the shutter down, over the lift [N]."""
    return [
        torque / lever - weight + drag
        for weight, torque, lever, drag in zip(weights_n, torques_given_n_mm, levers_mm, drags_n)
    ]


rule(hands_down_n, symbol="F_down", unit="N", formula="F_down = M/ℓ - F + F_drag", basis="handbook", source=VIRTUAL_WORK)


def hand_force_max_n(*, hands_up_n: list[float], hands_down_n: list[float]) -> float:
    """Greatest hand force over the lift, up or down [N]."""
    greatest = -inf
    for up, down in zip(hands_up_n, hands_down_n):
        greatest = max(greatest, up)
        greatest = max(greatest, down)
    return greatest


rule(
    hand_force_max_n,
    symbol="F_max",
    unit="N",
    formula="F_max = greatest of F_up and F_down over the lift",
    basis="handbook",
    source=VIRTUAL_WORK,
)


def lift_left_n(*, weight_n: float, torque_given_n_mm: float, lever_mm: float) -> float:
    """Lift that the springs leave at the open end, before drag [N]."""
    return torque_given_n_mm / lever_mm - weight_n


rule(
    lift_left_n,
    symbol="F_hold",
    unit="N",
    formula="F_hold = M/ℓ - F, all at the open end",
    basis="handbook",
    source=VIRTUAL_WORK,
)


@final
class Moved:
    """The lift at a place: where the bar is, what is wound, and what springs have to balance; shape (positions,) each."""

    def __init__(
        self,
        *,
        job: Job,
        trial: Trial,
        slat_length_mm: float,
        bar_mass_kg: float,
        top_seal_length_mm: float,
        positions: int = POSITIONS,
    ) -> None:
        slat, position, centres = job.slat, trial.position, trial.centres
        drag, running, tube = job.hardware.drag, job.hardware.running, position.tube
        bar_top_open = curtain.bar_top_open_z_mm(mouth_z_mm=job.mount.mouth_z_mm, stop_gap_mm=running.stop_gap_mm)
        tops = bar_tops_mm(
            bar_top_closed_z_mm=position.bar_top_closed_z_mm, bar_top_open_z_mm=bar_top_open, positions=positions
        )
        wound = wound_slats(
            slat_count=trial.slat_count,
            bar_tops_mm=tops,
            wheel_x_mm=centres.wheel_x_mm,
            wheel_z_mm=centres.wheel_z_mm,
            bracket_x_mm=centres.bracket_x_mm,
            bracket_z_mm=centres.bracket_z_mm,
            wheel_path_radius_mm=centres.wheel_path_radius_mm,
            tube_radius_mm=tube.radius_mm,
            strap_radius_mm=position.strap_radius_mm,
            pitch_mm=slat.pitch_mm,
            thickness_mm=slat.thickness_mm,
            nesting=slat.nesting,
        )
        self.bar_top_open_z_mm = bar_top_open
        self.bar_tops_mm = tops
        self.wound_slats = wound
        self.turned_rad = turned_rad(
            tube_radius_mm=tube.radius_mm,
            pitch_mm=slat.pitch_mm,
            thickness_mm=slat.thickness_mm,
            nesting=slat.nesting,
            strap_radius_mm=position.strap_radius_mm,
            wound_slats=wound,
        )
        self.levers_mm = levers_mm(
            wheel_x_mm=centres.wheel_x_mm,
            wheel_z_mm=centres.wheel_z_mm,
            bracket_x_mm=centres.bracket_x_mm,
            bracket_z_mm=centres.bracket_z_mm,
            wheel_path_radius_mm=centres.wheel_path_radius_mm,
            tube_radius_mm=tube.radius_mm,
            pitch_mm=slat.pitch_mm,
            thickness_mm=slat.thickness_mm,
            nesting=slat.nesting,
            strap_radius_mm=position.strap_radius_mm,
            wound_slats=wound,
        )
        self.weights_n = weights_n(
            bar_mass_kg=bar_mass_kg,
            curtain_mass_kg_per_mm=curtain_mass_kg_per_mm(
                slat_mass_kg_per_m=slat.mass_kg_per_m, slat_length_mm=slat_length_mm, pitch_mm=slat.pitch_mm
            ),
            bracket_z_mm=centres.bracket_z_mm,
            bar_tops_mm=tops,
        )
        self.drags_n = drags_n(
            bar_tops_mm=tops,
            mouth_z_mm=job.mount.mouth_z_mm,
            top_seal_length_mm=top_seal_length_mm,
            track_drag_n_per_m=drag.track_n_per_m,
            seal_drag_n_per_m=drag.seal_n_per_m,
            bearings_drag_n=drag.bearings_n,
        )


def demand_of(*, job: Job, moved: Moved, tube_length_mm: float) -> Demand:
    """What bounds the springs of a lift."""
    duty = job.duty
    return Demand(
        room_mm=spring.spring_body_max_mm(
            tube_length_mm=tube_length_mm, end_fittings_mm=job.hardware.springs.end_fittings_mm
        ),
        open_torque_min_n_mm=open_torque_min_n_mm(
            weight_n=moved.weights_n[-1], lift_left_min_n=LIFT_LEFT_MIN_N, lever_mm=moved.levers_mm[-1]
        ),
        cycles=spring.service_cycles(cycles_per_day=duty.cycles_per_day, service_years=duty.service_years),
    )


def best_springs(*, job: Job, tube: Tube, moved: Moved, demand: Demand) -> Choice | None:
    """The springs for a lift, None where none can be made; a search, of which no trace is kept."""
    return spring_choice.best(lift=_lift(moved), offered=spring_choice.wires_for(job.hardware.springs, tube), demand=demand)


def springs_can_be_made(*, job: Job, tube: Tube, moved: Moved, demand: Demand) -> bool:
    """Whether any spring can be made for a lift."""
    offered = spring_choice.wires_for(job.hardware.springs, tube)
    return spring_choice.can_be_made(lift=_lift(moved), offered=offered, demand=demand)


def nearest_springs(*, job: Job, tube: Tube, moved: Moved, demand: Demand) -> Choice:
    """The springs nearest to their limits, where none can be made."""
    return spring_choice.nearest(
        lift=_lift(moved), offered=spring_choice.wires_for(job.hardware.springs, tube), demand=demand
    )


def _lift(moved: Moved) -> Lift:
    """What springs have to balance."""
    return spring_choice.lift_of(
        weights_n=moved.weights_n, levers_mm=moved.levers_mm, drags_n=moved.drags_n, turned_rad=moved.turned_rad
    )


@final
class Balanced:
    """The balance with the figures of its springs that checks compare.

    `hand_down_least_n` is the least force that moves the shutter down between its ends: negative where it sinks by itself.
    """

    def __init__(
        self,
        *,
        balance: Balance,
        body_mm: float,
        bore_mm: float,
        bore_min_mm: float,
        springs_mass_kg: float,
        lift_left_n: float,
        hand_down_least_n: float,
    ) -> None:
        self.balance = balance
        self.body_mm = body_mm
        self.bore_mm = bore_mm
        self.bore_min_mm = bore_min_mm
        self.springs_mass_kg = springs_mass_kg
        self.lift_left_n = lift_left_n
        self.hand_down_least_n = hand_down_least_n


def balanced(*, job: Job, tube: Tube, moved: Moved, demand: Demand, choice: Choice) -> Balanced:
    """The chosen springs by their rules, and what they leave for the hand."""
    springs = job.hardware.springs
    wire, coils, count, turns_open = choice.wire_mm, choice.coils, choice.spring_count, choice.pretension_turns
    diameter = spring.mean_diameter_mm(
        tube_radius_mm=tube.radius_mm,
        tube_wall_mm=tube.wall_mm,
        radial_clearance_mm=springs.radial_clearance_mm,
        wire_mm=wire,
    )
    rate = spring.rate_n_mm(
        elastic_modulus_mpa=springs.elastic_modulus_mpa, wire_mm=wire, mean_diameter_mm=diameter, coils=float(coils)
    )
    turns = spring.turns_closed(pretension_turns=turns_open, turned_rad=moved.turned_rad[0])
    factor = spring.inner_stress_factor(spring_index=spring.spring_index(mean_diameter_mm=diameter, wire_mm=wire))
    stress_open = spring.spring_stress_mpa(
        inner_stress_factor=factor, moment_n_mm=spring.moment_n_mm(rate_n_mm=rate, turns=turns_open), wire_mm=wire
    )
    stress = spring.spring_stress_mpa(
        inner_stress_factor=factor, moment_n_mm=spring.moment_n_mm(rate_n_mm=rate, turns=turns), wire_mm=wire
    )
    tensile = spring.tensile_strength_mpa(wire_mm=wire)
    given = torques_given_n_mm(spring_count=count, rate_n_mm=rate, pretension_turns=turns_open, turned_rad=moved.turned_rad)
    needed = torques_needed_n_mm(weights_n=moved.weights_n, levers_mm=moved.levers_mm)
    up = hands_up_n(weights_n=moved.weights_n, torques_given_n_mm=given, levers_mm=moved.levers_mm, drags_n=moved.drags_n)
    down = hands_down_n(
        weights_n=moved.weights_n, torques_given_n_mm=given, levers_mm=moved.levers_mm, drags_n=moved.drags_n
    )
    least_between = inf
    for force in down[1:-1]:
        least_between = min(least_between, force)
    lifts = lifts_mm(bar_tops_mm=moved.bar_tops_mm)
    return Balanced(
        balance=Balance(
            spring_count=count,
            wire_mm=wire,
            mean_diameter_mm=diameter,
            coils=coils,
            rate_n_m_per_turn=spring.rate_per_turn_n_m(spring_count=count, rate_n_mm=rate),
            pretension_turns=turns_open,
            turns_closed=turns,
            stress_mpa=stress,
            stress_limit_mpa=spring.spring_stress_limit_mpa(tensile_strength_mpa=tensile),
            hand_force_max_n=hand_force_max_n(hands_up_n=up, hands_down_n=down),
            hand_force_open_n=down[-1],
            hand_force_closed_n=up[0],
            drag_closed_n=moved.drags_n[0],
            drag_open_n=moved.drags_n[-1],
            energy_closed_j=spring.stored_energy_j(spring_count=count, rate_n_mm=rate, turns=turns),
            energy_open_j=spring.stored_energy_j(spring_count=count, rate_n_mm=rate, turns=turns_open),
            cycles=demand.cycles,
            fatigue_safety=spring.fatigue_safety(
                stress_open_mpa=stress_open,
                stress_closed_mpa=stress,
                tensile_strength_mpa=tensile,
                repeated_strength_mpa=spring.repeated_strength_mpa(tensile_strength_mpa=tensile, cycles=demand.cycles),
            ),
            over_lift=OverLift(
                lifts_mm=lifts,
                levers_mm=moved.levers_mm,
                weights_n=moved.weights_n,
                torques_needed_n_mm=needed,
                torques_given_n_mm=given,
                drags_n=moved.drags_n,
                hands_up_n=up,
                hands_down_n=down,
            ),
        ),
        body_mm=spring.spring_body_mm(spring_count=count, wire_mm=wire, coils=float(coils), turns_closed=turns),
        bore_mm=spring.wound_bore_mm(mean_diameter_mm=diameter, coils=float(coils), turns_closed=turns, wire_mm=wire),
        bore_min_mm=spring.wound_bore_min_mm(shaft_diameter_mm=springs.shaft_diameter_mm),
        springs_mass_kg=spring.springs_mass_kg(spring_count=count, mean_diameter_mm=diameter, coils=coils, wire_mm=wire),
        lift_left_n=lift_left_n(weight_n=moved.weights_n[-1], torque_given_n_mm=given[-1], lever_mm=moved.levers_mm[-1]),
        hand_down_least_n=least_between,
    )

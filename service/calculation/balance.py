"""The balance: torque needed over the lift, the springs that give it, and what is left for the hand.

The lift is looked at in 25 even positions, closed first. A rule that holds in every position takes and gives all
positions at once, so that it is applied (and noted) once. Hand forces are counted along the curtain.
"""

from math import asin, atan2, hypot, pi, sqrt
from typing import NamedTuple

from service.audit.recorder import Use, plain
from service.audit.rules import rule
from service.calculation import spring
from service.calculation.coil import coil_table
from service.calculation.job import BottomBar, Slat, SpringSet, Tube
from service.calculation.minimax import best_line
from service.calculation.path import Centres

GRAVITY_M_PER_S2 = 9.80665
"""Standard acceleration of free fall [m/s²]. Source: ISO 80000-3."""

POSITIONS = 25
"""Positions of the lift that are looked at, both ends included."""

LIFT_LEFT_MIN_N = 5.0
"""Lift [N] that the springs must leave at the open end, so that the shutter stays up. Source: practice of this project."""

WOUND_SLACK = 3e-4
"""Correction [slats] after which the wound length counts as found: what is left is a hundred times smaller or less."""

STATICS = "statics of a chain without friction or bending stiffness"


class BalancePoint(NamedTuple):
    """One position of the lift."""

    lift_mm: float
    layer_radius_mm: float
    tension_n: float
    torque_needed_n_m: float
    torque_given_n_m: float
    hand_up_n: float
    hand_down_n: float


class Balance(NamedTuple):
    """The springs and what they leave for the hand.

    `wire_mm`, `mean_diameter_mm` and `coils` describe each spring, `rate_n_m_per_turn` all springs together.
    `pretension_turns` is what the fitter winds: the turns in the spring with the shutter open, since the curtain is
    strapped on and led in rolled up. `turns_closed` adds the tube's turns over the lift, `stress_mpa` belongs to it.
    `hand_force_max_n` is the greatest over the lift, up or down, `hand_force_open_n` the pull that starts it down from
    the open end, `hand_force_closed_n` the lift that starts it up from the closed end; each with the drag of both
    tracks, `drag_n`. A negative one means that it starts by itself.
    """

    spring_count: int
    wire_mm: float
    mean_diameter_mm: float
    coils: int
    rate_n_m_per_turn: float
    pretension_turns: float
    turns_closed: float
    stress_mpa: float
    stress_limit_mpa: float
    hand_force_max_n: float
    hand_force_open_n: float
    hand_force_closed_n: float
    drag_n: float
    curve: tuple[BalancePoint, ...] | None


class SpringNeeded(NamedTuple):
    """What the best linear spring would be where none of the catalogue's can be made.

    Rate per turn and torque with the shutter closed are those of all springs together; `length_mm` is the shortest tube
    in which one or two springs of the catalogue with this rate would have room and bear the torque (None: none would
    bear it in any tube), `length_given_mm` the length of this tube.
    """

    rate_n_m_per_turn: float
    torque_closed_n_m: float
    length_mm: float | None
    length_given_mm: float


class Balanced(NamedTuple):
    """The balance, its checks as (id, value, limit), and what would be needed where no spring can be made."""

    balance: Balance
    checks: tuple[tuple[str, float, float], ...]
    needed: SpringNeeded | None


@rule(
    symbol="z_i",
    unit="mm",
    formula="z_i = z_closed + (z_open - z_closed)·i/(count - 1)",
    basis="assumption",
    source="even positions of the lift, closed first",
)
def bar_tops_mm(*, bar_top_closed_z_mm: float, bar_top_open_z_mm: float, positions: int) -> tuple[float, ...]:
    """Heights of the bottom bar's top over the lift [mm]."""
    step = (bar_top_open_z_mm - bar_top_closed_z_mm) / (positions - 1)
    return tuple([bar_top_closed_z_mm + step * position for position in range(positions)])


@rule(
    symbol="n_w",
    unit="slats",
    formula="n_w = n - l(b(n_w))/p; below 0 so much of the strap is still off the tube",
    basis="geometry",
    source="wound length = curtain - path, as curtain.slats_wound; solved by Newton's method from position to position",
)
def wound_over_lift_slats(
    *,
    slat_count: int,
    bar_tops_mm: tuple[float, ...],
    wheel_x_mm: float,
    wheel_z_mm: float,
    bracket_x_mm: float,
    bracket_z_mm: float,
    wheel_path_radius_mm: float,
    tube_radius_mm: float,
    pitch_mm: float,
    thickness_mm: float,
    nesting: float,
) -> tuple[float, ...]:
    """Slats on the coil over the lift [slats].

    The path is that of `path.path_length_over_mm`, written out because it is the innermost loop; the path's length
    changes by -b/free for each mm of hinge radius. From the second position on the last step is the first guess.
    """
    radii = coil_table(tube_radius_mm=tube_radius_mm, pitch_mm=pitch_mm, thickness_mm=thickness_mm, nesting=nesting).radii_mm
    dx, dz = bracket_x_mm - wheel_x_mm, bracket_z_mm - wheel_z_mm
    distance, quarter = hypot(dx, dz), pi / 2 - atan2(dz, dx)
    wound_all: list[float] = []
    wound, step, step_before = 0.0, 0.0, 0.0
    for bar_top in bar_tops_mm:
        before = wound
        wound = min(wound + 2 * step - step_before, float(slat_count))
        straight = wheel_z_mm - bar_top
        for _ in range(60):
            index = int(wound) if wound > 0 else 0
            growth = radii[index + 1] - radii[index] if wound > 0 else 0.0
            radius = radii[index] + growth * (wound - index)
            difference = radius - wheel_path_radius_mm
            if not -distance < difference < distance:
                difference = distance if difference > 0 else -distance
            free = sqrt(distance * distance - difference * difference)
            arc = wheel_path_radius_mm * (quarter - asin(difference / distance))
            missed = slat_count - (straight + arc + free) / pitch_mm - wound
            slope = growth * radius / pitch_mm
            wound += missed * free / (free - slope) if free > 2 * slope else missed
            if wound > slat_count:  # only on the way, or at a misfit whose coil overlaps its wheel
                wound = float(slat_count)
            if -WOUND_SLACK < missed < WOUND_SLACK:
                break
        step, step_before = wound - before, step
        wound_all.append(wound)
    return tuple(wound_all)


@rule(
    symbol="b_i",
    unit="mm",
    formula="b_i = ρ at n_w, linear between hinges; the first hinge's while strap is off the tube",
    basis="geometry",
    source="coil.hinge_radius_mm in every position",
)
def layer_radii_mm(
    *, tube_radius_mm: float, pitch_mm: float, thickness_mm: float, nesting: float, wound_slats: tuple[float, ...]
) -> tuple[float, ...]:
    """Hinge radius of the layer that leaves the coil, over the lift [mm]."""
    radii = coil_table(tube_radius_mm=tube_radius_mm, pitch_mm=pitch_mm, thickness_mm=thickness_mm, nesting=nesting).radii_mm
    return tuple(
        [
            radii[index := int(wound)] + (wound - index) * (radii[index + 1] - radii[index]) if wound > 0 else radii[0]
            for wound in wound_slats
        ]
    )


@rule(
    symbol="u_i",
    unit="rad",
    formula="u_i = θ_open - θ_i, θ at n_w, linear between hinges; strap winds at the first hinge's radius",
    basis="geometry",
    source="coil.hinge_angle_rad in every position",
)
def wound_over_open_rad(
    *, tube_radius_mm: float, pitch_mm: float, thickness_mm: float, nesting: float, wound_slats: tuple[float, ...]
) -> tuple[float, ...]:
    """Angle by which the tube is turned back from the open end, over the lift [rad]."""
    table = coil_table(tube_radius_mm=tube_radius_mm, pitch_mm=pitch_mm, thickness_mm=thickness_mm, nesting=nesting)
    angles, strap = table.angles_rad, pitch_mm / table.radii_mm[0]
    turned = [
        angles[index := int(wound)] + (wound - index) * (angles[index + 1] - angles[index]) if wound > 0 else wound * strap
        for wound in wound_slats
    ]
    return tuple([turned[-1] - angle for angle in turned])


@rule(
    symbol="z_t",
    unit="mm",
    formula="z_t = z_b + b·cos ψ, cos ψ = (dx·√(1 - s²) - dz·s)/D, s = (b - a)/D",
    basis="geometry",
    source="point of contact of the tangent, ψ as path.rise_rad: the cosine of atan2(dz, dx) + asin(s)",
)
def leaving_heights_mm(
    *,
    wheel_x_mm: float,
    wheel_z_mm: float,
    bracket_x_mm: float,
    bracket_z_mm: float,
    wheel_path_radius_mm: float,
    layer_radii_mm: tuple[float, ...],
) -> tuple[float, ...]:
    """Heights at which the curtain leaves the coil over the lift [mm]."""
    dx, dz = bracket_x_mm - wheel_x_mm, bracket_z_mm - wheel_z_mm
    distance = hypot(dx, dz)
    along, up = dx / distance, dz / distance
    heights = []
    for radius in layer_radii_mm:
        sine = (radius - wheel_path_radius_mm) / distance
        if not -1 < sine < 1:
            sine = 1.0 if sine > 0 else -1.0
        heights.append(bracket_z_mm + radius * (along * sqrt(1 - sine * sine) - up * sine))
    return tuple(heights)


@rule(
    symbol="m_b",
    unit="kg",
    formula="m_b = m_bar·L/1000",
    basis="catalogue",
    source="mass per metre of the catalogue",
)
def bar_mass_kg(*, bar_mass_kg_per_m: float, slat_length_mm: float) -> float:
    """Mass of the bottom bar [kg]."""
    return bar_mass_kg_per_m * slat_length_mm / 1000


@rule(
    symbol="λ",
    unit="kg/mm",
    formula="λ = m_slat·L/1000/p",
    basis="catalogue",
    source="mass per metre of the catalogue, a slat every pitch",
)
def curtain_mass_kg_per_mm(*, slat_mass_kg_per_m: float, slat_length_mm: float, pitch_mm: float) -> float:
    """Mass of the curtain for each mm of its height [kg/mm]."""
    return slat_mass_kg_per_m * slat_length_mm / 1000 / pitch_mm


@rule(
    symbol="T",
    unit="N",
    formula="T = g·(m_b + λ·(z_t - z_i))",
    basis="handbook",
    source=f"{STATICS}: the tension grows by the weight for each mm of height, however the path bends",
)
def tensions_n(
    *,
    bar_mass_kg: float,
    curtain_mass_kg_per_mm: float,
    leaving_heights_mm: tuple[float, ...],
    bar_tops_mm: tuple[float, ...],
) -> tuple[float, ...]:
    """Tension of the curtain at the coil over the lift [N]."""
    bar, weight = GRAVITY_M_PER_S2 * bar_mass_kg, GRAVITY_M_PER_S2 * curtain_mass_kg_per_mm
    return tuple([bar + weight * (leaving - top) for leaving, top in zip(leaving_heights_mm, bar_tops_mm)])


@rule(
    symbol="M_need",
    unit="N·mm",
    formula="M_need = T·b",
    basis="handbook",
    source=f"{STATICS}; the lever is taken at a hinge, where it is longest (the mean over a slat is shorter by chord over "
    "arc, 1 to 4 %), and the coil as balanced about its axis (its open outermost layer helps by up to g·λ·b²)",
)
def torques_needed_n_mm(*, tensions_n: tuple[float, ...], layer_radii_mm: tuple[float, ...]) -> tuple[float, ...]:
    """Torque that the tube needs over the lift [N·mm]."""
    return tuple([tension * radius for tension, radius in zip(tensions_n, layer_radii_mm)])


@rule(
    symbol="M_hold",
    unit="N·mm",
    formula="M_hold = M_need + F_hold·b, both at the open end",
    basis="practice",
    source="practice of this project: 5 N of lift left at the open end",
)
def open_torque_min_n_mm(*, torque_needed_n_mm: float, lift_left_min_n: float, layer_radius_mm: float) -> float:
    """Torque that holds the shutter open [N·mm]."""
    return torque_needed_n_mm + lift_left_min_n * layer_radius_mm


@rule(
    symbol="(M_open, k)",
    unit="N·mm",
    formula="least greatest |M_need - (M_open + k·u)|/b over the positions, M_open at least M_hold",
    basis="handbook",
    source="weighted minimax fit of a line (Chebyshev, Remez), solved exactly by exchange; k is per radian",
)
def best_spring_n_mm(
    *,
    torques_needed_n_mm: tuple[float, ...],
    layer_radii_mm: tuple[float, ...],
    wound_over_open_rad: tuple[float, ...],
    open_torque_min_n_mm: float,
) -> tuple[float, float]:
    """Torque at the open end and rate per radian of the best linear spring [N·mm]."""
    return best_line(
        torques=torques_needed_n_mm,
        levers=layer_radii_mm,
        wound=wound_over_open_rad,
        open_torque_min=open_torque_min_n_mm,
    )


@rule(
    symbol="F_i",
    unit="N",
    formula="F_i = T - M/b",
    basis="handbook",
    source=f"{STATICS}; positive where the springs lift too little",
)
def unbalanced_n(
    *, tensions_n: tuple[float, ...], torques_given_n_mm: tuple[float, ...], layer_radii_mm: tuple[float, ...]
) -> tuple[float, ...]:
    """Force that the springs leave over the lift, without drag [N]."""
    return tuple(
        [tension - torque / radius for tension, torque, radius in zip(tensions_n, torques_given_n_mm, layer_radii_mm)]
    )


@rule(symbol="F_drag", unit="N", formula="F_drag = 2·drag of a track", basis="catalogue", source="the catalogue's drag")
def drag_n(*, track_drag_n: float) -> float:
    """Drag of both tracks [N]."""
    return 2 * track_drag_n


@rule(symbol="F_up", unit="N", formula="F_up = F + F_drag", basis="handbook", source=STATICS)
def hand_up_n(*, unbalanced_n: float, drag_n: float) -> float:
    """Force that moves the shutter up [N]."""
    return unbalanced_n + drag_n


@rule(symbol="F_down", unit="N", formula="F_down = -F + F_drag", basis="handbook", source=STATICS)
def hand_down_n(*, unbalanced_n: float, drag_n: float) -> float:
    """Force that moves the shutter down [N]."""
    return drag_n - unbalanced_n


@rule(
    symbol="F_max",
    unit="N",
    formula="F_max = greatest of F_up and F_down over the lift",
    basis="handbook",
    source=STATICS,
)
def greatest_hand_force_n(*, unbalanced_n: tuple[float, ...], drag_n: float) -> float:
    """Greatest hand force over the lift, up or down [N]."""
    highest, lowest = max(unbalanced_n), min(unbalanced_n)
    return max(highest, -lowest) + drag_n


def balance_of(
    *,
    centres: Centres,
    tube: Tube,
    slat: Slat,
    bar: BottomBar,
    springs: SpringSet,
    slat_count: int,
    slat_length_mm: float,
    bar_top_closed_z_mm: float,
    bar_top_open_z_mm: float,
    track_drag_n: float,
    hand_force_limit_n: float,
    with_curve: bool = False,
    use: Use = plain,
) -> Balanced:
    """Choose the springs for a curtain on its path and tell what they leave for the hand.

    Raises:
        ValueError: no wire of the catalogue makes a spring in this tube.
    """
    profile = {
        "tube_radius_mm": tube.radius_mm,
        "pitch_mm": slat.pitch_mm,
        "thickness_mm": slat.thickness_mm,
        "nesting": slat.nesting,
    }
    places = centres._asdict()
    tops = use(bar_tops_mm)(
        bar_top_closed_z_mm=bar_top_closed_z_mm, bar_top_open_z_mm=bar_top_open_z_mm, positions=POSITIONS
    )
    wound = use(wound_over_lift_slats)(slat_count=slat_count, bar_tops_mm=tops, **places, **profile)
    radii = use(layer_radii_mm)(**profile, wound_slats=wound)
    angles = use(wound_over_open_rad)(**profile, wound_slats=wound)
    tensions = use(tensions_n)(
        bar_mass_kg=use(bar_mass_kg)(bar_mass_kg_per_m=bar.mass_kg_per_m, slat_length_mm=slat_length_mm),
        curtain_mass_kg_per_mm=use(curtain_mass_kg_per_mm)(
            slat_mass_kg_per_m=slat.mass_kg_per_m, slat_length_mm=slat_length_mm, pitch_mm=slat.pitch_mm
        ),
        leaving_heights_mm=use(leaving_heights_mm)(**places, layer_radii_mm=radii),
        bar_tops_mm=tops,
    )
    needed = use(torques_needed_n_mm)(tensions_n=tensions, layer_radii_mm=radii)
    open_torque_min = use(open_torque_min_n_mm)(
        torque_needed_n_mm=needed[-1], lift_left_min_n=LIFT_LEFT_MIN_N, layer_radius_mm=radii[-1]
    )
    open_torque, rate = use(best_spring_n_mm)(
        torques_needed_n_mm=needed,
        layer_radii_mm=radii,
        wound_over_open_rad=angles,
        open_torque_min_n_mm=open_torque_min,
    )
    drag = use(drag_n)(track_drag_n=track_drag_n)
    body_max = use(spring.spring_body_max_mm)(slat_length_mm=slat_length_mm, end_fittings_mm=springs.end_fittings_mm)
    choice = spring.choose_spring(
        task=spring.Task(tensions, radii, angles, open_torque_min, open_torque, rate, body_max),
        offered=spring.wires(springs=springs, tube_radius_mm=tube.radius_mm, tube_wall_mm=tube.wall_mm),
        pull_max_n=hand_force_limit_n - drag,
    )
    made = _made(choice.spring, tube, springs, angles, use)
    given = use(spring.torques_given_n_mm)(
        spring_count=choice.spring.spring_count,
        rate_n_mm=made.rate_n_mm,
        pretension_turns=choice.spring.pretension_turns,
        wound_rad=angles,
    )
    left = use(unbalanced_n)(tensions_n=tensions, torques_given_n_mm=given, layer_radii_mm=radii)
    greatest = use(greatest_hand_force_n)(unbalanced_n=left, drag_n=drag)
    curve = None
    if with_curve:
        curve = tuple(
            BalancePoint(top - tops[0], radius, tension, need / 1000, give / 1000, rest + drag, drag - rest)
            for top, radius, tension, need, give, rest in zip(tops, radii, tensions, needed, given, left)
        )
    return Balanced(
        balance=Balance(
            spring_count=choice.spring.spring_count,
            wire_mm=choice.spring.wire_mm,
            mean_diameter_mm=made.mean_diameter_mm,
            coils=choice.spring.coils,
            rate_n_m_per_turn=use(spring.rate_per_turn_n_m)(
                spring_count=choice.spring.spring_count, rate_n_mm=made.rate_n_mm
            ),
            pretension_turns=choice.spring.pretension_turns,
            turns_closed=made.turns_closed,
            stress_mpa=made.stress_mpa,
            stress_limit_mpa=made.stress_limit_mpa,
            hand_force_max_n=greatest,
            hand_force_open_n=use(hand_down_n)(unbalanced_n=left[-1], drag_n=drag),
            hand_force_closed_n=use(hand_up_n)(unbalanced_n=left[0], drag_n=drag),
            drag_n=drag,
            curve=curve,
        ),
        checks=(
            ("spring_stress", made.stress_mpa, made.stress_limit_mpa),
            ("spring_length", made.body_mm, body_max),
            ("spring_bore", made.bore_mm, made.bore_min_mm),
            ("hand_force", greatest, hand_force_limit_n),
            ("holds_open", -left[-1], LIFT_LEFT_MIN_N),
        ),
        needed=None
        if choice.can_be_made
        else SpringNeeded(
            rate_n_m_per_turn=rate * spring.TURN_RAD / 1000,
            torque_closed_n_m=(open_torque + rate * angles[0]) / 1000,
            length_mm=None if choice.body_needed_mm is None else choice.body_needed_mm + springs.end_fittings_mm,
            length_given_mm=slat_length_mm,
        ),
    )


class _Made(NamedTuple):
    """A chosen spring's own figures."""

    mean_diameter_mm: float
    rate_n_mm: float
    turns_closed: float
    stress_mpa: float
    stress_limit_mpa: float
    body_mm: float
    bore_mm: float
    bore_min_mm: float


def _made(chosen: spring.Spring, tube: Tube, springs: SpringSet, angles_rad: tuple[float, ...], use: Use) -> _Made:
    """Work out a chosen spring by its rules."""
    wire, coils = chosen.wire_mm, chosen.coils
    diameter = use(spring.mean_diameter_mm)(
        tube_radius_mm=tube.radius_mm,
        tube_wall_mm=tube.wall_mm,
        radial_clearance_mm=springs.radial_clearance_mm,
        wire_mm=wire,
    )
    rate = use(spring.rate_n_mm)(
        elastic_modulus_mpa=springs.elastic_modulus_mpa, wire_mm=wire, mean_diameter_mm=diameter, coils=coils
    )
    turns = use(spring.turns_closed)(pretension_turns=chosen.pretension_turns, wound_rad=angles_rad)
    index = use(spring.spring_index)(mean_diameter_mm=diameter, wire_mm=wire)
    return _Made(
        mean_diameter_mm=diameter,
        rate_n_mm=rate,
        turns_closed=turns,
        stress_mpa=use(spring.spring_stress_mpa)(
            inner_stress_factor=use(spring.inner_stress_factor)(spring_index=index),
            moment_n_mm=use(spring.moment_n_mm)(rate_n_mm=rate, turns=turns),
            wire_mm=wire,
        ),
        stress_limit_mpa=use(spring.spring_stress_limit_mpa)(wire_mm=wire),
        body_mm=use(spring.spring_body_mm)(spring_count=chosen.spring_count, wire_mm=wire, coils=coils, turns_closed=turns),
        bore_mm=use(spring.wound_bore_mm)(mean_diameter_mm=diameter, coils=coils, turns_closed=turns, wire_mm=wire),
        bore_min_mm=use(spring.wound_bore_min_mm)(shaft_diameter_mm=springs.shaft_diameter_mm),
    )

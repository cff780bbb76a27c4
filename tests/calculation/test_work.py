"""The order of work."""

from itertools import product

import forces
import pytest
import samples
from service.calculation.work import WorkStep, work_of

from service.calculation import work
from service.calculation.job import Mount
from service.calculation.parts import shown
from service.calculation.spring import springs_mass_kg
from service.calculation.strength import tube_mass_kg

DRIP = frozenset({"drip_rail"})
ALL = DRIP | {"perimeter_seal", "pull_strap", "inside_release", "door_switch", "electric_lock", "strip_light"}
GAPS = {"wall_gap_left_mm": 12.0, "wall_gap_right_mm": 0.0}
FACE = samples.JOB._replace(mount=samples.FACE)


def names(steps: tuple[WorkStep, ...]) -> list[str]:
    """The steps' names in order."""
    return [one.step for one in steps]


def named(steps: tuple[WorkStep, ...], name: str) -> WorkStep:
    """The step of a name."""
    return next(one for one in steps if one.step == name)


def test_plain_order_in_the_reveal() -> None:
    # common practice
    assert names(work_of(forces.figures_of(samples.JOB))) == [
        "check the parcel",
        "side plates into the tracks",
        "offer up the tracks",
        "bracket",
        "wheel",
        "top seal",
        "lead the curtain in",
        "strap the curtain to the tube",
        "tube into the brackets",
        "pretension",
        "fix the tracks",
        "run the shutter",
        "strikers",
        "hand over",
    ]


def test_full_order_on_the_face() -> None:
    # common practice
    figures = forces.figures_of(samples.job(GAPS, mount=samples.FACE), options=ALL)
    assert names(work_of(figures)) == [
        "check the parcel",
        "perimeter seal",
        "packers",
        "offer up the tracks",
        "side plates",
        "bracket",
        "wheel",
        "lead the curtain in",
        "strap the curtain to the tube",
        "tube into the brackets",
        "pretension",
        "fix the tracks",
        "strap and release",
        "electrical items",
        "run the shutter",
        "strikers",
        "drip rail with top seal",
    ]


@pytest.mark.parametrize(
    ("job", "options", "fitted_from"),
    list(product([samples.JOB, FACE], [frozenset(), DRIP, ALL], ["outside", "inside"])),
)
def test_what_holds_for_every_fitting(job: object, options: frozenset[str], fitted_from: str) -> None:
    # common practice
    steps = work_of(forces.figures_of(job, options=options, fitted_from=fitted_from))
    order = names(steps)
    assert len(set(order)) == len(order)
    assert order[-2] == "strikers"
    assert order.index("strap the curtain to the tube") < order.index("tube into the brackets") < order.index("pretension")
    assert ("top seal" in order) == ("drip_rail" not in options)
    assert "countersunk" in named(steps, "fix the tracks").text
    assert "hand of the spring" in named(steps, "strap the curtain to the tube").text
    for name in ("strap the curtain to the tube", "pretension", "run the shutter"):
        assert work.STORED_ENERGY in named(steps, name).caution
    assert "pin" in named(steps, "tube into the brackets").caution
    assert work.DRIVING in steps[-1].caution
    assert work.RULES_FIRST in steps[0].caution
    assert (work.SHUT_IN in steps[0].caution) == (fitted_from == "inside")


def test_the_figures_stand_in_the_text() -> None:
    figures = forces.figures_of(samples.job(GAPS, mount=samples.FACE), options=ALL)
    steps = work_of(figures)
    expected = {
        "check the parcel": [str(figures.slat_count), shown(figures.slat_length_mm), shown(figures.track_length_mm)],
        "packers": ["12 mm on the left"],
        "offer up the tracks": [
            shown(figures.outer_width_mm),
            shown(figures.daylight_width_mm),
            f"{shown(figures.curtain_plane_x_mm)} mm behind the outer face",
            "20 mm on each side",
        ],
        "side plates": [figures.side_plate, "8 mm behind", "10 mm above the header's base", "in line with"],
        "bracket": [figures.bracket_hole, shown(figures.bracket_from_front_mm), shown(figures.bracket_from_base_mm)],
        "wheel": [figures.wheel_hole, shown(figures.wheel_from_base_mm)],
        "lead the curtain in": [shown(figures.curtain_mass_kg)],
        "tube into the brackets": [shown(2 * figures.coil_radius_mm), f"{shown(figures.shutter_mass_kg)} kg"],
        "pretension": [shown(figures.balance.pretension_turns), shown(figures.balance.turns_closed)],
        "electrical items": ["4 m of cable", f"{figures.wiring.fuse_a:g} A", f"{figures.wiring.conductor_mm2:g} mm²"],
        "run the shutter": [shown(figures.balance.hand_force_max_n)],
        "strikers": ["from 24 to 16 mm", "36 mm above"],
        "drip rail with top seal": [shown(figures.drip_rail_length_mm), shown(figures.top_cut_length_mm), "55°"],
    }
    for name, parts in expected.items():
        for part in parts:
            assert part in named(steps, name).text, (name, part)


def test_inside_and_outside_read_differently() -> None:
    outside = work_of(forces.figures_of(samples.JOB))
    inside = work_of(forces.figures_of(samples.JOB, fitted_from="inside"))
    # hand: the tube's top turns outwards on the way down; its right end is the other one when looking out
    assert "anticlockwise" in named(outside, "strap the curtain to the tube").text
    assert "anticlockwise" not in named(inside, "strap the curtain to the tube").text
    for name in ("check the parcel", "offer up the tracks", "lead the curtain in", "fix the tracks"):
        assert "from inside" in named(inside, name).text or "inside the compartment" in named(inside, name).text
        assert "inside" not in named(outside, name).text


@pytest.mark.parametrize(
    ("mass_kg", "people", "words"),
    [
        (10.0, 2, "two people"),
        (50.0, 2, "two people"),
        (50.1, 3, "three people"),
        (100.0, 4, "four people"),
        (100.1, 5, "lifting gear"),
    ],
)
def test_who_lifts_goes_by_the_mass(mass_kg: float, people: int, words: str) -> None:
    # hand: 25 kg a person, never fewer than two
    assert work.people_to_lift(mass_kg=mass_kg) == people
    steps = work_of(forces.figures_of(samples.JOB)._replace(curtain_mass_kg=mass_kg, shutter_mass_kg=mass_kg))
    assert words in named(steps, "lead the curtain in").text
    assert words in named(steps, "tube into the brackets").text


def test_masses_of_steel() -> None:
    # hand: 301.59 mm² of a ring 25 mm outside and 2 mm thick weigh 2.3675 kg a metre at 7850 kg/m³; 100 coils of 4 mm
    # wire on 40 mm are 12566.4 mm of wire with 12.5664 mm², 1.2396 kg
    assert tube_mass_kg(tube_radius_mm=25.0, tube_wall_mm=2.0, slat_length_mm=1000.0) == pytest.approx(2.3675, abs=1e-4)
    two = springs_mass_kg(spring_count=2, mean_diameter_mm=40.0, coils=100, wire_mm=4.0)
    assert two == pytest.approx(2 * 1.2396, abs=1e-4)


def test_a_shutter_that_rises_by_itself_is_held_down() -> None:
    figures = forces.figures_of(samples.JOB)
    for force, told in ((-12.34, True), (12.34, False)):
        steps = work_of(figures._replace(balance=figures.balance._replace(hand_force_closed_n=force)))
        for name in ("fix the tracks", "strikers"):
            assert ("rises by itself with 12.3 N" in named(steps, name).text) == told


@pytest.mark.parametrize(
    ("turns", "pretension", "stress_share", "more", "less"),
    [(9.5, 2.0, 0.9, True, True), (9.5, 2.0, 0.96, False, True), (9.5, 0.5, 0.9, True, False)],
)
def test_half_a_turn_is_offered_only_where_the_spring_bears_it(
    turns: float, pretension: float, stress_share: float, *, more: bool, less: bool
) -> None:
    # hand: half a turn on 9.5 turns adds 5.3 % of stress
    figures = forces.figures_of(samples.JOB)
    balance = figures.balance._replace(
        turns_closed=turns, pretension_turns=pretension, stress_mpa=stress_share * figures.balance.stress_limit_mpa
    )
    text = named(work_of(figures._replace(balance=balance)), "run the shutter").text
    assert ("half a turn more" in text) == more
    assert ("bears no further half turn" in text) != more
    assert ("half a turn less" in text) == less


def test_no_spring_no_figures_of_one() -> None:
    steps = work_of(forces.figures_of(forces.NARROW))
    assert named(steps, "pretension").text.startswith("No spring of the catalogue fits")
    for name in ("pretension", "run the shutter", "hand over"):
        assert " turns" not in named(steps, name).text
        assert " N " not in named(steps, name).text


@pytest.mark.parametrize(
    ("mount", "offset_mm", "step", "words"),
    [
        (samples.REVEAL, 0.0, "side plates into the tracks", "seated in the tracks' mouths"),
        (samples.REVEAL, 20.0, "side plates into the tracks", "20 mm above the tracks' mouths"),
        (samples.FACE, 0.0, "side plates", "in line with the tracks' mouths"),
        (samples.FACE, -5.0, "side plates", "5 mm below the tracks' mouths"),
    ],
)
def test_where_side_plates_stand_to_the_mouths(mount: Mount, offset_mm: float, step: str, words: str) -> None:
    steps = work_of(forces.figures_of(samples.job({"plate_offset_mm": offset_mm}, mount=mount)))
    assert words in named(steps, step).text


def test_a_switch_alone_carries_a_signal() -> None:
    figures = forces.figures_of(samples.JOB, options=frozenset({"door_switch"}))
    assert "carries a signal only" in named(work_of(figures), "electrical items").text
    assert "Lay the cable with" in named(work_of(figures._replace(cable_run_m=0.0)), "electrical items").text


def test_two_springs_are_wound_together() -> None:
    assert "both springs must hold" in named(work_of(forces.figures_of(forces.WIDE)), "pretension").text


@pytest.mark.parametrize(
    ("value", "text"), [(12.0, "12"), (12.04, "12"), (12.06, "12.1"), (-0.01, "0"), (1165.196, "1165.2")]
)
def test_figures_are_shown_to_a_tenth(value: float, text: str) -> None:
    assert shown(value) == text  # hand


@pytest.mark.parametrize(
    ("offset_mm", "words"),
    [(0.0, "12 mm below the header's base"), (12.0, "level with the header's base"), (20.0, "8 mm above the header's base")],
)
def test_level_of_the_side_plates_in_words(offset_mm: float, words: str) -> None:
    # hand: the sample's mouth in the reveal lies 12 mm below the header's base
    steps = work_of(forces.figures_of(samples.job({"plate_offset_mm": offset_mm})))
    assert words in named(steps, "side plates into the tracks").text

"""The order of work."""

from itertools import product

import forces
import pytest
import samples

from service.calculation import work
from service.calculation.parts import shown
from service.calculation.work import WorkStep, work_of

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
    assert work.STORED_ENERGY in named(steps, "pretension").caution
    assert work.RULES_FIRST in steps[0].caution
    assert (work.SHUT_IN in steps[0].caution) == (fitted_from == "inside")


def test_the_figures_stand_in_the_text() -> None:
    figures = forces.figures_of(samples.job(GAPS, mount=samples.FACE), options=ALL)
    steps = work_of(figures)
    expected = {
        "check the parcel": [str(figures.slat_count), shown(figures.slat_length_mm), shown(figures.track_length_mm)],
        "packers": ["12 mm on the left"],
        "offer up the tracks": [shown(figures.outer_width_mm), shown(figures.daylight_width_mm)],
        "side plates": [figures.side_plate, "8 mm behind", "10 mm above the header's base"],
        "bracket": [figures.bracket_hole, shown(figures.bracket_from_front_mm), shown(figures.bracket_from_base_mm)],
        "wheel": [figures.wheel_hole, shown(figures.wheel_from_base_mm)],
        "lead the curtain in": [shown(figures.curtain_mass_kg)],
        "tube into the brackets": [shown(2 * figures.coil_radius_mm)],
        "pretension": [shown(figures.balance.pretension_turns), shown(figures.balance.turns_closed)],
        "electrical items": ["4 m of cable", f"{figures.wiring.fuse_a:g} A", f"{figures.wiring.conductor_mm2:g} mm²"],
        "run the shutter": [shown(figures.balance.hand_force_max_n)],
        "strikers": ["from 24 to 16 mm", "36 mm above"],
        "drip rail with top seal": [shown(figures.drip_rail_length_mm), shown(figures.top_cut_length_mm), "55 deg"],
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

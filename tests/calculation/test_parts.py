"""The check list of the parcel."""

import forces
import pytest
import samples

from service.calculation.parts import Figures, Part, parts_of

ALL = frozenset(
    {"perimeter_seal", "drip_rail", "pull_strap", "inside_release", "door_switch", "electric_lock", "strip_light"}
)


def quantities(parts: tuple[Part, ...]) -> dict[str, int]:
    """Quantity by part."""
    return {one.part: one.quantity for one in parts}


def starting(parts: tuple[Part, ...], words: str) -> list[Part]:
    """The parts whose name starts so."""
    return [one for one in parts if one.part.startswith(words)]


def test_plain_parcel() -> None:
    figures = forces.figures_of(samples.JOB)
    parts = parts_of(figures)
    assert [one.part.split(",")[0].split(" with")[0] for one in parts] == [
        "slat slim",
        "bottom bar",
        "bottom seal",
        "strap between curtain and tube",
        "tube T50",
        "side plate P240",
        "side plate P240",
        "bracket of the tube",
        "wheel",
        "track for mount reveal",
        "track for mount reveal",
        "top seal",
        "striker",
        "bolt",
        "bolt",
        "screw",
        "countersunk screw",
        "screw",
        "screw",
    ]
    assert len(quantities(parts)) == len(parts)


def test_counts() -> None:
    # hand: slats of 1165 mm take 4 straps with 2 screws each; tracks of 1406 mm take 5 + 1 screws each; the top seal of
    # 1144 mm takes 4 + 1
    counted = quantities(parts_of(forces.figures_of(samples.JOB)))
    assert counted["slat slim, hinged into the curtain"] == 55
    assert counted["strap between curtain and tube"] == 4
    assert counted["screw, strap on tube"] == 8
    assert counted["countersunk screw, track"] == 12
    assert counted["screw, top seal"] == 5
    assert counted["bolt with washer and locking nut, side plate"] == 8
    assert counted["bolt with washer and locking nut, bracket"] == 4
    assert counted["striker"] == 2
    assert counted["screw, striker"] == 4


def test_two_springs_are_named() -> None:
    figures = forces.figures_of(forces.WIDE)
    (tube,) = starting(parts_of(figures), "tube")
    assert f"2 springs, each of 5 mm wire, {figures.balance.coils} coils" in tube.part


@pytest.mark.parametrize(
    ("option", "words"),
    [
        ("perimeter_seal", {"perimeter seal, upright", "perimeter seal, along the header"}),
        ("pull_strap", {"pull strap", "screw, pull strap"}),
        ("inside_release", {"inside release", "screw, inside release"}),
        ("drip_rail", {"drip rail, carries the top seal", "screw, drip rail"}),
        (
            "strip_light",
            {
                "strip light, one for each track",
                "clip with screw, strip light",
                "cable from light to light",
                "cable to the supply",
                "blade fuse 3 A with its holder",
            },
        ),
        (
            "electric_lock",
            {"electric lock", "screw, electric lock", "cable to the supply", "blade fuse 2 A with its holder"},
        ),
        ("door_switch", {"door switch", "screw, door switch", "cable to the supply", "blade fuse 1 A with its holder"}),
    ],
)
def test_an_option_adds_its_own_parts_only(option: str, words: set[str]) -> None:
    bare = quantities(parts_of(forces.figures_of(samples.JOB)))
    more = quantities(parts_of(forces.figures_of(samples.JOB, options=frozenset({option}))))
    added = {name.split(",")[0] if name.startswith("cable") else name for name in more.keys() - bare.keys()}
    assert added == words
    assert bare.keys() - more.keys() == ({"screw, top seal"} if option == "drip_rail" else set())


def test_lengths_are_the_answers() -> None:
    figures = forces.figures_of(samples.JOB, options=ALL)
    lengths = {one.part.split(",")[0].split(" with")[0]: one.cut_length_mm for one in parts_of(figures)}
    assert lengths["slat slim"] == lengths["bottom bar"] == lengths["tube T50"] == figures.slat_length_mm
    assert lengths["track for mount reveal"] == lengths["strip light"] == figures.track_length_mm
    assert lengths["top seal"] == figures.top_cut_length_mm
    assert lengths["drip rail"] == figures.drip_rail_length_mm
    assert lengths["cable to the supply"] == 4000.0  # hand: 4 m of run
    assert lengths["cable from light to light"] == figures.outer_width_mm
    assert lengths["striker"] is None


@pytest.mark.parametrize(
    ("left", "right", "listed"), [(0.0, 0.0, []), (12.5, 0.0, ["left"]), (12.5, 30.0, ["left", "right"])]
)
def test_packers_fill_the_wall_gaps(left: float, right: float, listed: list[str]) -> None:
    job = samples.job({"wall_gap_left_mm": left, "wall_gap_right_mm": right})
    packers = starting(parts_of(forces.figures_of(job)), "packer")
    assert [one.part.split(", ")[1] for one in packers] == listed
    assert all(one.cut_length_mm == 200.0 for one in packers)  # hand: as high as the sample's side plate
    if left:
        assert packers[0].part == "packer 12.5 mm thick, left"


@pytest.mark.parametrize(
    ("left", "right", "bolts"),
    [
        (0.0, 0.0, {"": 8}),
        (12.5, 0.0, {"": 4, ", 12.5 mm longer, left": 4}),
        (12.5, 30.0, {", 12.5 mm longer, left": 4, ", 30 mm longer, right": 4}),
    ],
)
def test_bolts_through_packers_are_longer(left: float, right: float, bolts: dict[str, int]) -> None:
    # hand: four bolts a plate
    name = "bolt with washer and locking nut, side plate"
    job = samples.job({"wall_gap_left_mm": left, "wall_gap_right_mm": right})
    listed = starting(parts_of(forces.figures_of(job)), name)
    assert {one.part.removeprefix(name): one.quantity for one in listed} == bolts


def test_a_spring_that_cannot_be_made_is_not_listed() -> None:
    (tube,) = starting(parts_of(forces.figures_of(forces.NARROW)), "tube")
    assert tube.part == "tube T50 without springs: none of the catalogue fits"


def test_a_run_of_no_length_takes_no_cable() -> None:
    figures = forces.figures_of(samples.JOB, options=frozenset({"electric_lock"}))._replace(cable_run_m=0.0)
    assert not starting(parts_of(figures), "cable")


def test_quantities_are_positive() -> None:
    figures: Figures = forces.figures_of(forces.WIDE, options=ALL)
    assert all(one.quantity > 0 and (one.cut_length_mm is None or one.cut_length_mm > 0) for one in parts_of(figures))

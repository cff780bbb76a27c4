"""The parcel: keys, quantities and lengths."""

import forces
import pytest
import samples

from service.calculation.fitting import fit
from service.calculation.job import Survey


def parts_of(opening=None, **changes):
    """The parts of a sample job by key."""
    return by_key(samples.job(opening, **changes))


def by_key(job):
    """A job's parts by key, every key once but for what packs a track at several heights."""
    return {part.key: part for part in fit(job).answer.parts}


def quantities(parts):
    """Quantity by key."""
    return {key: part.quantity for key, part in parts.items()}


def test_plain_parcel():
    # hand: slats of 1165.608 mm; a tube of 1144 mm takes 3 + 1 straps with 2 screws each; tracks of 1406 mm take 5 + 1
    # screws each; the top seal of 1144 mm takes 4 + 1; four screws a plate, two bolts a bracket
    assert quantities(parts_of()) == {
        "slat": 54,
        "bottom_bar": 1,
        "bottom_seal": 1,
        "strap": 4,
        "tube": 1,
        "spring": 1,
        "side_plate_left": 1,
        "side_plate_right": 1,
        "bracket": 2,
        "wheel": 2,
        "wheel_spacer": 2,
        "track_left": 1,
        "track_right": 1,
        "track_stop": 2,
        "top_seal": 1,
        "sealant": 1,
        "striker": 2,
        "plate_screw": 8,
        "wheel_bolt": 2,
        "bracket_bolt": 4,
        "strap_screw": 8,
        "track_screw": 12,
        "striker_screw": 4,
        "top_seal_screw": 5,
    }


def test_catalogue_ids():
    parts = parts_of()
    assert {key: part.catalogue_id for key, part in parts.items() if part.catalogue_id} == {
        "slat": "slim",
        "tube": "T50",
        "side_plate_left": "P240",
        "side_plate_right": "P240",
        "track_left": "reveal",
        "track_right": "reveal",
        "top_seal": "TS18",
    }


def test_two_springs_are_counted():
    job = samples.job(
        {"width_mm": 2550.0, "height_mm": 2900.0, "headroom_mm": 600.0},
        slat=samples.STOUT,
        tubes=(samples.T70,),
        duty=samples.duty(road_speed_km_h=0.0),
        hardware=samples.hardware(springs={"wires_mm": (3.0, 3.5, 4.0)}),
    )
    assert by_key(job)["spring"].quantity == 2


def test_a_spring_that_cannot_be_made_is_not_listed():
    assert "spring" not in by_key(forces.NARROW)


@pytest.mark.parametrize(
    ("option", "added"),
    [
        ("perimeter_seal", {"perimeter_seal_jamb": 2, "perimeter_seal_header": 1, "adhesive": 1}),
        ("inside_release", {"inside_release": 1, "inside_release_screw": 4}),
        ("pull_strap", {"pull_strap": 1, "pull_strap_screw": 2}),
        ("drip_rail", {"drip_rail": 1, "drip_rail_screw": 5, "rail_end_cap": 2}),
        ("strip_light", {"strip_light": 2, "strip_light_clip": 12, "light_link": 1, "supply_cable": 1, "fuse": 1}),
        ("electric_lock", {"electric_lock": 1, "electric_lock_screw": 4, "supply_cable": 1, "fuse": 1}),
        ("door_switch", {"door_switch": 1, "door_switch_screw": 2, "supply_cable": 1, "fuse": 1}),
    ],
)
def test_an_option_adds_its_own_parts_only(option, added):
    bare, more = quantities(parts_of()), quantities(parts_of(options=frozenset({option})))
    assert {key: count for key, count in more.items() if key not in bare} == added
    assert bare.keys() - more.keys() == ({"top_seal_screw"} if option == "drip_rail" else set())


def test_a_pull_strap_that_is_not_needed_is_not_listed():
    # a hand reaches 1600 mm: with a sill on the ground the open bar hangs at 1361
    parts = parts_of({"sill_above_ground_mm": 0.0}, options=frozenset({"pull_strap"}))
    assert not {"pull_strap", "pull_strap_screw"} & parts.keys()
    # without the sill's height nobody knows how long
    assert parts_of(options=frozenset({"pull_strap"}))["pull_strap"].cut_length_mm is None
    # hand: the open bar hangs 661 above what a hand reaches
    parts = parts_of({"sill_above_ground_mm": 900.0}, options=frozenset({"pull_strap"}))
    assert parts["pull_strap"].cut_length_mm == 661.0


def test_lengths():
    parts = parts_of(options=samples.OPTIONS)
    lengths = {key: part.cut_length_mm for key, part in parts.items() if part.cut_length_mm is not None}
    slat = fit(samples.JOB).answer.curtain.slat_length_mm
    # hand: tracks, tube, seals and rails by their rules; the seal on the jambs as high as the opening, on the header as wide
    assert lengths == {
        "slat": slat,
        "bottom_bar": slat,
        "bottom_seal": 1142.0,
        "strap": 120.0,
        "tube": 1144.0,
        "track_left": 1406.0,
        "track_right": 1406.0,
        "perimeter_seal_jamb": 1420.0,
        "perimeter_seal_header": 1180.0,
        "top_seal": 1144.0,
        "drip_rail": 1178.0,
        "strip_light": 1406.0,
        "light_link": 1180.0,
        "supply_cable": 4000.0,
    }


@pytest.mark.parametrize(
    ("left", "right", "packers", "screws"),
    [
        (0.0, 0.0, {}, {"plate_screw": 8}),
        (12.5, 0.0, {"packer_left": 13.5}, {"plate_screw": 4, "plate_screw_left": 4}),
        (12.5, 30.0, {"packer_left": 13.5, "packer_right": 31.0}, {"plate_screw_left": 4, "plate_screw_right": 4}),
    ],
)
def test_packers_fill_the_wall_gaps(left, right, packers, screws):
    # hand: gap and 1, as high as the plate; screws through a packer are longer, so they have a line of their own
    parts = parts_of({"wall_gap_left_mm": left, "wall_gap_right_mm": right})
    assert {key: part.thickness_mm for key, part in parts.items() if key.startswith("packer")} == packers
    assert {part.cut_length_mm for key, part in parts.items() if key.startswith("packer")} <= {200.0}
    assert {key: part.quantity for key, part in parts.items() if key.startswith("plate_screw")} == screws


def test_what_packs_a_leaning_track_is_listed():
    # hand: widths of 1184 at the top and 1180 at the bottom: 2 mm at the top, 1 in the middle, each side
    survey = Survey(widths_mm=(1184.0, 1180.0), heights_mm=(1420.0, 1420.0))
    parts = [part for part in fit(samples.job({"survey": survey})).answer.parts if part.key.startswith("track_packing")]
    assert [(part.key, part.thickness_mm) for part in parts] == [
        ("track_packing_left", 2.0),
        ("track_packing_right", 2.0),
        ("track_packing_left", 1.0),
        ("track_packing_right", 1.0),
    ]


def test_a_run_of_no_length_takes_no_cable():
    parts = parts_of(options=frozenset({"electric_lock"}), duty=samples.duty(cable_run_m=0.0))
    assert "supply_cable" not in parts


def test_every_key_is_there_once():
    keys = [part.key for part in fit(samples.job(options=samples.OPTIONS)).answer.parts]
    assert len(keys) == len(set(keys))

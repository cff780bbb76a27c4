"""A catalogue that cannot be used is refused with the file, the place in it and the reason."""

import os
from pathlib import Path

import pytest
import samples

from service.catalogue.loader import STANDARD, CatalogueError, load

TEXT = STANDARD.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("old", "new", "place", "reason"),
    [
        ("pitch_mm = 28", "pitch_mm = 15", "slats[0].pitch_mm", "less than twice the thickness of 8"),
        ('id = "stout"', 'id = "slim"', "slats[1].id", "'slim' is there twice"),
        ('id = "T70"', 'id = "T50"', "tubes[1].id", "'T50' is there twice"),
        ('id = "P360"', 'id = "P300"', "side_plates[2].id", "'P300' is there twice"),
        ('id = "T70"', 'id = "slim"', "tubes[1].id", "'slim' stands in slats too: a bar to be cut could be of either"),
        ('id = "T70"', 'id = "face"', "tubes[1].id", "'face' stands in mounts too"),
        ('id = "T70"', 'id = "drip_rail"', "tubes[1].id", "'drip_rail' stands in articles too"),
        ('tubes = ["T70"]', 'tubes = ["T90"]', "slats[1].tubes[0]", "there is no tube 'T90'; known are T50, T70"),
        ('tubes = ["T70"]', 'tubes = ["T70", "T70"]', "slats[1].tubes", "a tube is named twice"),
        ("wall_mm = 2.0", "wall_mm = 19.9\nradius_mm = 19.9", "", "not TOML"),
        ("radius_mm = 25\n", "radius_mm = 10\nwall_mm = 12\n#", "tubes[0].wall_mm", "leaves no bore"),
        ("slot_width_mm = 10", "slot_width_mm = 8.1", "slats[0].slot_width_mm", "does not let in a slat 8 thick"),
        ("wheel_radius_mm = 26", "wheel_radius_mm = 9", "slats[0].wheel_radius_mm", "cannot lie on a wheel"),
        ("from_base_mm = 18 }", "from_base_mm = 218 }", "side_plates[0].wheel_holes[0]", "outside the plate"),
        ("from_base_mm = 40 }", "from_base_mm = 12 }", "side_plates[0].wheel_holes", "do not stand from the lowest up"),
        ('name = "mid"', 'name = "low"', "side_plates[0].wheel_holes", "do not stand from the lowest up"),
        ('name = "mid"', 'name = "left"', "side_plates[0].wheel_holes[1].name", "regex"),
        ("first_mm = 110", "first_mm = 40", "side_plates[0].bracket_columns.first_mm", "behind the wheel holes"),
        ("first_mm = 110", "first_mm = 239", "side_plates[0].bracket_columns", "no column fits"),
        ("[0, 15, 30, 45]", "[0, 100]", "side_plates[0].bracket_rows_below_centre_mm[1]", "outside the plate"),
        ("end_gap_mm = 2", "end_gap_mm = 13", "track.end_gap_mm", "use up the slots"),
        ("slot_depth_mm = 13", "slot_depth_mm = 19", "track.slot_depth_mm", "deeper than the track wall"),
        ("bolt_axis_mm = 20", "bolt_axis_mm = 46", "bottom_bar.bolt_axis_mm", "above the bar's height"),
        (
            "reserve_turns = 0.5",
            "reserve_turns = 0.6",
            "running.reserve_turns",
            "takes 135.7 mm of strap on tubes[1], longer than the strap of 120",
        ),
        ("thickness_mm = 8\n", 'thickness_mm = "8"\n', "slats[0].thickness_mm", "Expected `float`, got `str`"),
        ("thickness_mm = 8\n", "thickness_mm = nan\n", "slats[0].thickness_mm", "Expected `float` >= 2"),
        ("thickness_mm = 8\n", "thickness_mm = 8\ncolour = 1\n", "slats[0]", "unknown field `colour`"),
        ("sill_gap_mm = 2", "sill_gap_mm = 5e-324", "track.sill_gap_mm", "neither 0 nor at least 0.001"),
        ("second_moment_mm4 = 560", "second_moment_mm4 = 5e-324", "slats[0].second_moment_mm4", "Expected `float` >= 1"),
        ("[0, 15, 30, 45]", "[0, 1e-9]", "side_plates[0].bracket_rows_below_centre_mm[1]", "neither 0"),
        ("[mounts.face]", "[mounts.lap]", "mounts", "unknown field `lap`"),
    ],
)
def test_an_inconsistent_file_is_refused(tmp_path, old, new, place, reason):
    assert old in TEXT
    path = tmp_path / "own.toml"
    path.write_text(TEXT.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(CatalogueError) as caught:
        load(path)
    assert f"{path}: {place}" in str(caught.value)
    assert reason in str(caught.value)


def test_all_contradictions_are_told_at_once(tmp_path):
    path = tmp_path / "own.toml"
    path.write_text(TEXT.replace("pitch_mm = 28", "pitch_mm = 15").replace("end_gap_mm = 2", "end_gap_mm = 13"))
    with pytest.raises(CatalogueError) as caught:
        load(path)
    assert len(str(caught.value).splitlines()) == 2


@pytest.mark.parametrize(
    ("content", "reason"),
    [
        (b"id = [", "not TOML"),
        (b"\xff", "not TOML"),
        (b"#" * 1_000_001, "at most 1000000"),
        (b"a = " + b"[\n" * 100_000, "nested too deep"),
        (b"a = " + b"[{a=" * 1000, "nested too deep"),
        (b"a" + b".a" * 100_000 + b" = 1", "a line is longer than 4096 bytes"),
        (b"a = " + b"9" * 4400, "a line is longer"),
        (b"a = 0x" + b"f" * 4000, "unknown field"),
        (b"a = 1e99999\n", "missing|unknown"),
        (b"a = 0000-00-00\n", "not TOML"),
    ],
)
def test_what_is_no_catalogue_is_refused(tmp_path, content, reason):
    path = tmp_path / "own.toml"
    path.write_bytes(content)
    with pytest.raises(CatalogueError, match=reason):
        load(path)


def test_a_file_that_is_not_there_is_refused(tmp_path):
    with pytest.raises(CatalogueError, match=r"none\.toml: cannot be read"):
        load(tmp_path / "none.toml")


def test_a_pipe_a_device_and_a_folder_are_refused_and_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / "pipe.toml")
    for path in (tmp_path / "pipe.toml", Path("/dev/zero"), tmp_path):
        with pytest.raises(CatalogueError, match=f"{path}: cannot be read: it is no ordinary file"):
            load(path)


def test_of_a_large_file_nothing_is_read(tmp_path):
    path = tmp_path / "own.toml"
    with path.open("wb") as file:
        file.truncate(1 << 40)  # a hole, 1 TiB
    with pytest.raises(CatalogueError, match="1099511627776 bytes, at most 1000000"):
        load(path)


def test_the_standard_catalogue_says_that_it_is_invented():
    assert "invented" in load(STANDARD).catalogue.note


def test_columns_run_inwards_to_the_edge_distance():
    # hand: 110, 120 … ≤ 240 - 15
    plate = load(STANDARD).catalogue.side_plates[0]
    assert plate.bracket_columns.positions_mm(plate.deep_mm) == tuple(float(u) for u in range(110, 226, 10))


def test_the_standard_catalogue_has_the_rows_of_the_specification():
    # hand: the specification's figures
    catalogue = load(STANDARD).catalogue
    assert [(row.id, row.tubes) for row in catalogue.slats] == [("slim", ("T50", "T70")), ("stout", ("T70",))]
    assert [(row.id, row.width_max_mm) for row in catalogue.slats] == [("slim", 1600), ("stout", 2600)]
    assert [(row.id, row.radius_mm, row.wall_mm) for row in catalogue.tubes] == [("T50", 25, 2.0), ("T70", 35, 2.5)]
    assert [(row.id, row.deep_mm, row.high_mm) for row in catalogue.side_plates] == [
        ("P240", 240, 200),
        ("P300", 300, 260),
        ("P360", 360, 320),
    ]
    assert [(row.id, row.deep_mm, row.reach_min_mm, row.reach_max_mm) for row in catalogue.top_seals] == [
        ("TS10", 10, 4, 10),
        ("TS18", 18, 8, 18),
        ("TS30", 30, 16, 30),
    ]
    mounts = {name: getattr(catalogue.mounts, name) for name in ("reveal", "face")}
    assert {name: (row.mouth_z_mm, row.plate_setback_mm, row.track_beyond_mm) for name, row in mounts.items()} == {
        "reveal": (-12, 0, 0),
        "face": (10, 8, 20),
    }
    drag, running = catalogue.drag, catalogue.running
    assert (drag.track_n_per_m, drag.seal_n_per_m, drag.bearings_n) == (2.5, 3, 2)
    assert (running.strap_length_mm, running.strap_thickness_mm, running.reserve_turns) == (120, 2, 0.5)
    assert (catalogue.track.held_min_mm, catalogue.track.engagement_min_mm) == (2, 6)


def test_the_samples_of_the_tests_are_no_other_shutters():
    # the samples are written by hand, so that a slip in the catalogue is seen; they and the catalogue say the same
    catalogue = load(STANDARD).catalogue
    for row, sample in zip(catalogue.slats, (samples.SLIM, samples.STOUT), strict=True):
        for name in set(vars(sample)) - {"id", "article", "wheel_allowance_mm"}:
            assert getattr(row, name) == getattr(sample, name), name
    sections = {
        "track": samples.HARDWARE.track,
        "plate_fixing": samples.HARDWARE.plate,
        "bottom_bar": samples.HARDWARE.bar,
        "running": samples.HARDWARE.running,
        "drag": samples.HARDWARE.drag,
        "limits": samples.HARDWARE.limits,
        "electrics": samples.HARDWARE.electrics,
    }
    for section, sample in sections.items():
        for name, value in vars(sample).items():
            assert getattr(getattr(catalogue, section), name) == value, (section, name)
    assert tuple(catalogue.springs.wires_mm) == samples.HARDWARE.springs.wires_mm

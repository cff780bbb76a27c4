"""A catalogue that cannot be used is refused with the file, the place in it and the reason."""

from pathlib import Path

import pytest

from service.catalogue.loader import STANDARD, CatalogueError, load

TEXT = STANDARD.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("old", "new", "place", "reason"),
    [
        ("pitch_mm = 28", "pitch_mm = 15", "slats[0].pitch_mm", "less than twice the thickness of 8"),
        ('id = "stout"', 'id = "slim"', "slats[1].id", "'slim' is there twice"),
        ('id = "T70"', 'id = "T50"', "tubes[1].id", "'T50' is there twice"),
        ('id = "P360"', 'id = "P300"', "side_plates[2].id", "'P300' is there twice"),
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
        ("thickness_mm = 8\n", 'thickness_mm = "8"\n', "slats[0].thickness_mm", "Expected `float`, got `str`"),
        ("thickness_mm = 8\n", "thickness_mm = nan\n", "slats[0].thickness_mm", "Expected `float` >= 2"),
        ("thickness_mm = 8\n", "thickness_mm = 8\ncolour = 1\n", "slats[0]", "unknown field `colour`"),
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
    ("content", "reason"), [(b"id = [", "not TOML"), (b"\xff", "not TOML"), (b"#" * 1_000_001, "at most 1000000")]
)
def test_what_is_no_catalogue_is_refused(tmp_path, content, reason):
    path = tmp_path / "own.toml"
    path.write_bytes(content)
    with pytest.raises(CatalogueError, match=reason):
        load(path)


def test_a_file_that_is_not_there_is_refused(tmp_path):
    with pytest.raises(CatalogueError, match=r"none\.toml: cannot be read"):
        load(tmp_path / "none.toml")


def test_the_standard_catalogue_says_that_it_is_invented():
    assert "invented" in load(STANDARD).catalogue.note


def test_columns_run_inwards_to_the_edge_distance():
    # hand: 110, 120 … ≤ 240 - 15
    plate = load(STANDARD).catalogue.side_plates[0]
    assert plate.bracket_columns.positions_mm(plate.deep_mm) == tuple(float(u) for u in range(110, 226, 10))

"""States of checks and the verdict they give. Expected values: hand."""

from math import radians

import pytest

from service.calculation.checks import ROWS, Check, bend_as_arc_mm, fails, in_order, verdict_of

TOLERANCE_MM = 2.0
MUSTS = [
    *("plate_height", "plate_depth", "wheel_above_header", "track_entry", "header_gap", "side_gap", "roof_clearance"),
    *("wheel_clearance", "rear_clearance", "header_clearance", "obstacle_clearance", "curtain_obstacle", "plate_obstacle"),
    *("load_gap", "path_over_wheel", "hinge_on_tube", "hinge_on_wheel", "curtain_covers", "slat_width", "engagement"),
    *("held_in_track", "slat_yield", "spring_made"),
]
SHOULDS = [
    *("engagement_bowed", "slat_stress", "slat_bow", "tube_sag", "spring_stress", "spring_fatigue", "spring_length"),
    *("spring_bore", "hand_force", "holds_open", "voltage_drop", "seal_reach", "opening_taper", "opening_square"),
    *("track_lap", "pull_strap_reach"),
]


def made(name, margin):
    """A check with a margin."""
    limit = 100.0
    value = limit - margin if ROWS[name].direction == "at_most" else limit + margin
    return Check(ROWS[name], value=value, limit=limit, tolerance_mm=TOLERANCE_MM)


def test_musts_and_shoulds_are_those_of_the_specification():
    assert {id for id, row in ROWS.items() if row.kind == "must"} == set(MUSTS)
    assert {id for id, row in ROWS.items() if row.kind == "should"} == set(SHOULDS)


def test_rows_are_in_the_order_of_their_list():
    assert [row.order for row in ROWS.values()] == list(range(len(ROWS)))
    assert all(row.id == id and row.pointer.startswith("/") and row.title for id, row in ROWS.items())


def test_margin_is_positive_on_the_good_side():
    assert Check(ROWS["roof_clearance"], value=23.0, limit=20.0, tolerance_mm=0.0).margin == 3.0
    assert Check(ROWS["slat_width"], value=23.0, limit=20.0, tolerance_mm=0.0).margin == -3.0


@pytest.mark.parametrize(
    ("margin", "state"),
    [(5.0, "ok"), (2.0, "ok"), (1.999, "tight"), (0.0, "tight"), (-0.0004, "tight"), (-0.001, "fails"), (-9.0, "fails")],
)
@pytest.mark.parametrize("name", ["plate_height", "roof_clearance", "slat_width", "opening_taper"])
def test_taped_checks(name, margin, state):
    one = made(name, margin)
    assert one.state == state
    assert one.margin == pytest.approx(margin, abs=1e-12)
    assert (one.id, one.kind, one.unit) == (name, ROWS[name].kind, ROWS[name].unit)


@pytest.mark.parametrize(("margin", "state"), [(5.0, "ok"), (0.5, "ok"), (0.0, "ok"), (-0.001, "fails")])
@pytest.mark.parametrize("name", ["hinge_on_tube", "curtain_covers", "engagement", "track_entry", "header_gap"])
def test_a_tape_does_not_make_catalogue_numbers_tight(name, margin, state):
    assert made(name, margin).state == state


def test_margins_count_as_lengths():
    # hand: a degree of a hinge's bend is its arc at a pitch of 28; 1 rad is 57.29577951308232°
    assert bend_as_arc_mm(28.0) == pytest.approx(28 * radians(1.0))
    bend = Check(
        ROWS["hinge_on_tube"], value=60.0 - 57.29577951308232, limit=60.0, tolerance_mm=2.0, length_of_one_mm=radians(28.0)
    )
    assert bend.margin_mm == pytest.approx(28.0, rel=1e-12)
    covers = Check(ROWS["curtain_covers"], value=48.0, limit=50.0, tolerance_mm=2.0, length_of_one_mm=28.0)
    assert (covers.margin, covers.margin_mm) == (-2.0, -56.0)


@pytest.mark.parametrize("margin", [-0.0006, -0.0005, -0.0004, 0.0, 0.0004, -1.0])
def test_a_length_fails_where_its_margin_does(margin):
    # hand: a bend of 0.0006° is an arc of 0.0003 mm, which alone would pass
    one = Check(ROWS["hinge_on_tube"], value=60.0 - margin, limit=60.0, tolerance_mm=2.0, length_of_one_mm=radians(28.0))
    assert fails(one.margin_mm) == (one.state == "fails")


@pytest.mark.parametrize(
    ("checks", "cautions", "expected"),
    [
        ([("roof_clearance", 5.0), ("engagement", 3.0)], False, "fits"),
        ([("roof_clearance", 1.0)], False, "fits_with_cautions"),
        ([("engagement_bowed", -1.0)], False, "fits_with_cautions"),
        ([("opening_taper", 1.0)], False, "fits"),
        ([("opening_taper", -1.0)], False, "fits_with_cautions"),
        ([("engagement", 1.0)], False, "fits"),
        ([("engagement", -1.0)], False, "does_not_fit"),
        ([("spring_made", -1.0)], False, "does_not_fit"),
        ([("roof_clearance", 5.0)], True, "fits_with_cautions"),
        ([("roof_clearance", -1.0)], True, "does_not_fit"),
        ([("slat_stress", -1.0), ("roof_clearance", -1.0)], False, "does_not_fit"),
    ],
)
def test_verdict(checks, cautions, expected):
    assert verdict_of([made(*one) for one in checks], cautions=cautions) == expected


def test_checks_stand_in_the_order_of_their_rows():
    named = ["holds_open", "plate_height", "engagement", "roof_clearance"]
    ordered = in_order([made(name, 1.0) for name in named])
    assert [one.id for one in ordered] == ["plate_height", "roof_clearance", "engagement", "holds_open"]

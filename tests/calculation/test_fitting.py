"""Whole fittings: the specification's worked example and what a caller may add to it."""

from dataclasses import replace

import pytest
import samples
from samples import check_of

from service.calculation.balance import balanced, demand_of
from service.calculation.fitting import fit, fit_at
from service.calculation.job import Survey
from service.calculation.spring_choice import Choice

DIGIT = 0.0005
"""The worked example is written to three decimals; half of the last one."""

TRUCK = samples.job(options=frozenset({"drip_rail"}))
"""The lock-gate truck of the worked example: slim, T50, reveal, 1180 × 1420, headroom 310, depth 620, header 40."""


def test_worked_example():
    # hand (specification), to the digits written there
    answer = fit(TRUCK).answer
    assert answer.verdict == "fits"
    assert (answer.side_plate.id, answer.curtain.slat, answer.curtain.tube) == ("P240", "slim", "T50")
    assert (answer.wheel.hole, answer.wheel.x_mm, answer.wheel.z_mm) == ("low", 90.0, 6.0)
    bracket = answer.bracket
    assert (bracket.row, bracket.column, bracket.x_mm, bracket.z_mm) == (0, 6, 210.0, 88.0)
    assert answer.curtain.slat_count == 54
    told = (
        answer.coil.radius_mm,
        answer.coil.radius_open_mm,
        answer.coil.turns,
        answer.coil.radius_ideal_mm,
        answer.coil.radius_thick_mm,
        bracket.to_wheel_mm,
        answer.curtain.slat_length_mm,
        answer.curtain.tube_length_mm,
        answer.curtain.engagement_mm,
        answer.seals.top_cut_length_mm,
        answer.seals.top_short_edge_mm,
        answer.seals.top_gap_mm,
        answer.tracks.length_mm,
        answer.striker.height_above_sill_mm,
        answer.drip_rail.length_mm,
    )
    expected = (
        *(80.333, 76.743, 4.432, 72.493, 80.880, 145.341, 1165.608, 1144.0, 8.084),
        *(1144.0, 1118.793, 16.0, 1406.0, 36.0, 1178.0),
    )
    assert told == pytest.approx(expected, abs=DIGIT)
    assert answer.seals.top_profile == "TS18"


@pytest.mark.parametrize(
    ("position", "lever", "weight", "drag"),
    [(0, 26.000, 134.339, 12.167), (12, 55.622, 76.686, 8.805), (24, 71.463, 19.032, 5.442)],
    ids=["closed", "middle", "open"],
)
def test_balance_of_the_worked_example(position, lever, weight, drag):
    # hand: the specification's figures
    point = fit(TRUCK).answer.balance.curve[position]
    assert (point.lever_mm, point.weight_n, point.drag_n) == pytest.approx((lever, weight, drag), abs=DIGIT)


def test_spring_taken_in_the_worked_example():
    # hand (specification): of the springs within half a newton of the best the one of fewest coils: 268, 9 turns, 35.58 N
    springs = fit(TRUCK).answer.balance
    assert (springs.spring_count, springs.wire_mm, springs.coils, springs.pretension_turns) == (1, 3.5, 268, 9.0)
    assert springs.hand_force_max_n == pytest.approx(35.58, abs=0.005)


def test_best_spring_of_the_worked_example():
    # hand (specification): of 279 coils and 9.5 turns; that none is better is tried with every spring in the published tests
    made = fit(TRUCK)
    best = balanced(
        job=TRUCK,
        tube=samples.T50,
        moved=made.moved,
        demand=demand_of(job=TRUCK, moved=made.moved, tube_length_mm=1144.0),
        choice=Choice(spring_count=1, wire_mm=3.5, coils=279, pretension_turns=9.5, made=True),
    ).balance
    assert best.hand_force_max_n == pytest.approx(35.13, abs=0.005)
    assert best.turns_closed == pytest.approx(13.72, abs=0.005)
    assert (best.energy_open_j, best.energy_closed_j) == pytest.approx((84.5, 176.2), abs=0.05)
    assert best.fatigue_safety == pytest.approx(1.5, abs=0.05)


def test_where_things_stand_on_the_plate():
    # hand: from the holes of P240 at x 40, z -12
    answer = fit(TRUCK).answer
    assert (answer.wheel.from_plate_front_mm, answer.wheel.from_plate_base_mm) == (50.0, 18.0)
    assert (answer.bracket.from_plate_front_mm, answer.bracket.from_plate_base_mm) == (170.0, 100.0)
    assert answer.bracket.below_roof_mm == 222.0
    assert answer.bracket.hole == "row 0, column 6"
    assert (answer.side_plate.front_x_mm, answer.side_plate.base_z_mm) == (40.0, -12.0)


def test_face_mount_stands_behind_the_header():
    # hand: tracks 20 beyond the opening and up to +10, plate 8 back; lips 1220 - 36; daylight no wider than the opening; the
    # curtain's plane 48 + 50 - 30, half a slat before it, behind a header of 40
    answer = fit(samples.job(mount=samples.FACE)).answer
    assert (answer.tracks.outer_width_mm, answer.tracks.lips_mm, answer.tracks.length_mm) == (1220.0, 1184.0, 1428.0)
    assert (answer.daylight.width_mm, answer.seals.top_cut_length_mm) == (1180.0, 1184.0)
    assert (answer.side_plate.front_x_mm, answer.side_plate.base_z_mm) == (48.0, 10.0)
    assert (answer.curtain.header_gap_mm, answer.seals.top_profile) == (24.0, "TS30")


def test_drip_rail_where_it_is_wanted():
    # hand: between the jambs in both mounts, 2 mm shorter
    assert fit(samples.JOB).answer.drip_rail is None
    for mount in (samples.REVEAL, samples.FACE):
        assert fit(replace(TRUCK, mount=mount)).answer.drip_rail.length_mm == 1178.0


def test_a_given_slat_count_makes_the_coil():
    needed = fit(samples.JOB).answer
    more = fit(replace(samples.fixed(samples.JOB), slat_count=57)).answer
    assert (more.curtain.slat_count, more.curtain.length_mm) == (57, 57 * 28.0 + 45.0)
    assert more.coil.radius_mm > needed.coil.radius_mm
    assert check_of(more, "curtain_covers").margin == 3
    less = fit(replace(samples.fixed(samples.JOB), slat_count=53)).answer
    assert less.verdict == "does_not_fit"
    assert (check_of(less, "curtain_covers").value, check_of(less, "curtain_covers").limit) == (53, 54)


def test_a_measured_coil_takes_the_computed_ones_place_in_every_position_check():
    computed = fit(samples.JOB).answer
    measured = fit(replace(samples.fixed(samples.JOB), measured_coil_radius_mm=84.0)).answer
    assert measured.coil.radius_mm == computed.coil.radius_mm
    assert measured.coil.measured_radius_mm == 84.0
    for name in ("roof_clearance", "wheel_clearance", "rear_clearance", "header_clearance"):
        moved = check_of(computed, name).value - check_of(measured, name).value
        assert moved == pytest.approx(84.0 - computed.coil.radius_mm, abs=1e-9)
    # the balance keeps the computed spiral
    assert samples.plain(measured.balance) == samples.plain(computed.balance)


def test_a_survey_is_judged():
    # hand: taper 4, diagonals of a rectangle 1180 × 1420
    survey = Survey(widths_mm=(1180.0, 1184.0), heights_mm=(1420.0, 1420.0), diagonals_mm=(1847.5, 1847.5))
    answer = fit(samples.job({"survey": survey, "width_mm": 0.0, "height_mm": 0.0})).answer
    assert answer.tracks.outer_width_mm == 1180.0
    assert check_of(answer, "opening_taper").value == 4.0
    assert check_of(answer, "opening_square").value == 0.0
    assert {"opening_taper", "opening_square"} & {warning.code for warning in answer.warnings} == {"opening_taper"}


def test_an_opening_without_survey_is_not_judged():
    assert {"opening_taper", "opening_square"}.isdisjoint(check.id for check in fit(samples.JOB).answer.checks)


def test_a_survey_without_diagonals_is_not_out_of_square():
    survey = Survey(widths_mm=(1180.0, 1182.0), heights_mm=(1420.0, 1420.0))
    answer = fit(samples.job({"survey": survey})).answer
    assert answer.opening.out_of_square_mm is None
    assert "opening_square" not in [check.id for check in answer.checks]


def test_calculated_carries_the_job_as_sized():
    survey = Survey(widths_mm=(1180.0, 1182.0), heights_mm=(1423.0, 1420.0))
    made = fit(samples.job({"survey": survey, "width_mm": 0.0, "height_mm": 0.0}))
    assert (made.job.opening.width_mm, made.job.opening.height_mm) == (1180.0, 1420.0)


def test_the_next_tube_is_taken_where_no_spring_can_be_made_for_the_first():
    # a tube of 364 mm leaves T50's thinner spring too few coils; T70's, of thicker wire, has room
    job = samples.job({"width_mm": 400.0, "height_mm": 1600.0, "headroom_mm": 500.0, "depth_mm": 900.0})
    first = fit(replace(job, tubes=(samples.T50,)))
    assert not first.choice.made
    made = fit(job)
    assert made.choice.made
    assert made.answer.curtain.tube == "T70"


def test_the_first_tube_is_reported_where_none_has_a_spring():
    job = samples.job({"width_mm": 300.0, "height_mm": 1900.0})
    made = fit(job)
    assert (made.choice.made, made.answer.curtain.tube) == (False, "T50")
    assert made.answer.verdict == "does_not_fit"
    assert {check.id for check in made.answer.checks if check.kind == "must" and check.state == "fails"} == {"spring_made"}


def test_a_fitting_at_its_own_place_is_the_same():
    made = fit(samples.JOB)
    position = made.trial.position
    again = fit_at(
        samples.JOB,
        tube=position.tube,
        side_plate=position.side_plate,
        wheel_hole=position.wheel_hole,
        bracket_hole=made.trial.bracket_hole,
        choice=made.choice,
    )
    assert samples.plain(again) == samples.plain(made)


@pytest.mark.parametrize(
    ("opening", "failing"),
    [
        ({"width_mm": 2400.0}, {"slat_width", "held_in_track", "engagement_bowed"}),
        ({"load_gap_mm": 5.0}, {"load_gap"}),
        ({"obstacles": (samples.box(200.0, 60.0, 40.0, 40.0),)}, {"obstacle_clearance"}),
    ],
    ids=["slats out of their tracks", "bows into the load", "a box in the coil"],
)
def test_what_must_not_be_does_not_fit(opening, failing):
    answer = fit(samples.job(opening)).answer
    assert answer.verdict == "does_not_fit"
    assert failing <= {check.id for check in answer.checks if check.state == "fails"}


def test_more_slats_than_a_coil_table_covers_are_refused():
    with pytest.raises(IndexError):
        fit(samples.job(slat_count=5000))

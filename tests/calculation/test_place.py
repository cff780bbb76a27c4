"""Choosing tube, plate and holes, case by case. Expected values: hand, from the order of trial."""

from dataclasses import replace

import pytest
import samples

from service.calculation import place
from service.calculation.fitting import fit


def chosen(job):
    """Tube, plate, wheel hole, row and column of the first tube that has a place."""
    trial = next(trial for tube in job.tubes if (trial := place.first_that_passes(job, tube)))
    position, hole = trial.position, trial.bracket_hole
    return position.tube.id, position.side_plate.id, position.wheel_hole.name, hole.row, hole.column


def test_the_first_of_everything_is_taken_where_all_fits():
    # R + 20 + 39 = 139.3 asks for √(dx² + 82²) as much, so for dx ≥ 112.7: the seventh column
    assert chosen(samples.JOB) == ("T50", "P240", "low", 0, 6)


def test_a_larger_plate_is_taken_where_the_smaller_fails():
    # the small plate's furthest hole lies 170 over and 82 up from the wheel: √(170² + 82²) = 188.7 < 132 + 20 + 39
    small = samples.job(measured_coil_radius_mm=132.0, side_plates=(samples.P240,))
    assert place.first_that_passes(small, samples.T50) is None
    assert place.nearest(small).worst.id == "wheel_clearance"
    assert chosen(replace(small, side_plates=samples.PLATES))[:2] == ("T50", "P300")


def test_the_next_tube_is_taken_where_the_first_bends_its_hinges_too_far():
    # a limit between the bends on the two tubes: 51.5° on T50, 39.5° on T70
    assert chosen(samples.job(slat=replace(samples.SLIM, hinge_limit_deg=45.0, wheel_radius_mm=38.0)))[0] == "T70"


def test_a_higher_wheel_hole_is_taken_where_the_lower_pinches():
    # the slot's play of 0.05 is less than the low hole's 0.089 and more than the mid hole's 0
    assert chosen(samples.job(slat=replace(samples.SLIM, slot_width_mm=8.1)))[2] == "mid"


def test_plates_are_tried_in_the_order_given():
    assert chosen(samples.job({"headroom_mm": 600.0}, side_plates=(samples.P360, samples.P240)))[1] == "P360"


def test_a_plate_that_would_overlap_an_obstacle_is_passed_over():
    # P240 reaches down to -12 at its front of 40; a plate that is 20 higher does not meet the box under it
    box = samples.box(150.0, -30.0, 20.0, 25.0)
    blocked = samples.job({"obstacles": (box,)}, side_plates=(samples.P240,))
    assert place.first_that_passes(blocked, samples.T50) is None
    assert place.nearest(blocked).worst.id == "plate_obstacle"
    assert place.first_that_passes(samples.reopened(blocked, plate_offset_mm=20.0), samples.T50) is not None


def test_an_obstacle_near_the_coil_needs_a_place_farther_away():
    # the usual hole's axis stands at 210: from a box that begins at x the coil keeps x - 210 - 80.333, of which 20 must stay
    for begins, free in ((310.4, True), (310.2, False)):
        job = samples.job({"obstacles": (samples.box(begins, 60.0, 50.0, 60.0),)}, side_plates=(samples.P240,))
        job = replace(job, tubes=(samples.T50,))
        trial = place.first_that_passes(job, samples.T50)
        assert (trial is not None) == free
        assert place.nearest(job).worst.id in {"obstacle_clearance", "wheel_clearance"}


def test_a_misfit_reports_the_best_of_the_worst():
    # 100 mm of headroom hold no plate; the lowest plate is short by 88, the others by more
    answer = fit(samples.job({"headroom_mm": 100.0})).answer
    assert answer.verdict == "does_not_fit"
    assert answer.side_plate.id == "P240"
    assert samples.check_of(answer, "plate_height").margin == -88.0


def test_every_candidate_is_tried():
    # 2 tubes × (12 + 18 + 24 columns) × 4 rows × 3 wheel holes
    assert len(list(place.trials(samples.JOB))) == 2 * (12 + 18 + 24) * 4 * 3


def test_a_given_count_that_does_not_cover_is_refused_everywhere():
    tried = list(place.trials(samples.job(slat_count=45)))
    assert not any(trial.passes for trial in tried)
    assert {trial.slat_count for trial in tried} == {45}


def test_a_given_count_that_covers_nowhere_is_not_calculated_everywhere(monkeypatch):
    # where as many slats are missing, only the room decides: most of the 648 candidates are ruled out before their checks
    whole, trial_of = [], place.Trial
    monkeypatch.setattr(place, "Trial", lambda **given: whole.append(given) or trial_of(**given))
    boxes = tuple(samples.box(600.0 + 10.0 * number, -500.0, 300.0, 5.0) for number in range(8))
    job = samples.job({"obstacles": boxes}, slat_count=40)
    found = place.nearest(job)
    assert len(whole) < 65
    ranks = [(trial.worst_margin_mm, trial.room_margin_mm) for trial in place.trials(job)]
    assert (found.worst_margin_mm, found.room_margin_mm) == max(ranks)


def test_a_given_count_is_tried_where_it_covers():
    # a shutter with a slat less than the usual hole needs has its place nearer to the wheel, where it has one at all
    for trial in place.trials(samples.job(slat_count=54)):
        assert trial.slat_count == 54
        assert (trial.slats_needed <= 54) or not trial.passes


def test_a_job_without_candidates_is_refused():
    with pytest.raises(ValueError, match="at least one tube"):
        place.nearest(samples.job(side_plates=()))

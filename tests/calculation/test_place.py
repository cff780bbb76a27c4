"""Choosing tube, plate and holes, case by case. Expected values: hand, from the order of trial."""

import pytest
import samples

from service.calculation import place
from service.calculation.fitting import fit


def test_the_first_of_everything_is_taken_where_all_fits() -> None:
    # R + 20 + 39 = 139.9 asks for √(dx² + 82²) as much, so for dx ≥ 113.3: the seventh column
    chosen = place.choose(samples.JOB).candidate
    assert (chosen.tube.id, chosen.side_plate.id, chosen.wheel_hole.name) == ("T50", "P240", "low")
    assert (chosen.bracket_hole.row, chosen.bracket_hole.column) == (0, 6)


def test_a_larger_plate_is_taken_where_the_smaller_fails() -> None:
    # the small plate's furthest hole lies 170 over and 82 up from the wheel: √(170² + 82²) = 188.7 < 132 + 20 + 39
    small = samples.job(measured_coil_radius_mm=132.0, side_plates=(samples.P240,))
    assert place.choose(small).worst_check == "wheel_clearance"
    assert not place.choose(small).passes
    chosen = place.choose(small._replace(side_plates=samples.PLATES))
    assert (chosen.candidate.tube.id, chosen.candidate.side_plate.id) == ("T50", "P300")
    assert chosen.passes


def test_the_next_tube_is_taken_where_the_first_bends_its_hinges_too_far() -> None:
    # a limit between the bends on the two tubes: 51.5° on T50, 39.5° on T70
    chosen = place.choose(samples.job(slat=samples.SLIM._replace(hinge_limit_deg=45.0, wheel_radius_mm=40.0)))
    assert chosen.candidate.tube.id == "T70"
    assert chosen.passes


def test_a_higher_wheel_hole_is_taken_where_the_lower_pinches() -> None:
    # the slot's play of 0.05 is less than the low hole's 0.089 and more than the mid hole's 0
    chosen = place.choose(samples.job(slat=samples.SLIM._replace(slot_width_mm=8.1)))
    assert chosen.candidate.wheel_hole.name == "mid"


def test_plates_are_tried_in_the_order_given() -> None:
    roomy = place.choose(samples.job({"headroom_mm": 600.0}, side_plates=(samples.P360, samples.P240)))
    assert roomy.candidate.side_plate.id == "P360"


def test_a_misfit_reports_the_best_of_the_worst() -> None:
    # 100 mm of headroom hold no plate; the lowest plate is short by 88, the others by more
    answer = fit(samples.job({"headroom_mm": 100.0}))
    assert answer.verdict == "does_not_fit"
    assert answer.side_plate.id == "P240"
    assert samples.check_of(answer, "plate_height").margin == -88.0


def test_every_candidate_is_tried() -> None:
    # 2 tubes × (12 + 18 + 24 columns) × 4 rows × 3 wheel holes
    assert len(list(place.trials(samples.JOB))) == 2 * (12 + 18 + 24) * 4 * 3


def test_a_given_count_that_does_not_cover_is_refused_everywhere() -> None:
    tried = list(place.trials(samples.job(slat_count=45)))
    assert not any(trial.passes for trial in tried)
    assert {trial.slat_count for trial in tried} == {45}


def test_a_job_without_candidates_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one tube"):
        place.choose(samples.job(side_plates=()))

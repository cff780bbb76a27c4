"""Whole fittings: the specification's worked example and what a caller may add to it."""

import pytest
import samples
from samples import check_of

from service.calculation.fitting import fit
from service.calculation.job import Survey

DIGIT = 0.0005
"""The worked example is written to three decimals; half of the last one."""


def test_worked_example() -> None:
    # hand: slim on T50, reveal, 1180 × 1420, headroom 310, depth 620, header 40
    answer = fit(samples.JOB)
    assert answer.verdict == "fits"
    assert (answer.side_plate.id, answer.curtain.slat, answer.curtain.tube) == ("P240", "slim", "T50")
    assert (answer.wheel.hole, answer.wheel.x_mm, answer.wheel.z_mm) == ("low", 90.0, 6.0)
    assert (answer.bracket.row, answer.bracket.x_mm, answer.bracket.z_mm) == (0, 210.0, 88.0)
    assert answer.curtain.slat_count == 55
    assert answer.coil.radius_mm == pytest.approx(80.876, abs=DIGIT)
    assert answer.coil.radius_open_mm == pytest.approx(77.324, abs=DIGIT)
    assert answer.coil.turns == pytest.approx(4.490, abs=DIGIT)
    assert answer.bracket.to_wheel_mm == pytest.approx(145.341, abs=DIGIT)
    assert answer.coil.radius_ideal_mm == pytest.approx(73.011, abs=DIGIT)
    assert answer.coil.radius_thick_mm == pytest.approx(81.429, abs=DIGIT)
    assert answer.curtain.slat_length_mm == pytest.approx(1165.196, abs=DIGIT)
    assert answer.seals.top_cut_length_mm == 1144.0
    assert answer.tracks.length_mm == 1406.0
    assert answer.striker.height_above_sill_mm == pytest.approx(36.0, abs=DIGIT)
    assert answer.curtain.engagement_mm == pytest.approx(7.124, abs=DIGIT)


def test_where_things_stand_on_the_plate() -> None:
    # hand: from the holes of P240 at x 40, z -12
    answer = fit(samples.JOB)
    assert (answer.wheel.from_plate_front_mm, answer.wheel.from_plate_base_mm) == (50.0, 18.0)
    assert (answer.bracket.from_plate_front_mm, answer.bracket.from_plate_base_mm) == (170.0, 100.0)
    assert answer.bracket.below_roof_mm == 222.0
    assert answer.bracket.hole == "row 0, column 6"
    assert (answer.side_plate.front_x_mm, answer.side_plate.base_z_mm) == (40.0, -12.0)


def test_face_mount() -> None:
    # hand: tracks 20 beyond the opening and up to +10, plate 8 back
    answer = fit(samples.job(mount=samples.FACE))
    assert (answer.tracks.outer_width_mm, answer.tracks.length_mm) == (1220.0, 1428.0)
    assert (answer.daylight.width_mm, answer.seals.top_cut_length_mm) == (1184.0, 1184.0)
    assert (answer.side_plate.front_x_mm, answer.side_plate.base_z_mm) == (48.0, 10.0)


def test_drip_rail_where_it_is_wanted() -> None:
    assert fit(samples.JOB).drip_rail is None
    assert fit(samples.job(options=frozenset({"drip_rail"}))).drip_rail.length_mm == 1210.0


def test_a_given_slat_count_makes_the_coil() -> None:
    needed = fit(samples.JOB)
    more = fit(samples.fixed(samples.JOB)._replace(slat_count=57))
    assert (more.curtain.slat_count, more.curtain.length_mm) == (57, 57 * 28.0 + 45.0)
    assert more.coil.radius_mm > needed.coil.radius_mm
    assert check_of(more, "curtain_covers").margin == 2
    less = fit(samples.fixed(samples.JOB)._replace(slat_count=54))
    assert less.verdict == "does_not_fit"
    assert (check_of(less, "curtain_covers").value, check_of(less, "curtain_covers").limit) == (54, 55)


def test_a_measured_coil_takes_the_computed_ones_place_in_every_position_check() -> None:
    computed = fit(samples.JOB)
    measured = fit(samples.fixed(samples.JOB)._replace(measured_coil_radius_mm=84.0))
    assert measured.coil.radius_mm == computed.coil.radius_mm
    assert measured.coil.measured_radius_mm == 84.0
    for name in ("roof_clearance", "wheel_clearance", "rear_clearance", "header_clearance"):
        moved = check_of(computed, name).value - check_of(measured, name).value
        assert moved == pytest.approx(84.0 - computed.coil.radius_mm, abs=1e-9)


def test_a_survey_is_judged() -> None:
    # hand: taper 4, diagonals of a rectangle 1180 × 1420
    survey = Survey((1180.0, 1184.0), (1420.0, 1420.0), (1847.5, 1847.5))
    answer = fit(samples.job({"survey": survey, "width_mm": 0.0, "height_mm": 0.0}))
    assert answer.tracks.outer_width_mm == 1180.0
    assert check_of(answer, "opening_taper").value == 4.0
    assert check_of(answer, "opening_square").value == 0.0
    assert {"opening_taper", "opening_square"} & {warning.code for warning in answer.warnings} == {"opening_taper"}


def test_an_opening_without_survey_is_not_judged() -> None:
    assert {"opening_taper", "opening_square"}.isdisjoint(check.id for check in fit(samples.JOB).checks)


def test_more_slats_than_a_coil_table_covers_are_refused() -> None:
    with pytest.raises(IndexError):
        fit(samples.job(slat_count=5000))

"""Facts of common practice in the trade: no source beside the practice itself.

Each fact is met by a slat, mount, track and plate made up for its test; every figure below that a fact does not name is
invented. All expected values are of the kind `common practice`.
"""

from dataclasses import replace
from math import radians, tan

import pytest
import samples
from samples import check_of

from service.calculation.fitting import fit
from service.calculation.job import Mount
from service.calculation.place import trials

SMALL = replace(samples.SLIM, wheel_allowance_mm=40.0)
LARGE = replace(samples.STOUT, wheel_allowance_mm=50.0)
FINE_PLATE = samples.side_plate(
    "fine", deep_mm=400.0, high_mm=200.0, columns_mm=[100.0 + 2.5 * column for column in range(110)]
)


def trial_at(job, *, row, column):
    """The trial of one bracket hole of a job with one plate, on the lowest wheel hole."""
    return next(
        one
        for one in trials(job)
        if one.position.wheel_hole.name == "low" and (one.bracket_hole.row, one.bracket_hole.column) == (row, column)
    )


def test_middle_bracket_row_serves_up_to_20_over_the_coil():
    # common practice: the middle row serves when R + 20 is no more than its distance to the roof
    plate = samples.side_plate("one column", deep_mm=240.0, high_mm=200.0, columns_mm=[190.0])
    job = samples.job({"headroom_mm": 400.0}, side_plates=(plate,), tubes=(samples.T50,))
    roomy = fit(job).answer
    assert (roomy.bracket.row, roomy.bracket.z_mm) == (0, roomy.side_plate.base_z_mm + 100.0)
    enough = roomy.bracket.z_mm + roomy.coil.radius_mm + 20
    just = fit(samples.job({"headroom_mm": enough}, side_plates=(plate,), tubes=(samples.T50,))).answer
    assert just.bracket.row == 0
    assert just.bracket.below_roof_mm == pytest.approx(just.coil.radius_mm + 20, abs=1e-9)


def test_a_lower_row_serves_under_a_lower_roof():
    # common practice: where the roof is nearer than that, a lower row; the first that clears the roof is taken
    plate = samples.side_plate("one column", deep_mm=240.0, high_mm=150.0, rows_mm=[100.0, 85.0, 70.0], columns_mm=[215.0])
    job = samples.job({"headroom_mm": 400.0}, side_plates=(plate,), tubes=(samples.T50,))
    roomy = fit(job).answer
    enough = roomy.bracket.z_mm + roomy.coil.radius_mm + 20
    answer = fit(samples.job({"headroom_mm": enough - 1}, side_plates=(plate,), tubes=(samples.T50,))).answer
    assert roomy.bracket.row == 0
    assert answer.bracket.row == 1
    assert answer.verdict != "does_not_fit"
    assert answer.bracket.below_roof_mm >= answer.coil.radius_mm + 20


@pytest.mark.parametrize(("slat", "tube", "allowance"), [(SMALL, samples.T50, 40.0), (LARGE, samples.T70, 50.0)])
def test_bracket_keeps_coil_20_and_an_allowance_from_the_wheel(slat, tube, allowance):
    # common practice: bracket to wheel at least R + 20 + 40 for a small slat, + 50 for a larger one
    job = samples.job({"headroom_mm": 400.0}, slat=slat, tubes=(tube,), side_plates=(FINE_PLATE,))
    answer = fit(job).answer
    assert answer.verdict != "does_not_fit"
    assert answer.bracket.to_wheel_mm >= answer.coil.radius_mm + 20 + allowance
    assert check_of(answer, "wheel_clearance").margin == pytest.approx(
        answer.bracket.to_wheel_mm - (answer.coil.radius_mm + 20 + allowance), abs=1e-9
    )
    nearer = trial_at(job, row=0, column=answer.bracket.column - 1)
    assert nearer.worst.id == "wheel_clearance"
    assert nearer.worst_margin_mm < 0


@pytest.mark.parametrize(
    ("offset_mm", "hole"),
    [(30.0, "low"), (-8.0, "low"), (-8.1, "mid"), (-30.0, "mid"), (-30.1, "high"), (-52.0, "high")],
)
def test_wheel_hole_is_the_lowest_above_the_headers_base(offset_mm, hole):
    # common practice: never under the header's base, and the lowest possible is best; the mouth at -10 puts the holes at
    # 8, 30 and 52 plus the offset; the slot is so wide that no slat pinches
    mount = Mount(id="face", mouth_z_mm=-10.0, plate_setback_mm=9.0, track_beyond_mm=20.0)
    slat = replace(SMALL, slot_width_mm=30.0)
    answer = fit(samples.job({"plate_offset_mm": offset_mm, "headroom_mm": 400.0}, slat=slat, mount=mount)).answer
    assert answer.wheel.hole == hole
    assert answer.wheel.z_mm >= 0
    assert answer.verdict != "does_not_fit"


def test_no_wheel_hole_above_the_headers_base_is_a_misfit():
    # common practice: never under the header's base
    mount = Mount(id="face", mouth_z_mm=-10.0, plate_setback_mm=9.0, track_beyond_mm=20.0)
    slat = replace(SMALL, slot_width_mm=30.0)
    answer = fit(samples.job({"plate_offset_mm": -52.1, "headroom_mm": 400.0}, slat=slat, mount=mount)).answer
    assert answer.wheel.hole == "high"
    assert answer.verdict == "does_not_fit"
    assert check_of(answer, "wheel_above_header").state == "fails"


@pytest.mark.parametrize("header_mm", [0.0, 40.0, 75.5])
def test_side_plate_stands_9_back_beside_lapping_tracks(header_mm):
    # common practice: 9 mm back from the header's inner face where the tracks lap over the opening
    lapping = Mount(id="face", mouth_z_mm=10.0, plate_setback_mm=9.0, track_beyond_mm=20.0)
    answer = fit(samples.job({"header_thickness_mm": header_mm}, mount=lapping)).answer
    assert answer.side_plate.front_x_mm == header_mm + 9


@pytest.mark.parametrize("mount", [samples.REVEAL, samples.FACE])
def test_top_seal_is_34_shorter_than_tracks_of_17(mount):
    # common practice: outer track width - 34 for tracks 17 thick, ends cut at 60°
    hardware = samples.hardware(track={"wall_mm": 17.0}, header={"end_angle_deg": 60.0})
    answer = fit(samples.job(mount=mount, hardware=hardware)).answer
    assert answer.seals.top_cut_length_mm == answer.tracks.outer_width_mm - 34
    assert answer.seals.top_end_angle_deg == 60
    deep = next(one.deep_mm for one in hardware.header.top_seals if one.id == answer.seals.top_profile)
    short = answer.seals.top_cut_length_mm - 2 * deep / tan(radians(60))
    assert answer.seals.top_short_edge_mm == pytest.approx(short, abs=1e-9)


@pytest.mark.parametrize(("seal_mm", "axis_mm", "height_mm"), [(30.0, 22.0, 42.0), (24.0, 20.0, 36.0), (18.0, 15.0, 27.0)])
def test_strikers_are_set_with_the_seal_pressed_by_a_third(seal_mm, axis_mm, height_mm):
    # common practice: strikers are set with the bottom seal pressed by a third of its height
    hardware = samples.hardware(bar={"seal_free_mm": seal_mm, "bolt_axis_mm": axis_mm})
    answer = fit(samples.job(hardware=hardware)).answer
    assert answer.striker.height_above_sill_mm == pytest.approx(height_mm, abs=1e-9)
    assert answer.seals.bottom_compressed_mm == pytest.approx(seal_mm * 2 / 3, abs=1e-9)

"""Properties of whole fittings for random openings, slats, mounts and places."""

from dataclasses import replace
from math import isfinite

import draws
import pytest
import samples
from hypothesis import HealthCheck, assume, example, given, settings
from hypothesis import strategies as st

from service.calculation import place
from service.calculation.checks import RESOLUTION, ROWS
from service.calculation.fitting import fit, verdict
from service.calculation.job import Survey
from service.calculation.survey import plumb_width_mm
from service.calculation.warnings import CODES, OTHER_ROWS, severities_of

pytestmark = pytest.mark.slow

ROUNDING = 1e-9
"""Tolerance [mm] of sums and roots of numbers up to a few thousand."""

NEAR_THE_WHEEL = samples.job(
    {"height_mm": 250.0, "headroom_mm": 60.0, "depth_mm": 60.0},
    slat=replace(samples.SLIM, wheel_radius_mm=10.0, wheel_allowance_mm=23.0),
    tubes=(samples.T70,),
    side_plates=(samples.side_plate("near", deep_mm=240.0, high_mm=200.0, rows_mm=[60.0], columns_mm=[60.0]),),
)
"""A misfit: the tube lies so near the wheel that the curtain would leave it backwards, on a path shorter than upright."""

SWALLOWS_THE_WHEEL = samples.job(
    {
        "width_mm": 250.0,
        "height_mm": 250.0,
        "headroom_mm": 60.0,
        "depth_mm": 60.0,
        "header_thickness_mm": 0.0,
        "plate_offset_mm": -15.8,
    },
    slat=samples.STOUT,
    tubes=(samples.T70,),
    side_plates=(samples.P300,),
    slat_count=200,
)
"""A misfit with the most slats a caller may give: its coil swallows the wheel, and the open curtain's path is negative."""

any_job = st.one_of(draws.jobs(), draws.odd_jobs(), draws.surveyed_jobs())


def place_of(answer):
    """Tube, plate and holes."""
    return answer.curtain.tube, answer.side_plate.id, answer.wheel.hole, answer.bracket.hole


def measured_as(job):
    """The job without a shutter that exists."""
    return replace(job, slat_count=None, measured_coil_radius_mm=None)


@settings(max_examples=25)
@given(draws.jobs(), draws.tenths(0, 1500))
def test_coil_never_shrinks_at_the_same_place_when_the_opening_grows(job, more_mm):
    job = samples.fixed(measured_as(job))
    low, high = (
        fit(samples.reopened(job, height_mm=height)).answer
        for height in (job.opening.height_mm, job.opening.height_mm + more_mm)
    )
    assert high.coil.radius_mm >= low.coil.radius_mm
    assert high.curtain.slat_count >= low.curtain.slat_count


@settings(max_examples=30)
@given(draws.jobs(), st.sampled_from(["headroom_mm", "depth_mm"]), draws.tenths(0, 600))
def test_more_room_never_loses_a_place(job, name, more_mm):
    # a place may be exchanged for another, whose springs may not be made; what is asked is only a place
    roomier = samples.reopened(job, **{name: getattr(job.opening, name) + more_mm})
    for tube in job.tubes:
        assert place.first_that_passes(job, tube) is None or place.first_that_passes(roomier, tube) is not None


@settings(max_examples=25)
@given(draws.jobs(), draws.tenths(0, 300))
def test_wider_never_raises_engagement(job, more_mm):
    narrow, wide = (
        fit(samples.reopened(job, width_mm=width)).answer for width in (job.opening.width_mm, job.opening.width_mm + more_mm)
    )
    assert wide.curtain.engagement_mm <= narrow.curtain.engagement_mm + ROUNDING
    assert wide.strength.engagement_left_mm <= narrow.strength.engagement_left_mm + ROUNDING


@settings(max_examples=25)
@given(draws.usual_jobs(), draws.tenths(-50, 20), draws.tenths(0, 90))
def test_a_body_that_expands_more_never_lowers_the_cold_engagement(job, cold, warmer):
    # hand: slats are cut for the heat; between hot and cold the tracks follow a body that expands more by so much more, and
    # dE/dα = lips·(T_max - T_min)/(1 + 23e-6·(T_max - 20)) is never negative
    engagements = []
    for body in ("composite", "steel", "aluminium"):
        tried = replace(
            samples.reopened(job, body=body),
            duty=samples.duty(temperature_min_c=cold, temperature_max_c=min(90.0, cold + warmer)),
        )
        engagements.append(fit(tried).answer.curtain.engagement_mm)
    assert engagements == pytest.approx(sorted(engagements), abs=ROUNDING)


@settings(max_examples=30)
@given(draws.jobs(), draws.boxes())
def test_an_obstacle_more_never_leads_to_a_place_that_was_none(job, box):
    more = samples.reopened(job, obstacles=(*job.opening.obstacles, box))
    for tube in job.tubes:
        assert place.first_that_passes(job, tube) is not None or place.first_that_passes(more, tube) is None


@settings(max_examples=25)
@given(draws.jobs(), draws.boxes())
def test_an_obstacle_more_never_makes_a_place_fit(job, box):
    # at the same place nothing but margins to the obstacle changes; elsewhere the springs are others
    fixed = samples.fixed(job)
    more = samples.reopened(fixed, obstacles=(*job.opening.obstacles, box))
    assert verdict(more) == "does_not_fit" or verdict(fixed) != "does_not_fit"


@settings(max_examples=30)
@given(any_job)
def test_what_fits_can_be_built(job):
    made = fit(job)
    answer = made.answer
    assume(answer.verdict != "does_not_fit")
    assert all(check.state != "fails" for check in answer.checks if check.kind == "must")
    assert answer.curtain.engagement_mm >= 6 - RESOLUTION
    assert answer.strength.engagement_left_mm >= 2 - RESOLUTION
    assert made.choice.made
    assert answer.balance.stress_mpa <= answer.balance.stress_limit_mpa + RESOLUTION
    assert answer.balance.fatigue_safety >= 1.1 - RESOLUTION
    assert samples.check_of(answer, "holds_open").margin >= -RESOLUTION
    lengths = [
        answer.curtain.slat_length_mm,
        answer.curtain.tube_length_mm,
        answer.curtain.bottom_seal_length_mm,
        answer.tracks.length_mm,
        answer.tracks.lips_mm,
        answer.seals.top_short_edge_mm,
        answer.daylight.width_mm,
        *(part.cut_length_mm for part in answer.parts if part.cut_length_mm is not None),
    ]
    assert min(lengths) > 0
    assert all(part.quantity > 0 for part in answer.parts)
    assert answer.verdict == "fits_with_cautions" or all(check.state != "fails" for check in answer.checks)


@settings(max_examples=30)
@given(any_job)
def test_the_verdict_alone_is_that_of_the_whole_fitting(job):
    assert verdict(job) == fit(job).answer.verdict


@settings(max_examples=60)
@given(
    draws.usual_jobs(),
    st.lists(draws.tenths(800, 1500), min_size=2, max_size=5),
    st.lists(draws.tenths(800, 2400), min_size=2, max_size=5),
    st.tuples(draws.tenths(1900, 2100), draws.tenths(1900, 2100)),
)
def test_a_survey_seen_from_inside_is_the_same_opening(job, widths, heights, diagonals):
    # seen from the other side left is right: heights turn round, the diagonals change places
    def surveyed(heights, diagonals):
        survey = Survey(widths_mm=tuple(widths), heights_mm=tuple(heights), diagonals_mm=diagonals)
        assume(plumb_width_mm(survey) >= 250)  # less is refused with the request
        return fit(samples.reopened(job, survey=survey)).answer

    outside, inside = surveyed(heights, diagonals), surveyed(heights[::-1], diagonals[::-1])
    assert inside.opening.width_mm == pytest.approx(outside.opening.width_mm, abs=ROUNDING)
    assert inside.opening.out_of_square_mm == pytest.approx(-outside.opening.out_of_square_mm, abs=ROUNDING)
    packed = {(one.side, round(one.at_mm, 6)): one.thickness_mm for one in outside.opening.packing}
    swapped = {"left": "right", "right": "left"}
    mirrored = {(swapped[one.side], round(one.at_mm, 6)): one.thickness_mm for one in inside.opening.packing}
    assert mirrored == pytest.approx(packed, abs=1e-6)


@settings(max_examples=60)
@given(draws.usual_jobs())
def test_a_true_survey_counts_as_its_size(job):
    opening = job.opening
    width, height = opening.width_mm, opening.height_mm
    diagonal = (width**2 + height**2) ** 0.5
    survey = Survey(widths_mm=(width, width), heights_mm=(height, height), diagonals_mm=(diagonal, diagonal))
    surveyed = fit(samples.reopened(job, survey=survey, width_mm=1.0, height_mm=1.0)).answer
    plain = fit(job).answer
    assert samples.plain(surveyed.curtain) == samples.plain(plain.curtain)
    assert samples.plain(surveyed.tracks) == samples.plain(plain.tracks)
    assert surveyed.opening.packing == []


@settings(max_examples=30)
@given(st.one_of(draws.jobs(), draws.odd_jobs()))
@example(NEAR_THE_WHEEL)
def test_choice_is_the_first_trial_that_passes_or_the_best(job):
    tried = list(place.trials(job))
    passing = [trial for trial in tried if trial.worst_margin_mm >= -RESOLUTION]
    ranks = [(trial.worst_margin_mm, trial.room_margin_mm) for trial in tried]
    expected = passing[0] if passing else tried[ranks.index(max(ranks))]
    found = [trial for tube in job.tubes if (trial := place.first_that_passes(job, tube))]
    chosen = found[0] if found else place.nearest(job)
    assert samples.plain(chosen) == samples.plain(expected)


@settings(max_examples=25, suppress_health_check=[HealthCheck.data_too_large, HealthCheck.too_slow])
@given(st.one_of(draws.jobs(), draws.odd_jobs()), st.data())
def test_every_refused_trial_names_a_check_that_fails_by_so_much(job, data):
    # a trial of one place and a fitting that has only this place must tell the same story
    trial = data.draw(st.sampled_from(list(place.trials(job))))
    position = trial.position
    answer = fit(
        samples.only(
            job,
            tube=position.tube,
            plate=position.side_plate,
            wheel_hole=position.wheel_hole,
            bracket_hole=trial.bracket_hole,
        )
    ).answer
    named = samples.check_of(answer, trial.worst.id)
    assert answer.curtain.slat_count == trial.slat_count
    assert (named.value, named.limit) == (trial.worst.value, trial.worst.limit)
    if trial.worst_margin_mm < -RESOLUTION:
        assert named.state == "fails"
        assert answer.verdict == "does_not_fit"
    else:
        own = {check.id for check in trial.checks}
        assert {check.id for check in answer.checks if check.kind == "must" and check.state == "fails"}.isdisjoint(own)


@settings(max_examples=60)
@given(any_job)
def test_answers_are_consistent_in_themselves(job):
    made = fit(job)
    answer = made.answer
    assert all(isfinite(number) for number in samples.figures(answer))
    assert [check.id for check in answer.checks] == [id for id in ROWS if id in {check.id for check in answer.checks}]
    for check in answer.checks:
        assert (check.state == "fails") == (check.margin < -RESOLUTION)
        tight = check.row.on_tape and -RESOLUTION <= check.margin < job.duty.measuring_tolerance_mm - RESOLUTION
        assert (check.state == "tight") == tight
    not_ok = [check.id for check in answer.checks if check.state != "ok"]
    codes = [warning.code for warning in answer.warnings]
    assert codes[: len(not_ok)] == not_ok
    assert set(codes[len(not_ok) :]) <= set(OTHER_ROWS)
    assert len(codes) == len(set(codes))
    assert set(codes) <= set(CODES)
    for warning in answer.warnings:
        if warning.code in ROWS:
            assert warning.severity in severities_of(warning.code)
            assert warning.pointer == ROWS[warning.code].pointer
        else:
            assert warning.severity == OTHER_ROWS[warning.code].severity
    musts = [check for check in answer.checks if check.kind == "must"]
    failed = any(check.state == "fails" for check in musts)
    cautions = any(check.state == "tight" for check in musts) or "caution" in {one.severity for one in answer.warnings}
    assert answer.verdict == ("does_not_fit" if failed else "fits_with_cautions" if cautions else "fits")


@settings(max_examples=25)
@given(draws.jobs())
def test_what_is_cut_adds_up(job):
    # the curtain fills both slots but for the end gaps when hot, and keeps the engagement when cold and pushed aside
    answer, track, duty = fit(job).answer, job.hardware.track, job.duty
    body = {"steel": 12e-6, "aluminium": 23e-6, "composite": 10e-6}[job.opening.body]
    lips = answer.tracks.lips_mm

    def grown(length, per_k, temperature):
        return length * (1 + per_k * (temperature - 20))

    room = grown(lips, body, duty.temperature_max_c) + 2 * track.slot_depth_mm
    hot = grown(answer.curtain.slat_length_mm, 23e-6, duty.temperature_max_c)
    cold = grown(answer.curtain.slat_length_mm, 23e-6, duty.temperature_min_c)
    assert room - hot == pytest.approx(2 * track.end_gap_mm, abs=ROUNDING)
    left = cold - grown(lips, body, duty.temperature_min_c) - track.slot_depth_mm
    assert left == pytest.approx(answer.curtain.engagement_mm, abs=ROUNDING)
    assert answer.seals.top_cut_length_mm == lips
    assert answer.daylight.width_mm <= job.opening.width_mm
    assert answer.tracks.outer_width_mm == job.opening.width_mm + 2 * job.mount.track_beyond_mm
    # the tube lies between its brackets, the brackets between the plates, the plates within the tracks
    between = answer.tracks.outer_width_mm - answer.curtain.tube_length_mm
    assert between == pytest.approx(2 * (4 + 14), abs=ROUNDING)
    assert answer.curtain.bottom_seal_length_mm < lips
    assert (answer.drip_rail is not None) == ("drip_rail" in job.options)


@settings(max_examples=25)
@given(st.one_of(draws.jobs(), draws.odd_jobs()), st.sampled_from([None, 1, 60, 200]))
@example(SWALLOWS_THE_WHEEL, 200)
def test_coils_stand_in_their_order_of_size(job, count):
    # the ideal strip is thinner, thick slats make it thicker, and an open curtain cannot wind more slats than it has
    made = fit(replace(job, slat_count=count)).answer.coil
    assert made.radius_ideal_mm < made.radius_mm < made.radius_thick_mm
    assert made.radius_open_mm <= made.radius_mm

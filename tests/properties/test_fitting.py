"""Properties of whole fittings for random openings, slats, mounts and places."""

from math import isfinite

import draws
import pytest
import samples
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from service.calculation import place
from service.calculation.answer import Answer
from service.calculation.checks import KINDS, RESOLUTION
from service.calculation.fitting import fit
from service.calculation.job import Job, Survey
from service.calculation.warnings import OTHER_KINDS, WARNING_KINDS

pytestmark = pytest.mark.slow

ROUNDING = 1e-9
"""Tolerance [mm] of sums and roots of numbers up to a few thousand."""

NEAR_THE_WHEEL = samples.job(
    {"height_mm": 250.0, "headroom_mm": 60.0, "depth_mm": 60.0},
    slat=samples.SLIM._replace(wheel_radius_mm=10.0, wheel_allowance_mm=23.0),
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


def place_of(answer: Answer) -> tuple[str, str, str, str]:
    """Tube, plate and holes."""
    return answer.curtain.tube, answer.side_plate.id, answer.wheel.hole, answer.bracket.hole


def figures(value: object) -> list[float]:
    """Every number of an answer."""
    if isinstance(value, tuple):
        return [number for part in value for number in figures(part)]
    return [value] if isinstance(value, float) else []


@settings(max_examples=150)
@given(draws.jobs(), draws.tenths(0, 1500))
def test_coil_never_shrinks_at_the_same_place_when_the_opening_grows(job: Job, more_mm: float) -> None:
    job = samples.fixed(job._replace(slat_count=None, measured_coil_radius_mm=None))
    taller = job._replace(opening=job.opening._replace(height_mm=job.opening.height_mm + more_mm))
    low, high = fit(job), fit(taller)
    assert high.coil.radius_mm >= low.coil.radius_mm
    assert high.curtain.slat_count >= low.curtain.slat_count


@settings(max_examples=150)
@given(draws.jobs(), draws.tenths(0, 100))
def test_coil_shrinks_only_by_moving_elsewhere_when_the_opening_grows(job: Job, more_mm: float) -> None:
    # With a free choice a taller opening may be served from another place, whose shorter path needs a slat less.
    job = job._replace(slat_count=None, measured_coil_radius_mm=None)
    low = fit(job)
    high = fit(job._replace(opening=job.opening._replace(height_mm=job.opening.height_mm + more_mm)))
    assert high.coil.radius_mm >= low.coil.radius_mm or place_of(high) != place_of(low)


@settings(max_examples=250)
@given(draws.jobs(), st.sampled_from(["headroom_mm", "depth_mm"]), draws.tenths(0, 600))
def test_more_room_never_makes_a_misfit(job: Job, name: str, more_mm: float) -> None:
    roomier = job._replace(opening=job.opening._replace(**{name: getattr(job.opening, name) + more_mm}))
    assert fit(job).verdict == "does_not_fit" or fit(roomier).verdict != "does_not_fit"


@settings(max_examples=100)
@given(
    draws.jobs(),
    st.lists(draws.tenths(250, 1500), min_size=2, max_size=5),
    st.lists(draws.tenths(250, 2400), min_size=2, max_size=5),
    st.tuples(draws.tenths(250, 2800), draws.tenths(250, 2800)),
    st.randoms(use_true_random=False),
)
def test_order_of_a_surveys_readings_does_not_matter(
    job: Job, widths: list[float], heights: list[float], diagonals: tuple[float, float], random: object
) -> None:
    def surveyed(widths: list[float], heights: list[float], diagonals: tuple[float, float]) -> Answer:
        survey = Survey(tuple(widths), tuple(heights), diagonals)
        return fit(job._replace(opening=job.opening._replace(survey=survey)))

    one = surveyed(widths, heights, diagonals)
    other = surveyed(random.sample(widths, len(widths)), random.sample(heights, len(heights)), diagonals[::-1])
    assert one._replace(checks=(), warnings=()) == other._replace(checks=(), warnings=())
    assert [(check.id, check.state) for check in one.checks] == [(check.id, check.state) for check in other.checks]
    # means are sums, whose last bit depends on the order
    assert figures(one.checks) == pytest.approx(figures(other.checks), abs=ROUNDING)


@settings(max_examples=60)
@given(draws.jobs())
def test_a_survey_counts_as_its_smallest_readings(job: Job) -> None:
    opening = job.opening
    survey = Survey((opening.width_mm + 1, opening.width_mm), (opening.height_mm, opening.height_mm + 2.5), (2000.0, 2000.0))
    surveyed = fit(job._replace(opening=opening._replace(width_mm=1.0, height_mm=1.0, survey=survey)))
    plain = fit(job)
    assert surveyed.coil == plain.coil
    assert (surveyed.curtain, surveyed.tracks) == (plain.curtain, plain.tracks)


@settings(max_examples=150)
@given(st.one_of(draws.jobs(), draws.odd_jobs()))
@example(NEAR_THE_WHEEL)
def test_choice_is_the_first_trial_that_passes_or_the_best(job: Job) -> None:
    tried = list(place.trials(job))
    passing = [trial for trial in tried if trial.worst_margin_mm >= -RESOLUTION]
    expected = passing[0] if passing else max(tried, key=lambda trial: trial.rank)
    assert place.choose(job) == expected


@settings(max_examples=100, suppress_health_check=[HealthCheck.data_too_large, HealthCheck.too_slow])
@given(st.one_of(draws.jobs(), draws.odd_jobs()), st.data())
def test_every_refused_trial_names_a_check_that_fails_by_so_much(job: Job, data: st.DataObject) -> None:
    # A trial of one place and a fitting that has only this place must tell the same story.
    trial = data.draw(st.sampled_from(list(place.trials(job))))
    tube, plate, wheel_hole, bracket_hole = trial.candidate
    answer = fit(samples.only(job, tube=tube, plate=plate, wheel_hole=wheel_hole, bracket_hole=bracket_hole))
    named = samples.check_of(answer, trial.worst_check)
    assert answer.curtain.slat_count == trial.slat_count
    assert KINDS[trial.worst_check].role == "fit"
    if named.unit == "mm":
        assert named.margin == pytest.approx(trial.worst_margin_mm, abs=ROUNDING)
    if trial.worst_margin_mm < -RESOLUTION:
        assert named.state == "fails"
        assert answer.verdict == "does_not_fit"
    else:
        own = {"hinge_on_wheel", "slat_width"}  # the slat's alone: no place can change them
        assert {check.id for check in answer.checks if KINDS[check.id].role == "fit" and check.state == "fails"} <= own


@settings(max_examples=200)
@given(st.one_of(draws.jobs(), draws.odd_jobs()))
def test_answers_are_consistent_in_themselves(job: Job) -> None:
    answer = fit(job, with_geometry=True)
    assert all(isfinite(number) for number in figures(answer))
    assert [check.id for check in answer.checks] == [id for id in KINDS if id in {check.id for check in answer.checks}]
    for check in answer.checks:
        expected = check.limit - check.value if check.direction == "at_most" else check.value - check.limit
        assert check.margin == expected
        assert (check.state == "fails") == (check.margin < -RESOLUTION)
    not_ok = [check.id for check in answer.checks if check.state != "ok"]
    codes = [warning.code for warning in answer.warnings]
    assert codes[: len(not_ok)] == not_ok
    assert set(codes[len(not_ok) :]) <= set(OTHER_KINDS)
    assert len(codes) == len(set(codes))
    for warning in answer.warnings:
        assert warning.severity in WARNING_KINDS[warning.code].severities
        assert warning.field == WARNING_KINDS[warning.code].field
    severities = {warning.severity for warning in answer.warnings}
    expected_verdict = "fits_with_cautions" if "caution" in severities else "fits"
    assert answer.verdict == ("does_not_fit" if "stop" in severities else expected_verdict)


@settings(max_examples=100)
@given(draws.jobs())
def test_what_is_cut_adds_up(job: Job) -> None:
    # the curtain fills both slots but for the end gaps when hot, and keeps the engagement when cold and pushed aside
    answer, track, duty = fit(job), job.hardware.track, job.duty
    room = answer.daylight.width_mm + 2 * track.slot_depth_mm
    hot = answer.curtain.slat_length_mm * (1 + 23e-6 * (duty.temperature_max_c - 20))
    cold = answer.curtain.slat_length_mm * (1 + 23e-6 * (duty.temperature_min_c - 20))
    assert room - hot == pytest.approx(2 * track.end_gap_mm, abs=ROUNDING)
    assert cold - track.slot_depth_mm - answer.daylight.width_mm == pytest.approx(answer.curtain.engagement_mm, abs=ROUNDING)
    assert answer.seals.top_cut_length_mm == answer.daylight.width_mm
    assert answer.tracks.outer_width_mm == job.opening.width_mm + 2 * job.mount.track_beyond_mm
    assert (answer.drip_rail is not None) == ("drip_rail" in job.options)


@settings(max_examples=150)
@given(st.one_of(draws.jobs(), draws.odd_jobs()), st.sampled_from([None, 1, 60, 200]))
@example(SWALLOWS_THE_WHEEL, 200)
def test_coils_stand_in_their_order_of_size(job: Job, count: int | None) -> None:
    # the ideal strip is thinner, thick slats make it thicker, and an open curtain cannot wind more slats than it has
    made = fit(job._replace(slat_count=count)).coil
    assert made.radius_ideal_mm < made.radius_mm < made.radius_thick_mm
    assert made.radius_open_mm <= made.radius_mm

"""Cures, case by case; that every cure cures is tried on random openings in the property tests."""

from dataclasses import replace

import pytest
import samples

from service.calculation.cures import CURES_MAX, cures
from service.calculation.fitting import fit, verdict
from service.calculation.job import Survey


def told(job, *, tube_named=False):
    """The cures of a job: pointers and values, and the verdict."""
    found = cures(job, samples.OFFER, tube_named=tube_named)
    return [([(change.pointer, change.value) for change in cure.changes], cure.verdict) for cure in found]


def pointers(job, **named):
    """The pointers of a job's cures in their order."""
    return [[pointer for pointer, _ in changes] for changes, _ in told(job, **named)]


def test_what_fits_needs_no_cure():
    assert told(samples.JOB) == []


def test_headroom_that_is_short_is_cured_by_the_least_whole_millimetre():
    job = samples.job({"headroom_mm": 175.0})
    (value,) = [value for changes, _ in told(job) for pointer, value in changes if pointer == "/opening/headroom_mm"]
    assert verdict(samples.reopened(job, headroom_mm=value)) != "does_not_fit"
    assert verdict(samples.reopened(job, headroom_mm=value - 1)) == "does_not_fit"


def test_what_costs_nothing_on_the_vehicle_comes_first():
    job = samples.job({"headroom_mm": 175.0})
    order = [
        "/shutter/tube",
        "/shutter/side_plate",
        "/opening/plate_offset_mm",
        "/shutter/mount",
        "/shutter/slat",
        "/opening/headroom_mm",
        "/opening/depth_mm",
        "/opening/height_mm",
        "/opening/width_mm",
        "/duty/road_speed_km_h",
    ]
    kinds = [order.index(changes[0]) for changes in pointers(job)]
    assert kinds == sorted(kinds)
    assert 1 <= len(kinds) <= CURES_MAX


def test_a_tube_that_is_named_may_be_exchanged():
    # no spring can be made for T50 here, and T70 has one
    job = samples.job(
        {"width_mm": 400.0, "height_mm": 1600.0, "headroom_mm": 500.0, "depth_mm": 900.0}, tubes=(samples.T50,)
    )
    assert ([("/shutter/tube", "T70")], verdict(replace(job, tubes=(samples.T70,)))) in told(job, tube_named=True)


def test_a_plate_that_is_named_may_be_exchanged():
    job = samples.job({"headroom_mm": 230.0}, side_plates=(samples.P300,))
    assert verdict(job) == "does_not_fit"
    assert told(job)[0][0] == [("/shutter/side_plate", "P240")]


@pytest.mark.slow
def test_a_measured_radius_may_be_left_out_and_slats_counted_anew():
    measured = samples.job(measured_coil_radius_mm=170.0, side_plates=(samples.P240,))
    assert ([("/shutter/measured_coil_radius_mm", None)], "fits") in told(measured)
    counted = samples.job(slat_count=50)
    values = [value for changes, _ in told(counted) for pointer, value in changes if pointer == "/shutter/slat_count"]
    # regression: the usual hole takes 54, one nearer to the wheel 53
    assert values == [53.0]
    assert verdict(replace(counted, slat_count=52)) == "does_not_fit"
    assert ["/shutter/slat"] not in pointers(counted)


def test_a_slower_road_holds_a_bowed_slat():
    job = samples.job({"width_mm": 1600.0}, duty=samples.duty(road_speed_km_h=150.0))
    assert verdict(job) == "does_not_fit"
    speeds = [value for changes, _ in told(job) for pointer, value in changes if pointer == "/duty/road_speed_km_h"]
    assert len(speeds) == 1
    slower = replace(job, duty=samples.duty(road_speed_km_h=speeds[0]))
    assert verdict(slower) != "does_not_fit"
    assert verdict(replace(job, duty=samples.duty(road_speed_km_h=speeds[0] + 1))) == "does_not_fit"


def test_a_surveyed_opening_is_replaced_by_both_figures():
    survey = Survey(widths_mm=(1183.0, 1180.5), heights_mm=(1420.0, 1421.0))
    job = samples.job({"survey": survey, "width_mm": 0.0, "height_mm": 0.0, "headroom_mm": 300.0, "depth_mm": 265.0})
    assert verdict(job) == "does_not_fit"
    surveyed = [changes for changes, _ in told(job) if changes[0][0] == "/opening/survey"]
    assert surveyed
    for changes in surveyed:
        assert [pointer for pointer, _ in changes] == ["/opening/survey", "/opening/width_mm", "/opening/height_mm"]
        assert changes[0][1] is None


def test_pairs_where_no_single_change_does():
    # two plates' worth of headroom and of depth are missing at once
    job = samples.job({"headroom_mm": 150.0, "depth_mm": 200.0})
    found = told(job)
    assert found
    assert {len(changes) for changes, _ in found} == {2}


def test_nothing_where_nothing_does():
    job = samples.job({"width_mm": 3000.0, "height_mm": 3000.0, "headroom_mm": 60.0, "depth_mm": 60.0})
    assert told(job) == []


@pytest.mark.parametrize("opening", [{"headroom_mm": 175.0}, {"depth_mm": 250.0}, {"width_mm": 1700.0}])
def test_a_cure_tells_the_verdict_that_it_leads_to(opening):
    for cure in cures(samples.job(opening), samples.OFFER, tube_named=False):
        assert fit(cure.changes[-1].job).answer.verdict == cure.verdict

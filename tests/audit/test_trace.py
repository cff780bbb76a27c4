"""Traces: every step can be evaluated again, none stands there twice, and every figure of an answer is explained by one."""

import sys
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from inspect import signature
from math import inf, nextafter

import draws
import forces
import pytest
import samples
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from service.audit.replay import replay
from service.audit.trace import noted, noting_copy
from service.calculation import balance, spring, strength, tracks, trial, wiring
from service.calculation.fitting import fit
from service.calculation.job import Survey
from service.calculation.rules import RULES

SURVEYED = samples.job(
    {
        "survey": Survey(widths_mm=(1183.7, 1186.3), heights_mm=(1420.9, 1427.1), diagonals_mm=(1851.3, 1858.2)),
        "obstacles": (samples.box(101.7, -611.3, 23.9, 31.1), samples.box(411.3, 210.7, 33.7, 17.3)),
        "wall_gap_left_mm": 12.3,
        "wall_gap_right_mm": 31.7,
        "sill_above_ground_mm": 911.3,
        "load_gap_mm": 23.7,
    },
    options=samples.OPTIONS,
    duty=samples.duty(road_speed_km_h=103.7),
)
"""A job that applies nearly every rule, with measures that no other figure has by chance."""


def thick():
    """A job whose roof clearance is nearly all used up by slats of the nominal thickness."""
    roomy = samples.fixed(samples.job({"headroom_mm": 400.0}))
    answer = fit(roomy).answer
    return samples.reopened(roomy, headroom_mm=answer.bracket.z_mm + answer.coil.radius_mm + 20.1)


JOBS = {
    "surveyed": SURVEYED,
    "surveyed, lapping": replace(SURVEYED, mount=samples.FACE),
    "existing": replace(SURVEYED, slat_count=61, measured_coil_radius_mm=91.37),
    "too low": samples.reopened(SURVEYED, headroom_mm=151.3),
    "no room for a spring": samples.reopened(forces.NARROW, width_mm=301.3, height_mm=1907.1),
    "thick": thick(),
}
every_job = pytest.mark.parametrize("job", JOBS.values(), ids=JOBS)
any_job = st.one_of(draws.jobs(), draws.odd_jobs(), draws.surveyed_jobs())


@settings(max_examples=30)
@given(any_job)
def test_replay_gives_every_step_again_to_the_last_bit(job):
    _, steps = samples.traced(job)
    assert steps
    assert replay(steps=steps, rules=RULES) == []
    # equality of floats lets 0.0 pass for -0.0; their written form does not
    assert all(repr(RULES[step.rule.id](**step.inputs)) == repr(step.value) for step in steps)


@settings(max_examples=30)
@given(any_job)
def test_the_noting_copy_comes_to_the_same_answer(job):
    made = fit(job)
    again, _ = samples.traced(job, made)
    assert samples.plain(again.answer) == samples.plain(made.answer)
    assert samples.plain(again.moved) == samples.plain(made.moved)


PARTS_OF_A_SIZE = {"parts.screws_along", "parts.packer_thickness_mm"}
"""Two parts may have the same size by chance, and each is counted."""


@settings(max_examples=30)
@given(any_job)
def test_no_rule_is_applied_twice_to_the_same_numbers(job):
    made = fit(job)
    # a coil that swallows its wheel is wound whole when open, and its open radius is that of all slats; a measured coil may
    # by chance be as thin as the strap on the bare tube
    assume(made.moved.wound_slats[-1] < made.trial.slat_count)
    assume(made.trial.radius_checked_mm != made.trial.position.strap_radius_mm + job.slat.thickness_mm / 2)
    _, steps = samples.traced(job, made)
    applied = Counter((step.rule.id, repr(step.inputs)) for step in steps if step.rule.id not in PARTS_OF_A_SIZE)
    assert [id for (id, _), count in applied.items() if count > 1] == []


def numbers(value, path=""):
    """Every number of what the core made, with where it stands."""
    if isinstance(value, (list, tuple)):
        return [found for one in value for found in numbers(one, f"{path}[]")]
    if hasattr(value, "__dict__"):
        return [found for name, one in vars(value).items() for found in numbers(one, f"{path}.{name}".strip("."))]
    return [(path, value)] if isinstance(value, (int, float)) and not isinstance(value, bool) else []


IN_CODE = {
    trial.UPRIGHT_DEG,
    strength.ALUMINIUM_YIELD_MPA,
    spring.STRESS_IN_HAND,
    balance.LIFT_LEFT_MIN_N,
    wiring.DROP_PERCENT_MAX,
    0.0,
    1.0,
}
"""Limits that no catalogue changes: each a constant with its source."""

COUNTED = {
    "bracket.row",
    "bracket.column",
    "lifting.persons",  # one or two, by comparing the mass lifted with the recommended one
    "parts[].quantity",
    "checks[].row.order",
}
"""Counts and places in a list."""

NO_RULE = {
    "checks[].margin",  # value and limit of the same check, which a test below takes from each other
    "checks[].margin_mm",  # the margin as a length, for comparing places; no answer shows it
    "warnings[].remedy_value",  # advice: a shortfall rounded to the tenth that cures, tried with the warnings
}
"""What is no figure of the shutter."""

TURNED = {
    "balance.curve[].torque_needed_n_m": lambda value_n_mm: value_n_mm / 1000,
    "balance.curve[].torque_given_n_m": lambda value_n_mm: value_n_mm / 1000,
    "parts[].cut_length_mm": lambda cable_m: 1000 * cable_m,
    "warnings[].limit": lambda share: 100 * share,
    "checks[].value": abs,  # how far an opening leans, either way
    "warnings[].value": abs,
}
"""Figures that stand in another unit, or without the sign, of the rule's value or the input that they are."""


def unexplained(job, made):
    """Where an answer has numbers that are neither a step's value nor an input nor a count."""
    _, steps = samples.traced(job, made)
    known = {number for step in steps for _, number in numbers(step.value)}
    known |= {number for _, number in [*numbers(job), *numbers(made.choice)]}
    for row in (*job.tubes, *job.side_plates):
        known |= {number for _, number in numbers(row)}
    known |= IN_CODE
    turned = {path: {turn(number) for number in known} for path, turn in TURNED.items()}
    return {
        path
        for path, number in numbers(made.answer)
        if path not in COUNTED | NO_RULE and number not in known and number not in turned.get(path, ())
    }


@every_job
def test_every_figure_has_its_rule(job):
    assert unexplained(job, fit(job)) == set()


@settings(max_examples=25)
@given(any_job)
def test_every_figure_of_any_answer_has_its_rule(job):
    assert unexplained(job, fit(job)) == set()


@every_job
def test_a_margin_is_what_value_and_limit_leave(job):
    for check in fit(job).answer.checks:
        expected = check.limit - check.value if check.direction == "at_most" else check.value - check.limit
        assert check.margin == expected


def test_the_jobs_here_apply_every_rule_of_a_fitting():
    applied = {step.rule.id for job in JOBS.values() for step in samples.traced(job)[1]}
    elsewhere = {id for id in RULES if id.partition(".")[0] in {"calibration", "care"}}
    assert set(RULES) - applied == elsewhere


@every_job
def test_every_input_of_a_rule_is_noted_by_name(job):
    _, steps = samples.traced(job)
    for step in steps:
        assert set(step.inputs) == set(signature(RULES[step.rule.id]).parameters)


def test_a_trace_of_a_misfit_holds_the_failing_figures():
    job = JOBS["too low"]
    made = fit(job)
    assert made.answer.verdict == "does_not_fit"
    _, steps = samples.traced(job, made)
    (top,) = [step.value for step in steps if step.rule.id == "wheel.plate_top_z_mm"]
    assert top == samples.check_of(made.answer, "plate_height").value


@pytest.mark.parametrize("towards", [inf, -inf])
def test_replay_tells_a_value_that_is_off_by_the_last_bit(towards):
    _, steps = samples.traced(samples.JOB)
    position = next(index for index, step in enumerate(steps) if step.rule.id == "coil.turns")
    altered = list(steps)
    altered[position] = altered[position]._replace(value=nextafter(altered[position].value, towards))
    (difference,) = replay(steps=altered, rules=RULES)
    assert (difference.position, difference.rule) == (position, "coil.turns")
    assert difference.recorded == altered[position].value
    assert difference.replayed == steps[position].value


def test_replay_tells_an_input_that_was_altered():
    _, steps = samples.traced(samples.JOB)
    position = next(index for index, step in enumerate(steps) if step.rule.id == "tracks.track_length_mm")
    inputs = {**steps[position].inputs, "sill_gap_mm": 3.0}
    steps[position] = steps[position]._replace(inputs=inputs)
    assert [difference.rule for difference in replay(steps=steps, rules=RULES)] == ["tracks.track_length_mm"]


def test_replay_refuses_a_rule_that_does_not_exist():
    _, steps = samples.traced(samples.JOB)
    with pytest.raises(LookupError):
        replay(steps=steps, rules={})


def test_nothing_is_noted_outside_of_a_trace_nor_by_the_plain_calculation():
    copy = noting_copy("service.calculation", "fitting")
    copy.fit(samples.JOB)
    with noted() as steps:
        fit(samples.JOB)
    assert steps == []


def test_a_trace_inside_another_keeps_its_steps_to_itself():
    copy = noting_copy("service.calculation", "tracks")
    with noted() as outer:
        copy.striker_height_mm(bottom_seal_compressed_mm=16.0, bolt_axis_mm=20.0)
        with noted() as inner:
            copy.daylight_width_mm(lips_mm=1144.0, opening_width_mm=1180.0)
    assert [step.rule.id for step in outer] == ["tracks.striker_height_mm"]
    assert [step.rule.id for step in inner] == ["tracks.daylight_width_mm"]


def test_a_step_has_the_rule_of_the_original():
    with noted() as steps:
        noting_copy("service.calculation", "tracks").lips_mm(outer_width_mm=1180.0, track_wall_mm=18.0)
    (step,) = steps
    assert RULES[step.rule.id] is tracks.lips_mm
    assert (step.inputs, step.value) == ({"outer_width_mm": 1180.0, "track_wall_mm": 18.0}, 1144.0)


def test_the_copy_never_fetches_the_originals():
    for name, module in list(sys.modules.items()):
        if name.startswith("service.calculation_noting"):
            for member in vars(module).values():
                assert not getattr(member, "__module__", "").startswith("service.calculation."), (name, member)


def test_there_is_no_copy_of_what_is_not_there():
    with pytest.raises(ModuleNotFoundError):
        noting_copy("service.nowhere", "fitting")
    with pytest.raises(ModuleNotFoundError):
        noting_copy("service.calculation", "nothing")


def test_traces_of_threads_keep_apart():
    jobs = [samples.job({"width_mm": 700.0 + 11 * number, "height_mm": 900.0 + 7 * number}) for number in range(24)]
    alone = [samples.traced(job)[1] for job in jobs]
    with ThreadPoolExecutor(8) as threads:
        together = [steps for _, steps in threads.map(samples.traced, jobs)]
    assert together == alone

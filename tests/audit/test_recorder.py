"""Recording what was applied, and evaluating it again."""

from collections.abc import Callable
from inspect import signature
from math import inf, nextafter

import draws
import pytest
import samples
from hypothesis import given, settings
from hypothesis import strategies as st

from service.audit.recorder import Recorder, plain
from service.audit.replay import replay
from service.calculation import coil, tracks
from service.calculation.fitting import fit
from service.calculation.job import Job, Survey
from service.calculation.rules import RULES

SURVEYED = samples.job(
    {"survey": Survey((1180.0, 1184.0), (1420.0, 1421.5), (1850.0, 1842.0))}, options=frozenset({"drip_rail"})
)
"""A job that applies every rule of the section."""


@settings(max_examples=60)
@given(st.one_of(draws.jobs(), draws.odd_jobs()))
def test_replay_gives_every_step_again_to_the_last_bit(job: Job) -> None:
    recorder = Recorder()
    fit(job, use=recorder)
    assert recorder.steps
    assert replay(steps=recorder.steps, rules=RULES) == []
    # equality of floats lets 0.0 pass for -0.0; their written form does not
    assert all(repr(RULES[step.rule.id](**step.inputs)) == repr(step.value) for step in recorder.steps)


@settings(max_examples=60)
@given(draws.jobs())
def test_recording_changes_nothing(job: Job) -> None:
    assert fit(job, use=Recorder(), with_geometry=True) == fit(job, with_geometry=True)


def test_figures_of_the_answer_are_values_of_steps() -> None:
    recorder = Recorder()
    answer = fit(SURVEYED, use=recorder)
    values: dict[str, list[object]] = {}
    for step in recorder.steps:
        values.setdefault(step.rule.id, []).append(step.value)
    assert answer.coil.radius_mm in values["coil.outer_radius_mm"]
    assert answer.coil.radius_thick_mm in values["coil.outer_radius_mm"]
    assert answer.coil.turns in values["coil.turns"]
    assert answer.wheel.entry_shift_mm in values["wheel.entry_shift_mm"]
    assert answer.bracket.to_wheel_mm in values["path.centre_distance_mm"]
    assert answer.curtain.slat_length_mm in values["curtain.slat_length_mm"]
    assert answer.daylight.height_mm in values["tracks.daylight_height_mm"]


def test_every_input_of_a_rule_is_noted_by_name() -> None:
    recorder = Recorder()
    fit(SURVEYED, use=recorder)
    for step in recorder.steps:
        assert set(step.inputs) == set(signature(RULES[step.rule.id]).parameters)


def test_steps_stand_in_the_order_of_application() -> None:
    recorder = Recorder()
    fit(SURVEYED, use=recorder)
    ids = [step.rule.id for step in recorder.steps]
    assert ids[:2] == ["survey.opening_width_mm", "survey.opening_height_mm"]
    assert ids.index("wheel.plate_front_x_mm") < ids.index("path.centre_distance_mm") < ids.index("curtain.slats_needed")


@pytest.mark.parametrize("towards", [inf, -inf])
def test_replay_tells_a_value_that_is_off_by_the_last_bit(towards: float) -> None:
    recorder = Recorder()
    fit(samples.JOB, use=recorder)
    position = next(index for index, step in enumerate(recorder.steps) if step.rule.id == "coil.turns")
    altered = list(recorder.steps)
    altered[position] = altered[position]._replace(value=nextafter(altered[position].value, towards))
    (difference,) = replay(steps=altered, rules=RULES)
    assert (difference.position, difference.rule) == (position, "coil.turns")
    assert difference.recorded == altered[position].value
    assert difference.replayed == recorder.steps[position].value


def test_replay_tells_an_input_that_was_altered() -> None:
    recorder = Recorder()
    fit(samples.JOB, use=recorder)
    position = next(index for index, step in enumerate(recorder.steps) if step.rule.id == "tracks.track_length_mm")
    altered = list(recorder.steps)
    inputs = {**altered[position].inputs, "sill_gap_mm": 3.0}
    altered[position] = altered[position]._replace(inputs=inputs)
    assert [difference.rule for difference in replay(steps=altered, rules=RULES)] == ["tracks.track_length_mm"]


def test_replay_refuses_a_rule_that_does_not_exist() -> None:
    recorder = Recorder()
    recorder(coil.turns)(angle_rad=1.0)
    with pytest.raises(LookupError):
        replay(steps=recorder.steps, rules={})


@pytest.mark.parametrize("function", [coil.turns, tracks.drip_rail_length_mm])
def test_without_a_recorder_the_rule_itself_is_called(function: Callable[..., float]) -> None:
    assert plain(function) is function


def test_recorder_notes_inputs_and_value() -> None:
    recorder = Recorder()
    assert recorder(tracks.drip_rail_length_mm)(outer_track_width_mm=1180.0, drip_rail_beyond_mm=15.0) == 1210.0
    (step,) = recorder.steps
    assert step.rule.id == "tracks.drip_rail_length_mm"
    assert step.inputs == {"outer_track_width_mm": 1180.0, "drip_rail_beyond_mm": 15.0}
    assert step.value == 1210.0


def test_recorder_takes_only_rules() -> None:
    with pytest.raises(LookupError):
        Recorder()(len)

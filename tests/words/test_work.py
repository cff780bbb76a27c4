"""The order of work: what comes when, with which parts, and with which cautions."""

from dataclasses import replace

import pytest
import samples
from words import jobs

from service.calculation.fitting import fit
from service.calculation.job import Survey
from service.calculation.survey import laps_mm
from service.words import LANGUAGES, words_of
from service.words.figures import depth_to_stand_tracks_mm
from service.words.work import PARTS, TITLES


def work(language="en", **changes):
    """The steps of a changed sample job by key."""
    return {step.key: step for step in words_of(fit(jobs.job(**changes)), language=language).work}


def test_the_steps_stand_in_the_trades_order():
    steps = work(options=samples.OPTIONS, wall_gap_left_mm=5.0, sill_above_ground_mm=1000.0)
    assert list(steps) == [key for key in TITLES if key != "top_seal"]
    bare = work(options=frozenset())
    left_out = {"perimeter_seal", "packers", "drip_rail", "handles", "electrical"}
    assert list(bare) == [key for key in TITLES if key not in left_out]


def test_every_part_is_used_by_a_step_and_every_steps_part_is_in_the_parcel():
    for one in jobs.drawn_fittings():
        keys = {part.key for part in one.answer.parts}
        steps = [step.key for step in words_of(one).work]
        used = {key for step in steps for key in PARTS.get(step, ())}
        assert keys <= used
        for step in steps:
            assert step not in PARTS or keys & set(PARTS[step]), step


def test_a_top_seal_is_fixed_once():
    for one in jobs.drawn_fittings():
        steps = {step.key for step in words_of(one).work}
        assert len(steps & {"top_seal", "drip_rail"}) == 1


@pytest.mark.parametrize("language", LANGUAGES)
def test_turns_and_energies_are_told_where_the_spring_is_handled(language):
    calculated = fit(jobs.JOB)
    balance = calculated.answer.balance
    spoken = words_of(calculated, language=language)
    steps = {step.key: step for step in spoken.work}
    energies = [f"{balance.energy_open_j:.0f} J", f"{balance.energy_closed_j:.0f} J"]
    text = steps["pretension"].text
    assert all(energy in text for energy in energies)
    mark = "." if language == "en" else ","
    for told in (f"{balance.pretension_turns * 2:.0f}", f"{balance.pretension_turns:.1f}", f"{balance.turns_closed:.1f}"):
        assert told.removesuffix(".0").replace(".", mark) in text
    caution = next(one.text for one in spoken.cautions if one.code == "stored_energy")
    assert all(energy in caution for energy in energies)
    handled = {key for key, step in steps.items() if "stored_energy" in step.cautions}
    assert handled == {"strap_on", "pretension", "tracks", "trial_runs", "unwinding"}


def test_nothing_is_wound_where_no_spring_can_be_made():
    one = next(one for one in jobs.drawn_fittings() if not one.choice.made)
    spoken = words_of(one)
    steps = {step.key: step for step in spoken.work}
    assert "wind nothing" in steps["pretension"].text
    assert " J" not in next(caution.text for caution in spoken.cautions if caution.code == "stored_energy")
    assert " J" not in steps["unwinding"].text


def test_springs_that_cannot_be_made_are_not_said_to_last():
    told = "springs are calculated for"
    found = {True: 0, False: 0}
    for one in jobs.drawn_fittings():
        text = next(step.text for step in words_of(one).work if step.key == "maintenance")
        assert (told in text) == one.choice.made
        found[one.choice.made] += 1
    assert all(found.values())


def test_every_caution_that_a_step_calls_for_has_its_text():
    for one in jobs.drawn_fittings():
        spoken = words_of(one)
        called = {code for step in spoken.work for code in step.cautions}
        assert {caution.code for caution in spoken.cautions} == called
        assert len(spoken.cautions) == len(called)


def test_local_codes_come_first_and_nobody_drives_open():
    for one in jobs.drawn_fittings():
        steps = words_of(one).work
        assert "rules_first" in steps[0].cautions
        assert any("driving" in step.cautions for step in steps)


def test_a_bracket_above_the_roof_is_told_as_above():
    # moved by hand
    one = fit(jobs.JOB)
    for below_mm, told in ((30.0, "30 mm below the roof"), (-30.0, "30 mm above the roof")):
        one.answer.bracket.below_roof_mm = below_mm
        text = next(step.text for step in words_of(one).work if step.key == "bracket")
        assert told in text
        assert "\N{MINUS SIGN}" not in text


def test_what_does_not_fit_is_not_to_be_built():
    for one in jobs.drawn_fittings():
        first = words_of(one).work[0].cautions
        assert ("not_to_be_built" in first) == (one.answer.verdict == "does_not_fit")


def test_who_works_inside_is_not_shut_in():
    assert "shut_in" in work(fitted_from="inside")["parcel"].cautions
    assert "shut_in" not in work()["parcel"].cautions


def test_electrical_work_begins_with_the_supply_off():
    assert work(options=frozenset({"electric_lock"}))["electrical"].cautions == ("supply_off",)


@pytest.mark.parametrize("cable_run_m", [0.0, 4.0])
@pytest.mark.parametrize(
    ("language", "told"), [("en", "less than 0.1 A"), ("de", "weniger als 0,1 A"), ("fr", "moins de 0,1 A")]
)
def test_a_current_that_rounds_to_none_is_told_as_little(language, told, cable_run_m):
    text = work(language, options=frozenset({"door_switch"}), cable_run_m=cable_run_m)["electrical"].text
    assert told in text
    assert " 0 A" not in text
    # two lights of 1406 mm at 7.2 W/m on 12 V; hand derivation
    assert "1.7 A at most" in work(options=frozenset({"strip_light"}))["electrical"].text


@pytest.mark.parametrize(("depth_mm", "warned"), [(440.0, True), (460.0, False)])
def test_depth_for_lapping_tracks_is_told_and_warned_of(depth_mm, *, warned):
    steps = work(mount=samples.FACE, depth_mm=depth_mm)
    # √(2·71·1428), the track being 1420 + 10 − 2 long; hand derivation
    assert "about 450 mm of depth" in steps["tracks"].text
    assert ("little_depth" in steps["tracks"].cautions) == warned
    assert ("little_depth" in steps["offer_up"].cautions) == warned
    assert "little_depth" not in work(depth_mm=300.0)["tracks"].cautions


def test_depth_for_lapping_tracks_follows_the_track():
    assert depth_to_stand_tracks_mm(fit(jobs.job(mount=samples.FACE))) == pytest.approx((2 * 71 * 1428) ** 0.5)


def _people(calculated):
    return next(step.text for step in words_of(calculated).work if step.key == "curtain").partition("Pass")[0]


def test_who_lifts_follows_the_answer():
    small, middle, large = (
        fit(jobs.job(width_mm=width, height_mm=height))
        for width, height in ((400.0, 300.0), (800.0, 900.0), (1180.0, 1420.0))
    )
    assert [one.answer.lifting.persons for one in (small, middle, large)] == [1, 2, 2]
    assert [one.answer.lifting.lift_needed for one in (small, middle, large)] == [False, False, True]
    assert "one person can lift it" in _people(small)
    assert "two people lift it" in _people(middle)
    assert "two people with a trestle or lift" in _people(large)


def test_the_half_turn_that_stress_does_not_allow_is_not_proposed():
    one = fit(jobs.JOB)
    assert "wind half a turn more" in work()["trial_runs"].text
    one.answer.balance.stress_mpa = one.answer.balance.stress_limit_mpa
    text = next(step.text for step in words_of(one).work if step.key == "trial_runs")
    assert "does not allow half a turn more" in text


def test_packing_is_told_side_by_side_with_its_place():
    survey = Survey(widths_mm=(1180.0, 1184.0, 1186.0), heights_mm=(1420.0, 1420.0))
    calculated = fit(jobs.job(survey=survey))
    text = next(step.text for step in words_of(calculated).work if step.key == "tracks")
    assert calculated.answer.opening.packing
    for one in calculated.answer.opening.packing:
        side = "Left" if one.side == "left" else "Right"
        assert f"{side}, {one.at_mm:.0f} mm below the header's base: {one.thickness_mm:.0f} mm of packing" in text


def test_a_strap_that_nobody_needs_is_not_fitted():
    changes = {"options": frozenset({"pull_strap"}), "height_mm": 600.0}
    assert "handles" not in work(sill_above_ground_mm=300.0, **changes)
    assert "mm long" in work(sill_above_ground_mm=1600.0, **changes)["handles"].text
    assert "cut it so" in work(**changes)["handles"].text


@pytest.mark.parametrize(("cycles", "told"), [(10.0, "every 12 months"), (400.0, "every month")])
def test_care_follows_the_duty(cycles, told):
    assert told in work(cycles_per_day=cycles)["maintenance"].text


def test_tracks_of_another_catalogue_are_told_as_theirs():
    mount = replace(samples.REVEAL, plate_setback_mm=6.0)
    assert "6 mm behind the header's inner face" in work(mount=mount)["offer_up"].text
    assert "flush with the header's inner face" in work()["offer_up"].text


SURVEY = Survey(widths_mm=(702.0, 705.0, 709.0), heights_mm=(1500.0, 1504.0), diagonals_mm=(1660.0, 1654.0))


def test_a_surveyed_opening_is_measured_again_as_it_was_measured():
    # a tape finds the readings, not the width between plumb tracks; the seal lies on the edges themselves
    steps = work(survey=SURVEY, options=frozenset({"perimeter_seal"}))
    assert "702 / 705 / 709 mm wide, 1500 / 1504 mm high" in steps["parcel"].text
    assert "1504 mm up each jamb, 702 mm along the header" in steps["perimeter_seal"].text


def test_a_fitter_is_told_by_how_much_each_track_laps_where_the_opening_is_not_true():
    text = work(survey=SURVEY, mount=jobs.FACE)["offer_up"].text
    for told in laps_mm(SURVEY, track_beyond_mm=jobs.FACE.track_beyond_mm):
        assert " / ".join(f"{one:.1f}".removesuffix(".0") for one in told) in text

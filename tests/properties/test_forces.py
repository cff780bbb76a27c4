"""Properties of balance, strength and parcel for random jobs."""

from dataclasses import replace
from itertools import pairwise
from math import inf

import draws
import pytest
import samples
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from service.calculation.fitting import fit


def heavier(job, *, slat=1.0, bar=1.0):
    """The job with a heavier curtain, at the place that was chosen for it."""
    return replace(
        job,
        slat=replace(job.slat, mass_kg_per_m=job.slat.mass_kg_per_m * slat),
        hardware=replace(job.hardware, bar=replace(job.hardware.bar, mass_kg_per_m=job.hardware.bar.mass_kg_per_m * bar)),
    )


@settings(max_examples=20)
@given(draws.jobs(), st.floats(1.0, 3.0))
def test_a_heavier_curtain_never_lowers_the_closed_torque(job, by):
    # hand: the weight at the bar is in proportion to the masses
    job = samples.fixed(job)
    light, heavy, slats, bar = (
        fit(one).answer.balance.curve[0].torque_needed_n_m
        for one in (job, heavier(job, slat=by, bar=by), heavier(job, slat=by), heavier(job, bar=by))
    )
    assert heavy == pytest.approx(by * light, rel=1e-9)
    assert heavy >= light
    assert bar >= light
    # slats count below the axis only, and a lift that ends above it would lighten with them
    assert slats >= light or fit(job).answer.bracket.z_mm < fit(job).moved.bar_tops_mm[0]


@settings(max_examples=20)
@given(draws.usual_jobs(), st.floats(1.0, 3.0))
def test_a_heavier_curtain_never_needs_less_torque_anywhere_on_its_lift(job, by):
    assume(fit(job).answer.verdict != "does_not_fit")
    job = samples.fixed(job)
    light, heavy = (fit(one).answer.balance.curve for one in (job, heavier(job, slat=by)))
    assert all(more.torque_needed_n_m >= less.torque_needed_n_m for less, more in zip(light, heavy, strict=True))


@settings(max_examples=25)
@given(st.one_of(draws.jobs(), draws.odd_jobs()))
def test_figures_follow_from_the_curve(job):
    made = fit(job)
    told, answer = made.answer.balance, made.answer
    curve = told.curve
    assert len(curve) == 25
    assert curve[0].lift_mm == 0.0
    for one in curve:
        miss = one.weight_n - one.torque_given_n_m * 1000 / one.lever_mm
        assert one.torque_needed_n_m == pytest.approx(one.weight_n * one.lever_mm / 1000, rel=1e-12)
        assert one.hand_up_n == pytest.approx(miss + one.drag_n, abs=1e-6)
        assert one.hand_down_n == pytest.approx(one.drag_n - miss, abs=1e-6)
    assert told.hand_force_max_n == max(max(one.hand_up_n, one.hand_down_n) for one in curve)
    assert (told.hand_force_closed_n, told.hand_force_open_n) == (curve[0].hand_up_n, curve[-1].hand_down_n)
    assert (told.drag_closed_n, told.drag_open_n) == (curve[0].drag_n, curve[-1].drag_n)
    rate = told.rate_n_m_per_turn
    assert curve[-1].torque_given_n_m == pytest.approx(rate * told.pretension_turns, rel=1e-12)
    assert curve[0].torque_given_n_m == pytest.approx(rate * told.turns_closed, rel=1e-12)
    assert (2 * told.pretension_turns).is_integer()
    # hand: energy of a linear spring, half the torque times the angle
    for torque, turns, energy in (
        (rate * told.pretension_turns, told.pretension_turns, told.energy_open_j),
        (rate * told.turns_closed, told.turns_closed, told.energy_closed_j),
    ):
        assert energy == pytest.approx(torque * turns * 3.141592653589793, rel=1e-12)
    holds = samples.check_of(answer, "holds_open")
    assert holds.value == pytest.approx(told.hand_force_open_n - told.drag_open_n, abs=1e-6)


@settings(max_examples=20)
@given(draws.usual_jobs())
def test_lever_weight_and_drag_over_a_lift_that_fits(job):
    made = fit(job)
    assume(made.answer.verdict != "does_not_fit")
    curve = made.answer.balance.curve
    for low, high in pairwise(curve):
        assert low.lift_mm < high.lift_mm
        assert low.weight_n > high.weight_n  # hand: less and less hangs below the axis
        assert low.drag_n > high.drag_n  # and less and less is in the tracks
    assert min(one.lever_mm for one in curve) >= made.trial.position.strap_radius_mm - 1e-9
    assert max(one.lever_mm for one in curve) < made.answer.coil.radius_mm
    assert made.moved.turned_rad == sorted(made.moved.turned_rad, reverse=True)
    assert made.moved.turned_rad[-1] == 0.0


@settings(max_examples=25)
@given(st.one_of(draws.jobs(), draws.odd_jobs()))
def test_springs_are_made_where_every_limit_of_theirs_is_kept(job):
    made = fit(job)
    kept = {
        id: samples.check_of(made.answer, id).state == "ok"
        for id in ("spring_stress", "spring_fatigue", "spring_length", "spring_bore", "holds_open")
    }
    if made.choice.made:
        assert all(kept.values())
        assert samples.check_of(made.answer, "spring_made").value == made.choice.spring_count
    else:
        assert not all(kept.values())
        assert samples.check_of(made.answer, "spring_made").value == 0
        assert made.answer.verdict == "does_not_fit"
        assert "spring" not in [part.key for part in made.answer.parts]


@settings(max_examples=20)
@given(draws.jobs(), draws.tenths(0, 160))
def test_wind_bows_slats_and_no_wind_does_not(job, speed):
    job = samples.fixed(job)
    still, moving = (fit(replace(job, duty=samples.duty(road_speed_km_h=one))).answer.strength for one in (0.0, speed))
    assert (still.slat_bow_mm, still.wind_pressure_pa) == (0.0, 0.0)
    assert moving.slat_bow_mm >= 0.0
    assert moving.engagement_left_mm <= still.engagement_left_mm
    assert moving.tube_sag_mm == still.tube_sag_mm


@settings(max_examples=25)
@given(draws.tenths(0, 80), draws.tenths(0, 80), st.sampled_from([samples.REVEAL, samples.FACE]))
def test_swapping_the_wall_gaps_swaps_the_packers_only(left, right, mount):
    one, other = (
        fit(samples.job({"wall_gap_left_mm": near, "wall_gap_right_mm": far}, mount=mount)).answer
        for near, far in ((left, right), (right, left))
    )
    assert samples.plain(one.balance) == samples.plain(other.balance)
    swap = {"left": "right", "right": "left"}

    def packed(answer, *, swapped):
        found = {}
        for part in answer.parts:
            name, _, side = part.key.rpartition("_")
            if name in {"packer", "plate_screw"} and side in swap:
                found[name, swap[side] if swapped else side] = (part.quantity, part.thickness_mm, part.cut_length_mm)
        return found

    assert packed(one, swapped=True) == packed(other, swapped=False)
    assert len(packed(one, swapped=False)) == 2 * ((left > 0) + (right > 0))


@settings(max_examples=20)
@given(st.one_of(draws.jobs(), draws.surveyed_jobs()))
def test_parts_are_cut_to_the_answers_lengths(job):
    made = fit(job)
    answer = made.answer
    known = {
        answer.curtain.slat_length_mm,
        answer.curtain.tube_length_mm,
        answer.curtain.bottom_seal_length_mm,
        answer.tracks.length_mm,
        answer.tracks.outer_width_mm,
        answer.seals.top_cut_length_mm,
        answer.drip_rail and answer.drip_rail.length_mm,
        answer.pull_strap and answer.pull_strap.length_mm,
        job.hardware.running.strap_length_mm,
        answer.side_plate.high_mm,
        answer.opening.height_mm,
        answer.opening.width_mm,
        *((job.opening.survey.widths_mm[0], max(job.opening.survey.heights_mm)) if job.opening.survey else ()),
        1000 * job.duty.cable_run_m,
        None,
    }
    assert {part.cut_length_mm for part in answer.parts} <= known
    slats = next(part for part in answer.parts if part.key == "slat")
    assert (slats.quantity, slats.cut_length_mm) == (answer.curtain.slat_count, answer.curtain.slat_length_mm)
    assert [part.cut_length_mm for part in answer.parts if part.key in {"track_left", "track_right"}] == [
        answer.tracks.length_mm
    ] * 2


@settings(max_examples=20)
@given(draws.usual_jobs(), st.floats(1.0, 4.0))
def test_more_cycles_never_lower_the_hand_force(job, more):
    # springs that must stand more are fewer
    job = samples.fixed(job)
    forces = []
    for cycles in (40.0, 40.0 * more):
        made = fit(replace(job, duty=samples.duty(cycles_per_day=cycles)))
        forces.append(made.answer.balance.hand_force_max_n if made.choice.made else inf)
    # the simplest within half a newton of the best is taken
    assert forces[1] >= forces[0] - 0.5 - 1e-6

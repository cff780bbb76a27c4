"""The balance over the lift: positions, wound slats and levers against scalar rules, and the figures of chosen springs."""

from dataclasses import replace
from math import pi

import forces
import pytest
import samples

from service.calculation import balance, coil, path, spring
from service.calculation.fitting import fit
from service.calculation.spring_choice import best, lift_of, wires_for

every_job = pytest.mark.parametrize("job", forces.SOME.values(), ids=forces.SOME)


def path_mm(made, top, radius):
    """Length of the path by its rules, at a hinge radius."""
    places = vars(made.trial.centres)
    rise = path.rise_rad(**places, hinge_radius_mm=radius)
    around = made.trial.centres.wheel_path_radius_mm
    return path.path_length_mm(
        wheel_z_mm=made.trial.centres.wheel_z_mm,
        bar_top_z_mm=top,
        arc_on_wheel_mm=path.arc_on_wheel_mm(wheel_path_radius_mm=around, rise_rad=rise),
        free_length_mm=path.free_length_mm(
            centre_distance_mm=made.trial.centre_distance_mm, wheel_path_radius_mm=around, hinge_radius_mm=radius
        ),
    )


@every_job
def test_wound_slats_and_path_make_the_curtain(job):
    # the solved equation, put in again with the scalar rules; tolerance: where Newton's method ends
    made = fit(job)
    tube, count, pitch = made.trial.position.tube, made.trial.slat_count, job.slat.pitch_mm
    profile = {
        "tube_radius_mm": tube.radius_mm,
        "pitch_mm": pitch,
        "thickness_mm": job.slat.thickness_mm,
        "nesting": job.slat.nesting,
    }
    assert len(made.moved.bar_tops_mm) == 25
    for top, wound, turned in zip(made.moved.bar_tops_mm, made.moved.wound_slats, made.moved.turned_rad, strict=True):
        radius = made.trial.position.strap_radius_mm
        angle = wound * pitch / radius
        if wound >= 0:
            radius = coil.hinge_radius_mm(**profile, slats_wound=wound)
            angle = coil.hinge_angle_rad(**profile, slats_wound=wound)
        length = wound * pitch + path_mm(made, top, radius)
        # where the first hinge arrives the path shortens by a millimetre or two
        assert length == pytest.approx(count * pitch, abs=1e-6 if wound else 3.0)
        whole = coil.hinge_angle_rad(**profile, slats_wound=made.moved.wound_slats[-1])
        assert turned == pytest.approx(whole - angle, abs=1e-9)


@every_job
def test_lever_is_how_far_the_bar_moves(job):
    # hand: the difference of two heights over that of two angles, a little to either side
    made = fit(job)
    step = 0.01
    for top, wound, lever in zip(made.moved.bar_tops_mm, made.moved.wound_slats, made.moved.levers_mm, strict=True):
        lift = forces.Lift(made, [top - step, top + step])
        low, high = lift.wound
        if int(low) == int(high) and (low < 0) == (high < 0) and low * high != 0:
            assert 2 * step / (lift.turned[0] - lift.turned[1]) == pytest.approx(lever, rel=1e-4)
        if wound < 0:
            assert lever == made.trial.position.strap_radius_mm


def test_positions_of_the_lift():
    tops = balance.bar_tops_mm(bar_top_closed_z_mm=-1359.0, bar_top_open_z_mm=-14.0, positions=5)
    assert tops == [-1359.0, -1022.75, -686.5, -350.25, -14.0]
    assert balance.lifts_mm(bar_tops_mm=tops) == [0.0, 336.25, 672.5, 1008.75, 1345.0]


def test_weight_and_drag_by_hand():
    # bar of 1.05 kg and 8.742 g a mm (54 slats of 1165.608 mm, 0.21 kg/m, 28 apart) under an axis at 88
    per_mm = balance.curtain_mass_kg_per_mm(slat_mass_kg_per_m=0.21, slat_length_mm=1165.608, pitch_mm=28.0)
    assert per_mm == pytest.approx(0.00874206, abs=1e-8)
    (weight,) = balance.weights_n(bar_mass_kg=1.0, curtain_mass_kg_per_mm=0.01, bracket_z_mm=88.0, bar_tops_mm=[-912.0])
    assert weight == pytest.approx(11 * 9.80665, rel=1e-12)
    # 2·2.5 N/m over a metre, 3 N/m over 1.144 m, 2 N
    (drag,) = balance.drags_n(
        bar_tops_mm=[-1012.0],
        mouth_z_mm=-12.0,
        top_seal_length_mm=1144.0,
        track_drag_n_per_m=2.5,
        seal_drag_n_per_m=3.0,
        bearings_drag_n=2.0,
    )
    assert drag == pytest.approx(5 + 3.432 + 2, abs=1e-12)


def test_hands_by_hand():
    # weight 100, torque 4000 on a lever of 50: 80; drag 6
    given = {"weights_n": [100.0], "torques_given_n_mm": [4000.0], "levers_mm": [50.0], "drags_n": [6.0]}
    assert balance.hands_up_n(**given) == [26.0]
    assert balance.hands_down_n(**given) == [-14.0]
    assert balance.lift_left_n(weight_n=70.0, torque_given_n_mm=4000.0, lever_mm=50.0) == 10.0
    assert balance.open_torque_min_n_mm(weight_n=70.0, lift_left_min_n=5.0, lever_mm=50.0) == 3750.0


@every_job
def test_springs_by_their_formulas(job):
    made = fit(job)
    one, tube = made.answer.balance, made.trial.position.tube
    diameter = 2 * (tube.radius_mm - tube.wall_mm - 3) - one.wire_mm
    assert one.mean_diameter_mm == diameter
    rate = one.spring_count * 206_000 * one.wire_mm**4 / (64 * diameter * one.coils)
    assert one.rate_n_m_per_turn == pytest.approx(rate * 2 * pi / 1000, rel=1e-12)
    assert one.turns_closed == pytest.approx(one.pretension_turns + made.moved.turned_rad[0] / 2 / pi, rel=1e-12)
    limits = {check.id: (check.value, check.limit) for check in made.answer.checks}
    body = one.spring_count * one.wire_mm * (one.coils + 1 + one.turns_closed)
    assert limits["spring_length"] == pytest.approx((body, made.answer.curtain.tube_length_mm - 90))
    bore = diameter * one.coils / (one.coils + one.turns_closed) - one.wire_mm
    assert limits["spring_bore"] == pytest.approx((bore, 13.2))
    assert limits["spring_stress"] == (one.stress_mpa, one.stress_limit_mpa)
    assert one.stress_limit_mpa == pytest.approx(0.78 * 2211 / one.wire_mm**0.145 / 1.1)
    assert limits["spring_fatigue"] == (one.fatigue_safety, 1.1)
    assert limits["hand_force"] == (one.hand_force_max_n, 100.0)
    assert limits["holds_open"][1] == 5.0


def test_narrow_shutter_has_no_spring_and_says_which_is_nearest():
    made = fit(forces.NARROW)
    assert not made.choice.made
    failing = {check.id for check in made.answer.checks if check.state == "fails"}
    assert {"spring_made", "spring_length"} <= failing | {"spring_length"}
    assert failing & {"spring_stress", "spring_fatigue", "spring_length", "spring_bore", "holds_open"}
    assert made.answer.verdict == "does_not_fit"
    assert not {"starts_by_itself", "sinks_by_itself"} & {one.code for one in made.answer.warnings}


def test_wires_out_of_their_index_are_not_offered():
    # hand: on a bore of 46 mm with 3 mm clearance D = 40 - d: 1.9 mm gives an index of 20.05, 8 mm exactly 4
    springs = replace(samples.HARDWARE.springs, wires_mm=(8.1, 2.0, 1.9, 8.0))
    assert [one.wire_mm for one in wires_for(springs, samples.T50)] == [2.0, 8.0]
    # a spring whose bore is less than the shaft needs is none
    thick = replace(springs, shaft_diameter_mm=22.0)
    assert [one.wire_mm for one in wires_for(thick, samples.T50)] == [2.0]
    assert wires_for(replace(springs, wires_mm=(1.9,)), samples.T50) == []


def test_without_a_wire_no_spring_can_be_made():
    moved = fit(samples.JOB).moved
    lift = lift_of(weights_n=moved.weights_n, levers_mm=moved.levers_mm, drags_n=moved.drags_n, turned_rad=moved.turned_rad)
    demand = balance.demand_of(job=samples.JOB, moved=moved, tube_length_mm=1144.0)
    assert best(lift=lift, offered=[], demand=demand) is None


@every_job
def test_the_ends_of_the_lift_are_those_of_the_whole_lift(job):
    # own calculation by another way: from end to end the wound length is found in one step; tolerance: its resolution
    made = fit(job)
    whole, curtain, tube_length = made.moved, made.answer.curtain, made.answer.curtain.tube_length_mm
    ends = balance.Moved(
        job=made.job,
        trial=made.trial,
        slat_length_mm=curtain.slat_length_mm,
        bar_mass_kg=made.job.hardware.bar.mass_kg_per_m * curtain.slat_length_mm / 1000,
        top_seal_length_mm=made.answer.seals.top_cut_length_mm,
        positions=balance.ENDS,
    )
    for name in ("wound_slats", "turned_rad", "levers_mm", "weights_n", "drags_n"):
        along = getattr(whole, name)
        assert getattr(ends, name) == pytest.approx([along[0], along[-1]], rel=1e-9, abs=1e-9)
    one, other = (balance.demand_of(job=made.job, moved=moved, tube_length_mm=tube_length) for moved in (whole, ends))
    assert other.open_torque_min_n_mm == pytest.approx(one.open_torque_min_n_mm, rel=1e-9)


def test_the_curve_is_the_balance_over_the_lift():
    told = fit(samples.JOB).answer.balance
    assert len(told.curve) == len(told.over_lift.lifts_mm) == 25
    assert told.hand_force_max_n == max(max(one.hand_up_n, one.hand_down_n) for one in told.curve)
    assert (told.hand_force_closed_n, told.hand_force_open_n) == (told.curve[0].hand_up_n, told.curve[-1].hand_down_n)
    assert [one.lift_mm for one in told.curve] == told.over_lift.lifts_mm
    assert [one.torque_given_n_m for one in told.curve] == [one / 1000 for one in told.over_lift.torques_given_n_mm]


@pytest.mark.parametrize("wire_mm", [3.5, 5.0])
def test_repeated_strength_is_a_share_of_the_tensile_strength(wire_mm):
    # hand: 0.53 up to 10⁵ cycles, 0.50 from 10⁶ on, half way between at the root of their product
    tensile = spring.tensile_strength_mpa(wire_mm=wire_mm)
    for cycles, share in ((1e4, 0.53), (1e5, 0.53), (10**5.5, 0.515), (1e6, 0.50), (1e8, 0.50)):
        assert spring.repeated_share(cycles) == pytest.approx(share, rel=1e-12)
        assert spring.repeated_strength_mpa(tensile_strength_mpa=tensile, cycles=cycles) == pytest.approx(share * tensile)


def test_mass_of_the_springs():
    # hand: π·36.5·268 mm of wire of π·3.5²/4 mm² at 7850 kg/m³
    mass = spring.springs_mass_kg(spring_count=1, mean_diameter_mm=36.5, coils=268, wire_mm=3.5)
    assert mass == pytest.approx(pi * 36.5 * 268 * pi * 3.5**2 / 4 * 7850e-9, rel=1e-12)
    assert mass == pytest.approx(2.321, abs=1e-3)


def test_a_misfit_whose_coil_overlaps_its_wheel_still_gets_figures():
    # 82 slats in an opening of 250 mm: no tangent leads from wheel to coil, which the checks of the place tell
    job = samples.job({"width_mm": 250.0, "height_mm": 250.0, "headroom_mm": 60.0, "depth_mm": 60.0}, slat_count=82)
    answer = fit(job).answer
    assert answer.verdict == "does_not_fit"
    assert all(0 < one.lever_mm <= answer.coil.radius_mm for one in answer.balance.curve)
    assert all(one.torque_needed_n_m > 0 for one in answer.balance.curve)

"""Forces conserve energy: on a fine grid, and against the height of every slat of the drawn curtain.

@article{scipy2020, author = {Virtanen and others}, title = {SciPy 1.0}, journal = {Nature Methods}, year = 2020,
  note = {scipy.integrate}}
"""

from itertools import groupby, pairwise

import draws
import forces
import numpy as np
import pytest
import samples
from hypothesis import assume, given, settings
from scipy.integrate import simpson, trapezoid

from service.calculation import geometry
from service.calculation.constants import GRAVITY_M_PER_S2
from service.calculation.fitting import fit

FINE = 2001
"""Positions of the fine grid: a lever jumps a little at every hinge, and so many positions leave that small."""

QUARTERS = 4


def sides_of_the_jump(lift):
    """The positions before the first hinge arrives on the tube, and those after it, as slices; the jump lies between."""
    sides = []
    for side, group in groupby(range(len(lift.wound)), key=lambda index: np.sign(lift.wound[index])):
        indices = list(group)
        if side and len(indices) > 10:
            sides.append(slice(indices[0], indices[-1] + 1))
    return sides


@settings(max_examples=40)
@given(draws.usual_jobs())
def test_spring_and_hand_do_what_the_weight_gains(job):
    # independent program: scipy; tolerance 0.5 %: asked for by the specification (the grid leaves 0.1 %)
    made = fit(job)
    assume(made.answer.verdict != "does_not_fit")
    tops = np.linspace(made.moved.bar_tops_mm[0], made.moved.bar_tops_mm[-1], FINE)
    lift = forces.Lift(made, tops.tolist())
    sides = sides_of_the_jump(lift)
    assert 1 <= len(sides) <= 2
    for side in sides:
        z, weight, drag, hand, turned = (
            np.array(one)[side] for one in (tops, lift.weights, lift.drags, lift.hands_up, lift.turned)
        )
        spring = [
            lift.rate_n_mm / 2 * (2 * np.pi * made.choice.pretension_turns + angle) ** 2 for angle in (turned[0], turned[-1])
        ]
        gained = simpson(weight, x=z)
        given = spring[0] - spring[1] + trapezoid(hand - drag, x=z)
        assert given == pytest.approx(gained, rel=0.005)


@pytest.mark.parametrize("job", forces.SOME.values(), ids=forces.SOME)
def test_levers_taken_at_a_hinge_would_not_conserve_it(job):
    # the measurement above is able to fail: with the hinge radius for a lever the torque gives 1 % to 4 % less than it does
    made = fit(job)
    tops = np.linspace(made.moved.bar_tops_mm[0], made.moved.bar_tops_mm[-1], FINE)
    lift = forces.Lift(made, tops.tolist())
    side = sides_of_the_jump(lift)[-1]
    table = {"tube_radius_mm": made.trial.position.tube.radius_mm, **profile(job)}
    radii = [forces.hinge_radius(table, wound) for wound in np.array(lift.wound)[side]]
    torque, angle = np.array(lift.given)[side], np.array(lift.turned)[side]
    by_lever = trapezoid(torque / np.array(lift.levers)[side], x=tops[side])
    by_radius = trapezoid(torque / np.array(radii), x=tops[side])
    stored = -trapezoid(torque, x=angle)
    assert by_lever == pytest.approx(stored, rel=0.005)
    assert by_radius < 0.99 * stored


def profile(job):
    return {
        "pitch_mm": job.slat.pitch_mm,
        "thickness_mm": job.slat.thickness_mm,
        "nesting": job.slat.nesting,
    }


def potential_energy(made, top_mm, wound):
    """Potential energy of bar and slats [N·mm] from the drawn hinges, every slat at its place, on the coil too."""
    pose = geometry.pose(job=made.job, trial=made.trial, bar_top_z_mm=top_mm, wound_slats=wound)
    length_m = made.answer.curtain.slat_length_mm / 1000
    slats = sum((one[1] + next_one[1]) / 2 for one, next_one in pairwise(pose.hinges))
    bar_kg, slat_kg = made.job.hardware.bar.mass_kg_per_m * length_m, made.job.slat.mass_kg_per_m * length_m
    return GRAVITY_M_PER_S2 * (bar_kg * top_mm + slat_kg * slats)


def rises(made, parts):
    """Integral of the weight [N·mm] and rise of the drawn curtain's energy [N·mm], for each of equal parts of the lift."""
    ends = np.linspace(made.moved.bar_tops_mm[0], made.moved.bar_tops_mm[-1], parts + 1)
    wound = forces.Lift(made, ends.tolist()).wound
    energies = [potential_energy(made, top, turns) for top, turns in zip(ends, wound, strict=True)]
    found = []
    for (low, high), (before, after) in zip(pairwise(ends), pairwise(energies), strict=True):
        z = np.linspace(low, high, 101)
        found.append((trapezoid(forces.Lift(made, z.tolist()).weights, x=z), after - before))
    return found


USUAL = {name: job for name, job in forces.SOME.items() if name != "low"}


@pytest.mark.parametrize("job", USUAL.values(), ids=USUAL)
def test_weight_is_that_of_the_drawn_curtain_in_every_quarter(job):
    # independent within this project: the hinges that drawings show; tolerance 1.5 %: asked for by the specification
    for weight, rise in rises(fit(job), QUARTERS):
        assert weight == pytest.approx(rise, rel=0.015)


@settings(max_examples=30)
@given(draws.usual_jobs(), draws.tenths(900, 2200))
def test_weight_is_that_of_the_drawn_curtain_over_the_lift(job, height):
    # as above, from 900 mm of height on
    made = fit(samples.reopened(job, height_mm=height))
    assume(made.answer.verdict != "does_not_fit")
    ((weight, rise),) = rises(made, 1)
    assert weight == pytest.approx(rise, rel=0.015)


@settings(max_examples=30)
@given(draws.usual_jobs())
def test_only_the_unbalance_of_the_coil_is_left_out(job):
    # hand: what is wound counts at the axis' height. The open ends of a coil weigh to one side, by some two slats at its
    # radius (2.0 seen); of a short lift that is more than 1.5 %, of any lift no more than that
    made = fit(job)
    assume(made.answer.verdict != "does_not_fit")
    slat_n = GRAVITY_M_PER_S2 * job.slat.mass_kg_per_m * made.answer.curtain.slat_length_mm / 1000
    unbalance = 2.5 * slat_n * made.answer.coil.radius_mm
    for weight, rise in rises(made, QUARTERS):
        assert weight == pytest.approx(rise, rel=0.015, abs=unbalance)

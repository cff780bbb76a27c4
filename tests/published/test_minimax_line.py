"""The best rate at a pretension against linear programming, an independent program.

@article{scipy2020, author = {Virtanen and others}, title = {SciPy 1.0}, journal = {Nature Methods}, year = 2020,
  note = {scipy.optimize.linprog with the HiGHS solvers}}
"""

from itertools import accumulate, pairwise
from math import pi

import draws
import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from service.calculation.fitting import fit
from service.calculation.spring_choice import HALF_TURNS_MAX, lift_of

POSITIONS = 25


@st.composite
def lifts(draw):
    """A coil that grows unevenly, weights that fall unevenly with bumps, and a drag that falls: all invented."""
    steps = draw(st.lists(st.floats(0.05, 4.0), min_size=POSITIONS - 1, max_size=POSITIONS - 1))
    levers = list(accumulate([draw(st.floats(25.0, 60.0)), *steps]))
    lift = draw(st.floats(8.0, 120.0))
    turned = list(accumulate([0.0, *(2 * lift / (one + next_one) for one, next_one in pairwise(levers))]))
    first, fall = draw(st.floats(30.0, 500.0)), draw(st.floats(0.0, 0.95))
    bumps = draw(st.lists(st.floats(-0.1, 0.1), min_size=POSITIONS, max_size=POSITIONS))
    closed, opened = draw(st.floats(5.0, 40.0)), draw(st.floats(0.0, 5.0))
    return lift_of(
        weights_n=[first * (1 - fall * place / (POSITIONS - 1)) * (1 + bump) for place, bump in enumerate(bumps)],
        levers_mm=levers,
        drags_n=np.linspace(closed, opened, POSITIONS).tolist(),
        turned_rad=[turned[-1] - one for one in turned],
    )


def programmed(lift, half_turns):
    """The least greatest hand force by linear programming over rate and force."""
    gains = np.array([(pi * half_turns + one.turned_rad) * one.per_lever for one in lift.stations])
    rows = np.vstack([np.column_stack([-gains, -np.ones(len(gains))]), np.column_stack([gains, -np.ones(len(gains))])])
    bounds = -np.array([*(one.falling_n for one in lift.stations), *(one.rising_n for one in lift.stations)])
    solved = linprog([0, 1], A_ub=rows, b_ub=bounds, bounds=[(0, None), (None, None)], method="highs")
    assert solved.success
    return solved.fun


def least_force(lift, half_turns):
    """The least greatest hand force at a pretension as the search finds it."""
    return lift.greatest_force_n(pi * half_turns, lift.best_rate_n_mm(pi * half_turns))


@settings(max_examples=200)
@given(lifts(), st.integers(1, HALF_TURNS_MAX))
def test_no_rate_is_better(lift, half_turns):
    # independent program; tolerance: the slack of the solver, 1e-7 of its numbers
    assert least_force(lift, half_turns) == pytest.approx(programmed(lift, half_turns), rel=1e-6, abs=1e-6)


@settings(max_examples=40)
@given(draws.usual_jobs(), st.integers(1, HALF_TURNS_MAX))
def test_no_rate_is_better_for_a_real_lift(job, half_turns):
    made = fit(job)
    assume(made.answer.verdict != "does_not_fit")
    moved = made.moved
    lift = lift_of(weights_n=moved.weights_n, levers_mm=moved.levers_mm, drags_n=moved.drags_n, turned_rad=moved.turned_rad)
    assert least_force(lift, half_turns) == pytest.approx(programmed(lift, half_turns), rel=1e-6, abs=1e-6)


@settings(max_examples=60)
@given(lifts())
def test_the_force_falls_to_one_least_and_rises_again(lift):
    # what lets the search stop where it rises
    forces = [least_force(lift, half_turns) for half_turns in range(1, HALF_TURNS_MAX + 1)]
    best = int(np.argmin(forces))
    assert all(one >= next_one - 1e-9 for one, next_one in pairwise(forces[: best + 1]))
    assert all(one <= next_one + 1e-9 for one, next_one in pairwise(forces[best:]))


def test_two_positions_by_hand():
    # hand: levers 1, so the torque is the force. Weights 30 and 10, drags 4 and 2, turned by 2π and 0, half a turn of
    # pretension: gains 3π and π. The lift's lines are 34 - 3π·k and 12 - π·k, -26 + 3π·k and -8 + π·k; those of the closed
    # end cross where 34 - 3π·k = -26 + 3π·k, at k = 10/π with 4, those of the open end with 2
    lift = lift_of(weights_n=[30.0, 10.0], levers_mm=[1.0, 1.0], drags_n=[4.0, 2.0], turned_rad=[2 * pi, 0.0])
    assert lift.best_rate_n_mm(pi) == pytest.approx(10 / pi, rel=1e-12)
    assert least_force(lift, 1) == pytest.approx(4.0, rel=1e-12)

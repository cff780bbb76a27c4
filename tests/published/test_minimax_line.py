"""The best linear spring against linear programming, an independent program.

@article{scipy2020, author = {Virtanen and others}, title = {SciPy 1.0}, journal = {Nature Methods}, year = 2020,
  note = {scipy.optimize.linprog with the HiGHS solvers}}
"""

from itertools import accumulate, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from service.calculation.minimax import best_level, best_line

POSITIONS = 25


@st.composite
def curves(draw: st.DrawFn) -> dict[str, list[float]]:
    """A coil that grows unevenly, and torques of a tension that falls unevenly with bumps: all invented."""
    steps = draw(st.lists(st.floats(0.05, 4.0), min_size=POSITIONS - 1, max_size=POSITIONS - 1))
    levers = list(accumulate([draw(st.floats(25.0, 60.0)), *steps]))
    lift = draw(st.floats(8.0, 120.0))
    turned = list(accumulate([0.0, *(2 * lift / (one + next_one) for one, next_one in pairwise(levers))]))
    first, fall = draw(st.floats(30.0, 500.0)), draw(st.floats(0.0, 0.95))
    bumps = draw(st.lists(st.floats(-0.1, 0.1), min_size=POSITIONS, max_size=POSITIONS))
    tensions = [first * (1 - fall * place / (POSITIONS - 1)) * (1 + bump) for place, bump in enumerate(bumps)]
    return {
        "torques": [tension * lever for tension, lever in zip(tensions, levers, strict=True)],
        "levers": levers,
        "wound": [turned[-1] - one for one in turned],
    }


def greatest_miss(curve: dict[str, list[float]], open_torque: float, rate: float) -> float:
    """What a line leaves for the hand at worst."""
    rows = zip(curve["torques"], curve["levers"], curve["wound"], strict=True)
    return max(abs(torque - open_torque - rate * angle) / lever for torque, lever, angle in rows)


def programmed(curve: dict[str, list[float]], open_torque_min: float) -> float:
    """The least greatest miss by linear programming over torque, rate and miss."""
    rows, bounds = [], []
    for torque, lever, angle in zip(curve["torques"], curve["levers"], curve["wound"], strict=True):
        rows += [[-1 / lever, -angle / lever, -1], [1 / lever, angle / lever, -1]]
        bounds += [-torque / lever, torque / lever]
    solved = linprog(
        [0, 0, 1], A_ub=rows, b_ub=bounds, bounds=[(open_torque_min, None), (None, None), (0, None)], method="highs"
    )
    assert solved.success
    return solved.fun


@settings(max_examples=150, deadline=None)
@given(curves(), st.floats(-20.0, 40.0))
def test_no_line_is_better(curve: dict[str, list[float]], lift_left: float) -> None:
    # independent program; 0.5 % is what is asked for, the slack of the solver's 1e-7 is far below
    least = curve["torques"][-1] + lift_left * curve["levers"][-1]
    open_torque, rate = best_line(**curve, open_torque_min=least)
    assert open_torque >= least - 1e-6
    assert greatest_miss(curve, open_torque, rate) == pytest.approx(programmed(curve, least), rel=1e-6, abs=1e-5)


@settings(max_examples=100, deadline=None)
@given(curves(), st.floats(0.5, 60.0))
def test_no_rate_is_better_at_a_given_pretension(curve: dict[str, list[float]], pretension_rad: float) -> None:
    wanted = [torque / lever for torque, lever in zip(curve["torques"], curve["levers"], strict=True)]
    gains = [(pretension_rad + angle) / lever for angle, lever in zip(curve["wound"], curve["levers"], strict=True)]
    level = best_level(wanted=wanted, gains=gains, high=0, low=-1)
    rows = [[sign * gain, -1] for gain in gains for sign in (-1, 1)]
    bounds = [sign * want for want in wanted for sign in (-1, 1)]
    solved = linprog([0, 1], A_ub=rows, b_ub=bounds, bounds=[(None, None), (0, None)], method="highs")
    assert level.miss == pytest.approx(solved.fun, rel=1e-6, abs=1e-5)


def test_a_line_is_met_exactly() -> None:
    # hand: torque 500 + 40·angle, whatever the levers; at least 500 at the open end is no burden
    curve = {
        "torques": [500 + 40 * angle for angle in (24.0, 17.0, 11.0, 5.0, 0.0)],
        "levers": [30.0, 38.0, 45.0, 51.0, 56.0],
        "wound": [24.0, 17.0, 11.0, 5.0, 0.0],
    }
    assert best_line(**curve, open_torque_min=500.0) == pytest.approx((500.0, 40.0), rel=1e-9)

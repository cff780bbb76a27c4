"""The straight line that a spring can give, laid through the needed torques so that the greatest miss is least.

A spring with torque c at the open end and rate k gives (c + k·u)/b at the curtain, u being the angle by which the tube
is turned back from the open end and b the lever. That is a weighted minimax fit of a line. Since u falls from position
to position and b is positive, the best line misses three positions alternately by the same amount (Chebyshev), and
exchanging one of three positions for the one missed most ends there after a few steps. No grid is searched.
"""

from collections.abc import Sequence
from typing import NamedTuple

SLACK_N = 1e-9
"""Miss [N] that counts as rounding noise, so that an exchange ends."""

EXCHANGES = 100
"""More exchanges than the 25 positions of a lift ever need; bounds the loop should rounding noise make it circle."""


class Level(NamedTuple):
    """The best factor, the greatest miss it leaves and the two positions that decide it."""

    factor: float
    miss: float
    high: int
    low: int


def best_level(*, wanted: Sequence[float], gains: Sequence[float], high: int, low: int) -> Level:
    """The factor k for which the greatest |wanted - k·gain| is least.

    Each exchange raises the miss that two positions alone enforce, so that it ends at the pair that enforces the most.
    At least one gain must be positive, none negative; `high` and `low` are the pair to begin with, not both without gain.
    """
    for _ in range(EXCHANGES):
        factor = (wanted[high] + wanted[low]) / (gains[high] + gains[low])
        miss = wanted[high] - factor * gains[high]
        rests = [want - factor * gain for want, gain in zip(wanted, gains)]
        most, least = max(rests), min(rests)
        if most <= miss + SLACK_N and -least <= miss + SLACK_N:
            break
        if most > miss + SLACK_N:
            high = rests.index(most)
        if -least > miss + SLACK_N:
            low = rests.index(least)
    return Level(factor, max(most, -least), high, low)


def best_line(
    *, torques: Sequence[float], levers: Sequence[float], wound: Sequence[float], open_torque_min: float
) -> tuple[float, float]:
    """The line (torque at the open end, rate) that misses the wanted torques least at their levers.

    Positions are in order, `wound` falling to 0 at the last, the open end, where the line must give a least torque. The
    wish is convex: where the best line gives too little there, the best of those that give just enough is sought.
    """
    open_torque, rate = _best_free_line(torques, levers, wound)
    if open_torque >= open_torque_min:
        return open_torque, rate
    level = best_level(
        wanted=[(torque - open_torque_min) / lever for torque, lever in zip(torques, levers)],
        gains=[angle / lever for angle, lever in zip(wound, levers)],
        high=0,
        low=len(levers) // 2,
    )
    return open_torque_min, level.factor


def _best_free_line(torques: Sequence[float], levers: Sequence[float], wound: Sequence[float]) -> tuple[float, float]:
    """The best line with both ends free, by exchange of one position at a time (Remez)."""
    first, middle, last = 0, len(torques) // 3, len(torques) - 1
    for _ in range(EXCHANGES):
        # c + k·u ± e·b = torque in three positions, e with alternating signs: subtracting leaves two equations
        along_1, along_2 = wound[first] - wound[middle], wound[middle] - wound[last]
        across_1, across_2 = levers[first] + levers[middle], -levers[middle] - levers[last]
        rise_1, rise_2 = torques[first] - torques[middle], torques[middle] - torques[last]
        miss = (along_1 * rise_2 - along_2 * rise_1) / (along_1 * across_2 - along_2 * across_1)
        rate = (rise_1 - across_1 * miss) / along_1
        open_torque = torques[first] - rate * wound[first] - miss * levers[first]
        rests = [(torque - open_torque - rate * angle) / lever for torque, lever, angle in zip(torques, levers, wound)]
        most, least = max(rests), min(rests)
        rest = most if most > -least else least
        if abs(rest) <= abs(miss) + SLACK_N:
            break
        worst = rests.index(rest)
        like_first = (rest > 0) == (miss > 0)
        if worst < first:
            first, middle, last = (worst, middle, last) if like_first else (worst, first, middle)
        elif worst > last:
            first, middle, last = (first, middle, worst) if like_first else (middle, last, worst)
        elif not like_first:
            middle = worst
        elif worst < middle:
            first = worst
        else:
            last = worst
    return open_torque, rate

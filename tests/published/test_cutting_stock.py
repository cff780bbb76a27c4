"""Published cutting problems with a proven best plan."""

from collections import Counter

import pytest
from cutting.plans import bar, bars_of, check, order, planned

from service.cutting.greedy import Problem, Rest

ROLLS = dict(
    zip(
        (1380, 1520, 1560, 1710, 1820, 1880, 1930, 2000, 2050, 2100, 2140, 2150, 2200),
        (22, 25, 12, 14, 18, 18, 20, 10, 12, 14, 16, 18, 20),
        strict=True,
    )
)
"""Wikipedia, "Cutting stock problem": a machine's rolls of 5600 mm."""

U120_00 = [
    *(
        42,
        69,
        67,
        57,
        93,
        90,
        38,
        36,
        45,
        42,
        33,
        79,
        27,
        57,
        44,
        84,
        86,
        92,
        46,
        38,
        85,
        33,
        82,
        73,
        49,
        70,
        59,
        23,
        57,
        72,
    ),
    *(
        74,
        69,
        33,
        42,
        28,
        46,
        30,
        64,
        29,
        74,
        41,
        49,
        55,
        98,
        80,
        32,
        25,
        38,
        82,
        30,
        35,
        39,
        57,
        84,
        62,
        50,
        55,
        27,
        30,
        36,
    ),
    *(
        20,
        78,
        47,
        26,
        45,
        41,
        58,
        98,
        91,
        96,
        73,
        84,
        37,
        93,
        91,
        43,
        73,
        85,
        81,
        79,
        71,
        80,
        76,
        83,
        41,
        78,
        70,
        23,
        42,
        87,
    ),
    *(
        43,
        84,
        60,
        55,
        49,
        78,
        73,
        62,
        36,
        44,
        94,
        69,
        32,
        96,
        70,
        84,
        58,
        78,
        25,
        80,
        58,
        66,
        83,
        24,
        98,
        60,
        42,
        43,
        43,
        39,
    ),
]
"""OR-Library, binpack1, u120_00 (Falkenauer 1996): bins of 150."""


def test_the_rolls_of_the_encyclopedia_take_73():
    # published: 73 rolls, 308 patterns, waste 0.401 %
    wanted = order(ROLLS, bar(5600))
    plan = planned(wanted)
    check(wanted, plan)
    assert (bars_of(plan), plan.bar_bound, plan.optimal) == (73, 73, True)
    waste = 1 - sum(length * count for length, count in ROLLS.items()) / (5600 * 73)
    assert waste == pytest.approx(0.00401174, abs=1e-8)


@pytest.mark.parametrize("kerf_mm", [3, 3.2, 12.345])
def test_a_kerf_is_the_same_as_longer_bars_and_longer_pieces(kerf_mm):
    # the same 73: stock and pieces are each shorter by the kerf
    wanted = order({length - kerf_mm: count for length, count in ROLLS.items()}, bar(5600 - kerf_mm, kerf_mm=kerf_mm))
    plan = planned(wanted)
    check(wanted, plan)
    assert (bars_of(plan), plan.bar_bound, plan.optimal) == (73, 73, True)


def test_chvatals_rolls_take_453():
    # published: Chvatal, Linear Programming, 1983, p. 195: linear program 452.25, so 453
    wanted = order({45: 97, 36: 610, 31: 395, 14: 211}, bar(100))
    plan = planned(wanted)
    check(wanted, plan)
    assert (bars_of(plan), plan.bar_bound, plan.optimal) == (453, 453, True)


def test_u120_00_takes_48_where_first_fit_decreasing_takes_49():
    # published: best known 48, which its total length (7078 of 150 each) proves
    assert sum(U120_00) == 7078
    wanted = order(Counter(U120_00), bar(150))
    first = Rest(Problem(wanted)).first_fit_decreasing()
    assert sum(times for _, times in first) == 49
    plan = planned(wanted)
    check(wanted, plan)
    assert (bars_of(plan), plan.bar_bound, plan.optimal) == (48, 48, True)

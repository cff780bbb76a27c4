"""Plans of small orders against trying everything, and by hand."""

import random
from functools import cache

import pytest
from cutting.plans import bar, bars_of, check, order, planned

from service.cutting.model import Order, Piece, Task
from service.cutting.solve import solve


def fillings(stock, lengths, demand):
    """Every way to fill one bar: how many of each length."""

    def more(index, room):
        if index == len(lengths):
            yield ()
            return
        for many in range(demand[index] + 1):
            left = room - many * (lengths[index] + stock.kerf_um)
            if left < 0:
                break
            for rest in more(index + 1, left):
                yield many, *rest

    yield from more(0, stock.length_um - 2 * stock.trim_um + stock.kerf_um)


def least_cost(wanted):
    """The least cost of a plan by trying every filling of every bar (independent of the solver: no bound, no pattern)."""
    lengths = sorted({piece.length_um for piece in wanted.pieces}, reverse=True)

    @cache
    def best(demand, left):
        if not any(demand):
            return 0
        first = next(index for index, many in enumerate(demand) if many)
        found = float("inf")
        for row, stock in enumerate(wanted.stock):
            if left[row] == 0:
                continue
            fewer = tuple(many - 1 if place == row else many for place, many in enumerate(left))
            for filling in fillings(stock, lengths, demand):
                if filling[first]:  # some bar has the longest piece: let it be this one
                    rest = tuple(many - taken for many, taken in zip(demand, filling, strict=True))
                    found = min(found, stock.cost + best(rest, fewer))
        return found

    asked = tuple(sum(piece.count for piece in wanted.pieces if piece.length_um == length) for length in lengths)
    return best(asked, tuple(99 if row.count is None else row.count for row in wanted.stock))


@pytest.mark.parametrize("seed", range(40))
def test_small_plans_cost_what_trying_everything_finds(seed):
    chance = random.Random(seed)  # noqa: S311 - repeatable, not secret
    kerf, trim = chance.choice((0, 3, 3.2)), chance.choice((0, 5))
    stock = [bar(1000, kerf_mm=kerf, trim_mm=trim)]
    if chance.random() < 0.5:
        stock.append(bar(chance.randrange(500, 1400), kerf_mm=kerf, cost=chance.choice((None, 700_000))))
    if chance.random() < 0.5:
        stock.append(bar(chance.randrange(300, 900), count=1, kerf_mm=chance.choice((0, 4))))
    demand = {chance.randrange(90_000, 980_000) / 1000: chance.randrange(1, 4) for _ in range(4)}
    wanted = order(demand, *stock)
    plan = planned(wanted)
    check(wanted, plan)
    assert not plan.missing
    assert plan.optimal
    assert plan.cost == least_cost(wanted)


@pytest.mark.parametrize(
    ("length_mm", "pieces", "offcut_um"),
    [
        (3006, 3, 0),  # the third is flush with the end: two kerfs
        (3005.999, 2, 999_999),  # a micrometre less: there are two, each with its kerf
        (3008.999, 3, 0),  # less than a kerf is left: the saw takes it
        (3009, 3, 0),  # exactly a kerf
        (3009.001, 3, 1),  # a micrometre more
    ],
)
def test_kerfs_are_exact_to_the_micrometre(length_mm, pieces, offcut_um):
    # by hand: pieces of 1000 mm, a kerf of 3 mm
    wanted = order({1000: pieces}, bar(length_mm, kerf_mm=3))
    plan = planned(wanted)
    check(wanted, plan)
    assert bars_of(plan) == 1
    assert plan.bars[0].offcut_um == offcut_um
    assert bars_of(planned(order({1000: pieces + 1}, bar(length_mm, kerf_mm=3)))) == 2


def test_both_ends_are_trimmed_and_an_offcut_is_kept_from_its_least_length():
    # by hand: 10 + 1000 + 3 + 982 + 3 + 992 + 10 = 3000
    wanted = order({1000: 1, 982: 1}, bar(3000, kerf_mm=3, trim_mm=10, keep_mm=992))
    (only,) = planned(wanted).bars
    assert [(cut.at_um, cut.length_um) for cut in only.cuts] == [(10_000, 1_000_000), (1_013_000, 982_000)]
    assert (only.offcut_um, only.kept) == (992_000, True)
    (other,) = planned(order({1000: 1, 982: 1}, bar(3000, kerf_mm=3, trim_mm=10, keep_mm=992.001))).bars
    assert (other.offcut_um, other.kept) == (992_000, False)


def test_prices_decide_where_there_are_prices_and_length_where_there_are_none():
    # by hand: four pieces of 1000 are two bars of 2000 or one of 4100
    demand = {1000: 4}
    assert [one.stock for one in planned(order(demand, bar(2000), bar(4100))).bars] == [0]
    assert [one.stock for one in planned(order(demand, bar(2000, cost=10), bar(4100, cost=19))).bars] == [1]
    assert [one.stock for one in planned(order(demand, bar(2000, cost=10), bar(4100, cost=21))).bars] == [0]


def test_an_offcut_that_costs_nothing_is_used_first():
    wanted = order({900: 7}, bar(3000, cost=30), bar(2000, count=2, cost=0))
    plan = planned(wanted)
    check(wanted, plan)
    # by hand: two offcuts give four, one bar the other three
    assert {(one.stock, one.count) for one in plan.bars} == {(1, 2), (0, 1)}
    assert (plan.cost, plan.optimal) == (30, True)


def test_what_there_is_no_stock_for_is_missing_and_no_bar_is_spared():
    wanted = order({1500: 3, 400: 2}, bar(2000, count=2))
    plan = planned(wanted)
    check(wanted, plan)
    # by hand: each bar gives 1500 and 400
    assert [(one.length_um, one.count) for one in plan.missing] == [(1_500_000, 1)]
    assert (bars_of(plan), plan.optimal) == (2, True)


def test_without_any_bar_everything_is_missing():
    wanted = order({1500: 3}, bar(2000, count=0))
    plan = planned(wanted)
    check(wanted, plan)
    assert ([(one.length_um, one.count) for one in plan.missing], plan.cost, plan.bars) == ([(1_500_000, 3)], 0, [])


def test_equal_bars_are_listed_once_and_every_piece_has_its_reference():
    wanted = Order("p", [Piece(1000_000, 20, "a"), Piece(1000_000, 10, "b")], [bar(2000)])
    plan = planned(wanted)
    check(wanted, plan)
    assert [(one.count, [cut.reference for cut in one.cuts]) for one in plan.bars] == [(10, ["a", "a"]), (5, ["b", "b"])]


def test_a_large_order_is_answered_in_its_time_with_a_bound():
    chance = random.Random(7)  # noqa: S311 - repeatable, not secret
    demand = {chance.randrange(300_000, 2_500_000) / 1000: 50 for _ in range(150)}
    wanted = order(demand, bar(6500, kerf_mm=3.2, trim_mm=5))
    plan = planned(wanted, time_limit_s=1.0)
    check(wanted, plan)
    # an independent bound: the length that pieces and kerfs need
    needed = sum(count * (length + 3.2) for length, count in demand.items()) / (6500 - 10 + 3.2)
    assert needed <= bars_of(plan) <= 1.02 * needed
    assert plan.bar_bound >= needed


def test_each_profile_has_its_own_plan():
    orders = [order({1000: 4}, bar(2000)), order({700: 3}, bar(2100))]
    plans = solve(Task(orders, 5.0)).plans
    assert [bars_of(one) for one in plans] == [2, 1]

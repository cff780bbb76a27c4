"""The problem as the solver sees it, patterns, and the plan that is always there: first fit decreasing."""

from bisect import bisect_left
from collections import Counter
from collections.abc import Iterable
from fractions import Fraction
from math import ceil, gcd
from typing import NamedTuple

from service.cutting.model import Order, Stock

MISSING_OVER_BAR = 2
"""How many times the dearest bar the shortest piece counts where it is missing: no bar is ever spared at its expense."""


ROWS_TRIED = 16
"""Rows of the stock that are tried for each bar of the first plan."""


class Pattern(NamedTuple):
    """What is cut from one bar: the stock's row, and of each length (by its index) how many."""

    stock: int
    counts: tuple[tuple[int, int], ...]


Chosen = list[tuple[Pattern, int]]
"""Patterns, and how often each is cut."""


class Problem:
    """One order, pieces of equal length taken together, the longest first.

    Costs are whole numbers of their greatest common part; what a missing piece counts is in the same unit.
    """

    def __init__(self, order: Order) -> None:
        """Take an order together."""
        demand: Counter[int] = Counter()
        for piece in order.pieces:
            demand[piece.length_um] += piece.count
        self.lengths = sorted(demand, reverse=True)
        self.demand = [demand[length] for length in self.lengths]
        self.stock: list[Stock] = order.stock
        self.unit = gcd(*(row.cost for row in self.stock)) or 1
        self.costs = [row.cost // self.unit for row in self.stock]
        self.dearest = max(*self.costs, 1)
        self.penalties = [ceil(Fraction(MISSING_OVER_BAR * self.dearest * one, self.lengths[-1])) for one in self.lengths]
        self.left: list[int | None] = [row.count for row in self.stock]
        self.cheapest = sorted(range(len(self.stock)), key=self.ratio)

    def ratio(self, row: int) -> Fraction:
        """What a bar costs by its room."""
        return Fraction(self.costs[row], max(1, self.stock[row].room_um))

    def most(self, row: int, index: int) -> int:
        """How many pieces of one length a bar has room for."""
        stock = self.stock[row]
        return max(0, stock.room_um // (self.lengths[index] + stock.kerf_um))

    def weight(self, pattern: Pattern) -> int:
        """What a pattern takes of a bar's room: its pieces, each with a kerf."""
        kerf = self.stock[pattern.stock].kerf_um
        return sum(many * (self.lengths[index] + kerf) for index, many in pattern.counts)

    def every_pattern(self, most: int) -> list[Pattern] | None:
        """Every pattern to which no piece can be added; None where that takes more than so many steps.

        Of each length there are no more pieces in it than are wanted. Plans of these patterns, in which some lengths are
        then cut too often, are as good as plans of all patterns.
        """
        found: list[Pattern] = []
        steps = 0
        for row, stock in enumerate(self.stock):
            weights = [length + stock.kerf_um for length in self.lengths]
            waiting: list[tuple[int, int, tuple[tuple[int, int], ...]]] = [(0, stock.room_um, ())]
            while waiting:
                index, room, counts = waiting.pop()
                steps += 1
                if steps > most:
                    return None
                if index == len(weights):
                    taken = dict(counts)
                    if counts and not any(
                        weight <= room and taken.get(one, 0) < self.demand[one] for one, weight in enumerate(weights)
                    ):
                        found.append(Pattern(row, counts))
                    continue
                for many in range(min(self.demand[index], max(0, room) // weights[index]) + 1):
                    more = ((index, many),) if many else ()
                    waiting.append((index + 1, room - many * weights[index], (*counts, *more)))
        return found

    def missing(self, chosen: Chosen) -> list[int]:
        """How many of each length a choice leaves uncut."""
        rest = self.demand.copy()
        for pattern, times in chosen:
            for index, many in pattern.counts:
                rest[index] -= many * times
        return rest

    def cost(self, chosen: Chosen) -> int:
        """What a choice costs, what is missing included."""
        missing = sum(many * penalty for many, penalty in zip(self.missing(chosen), self.penalties, strict=True))
        return missing + sum(self.costs[pattern.stock] * times for pattern, times in chosen)

    def least_bars(self, cut: Iterable[int]) -> int:
        """A number of bars below which so many pieces of each length cannot be cut: by length alone."""
        kerf = min(row.kerf_um for row in self.stock)
        together = sum(many * (length + kerf) for many, length in zip(cut, self.lengths, strict=True))
        return -(-together // max(row.room_um for row in self.stock))

    def least_cost(self) -> int:
        """A cost below which no choice is: every piece at its share of the bar that is cheapest by length."""
        kerf = min(row.kerf_um for row in self.stock)
        together = sum(many * (length + kerf) for many, length in zip(self.demand, self.lengths, strict=True))
        return ceil(together * self.ratio(self.cheapest[0]))


class Rest:
    """What is still to be cut, and the bars that are left."""

    def __init__(self, problem: Problem) -> None:
        """Start with everything."""
        self.problem = problem
        self.demand = problem.demand.copy()
        self.left = problem.left.copy()

    def cut(self, pattern: Pattern, times: int) -> Chosen:
        """Cut a pattern as often as it is of use and bars are left; the last time perhaps without what is too many."""
        left, done = self.left[pattern.stock], []
        times = times if left is None else min(times, left)
        while times > 0:
            whole = min(self.demand[index] // many for index, many in pattern.counts)
            if whole == 0:
                counts = tuple(
                    (index, min(many, self.demand[index])) for index, many in pattern.counts if self.demand[index]
                )
                if not counts:
                    break
                pattern, whole = Pattern(pattern.stock, counts), 1
            done.append((pattern, min(whole, times)))
            times -= done[-1][1]
            self._take(*done[-1])
        return done

    def _take(self, pattern: Pattern, times: int) -> None:
        left = self.left[pattern.stock]
        if left is not None:
            self.left[pattern.stock] = left - times
        for index, many in pattern.counts:
            self.demand[index] -= many * times

    def first_fit_decreasing(self) -> Chosen:
        """Cut all that is left: bar by bar the longest piece that still fits; of several stocks the cheapest by length."""
        problem, chosen = self.problem, []
        wanted = [index for index, many in enumerate(self.demand) if many]
        while wanted:
            filled = [one for row in self._tried(wanted) for one in self._filled(row, wanted)]
            if not filled:
                break
            best = min(filled, key=lambda one: Fraction(problem.costs[one.stock], self._length(one)))
            chosen += self.cut(best, min(self.demand[index] // many for index, many in best.counts))
            wanted = [index for index in wanted if self.demand[index]]
        return chosen

    def _tried(self, wanted: list[int]) -> list[int]:
        """The rows to try for a bar: some that are cheapest by length, and one for the longest piece."""
        problem = self.problem
        tried: list[int] = []
        for row in problem.cheapest:
            if self.left[row] != 0 and problem.most(row, wanted[-1]):
                long = problem.most(row, wanted[0]) > 0
                if long or len(tried) < ROWS_TRIED:
                    tried.append(row)
                if long and len(tried) >= ROWS_TRIED:
                    break
        return tried

    def _filled(self, row: int, wanted: list[int]) -> Iterable[Pattern]:
        """One bar of a row filled with what is wanted, where anything fits."""
        lengths, stock, counts, at = self.problem.lengths, self.problem.stock[row], [], 0
        room = stock.room_um
        while at < len(wanted):
            index = wanted[at]
            many = min(self.demand[index], room // (lengths[index] + stock.kerf_um))
            if many > 0:
                counts.append((index, many))
                room -= many * (lengths[index] + stock.kerf_um)
                at += 1
            else:  # the next that is short enough
                at = bisect_left(wanted, stock.kerf_um - room, at + 1, key=lambda one: -lengths[one])
        if counts:
            yield Pattern(row, tuple(counts))

    def _length(self, pattern: Pattern) -> int:
        return sum(many * self.problem.lengths[index] for index, many in pattern.counts)

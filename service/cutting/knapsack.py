"""The fullest bars: which pieces are worth most together, by dynamic programming over a grid of lengths.

Lengths are rounded down to the grid, so what comes out is never too little: a bound that holds. A pattern that the rounding
would let overflow is looked for again with less room, until it can really be cut.
"""

from collections.abc import Sequence
from math import gcd
from typing import Any

import numpy as np

from service.cutting.greedy import Pattern, Problem

CELLS_MIN, CELLS_MAX = 4096, 65_536
ROWS_AT_ONCE = 12
"""Rows of the stock of which patterns are taken from one table."""
STEPS_TIMES_CELLS = 3_000_000
"""How much one table may take to fill: some milliseconds."""


class Table:
    """The best values for every room up to the largest of some rows of the stock, which share a kerf."""

    def __init__(self, problem: Problem, rows: list[int], *, values: Sequence[int], bounds: Sequence[int]) -> None:
        """Fill it.

        Args:
            problem: the problem
            rows: the rows of the stock
            values: what a piece of each length is worth
            bounds: how many of each length may be taken
        """
        self._problem, self._rows = problem, rows
        kerf = problem.stock[rows[0]].kerf_um
        rooms = [max(0, problem.stock[row].room_um) for row in rows]
        roomy = rows[rooms.index(max(rooms))]
        most = [min(bound, problem.most(roomy, index)) for index, bound in enumerate(bounds)]
        items = [index for index, value in enumerate(values) if value > 0 and most[index] > 0]
        self._items = np.array(items, dtype=np.int64)
        self._weights = np.array([problem.lengths[index] + kerf for index in items], dtype=np.int64)
        self._values = np.array([values[index] for index in items], dtype=np.int64)
        self._bounds = np.array([most[index] for index in items], dtype=np.int64)
        steps = sum(most[index].bit_length() for index in items)
        cells = max(CELLS_MIN, min(CELLS_MAX, STEPS_TIMES_CELLS // max(1, steps)))
        exact = gcd(*map(int, self._weights)) or 1
        self._cell = exact if max(rooms) // exact <= 2 * cells else -(-max(rooms) // cells)
        self._cells = self._weights // self._cell
        self._best = np.zeros(max(rooms) // self._cell + 1, dtype=np.int64)
        self._steps: list[tuple[int, int, int, Any]] = []
        for place in range(len(items)):
            self._offer(place)

    def _offer(self, place: int) -> None:
        """Let every room take pieces of one length: one, two more, four more and so on, which makes every number."""
        best, left, many = self._best, int(self._bounds[place]), 1
        while left:
            taken = min(many, left)
            cells = taken * int(self._cells[place])
            if cells >= best.size:
                return
            offered = best[: best.size - cells] + taken * self._values[place]
            better = offered > best[cells:]
            np.maximum(best[cells:], offered, out=best[cells:])
            self._steps.append((place, taken, cells, better))
            left -= taken
            many *= 2

    @property
    def values(self) -> dict[int, int]:
        """The best value of each row: no pattern of it is worth more."""
        return {row: int(self._best[self._at(row)]) for row in self._rows}

    def _at(self, row: int) -> int:
        return max(0, self._problem.stock[row].room_um) // self._cell

    def patterns(self, over: Sequence[int], *, most: int) -> list[Pattern]:
        """Patterns that are worth more than `over` says for their row: of each row the best one with each length in it.

        Of one row at `most` so many, and only of the rows whose best pattern exceeds it most.
        """
        found: dict[Pattern, None] = {}
        for row in sorted(self._rows, key=lambda one: over[one] - int(self._best[self._at(one)]))[:ROWS_AT_ONCE]:
            room = self._at(row) - self._cells
            gains = np.where(room >= 0, self._best[np.maximum(room, 0)] + self._values, 0) - over[row]
            with_places = np.argsort(-gains, kind="stable")[:most]
            with_places = with_places[gains[with_places] > 0]
            if with_places.size:
                found.update(dict.fromkeys(self._patterns(row, with_places, over[row])))
        return list(found)

    def _patterns(self, row: int, with_places: Any, over: int) -> list[Pattern]:
        """The best pattern with one piece of each of some lengths, as far as it can be cut and is worth more."""
        room = self._at(row) - self._cells[with_places]
        counts = self._with(with_places, room)
        beyond = np.flatnonzero(counts @ self._weights > self._problem.stock[row].room_um)
        if beyond.size:  # rounding has let them overflow, each piece by less than a cell
            pieces = counts[beyond].sum(axis=1)
            counts[beyond] = self._with(with_places[beyond], np.maximum(room[beyond] - pieces, 0))
        np.minimum(counts, self._bounds, out=counts)
        good = (counts @ self._weights <= self._problem.stock[row].room_um) & (counts @ self._values > over)
        return [
            Pattern(row, tuple((int(self._items[place]), int(one[place])) for place in np.flatnonzero(one)))
            for one in counts[good]
        ]

    def _with(self, places: Any, room: Any) -> Any:
        """How many pieces of each length there are in the best pattern for each room and in one piece of a length more."""
        counts = np.zeros((room.size, self._items.size), dtype=np.int64)
        counts[np.arange(room.size), places] = 1
        cell = room.copy()
        for place, taken, cells, better in reversed(self._steps):
            before = cell - cells
            took = ((before >= 0) & better[np.maximum(before, 0)]).nonzero()[0]
            if took.size:
                counts[took, place] += taken
                cell[took] = before[took]
        return counts

"""Pieces, stock and plans in whole micrometres, and how a bar is cut. Nothing here needs the solver."""

from collections.abc import Sequence

import msgspec


class Stock(msgspec.Struct, frozen=True):
    """Bars of one kind.

    `count` is how many there are, None for any number; `kerf_um` what a cut takes; `trim_um` what is lost at each end;
    `keep_um` the least offcut worth keeping, None where none is; `cost` what a bar costs, in any whole unit.
    """

    length_um: int
    cost: int
    count: int | None = None
    kerf_um: int = 0
    trim_um: int = 0
    keep_um: int | None = None

    @property
    def usable_um(self) -> int:
        """What is left between the trimmed ends."""
        return self.length_um - 2 * self.trim_um

    @property
    def room_um(self) -> int:
        """What pieces with a kerf each may take together: the last one needs none, so there is a kerf more."""
        return self.usable_um + self.kerf_um


class Piece(msgspec.Struct, frozen=True):
    """Pieces of one length that belong to one reference."""

    length_um: int
    count: int
    reference: str = ""


class Order(msgspec.Struct, frozen=True):
    """What is to be cut of one profile, and from what."""

    profile: str
    pieces: list[Piece]
    stock: list[Stock]


class Task(msgspec.Struct, frozen=True):
    """Everything to plan, and the time that may take."""

    orders: list[Order]
    time_limit_s: float


class Cut(msgspec.Struct, frozen=True):
    """One piece in its place: `at_um` is its beginning, from the bar's end."""

    length_um: int
    at_um: int
    reference: str


class Bar(msgspec.Struct, frozen=True):
    """Equal bars: of which row of the stock, how many, what is cut from each in order, and what is left."""

    stock: int
    count: int
    cuts: list[Cut]
    offcut_um: int
    kept: bool


class Missing(msgspec.Struct, frozen=True):
    """Pieces of one length for which there is no stock."""

    length_um: int
    count: int


class Plan(msgspec.Struct, frozen=True):
    """What is cut of one profile.

    `cost` is what the bars cost together; no plan with the same pieces missing costs less than `cost_bound` or takes fewer
    bars than `bar_bound`. `optimal` is whether it is proven that none is better.
    """

    profile: str
    bars: list[Bar]
    missing: list[Missing]
    cost: int
    cost_bound: int
    bar_bound: int
    optimal: bool


class Answer(msgspec.Struct, frozen=True):
    """The plans in the order of the task's orders, and the version of the solver."""

    plans: list[Plan]
    solver: str


def fits(stock: Stock, lengths_um: Sequence[int]) -> bool:
    """Whether pieces can be cut from one bar: a kerf between neighbours, none behind a piece that is flush with the end."""
    return sum(lengths_um) + len(lengths_um) * stock.kerf_um <= stock.room_um


def laid(stock: Stock, pieces: Sequence[tuple[int, str]]) -> tuple[list[Cut], int, bool]:
    """The pieces (length [um], reference) laid into a bar from its end; the offcut behind them [um]; whether it is kept.

    A rest shorter than a kerf goes with the saw.
    """
    cuts, at_um = [], stock.trim_um
    for length_um, reference in pieces:
        cuts.append(Cut(length_um, at_um, reference))
        at_um += length_um + stock.kerf_um
    offcut_um = max(0, stock.length_um - stock.trim_um - at_um)
    return cuts, offcut_um, stock.keep_um is not None and offcut_um > 0 and stock.keep_um <= offcut_um

"""Orders in millimetres for the tests, and what must hold of every plan, counted anew from the plan alone."""

from collections import Counter

from service.cutting.model import Order, Piece, Stock, Task
from service.cutting.solve import solve

UM = 1000


def bar(length_mm, *, count=None, kerf_mm=0, trim_mm=0, keep_mm=None, cost=None):
    """A row of the stock; without a cost its length is one."""
    length_um = round(length_mm * UM)
    return Stock(
        length_um=length_um,
        cost=length_um if cost is None else cost,
        count=count,
        kerf_um=round(kerf_mm * UM),
        trim_um=round(trim_mm * UM),
        keep_um=None if keep_mm is None else round(keep_mm * UM),
    )


def order(demand, *stock):
    """An order of pieces (length in mm: how many)."""
    return Order("p", [Piece(round(length * UM), count) for length, count in demand.items()], list(stock))


def planned(wanted, *, time_limit_s=20.0):
    """The plan of one order."""
    (plan,) = solve(Task([wanted], time_limit_s)).plans
    return plan


def bars_of(plan):
    """How many bars a plan has."""
    return sum(one.count for one in plan.bars)


def check(wanted, plan):
    """Demand is met or told missing, stock is not exceeded, and every bar's micrometres are all accounted for."""
    cut, used = Counter(), Counter()
    for one in plan.bars:
        stock = wanted.stock[one.stock]
        used[one.stock] += one.count
        at = stock.trim_um
        for place, piece in enumerate(one.cuts):
            assert piece.at_um == at
            cut[piece.length_um, piece.reference] += one.count
            at += piece.length_um
            if place < len(one.cuts) - 1:
                at += stock.kerf_um
        end = stock.length_um - stock.trim_um
        assert one.cuts
        assert at <= end
        last_kerf = min(stock.kerf_um, end - at)
        assert one.offcut_um == end - at - last_kerf
        assert one.kept == (stock.keep_um is not None and one.offcut_um >= max(stock.keep_um, 1))
        kerfs = (len(one.cuts) - 1) * stock.kerf_um + last_kerf
        pieces = sum(piece.length_um for piece in one.cuts)
        assert pieces + kerfs + 2 * stock.trim_um + one.offcut_um == stock.length_um
    for row, stock in enumerate(wanted.stock):
        assert stock.count is None or used[row] <= stock.count
    asked, missing = Counter(), Counter()
    for piece in wanted.pieces:
        asked[piece.length_um] += piece.count
    for one in plan.missing:
        missing[one.length_um] += one.count
    together = Counter()
    for (length, _), count in cut.items():
        together[length] += count
    assert together + missing == asked
    if not missing:
        of_reference = Counter()
        for piece in wanted.pieces:
            of_reference[piece.length_um, piece.reference] += piece.count
        assert cut == of_reference
    assert plan.cost == sum(count * wanted.stock[row].cost for row, count in used.items())
    assert plan.cost_bound <= plan.cost
    assert plan.bar_bound <= bars_of(plan)
    assert not plan.optimal or plan.cost_bound == plan.cost

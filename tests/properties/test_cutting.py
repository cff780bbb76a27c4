"""What holds of every cutting plan, whatever is asked."""

from cutting.plans import check, planned
from hypothesis import given, settings
from hypothesis import strategies as st

from service.cutting.model import Order, Piece, Stock

LENGTHS = st.integers(1000, 20_000_000)


@st.composite
def orders(draw):
    """An order whose pieces fit the longest bar."""
    stock = []
    for _ in range(draw(st.integers(1, 3))):
        length = draw(LENGTHS)
        stock.append(
            Stock(
                length_um=length,
                cost=draw(st.one_of(st.just(length), st.integers(0, 10**9))),
                count=draw(st.one_of(st.none(), st.integers(0, 5))),
                kerf_um=draw(st.integers(0, 100_000)),
                trim_um=draw(st.integers(0, (length - 1) // 2)),
                keep_um=draw(st.one_of(st.none(), LENGTHS)),
            )
        )
    longest = max(one.usable_um for one in stock)
    pieces = [
        Piece(
            draw(st.integers(max(1, longest // 20), longest)), draw(st.integers(1, 9)), draw(st.sampled_from(("", "a", "b")))
        )
        for _ in range(draw(st.integers(1, 8)))
    ]
    return Order("p", pieces, stock)


@given(orders())
@settings(max_examples=60)
def test_demand_stock_and_every_micrometre_are_accounted_for(wanted):
    check(wanted, planned(wanted, time_limit_s=0.3))


@given(orders())
@settings(max_examples=30)
def test_unlimited_stock_leaves_nothing_missing(wanted):
    unlimited = Order("p", wanted.pieces, [Stock(one.length_um, one.cost, kerf_um=one.kerf_um) for one in wanted.stock])
    plan = planned(unlimited, time_limit_s=0.3)
    check(unlimited, plan)
    assert plan.missing == []

"""Figures: rounded as `round` rounds, without a fraction where there is none."""

from math import nextafter

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from service.audit.figures import figure, put_figure

THOUSANDTHS = st.integers(min_value=-(10**10), max_value=10**10)


def rounded(value):
    """What the language's own rounding makes of a number: the independent program of this file."""
    known = round(value, 3)
    return int(known) if known.is_integer() else known


def written(value):
    pieces = ["before"]
    put_figure(pieces, value)
    assert pieces[0] == "before"
    return "".join(pieces[1:])


@given(st.floats(allow_nan=False, allow_infinity=False))
@example(999_999_999.9995)
@example(-0.0)
@example(5e-324)
def test_any_number_is_rounded_as_the_language_rounds(value):
    assert repr(figure(value)) == written(value) == repr(rounded(value))


@given(THOUSANDTHS, st.integers(min_value=-3, max_value=3))
def test_a_number_at_a_tie_or_beside_it_is_rounded_as_the_language_rounds(thousandths, steps):
    value = (thousandths + 0.5) / 1000
    for _ in range(abs(steps)):
        value = nextafter(value, steps * float("inf"))
    assert repr(figure(value)) == written(value) == repr(rounded(value))


@given(THOUSANDTHS, st.floats(min_value=-0.00052, max_value=0.00052))
def test_a_number_near_a_thousandth_is_rounded_as_the_language_rounds(thousandths, off):
    value = thousandths / 1000 + off
    assert repr(figure(value)) == written(value) == repr(rounded(value))


@pytest.mark.parametrize("value", [float("nan"), float("inf"), float("-inf")])
def test_what_is_not_finite_never_leaves(value):
    with pytest.raises((ValueError, OverflowError)):
        figure(value)
    with pytest.raises((ValueError, OverflowError)):
        written(value)


def test_a_figure_is_rounded_once_and_has_no_negative_zero():
    # hand
    assert [figure(value) for value in (80.876187, 1180.0, -0.0004, 2.0005)] == [80.876, 1180, 0, 2.001]
    assert str(figure(-0.0001)) == "0"

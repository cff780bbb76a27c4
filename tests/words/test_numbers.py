"""Numbers as people read them."""

import random

import pytest

from service.words.numbers import TENTHS, Numbers

ENGLISH = Numbers(".")
GERMAN = Numbers(",")


@pytest.mark.parametrize(
    ("value", "told"),
    [(1165.56, "1165.6"), (1180.0, "1180"), (0.04, "0"), (-0.04, "0"), (-3.25, "−3.2"), (12345.67, "12345.7"), (0.0, "0")],
)
def test_tenths(value, told):
    assert ENGLISH.tenths(value) == told
    assert GERMAN.tenths(value) == told.replace(".", ",")


@pytest.mark.parametrize(("value", "told"), [(35.6, "36"), (-0.4, "0"), (-11.2, "−11"), (100.0, "100"), (54750.0, "54750")])
def test_whole(value, told):
    assert GERMAN.whole(value) == told


@pytest.mark.parametrize(("value", "told"), [(0.364, "0,36"), (0.3, "0,3"), (1.26, "1,3"), (12.4, "12"), (0.0, "0")])
def test_volts_have_two_figures(value, told):
    assert GERMAN.written_volts(value) == told.encode()


@pytest.mark.parametrize(("value", "told"), [(11.2, "11"), (0.4, "0.4"), (0.001, "0.001"), (0.0, "0")])
def test_a_force_does_not_read_as_none(value, told):
    assert ENGLISH.written_force(value) == told.encode()


@pytest.mark.parametrize(("value", "told"), [(2.5, "2,5"), (7.0, "7"), (0.75, "0,75"), (100.0, "100")])
def test_what_was_given_is_told_as_given(value, told):
    assert GERMAN.given(value) == told


def test_a_number_is_written_in_utf_8_as_it_is_told():
    # hand
    for value, told in ((-3.26, "−3,3"), (0.0, "0"), (12.0, "12"), (12345.67, "12345,7")):
        assert GERMAN.written(value, TENTHS) == told.encode()
        assert GERMAN.tenths(value) == told


def test_a_value_that_fails_never_reads_like_its_limit():
    assert ENGLISH.compared(value=12.34, limit=20.0, unit="mm") == ("12.3", "20", "7.7")
    assert ENGLISH.compared(value=19.97, limit=20.0, unit="mm") == ("19.97", "20", "0.03")
    assert ENGLISH.compared(value=100.2, limit=100.0, unit="N") == ("100.2", "100", "0.2")
    assert ENGLISH.compared(value=19.999, limit=20.0, unit="mm") == ("19.999", "20", "0.001")
    assert ENGLISH.compared(value=46.0, limit=50.0, unit="slats") == ("46", "50", "4")
    assert ENGLISH.compared(value=-0.3, limit=0.0, unit="N") == ("−0.3", "0", "0.3")  # -0 reads like 0


def test_two_figures_that_differ_never_read_alike():
    assert GERMAN.apart(6.12, 6.14) == ("6,12", "6,14")
    assert GERMAN.apart(6.1, 5.9) == ("6,1", "5,9")


@pytest.mark.parametrize("seed", range(3))
def test_numbers_read_as_python_formats_them(seed):
    drawn = random.Random(seed)  # noqa: S311 - repeatable, not secret
    values = [drawn.choice([0.5, 2.5, 0.25, -0.75, 3999.5, 4000.0, 2e9]) for _ in range(20)]
    values += [drawn.uniform(-9000, 9000) for _ in range(500)]
    for value in values:
        # independent program: Python's own formatting, without a sign for zero and zeros at the end
        whole, tenths = f"{value:z.0f}", f"{value:z.1f}".removesuffix(".0")
        assert ENGLISH.whole(value) == whole.replace("-", "\N{MINUS SIGN}")
        assert GERMAN.tenths(value) == tenths.replace("-", "\N{MINUS SIGN}").replace(".", ",")

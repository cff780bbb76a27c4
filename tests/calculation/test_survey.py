"""The opening measured more than once. Expected values: hand."""

import pytest

from service.calculation import survey


def test_the_smallest_readings_count() -> None:
    assert survey.opening_width_mm(widths_mm=(1181.0, 1180.0, 1183.5)) == 1180.0
    assert survey.opening_height_mm(heights_mm=(1420.0, 1422.0)) == 1420.0


def test_taper_is_greatest_less_least() -> None:
    assert survey.taper_mm(readings_mm=(1181.0, 1180.0, 1183.5)) == 3.5


def test_squareness_uses_mean_width_and_height() -> None:
    # (1502² - 1498²)/(4·1200·900) with means of 1200 and 900
    sine = survey.out_of_square_sine(
        widths_mm=(1199.0, 1201.0), heights_mm=(899.0, 900.0, 901.0), diagonals_mm=(1502.0, 1498.0)
    )
    assert sine == pytest.approx(1 / 360, rel=1e-15)
    assert survey.out_of_square_mm(heights_mm=(899.0, 900.0, 901.0), sine=sine) == pytest.approx(2.5, rel=1e-15)


def test_diagonals_that_contradict_the_sides() -> None:
    # 3-4-5: the diagonal of 1200 × 900 is 1500; two of 1510 are 10 too long
    disagreement = survey.diagonals_disagreement_mm(widths_mm=(1200.0,), heights_mm=(900.0,), diagonals_mm=(1510.0, 1510.0))
    assert disagreement == pytest.approx(10.0, abs=1e-12)

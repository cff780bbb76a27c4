"""The law of cosines behind the survey's squareness and the coil's chords.

A parallelogram's diagonals follow from its sides and one angle, so that a published triangle gives a survey whose angle is
known: the angle out of square is 90° less the triangle's.

@misc{qalaxia, title = {Law of cosines}, note = {sides 8 and 6, opposite side 7: angle 57.9°, qalaxia.com}}
@misc{emathhelp, title = {Law of cosines calculator},
  note = {sides 7 and 8 with 60° between: 7.54983443527075, emathhelp.net}}
"""

from math import asin, cos, degrees, sqrt

import pytest

from service.calculation import coil, survey


def out_of_square_deg(width, height, diagonals):
    """The angle by which a surveyed parallelogram misses the right angle."""
    sine = survey.out_of_square_sine(widths_mm=(width,), heights_mm=(height,), diagonals_mm=diagonals)
    return degrees(asin(sine))


def test_angle_opposite_the_side_of_7():
    # published: 57.9° (one decimal); hand: the parallelogram law gives the other diagonal √(2·(8² + 6²) - 7²)
    angle = 90 - out_of_square_deg(8.0, 6.0, (sqrt(2 * (64 + 36) - 49), 7.0))
    assert angle == pytest.approx(57.9, abs=0.05)
    assert angle == pytest.approx(57.9100487, abs=5e-8)  # hand: acos((8² + 6² - 7²)/(2·8·6))


def test_side_opposite_60_degrees():
    # published: 7.54983443527075; the long diagonal of the same parallelogram is 13; tolerance: rounding
    assert out_of_square_deg(7.0, 8.0, (13.0, 7.54983443527075)) == pytest.approx(30.0, abs=1e-10)


def test_published_sides_and_diagonals_do_not_contradict_each_other():
    # published: as above; a parallelogram's diagonals agree with its sides to rounding
    disagreement = survey.diagonals_disagreement_mm(
        widths_mm=(7.0,), heights_mm=(8.0,), diagonals_mm=(7.54983443527075, 13.0)
    )
    assert disagreement == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize(("diagonals", "sign"), [((1502.0, 1498.0), 1), ((1498.0, 1502.0), -1)])
def test_two_unequal_diagonals(diagonals, sign):
    # hand: (1502² - 1498²)/(4·1200·900) = 1/360; it leans to the right where the first, from upper left, is the longer
    sine = survey.out_of_square_sine(widths_mm=(1200.0,), heights_mm=(900.0,), diagonals_mm=diagonals)
    assert sine == pytest.approx(sign / 360, rel=1e-15)
    assert degrees(asin(sine)) == pytest.approx(sign * 0.1591551, abs=5e-8)
    assert survey.lean_mm(heights_mm=(900.0,), sine=sine) == pytest.approx(sign * 2.5, rel=1e-15)


def test_two_diagonals_beat_one():
    # hand: the law of cosines with one diagonal alone gives 0.159261° or 0.159049°; both together lie between
    both = out_of_square_deg(1200.0, 900.0, (1502.0, 1498.0))
    assert 0.159049 < both < 0.159261


def test_a_rectangle_of_3_4_5_is_square():
    # hand: 900, 1200, 1500 is a right triangle
    assert out_of_square_deg(1200.0, 900.0, (1500.0, 1500.0)) == 0.0
    assert survey.diagonals_disagreement_mm(
        widths_mm=(1200.0,), heights_mm=(900.0,), diagonals_mm=(1500.0, 1500.0)
    ) == pytest.approx(0.0, abs=1e-12)


def test_every_slat_of_a_coil_obeys_the_law():
    # hand: the side opposite the angle turned is the pitch; tolerance: rounding over 100 slats
    table = coil.coil_table(tube_radius_mm=25.0, pitch_mm=28.0, thickness_mm=8.0, nesting=1.0)
    for index in range(100):
        inner, outer = table.radii_mm[index : index + 2]
        turned = table.angles_rad[index + 1] - table.angles_rad[index]
        assert sqrt(inner**2 + outer**2 - 2 * inner * outer * cos(turned)) == pytest.approx(28.0, abs=1e-10)

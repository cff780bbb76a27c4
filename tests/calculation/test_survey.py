"""The opening measured more than once. Expected values: hand."""

import pytest
import samples

from service.calculation import survey
from service.calculation.job import Survey


def sized(mount=samples.REVEAL, **measured):
    """The size that a survey comes to."""
    given = {"widths_mm": (1180.0, 1180.0), "heights_mm": (1420.0, 1420.0), **measured}
    return survey.size(samples.job({"survey": Survey(**given)}).opening, mount)


def test_the_least_readings_count():
    assert survey.least_width_mm(widths_mm=(1181.0, 1180.0, 1183.5)) == 1180.0
    assert survey.opening_height_mm(heights_mm=(1420.0, 1422.0)) == 1420.0


def test_a_seal_on_the_outer_edge_is_as_long_as_the_edges_are():
    # the tracks' room is 1000 - 6 of lean; the seal lies on the header, 1000 wide, and on jambs of which the longer has 904
    found = sized(widths_mm=(1000.0, 1005.0), heights_mm=(900.0, 904.0), diagonals_mm=(1350.0, 1342.0))
    assert found.width_mm < 1000.0
    assert (found.header_width_mm, found.jamb_height_mm) == (1000.0, 904.0)


def test_taper_is_greatest_less_least():
    assert survey.taper_mm(widths_mm=(1181.0, 1180.0, 1183.5), heights_mm=(1420.0, 1420.0)) == 3.5
    assert survey.taper_mm(widths_mm=(1181.0, 1180.0), heights_mm=(1424.0, 1420.0)) == 4.0


@pytest.mark.parametrize(("diagonals", "sign"), [((1502.0, 1498.0), 1), ((1498.0, 1502.0), -1)])
def test_squareness_uses_mean_width_and_height(diagonals, sign):
    # (1502² - 1498²)/(4·1200·900) with means of 1200 and 900; positive where the opening leans to the right on its way down
    sine = survey.out_of_square_sine(widths_mm=(1199.0, 1201.0), heights_mm=(899.0, 900.0, 901.0), diagonals_mm=diagonals)
    assert sine == pytest.approx(sign / 360, rel=1e-15)
    assert survey.lean_mm(heights_mm=(899.0, 900.0, 901.0), sine=sine) == pytest.approx(sign * 2.5, rel=1e-15)


def test_diagonals_that_contradict_the_sides():
    # 3-4-5: the diagonal of 1200 × 900 is 1500; two of 1510 are 10 too long
    disagreement = survey.diagonals_disagreement_mm(widths_mm=(1200.0,), heights_mm=(900.0,), diagonals_mm=(1510.0, 1510.0))
    assert disagreement == pytest.approx(10.0, abs=1e-12)


def test_jambs_of_a_leaning_opening():
    # 1000 wide at top, 1004 in the middle, 1000 at the bottom, leaning by 6 to the right: l = f·6 - w/2, r = f·6 + w/2
    widths = (1000.0, 1004.0, 1000.0)
    left = survey.left_edges_mm(widths_mm=widths, lean_mm=6.0)
    right = survey.right_edges_mm(widths_mm=widths, lean_mm=6.0)
    assert left == [-500.0, -499.0, -494.0]
    assert right == [500.0, 505.0, 506.0]
    # plumb tracks stand between the foremost points: 500 - (-494)
    assert survey.usable_width_mm(left_edges_mm=left, right_edges_mm=right) == 994.0
    packing = [survey.packing_left_mm(left_edges_mm=left, depth_share=share) for share in (0.0, 0.25, 0.5, 1.0)]
    assert packing == [6.0, 5.5, 5.0, 0.0]
    packing = [survey.packing_right_mm(right_edges_mm=right, depth_share=share) for share in (0.0, 0.25, 0.5, 1.0)]
    assert packing == [0.0, 2.5, 5.0, 6.0]
    # lapping tracks of 20, w 1000, centred at ((-494) + 500)/2 = 3: left edge reaches -517, right 523; least 506 to 523
    lap = survey.least_lap_mm(left_edges_mm=left, right_edges_mm=right, width_mm=1000.0, track_beyond_mm=20.0)
    assert lap == 17.0


def test_a_leaning_opening_in_both_mounts():
    # a rectangle sheared by 8 over 1420: diagonals √((1180 ± 8)² + z²), z² = 1420² - 8²
    deep = 1420.0**2 - 8.0**2
    diagonals = ((1188.0**2 + deep) ** 0.5, (1172.0**2 + deep) ** 0.5)
    reveal, face = sized(diagonals_mm=diagonals), sized(samples.FACE, diagonals_mm=diagonals)
    assert reveal.out_of_square_mm == pytest.approx(8.0, abs=1e-9)
    assert reveal.width_mm == pytest.approx(1172.0, abs=1e-9)
    packed = [(one.side, one.at_mm, round(one.thickness_mm, 9)) for one in reveal.packing]
    assert packed == [("left", 0.0, 8.0), ("left", 710.0, 4.0), ("right", 710.0, 4.0), ("right", 1420.0, 8.0)]
    # lapping, the width is as measured, and of 20 each side half the lean is lost at an end
    assert (face.width_mm, face.packing) == (1180.0, [])
    assert face.lap_mm == pytest.approx(16.0, abs=1e-9)


def test_laps_of_both_tracks_at_each_width():
    # hand: jambs at ∓500, ∓502 and ∓500, tracks of 1000 + 2·20 over both in the middle: 20 at the ends, 18 between them
    measured = Survey(widths_mm=(1000.0, 1004.0, 1000.0), heights_mm=(900.0, 900.0))
    assert survey.laps_mm(measured, track_beyond_mm=20.0) == ([20.0, 18.0, 20.0], [20.0, 18.0, 20.0])
    # leaning by (1504² - 1496²)/(4·1000) = 6: l = -500, -497, -494, r = 500, 503, 506, tracks from -517 to 523
    leaning = Survey(widths_mm=(1000.0, 1000.0, 1000.0), heights_mm=(900.0, 900.0), diagonals_mm=(1504.0, 1496.0))
    left, right = survey.laps_mm(leaning, track_beyond_mm=20.0)
    assert left == pytest.approx([17.0, 20.0, 23.0], abs=1e-9)
    assert right == pytest.approx([23.0, 20.0, 17.0], abs=1e-9)
    assert min(left + right) == survey.size(samples.job({"survey": leaning}).opening, samples.FACE).lap_mm


def test_without_diagonals_nothing_leans():
    found = sized(widths_mm=(1184.0, 1180.0))
    assert (found.out_of_square_mm, found.disagreement_mm) == (None, None)
    # hand: widest at the top, so that both tracks are packed there by half the taper
    assert [(one.side, one.at_mm, one.thickness_mm) for one in found.packing] == [
        ("left", 0.0, 2.0),
        ("right", 0.0, 2.0),
        ("left", 710.0, 1.0),
        ("right", 710.0, 1.0),
    ]
    assert found.width_mm == 1180.0


def test_a_single_size_is_taken_as_it_is():
    found = survey.size(samples.OPENING, samples.REVEAL)
    assert (found.width_mm, found.height_mm, found.taper_mm, found.packing) == (1180.0, 1420.0, None, [])


def test_plumb_width_of_a_survey():
    measured = Survey(widths_mm=(1184.0, 1180.0), heights_mm=(1420.0, 1420.0))
    assert survey.plumb_width_mm(measured) == 1180.0

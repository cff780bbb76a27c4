"""Blade fuses, flexible conductors and the voltage lost in them.

@misc{grainews2015, title = {Fuse colours}, note = {black 1, grey 2, violet 3, pink 4, tan 5, brown 7.5, red 10, blue 15,
  yellow 20, clear 25, green 30, blue-green 35, orange 40 A}}
@techreport{iec60228, title = {IEC 60228}, note = {class 5, plain copper, greatest resistance at 20 °C, as reprinted on
  three pages that agree}}
@misc{diysolar, note = {doityourselfsolarenergyprojects.blogspot.com: 1 A over 20 m of 1.3 mm² at 0.01785 ohm·mm²/m loses
  0.549 V, 4.58 % of 12 V}}
@misc{tnlab, title = {International annealed copper standard}, note = {17.241 ohm·mm²/km}}
"""

import pytest

from service.calculation import wiring

# published: IEC 60228, class 5
OHM_PER_KM = {0.5: 39.0, 0.75: 26.0, 1: 19.5, 1.5: 13.3, 2.5: 7.98, 4: 4.95, 6: 3.30, 10: 1.91, 16: 1.21}


def test_ratings_are_the_published_ones() -> None:
    assert wiring.FUSE_RATINGS_A == (1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30, 35, 40)  # published


@pytest.mark.parametrize(
    ("current_a", "fuse_a"), [(0.0, 1), (0.8, 1), (0.81, 2), (3.2, 4), (4.0, 5), (4.01, 7.5), (32.0, 40)]
)
def test_fuse_is_the_next_one_up(current_a: float, fuse_a: float) -> None:
    assert wiring.fuse_a(current_a=current_a) == fuse_a  # hand: 1.25 times the current, rounded up in the published list


def test_no_fuse_is_made_up() -> None:
    with pytest.raises(ValueError, match="no standard blade fuse"):
        wiring.fuse_a(current_a=32.1)


def test_resistances_are_the_published_ones() -> None:
    assert wiring.CLASS_5_OHM_PER_KM == OHM_PER_KM


@pytest.mark.parametrize("area_mm2", OHM_PER_KM)
def test_resistances_are_copper_with_strands(area_mm2: float) -> None:
    # hand: solid copper, 17.241/A, gains 9 to 17 % by stranding and tolerance of the wires
    assert 1.09 < wiring.CLASS_5_OHM_PER_KM[area_mm2] / (17.241 / area_mm2) < 1.17


def test_voltage_drop_is_ohms_law_over_both_conductors() -> None:
    # published: 0.549 V for 20 m of 1.3 mm²; taken over to 1 mm² of the table by its resistance
    published = 0.549 * 19.5 / (17.85 / 1.3)
    lost = wiring.voltage_drop_v(cable_run_m=20.0, current_a=1.0, conductor_mm2=1.0)
    assert lost == pytest.approx(published, rel=1e-3)  # the page prints three digits
    assert lost == pytest.approx(0.78, abs=1e-12)  # hand: 2·20·1·19.5/1000

"""Blade fuses, flexible conductors and the voltage lost in them.

@misc{grainews2015, title = {Fuse colours}, note = {black 1, grey 2, violet 3, pink 4, tan 5, brown 7.5, red 10, blue 15,
  yellow 20, clear 25, green 30, blue-green 35, orange 40 A}}
@techreport{iec60228, title = {IEC 60228}, note = {class 5, plain copper, greatest resistance at 20 °C, as reprinted on
  three pages that agree}}
@misc{diysolar, note = {doityourselfsolarenergyprojects.blogspot.com: 1 A over 20 m of 1.3 mm² at 0.01785 ohm·mm²/m loses
  0.549 V, 4.58 % of 12 V}}
@misc{hioki, title = {Hioki RM3545, appendix 4}, note = {international standard annealed copper 3930 ppm/°C at 20 °C, citing
  Handbook for Electronics, Information and Communication Engineers, volume 1; manualshive.com}}
@article{dellinger1911, author = {J. H. Dellinger}, title = {The temperature coefficient of resistance of copper},
  journal = {Bulletin of the Bureau of Standards}, volume = 7, note = {0.00394 at 20 °C for copper of 100 %; from memory}}
@misc{tnlab, title = {International annealed copper standard}, note = {17.241 ohm·mm²/km}}
"""

import pytest

from service.calculation import wiring

# published: IEC 60228, class 5
OHM_PER_KM = {0.5: 39.0, 0.75: 26.0, 1: 19.5, 1.5: 13.3, 2.5: 7.98, 4: 4.95, 6: 3.30, 10: 1.91, 16: 1.21}


def test_ratings_are_the_published_ones():
    assert wiring.FUSE_RATINGS_A == (1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30, 35, 40)  # published


@pytest.mark.parametrize(
    ("current_a", "fuse_a"), [(0.0, 1), (0.8, 1), (0.81, 2), (3.2, 4), (4.0, 5), (4.01, 7.5), (32.0, 40)]
)
def test_fuse_is_the_next_one_up(current_a, fuse_a):
    assert wiring.fuse_a(current_a=current_a) == fuse_a  # hand: 1.25 times the current, rounded up in the published list


def test_no_fuse_is_made_up():
    with pytest.raises(ValueError, match="no standard blade fuse"):
        wiring.fuse_a(current_a=32.1)


def test_resistances_are_the_published_ones():
    assert wiring.CLASS_5_OHM_PER_KM == OHM_PER_KM


@pytest.mark.parametrize("area_mm2", OHM_PER_KM)
def test_resistances_are_copper_with_strands(area_mm2):
    # hand: solid copper, 17.241/A, gains 9 to 17 % by stranding and tolerance of the wires
    assert 1.09 < wiring.CLASS_5_OHM_PER_KM[area_mm2] / (17.241 / area_mm2) < 1.17


def drop(**changes):
    """Voltage lost by 1 A over a cable of 1 mm² at 20 °C without a link; keywords change that."""
    given = {
        "cable_run_m": 0.0,
        "current_a": 1.0,
        "link_m": 0.0,
        "link_current_a": 0.5,
        "conductor_mm2": 1.0,
        "resistance_factor": 1.0,
    }
    return wiring.voltage_drop_v(**{**given, **changes})


def test_voltage_drop_is_ohms_law_over_both_conductors():
    # published: 0.549 V for 20 m of 1.3 mm²; taken over to 1 mm² of the table by its resistance
    published = 0.549 * 19.5 / (17.85 / 1.3)
    lost = drop(cable_run_m=20.0)
    assert lost == pytest.approx(published, rel=1e-3)  # the page prints three digits
    assert lost == pytest.approx(0.78, abs=1e-12)  # hand: 2·20·1·19.5/1000


def test_copper_has_more_resistance_when_hot():
    # published: 3930 ppm/°C at 20 °C, by 30 K 11.79 %
    assert wiring.COPPER_PER_K == 0.00393
    assert wiring.copper_resistance_factor(temperature_max_c=50.0) == pytest.approx(1.1179, abs=1e-12)
    assert wiring.copper_resistance_factor(temperature_max_c=20.0) == 1.0
    # published, from memory: Dellinger's value differs in the third digit
    assert pytest.approx(1.0, abs=3e-3) == wiring.COPPER_PER_K / 0.00394


def test_copper_at_any_temperature_points_to_the_same_zero():
    # hand: a straight line through 1 at 20 °C meets 0 at 20 - 1/0.00393 = -234.45 °C; the tables' 234.5 is that, rounded
    assert wiring.copper_resistance_factor(temperature_max_c=-234.5) == pytest.approx(0.0, abs=2e-4)


def test_the_second_light_s_link_is_counted_with_half_the_current():
    # hand: 2·1.2·0.5·19.5/1000 more than the run alone
    assert drop(cable_run_m=4.0, link_m=1.2) - drop(cable_run_m=4.0) == pytest.approx(0.0234, abs=1e-12)

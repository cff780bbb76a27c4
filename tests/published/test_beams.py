"""Beams under uniform load, and the shortening of a shallow bow.

@misc{pynite, title = {PyNiteFEA 3.2.0}, note = {independent program: a beam element, solved at its middle. Its
  min_deflection() samples and reads 0.012 % low, so the deflection is taken at L/2}}
@book{bansal, title = {Strength of Materials}, note = {Ex. 12.5, as FOSSEE 3863 CH12: 16.27 mm}}
@book{vose1873, author = {G. L. Vose}, title = {Handbook of Railroad Construction}, note = {sect. 225: half span 500 ft, sag
  80 ft}}
"""

from math import asinh, pi, sqrt

import pytest
from Pynite import FEModel3D

from service.calculation import strength


def by_elements(*, length, load, modulus, second_moment):
    """Moment and deflection at the middle of a simply supported beam."""
    model = FEModel3D()
    model.add_material("metal", modulus, modulus / 2.6, 0.3, 2.7e-6)
    model.add_section("slat", 100.0, second_moment, second_moment, 1e4)
    model.add_node("left", 0, 0, 0)
    model.add_node("right", length, 0, 0)
    model.add_member("beam", "left", "right", "metal", "slat")
    held = {"support_DY": True, "support_DZ": True, "support_RX": True}
    model.def_support("left", support_DX=True, **held)
    model.def_support("right", **held)
    model.add_member_dist_load("beam", "Fy", -load, -load)
    model.analyze()
    beam = model.members["beam"]
    return abs(beam.moment("Mz", length / 2)), abs(beam.deflection("dy", length / 2))


@pytest.mark.parametrize(
    ("length", "load", "second_moment"),
    [(2000.0, 1.0, 1e5), (1165.2, 0.01921, 560.0), (2550.0, 0.0274, 1500.0)],
)
def test_slat_bends_as_the_beam_program_says(length, load, second_moment):
    # independent program; tolerance: its matrix solution is good to about 1e-9
    moment, deflection = by_elements(length=length, load=load, modulus=70_000.0, second_moment=second_moment)
    assert strength.slat_moment_n_mm(slat_load_n_per_mm=load, slat_length_mm=length) == pytest.approx(moment, rel=1e-6)
    bow = strength.slat_bow_mm(slat_load_n_per_mm=load, slat_length_mm=length, second_moment_mm4=second_moment)
    assert bow == pytest.approx(deflection, rel=1e-6)


def test_tube_sags_as_the_beam_program_says():
    # independent program: 11.6 kg of curtain and 2.9 kg of tube spread over 1165 mm, radius 25, wall 2
    ring = strength.tube_second_moment_mm4(tube_radius_mm=25.0, tube_wall_mm=2.0)
    _, deflection = by_elements(length=1165.0, load=14.5 * 9.80665 / 1165, modulus=210_000.0, second_moment=ring)
    sag = strength.tube_sag_mm(curtain_mass_kg=11.6, tube_mass_kg=2.9, tube_length_mm=1165.0, tube_second_moment_mm4=ring)
    assert sag == pytest.approx(deflection, rel=1e-6)
    assert ring == pytest.approx(pi * (50**4 - 46**4) / 64, rel=1e-12)  # hand: the ring by its diameters


def test_textbook_beams():
    # hand: w 1 N/mm on 2 m, I 1e5: M 500000 N·mm, 29.7619048 mm
    assert strength.slat_moment_n_mm(slat_load_n_per_mm=1.0, slat_length_mm=2000.0) == pytest.approx(500_000.0)
    bow = strength.slat_bow_mm(slat_load_n_per_mm=1.0, slat_length_mm=2000.0, second_moment_mm4=1e5)
    assert bow == pytest.approx(29.7619048, abs=1e-7)
    # published: Bansal, w 9 N/mm on 5 m, I 4.5e8, E 10000 (ours is 70000, so a seventh): 16.27 mm, cut after two decimals
    timber = strength.slat_bow_mm(slat_load_n_per_mm=9.0, slat_length_mm=5000.0, second_moment_mm4=4.5e8)
    assert 7 * timber == pytest.approx(16.27, abs=0.01)
    assert strength.slat_moment_n_mm(slat_load_n_per_mm=9.0, slat_length_mm=5000.0) == pytest.approx(28.125e6)
    stress = strength.slat_stress_mpa(slat_moment_n_mm=28.125e6, section_modulus_mm3=200 * 300**2 / 6)
    assert stress == pytest.approx(9.375)  # hand: 28.125e6/3e6


def parabola_length(*, bow, span):
    """Exact length of a parabola."""
    steep = 4 * bow / span
    return span / 2 * (sqrt(1 + steep**2) + asinh(steep) / steep)


def test_draw_in_is_nearly_the_exact_arc():
    # hand: exact arc of 2000 mm with 30 mm of bow is longer by 1.199352832, the formula gives 1.2
    assert parabola_length(bow=30.0, span=2000.0) - 2000 == pytest.approx(1.199352832, abs=1e-9)
    drawn = strength.draw_in_mm(slat_bow_mm=30.0, slat_length_mm=2000.0)
    assert drawn == pytest.approx(1.2, abs=1e-12)
    # 0.054 % of the draw-in; a slat's bow that matters is of this size
    assert drawn == pytest.approx(1.199352832, rel=6e-4)


def test_draw_in_of_a_bridge_cable():
    # published: Vose, 508.55 ft for half the cable, having rounded 1.01707 to 1.0171; hand: 17.0667 ft over the full span
    drawn = strength.draw_in_mm(slat_bow_mm=80.0, slat_length_mm=1000.0)
    assert drawn == pytest.approx(17.0667, abs=5e-5)
    assert 500 + drawn / 2 == pytest.approx(508.55, abs=0.02)
    # hand: the exact arc, 16.81366: the formula is on the safe side
    assert parabola_length(bow=80.0, span=1000.0) - 1000 == pytest.approx(16.81366, abs=5e-6)

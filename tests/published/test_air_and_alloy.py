"""Air density and velocity pressure against two atmosphere programs, and the slat's alloy against the suppliers' tables.

@misc{fluids, title = {fluids}, note = {independent program: US Standard Atmosphere 1976}}
@misc{ambiance, title = {ambiance}, note = {independent program: ICAO standard atmosphere 1993}}
@techreport{en755-2, title = {EN 755-2, profiles}, note = {6060 T6, wall up to 3 mm: Rp0.2 150, Rm 190 MPa, as reprinted by
  btimetals.com and euralliage.com}}
@techreport{iso80000-3, title = {ISO 80000-3}, note = {standard acceleration of free fall 9.80665 m/s²}}
"""

import pytest
from ambiance import Atmosphere
from fluids.atmosphere import ATMOSPHERE_1976

from service.calculation import constants, strength


def test_air_density_is_that_of_the_standard_atmosphere():
    # independent programs: 1.2249992 and 1.2250000; tolerance: the standard's own four digits
    assert pytest.approx(ATMOSPHERE_1976(0).rho, abs=5e-5) == strength.AIR_DENSITY_KG_PER_M3
    assert pytest.approx(float(Atmosphere(0).density[0]), abs=5e-5) == strength.AIR_DENSITY_KG_PER_M3


@pytest.mark.parametrize(
    ("speed_km_h", "pressure_pa"),
    [(72.0, 245.0), (90.0, 382.8125), (108.0, 551.25), (100.0, 472.608)],  # hand: ρ·v²/2 at 20, 25, 30 and 27.78 m/s
)
def test_velocity_pressure(speed_km_h, pressure_pa):
    found = strength.wind_pressure_pa(road_speed_km_h=speed_km_h)
    assert found / strength.SHAPE_FACTOR == pytest.approx(pressure_pa, abs=5e-4)
    # independent program; tolerance: its density
    assert found / strength.SHAPE_FACTOR == pytest.approx(ATMOSPHERE_1976(0).rho / 2 * (speed_km_h / 3.6) ** 2, rel=1e-5)


def test_alloy_is_not_stronger_than_the_table():
    # published: EN 755-2 by two suppliers; the typical values of other tables are higher and not for design
    assert strength.ALUMINIUM_YIELD_MPA == 150.0
    assert strength.slat_stress_limit_mpa() == pytest.approx(100.0)  # hand: 150/1.5


def test_gravity_is_the_standard_one():
    assert constants.GRAVITY_M_PER_S2 == 9.80665  # published

"""Limits for slats beside the requested one: what the request says holds for them as far as it can."""

import msgspec
import pytest

from service.catalogue.loader import STANDARD, load
from service.contract.examples import FITTINGS
from service.contract.explore import find_limits
from service.contract.requests import FittingRequest
from service.contract.shelf import stock

SHELF = stock(load(STANDARD))


def limits(**shutter):
    """The limits of each slat."""
    request = msgspec.convert({**FITTINGS["lock-gate-truck"].request, "shutter": shutter}, FittingRequest)
    found = {}
    for one in find_limits(request, SHELF).limits:
        found.setdefault(one.slat, []).append(one)
    return found


@pytest.mark.slow
@pytest.mark.parametrize("slat", ["slim", "stout"])
def test_the_tube_holds_for_every_slat_that_can_be_wound_on_it(slat):
    (other,) = {"slim", "stout"} - {slat}
    assert limits(slat=other, tube="T70")[slat] == limits(slat=slat, tube="T70")[slat]
    assert limits(slat="slim", tube="T70")["slim"] != limits(slat="slim")["slim"], "else the tube would not matter"
    assert limits(slat="slim", tube="T50")["stout"] == limits(slat="stout")["stout"], "stout does not go on T50"


@pytest.mark.slow
def test_counted_slats_and_a_measured_radius_hold_for_the_requested_slat_only():
    measured = limits(slat="slim", slat_count=40, measured_coil_radius_mm=120)
    assert measured["stout"] == limits(slat="stout")["stout"]
    assert measured["slim"] != limits(slat="slim")["slim"]

"""Alternatives: how many. Limits for slats beside the requested one: what the request says holds as far as it can."""

import msgspec
import pytest

from service.catalogue.loader import STANDARD, load
from service.contract.examples import FITTINGS
from service.contract.explore import find_limits
from service.contract.requests import FittingRequest
from service.contract.shelf import stock

SHELF = stock(load(STANDARD))
GOOD = FITTINGS["lock-gate-truck"].request


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


def test_alternatives_are_as_many_as_asked_for(client):
    whole = client.post("/v1/fittings/alternatives", json=GOOD).json()
    # hand: slim on 2 tubes and stout on 1, on 3 plates in 2 mounts
    assert whole["combination_count"] == len(whole["alternatives"]) == 18
    first = client.post("/v1/fittings/alternatives?limit=4", json=GOOD).json()
    assert first == {**whole, "alternatives": whole["alternatives"][:4]}
    kinds = {(one["shutter"]["slat"], one["shutter"]["mount"]) for one in first["alternatives"]}
    assert len(kinds) == 4, "the best of each slat and mount"


@pytest.mark.parametrize(
    ("limit", "code", "told"),
    [
        ("0", "minimum", {"limit": 1, "actual": 0}),
        ("-3", "minimum", {"limit": 1, "actual": -3}),
        ("51", "maximum", {"limit": 50, "actual": 51}),
        ("2.5", "whole_number", {"actual": "2.5"}),
        ("", "whole_number", {"actual": ""}),
        ("9" * 40, "whole_number", {"actual": "9" * 40}),
        ("٣", "whole_number", {"actual": "٣"}),
        ("07", "whole_number", {"actual": "07"}),
    ],
)
def test_another_limit_of_alternatives_is_refused(client, limit, code, told):
    refused = client.post("/v1/fittings/alternatives", params={"limit": limit}, json=GOOD)
    assert refused.status_code == 422
    (fault,) = refused.json()["errors"]
    del fault["detail"]
    assert fault == {"code": code, "parameter": "limit", **told}

"""Stored results that today's catalogue cannot calculate again: told as what they are, at the right place."""

import json
from typing import Any

import msgspec
import pytest

from service.catalogue.loader import STANDARD, load
from service.contract.examples import FITTINGS
from service.contract.fittings import encode, fitting
from service.contract.problems import Refusal
from service.contract.requests import FittingRequest
from service.contract.shelf import stock
from service.contract.verification import Difference, StoredFitting, Verification, verify

SHELF = stock(load(STANDARD))
POINTER = "/audit/request/shutter/slat"


def verified(content: Any) -> Verification:
    return verify(msgspec.convert(content, StoredFitting), content, SHELF)


@pytest.fixture
def stored() -> Any:
    """A stored answer whose slat the catalogue does not have."""
    request = msgspec.convert(FITTINGS["lock-gate-truck"].request, FittingRequest)
    content = json.loads(encode(fitting(request, SHELF)))
    assert verified(content).outcome == "identical"
    content["audit"]["request"]["shutter"]["slat"] = "of-last-year"
    return content


@pytest.mark.parametrize(("member", "value"), [("catalogue_sha256", "0" * 64), ("calculation_version", "0.1.0")])
def test_what_another_catalogue_or_version_had_is_other_version(stored: Any, member: str, value: str) -> None:
    stored["audit"][member] = value
    told = verified(stored)
    assert told.outcome == "other_version"
    assert told.differences == [Difference(POINTER, '"of-last-year"', None)]


def test_what_the_very_catalogue_never_had_is_refused_at_its_place_in_the_stored_answer(stored: Any) -> None:
    with pytest.raises(Refusal) as refused:
        verified(stored)
    assert [fault.pointer for fault in refused.value.faults] == [POINTER]

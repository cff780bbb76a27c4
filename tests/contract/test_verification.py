"""Stored results that today's catalogue cannot calculate again: told as what they are, at the right place."""

import json

import msgspec
import pytest

from service.catalogue.loader import STANDARD, load
from service.contract.examples import FITTINGS
from service.contract.fittings import encode, fitting
from service.contract.problems import Refusal
from service.contract.requests import FittingRequest
from service.contract.shelf import stock
from service.contract.verification import verify

SHELF = stock(load(STANDARD))
POINTER = "/audit/request/shutter/slat"


def verified(content):
    return verify(content, SHELF)


@pytest.fixture
def stored():
    """A stored answer whose slat the catalogue does not have."""
    request = msgspec.convert(FITTINGS["lock-gate-truck"].request, FittingRequest)
    content = json.loads(encode(fitting(request, SHELF)))
    assert verified(content).outcome == "identical"
    content["audit"]["request"]["shutter"]["slat"] = "of-last-year"
    return content


@pytest.mark.parametrize(("member", "value"), [("catalogue_sha256", "0" * 64), ("calculation_version", "0.1.0")])
def test_what_another_catalogue_or_version_had_is_other_version(stored, member, value):
    stored["audit"][member] = value
    found = verified(stored)
    assert found.outcome == "other_version"
    assert found.differences == []


def test_what_the_very_catalogue_never_had_is_refused_at_its_place_in_the_stored_answer(stored):
    with pytest.raises(Refusal) as refused:
        verified(stored)
    assert [fault.pointer for fault in refused.value.faults] == [POINTER]


@pytest.fixture
def genuine():
    """A stored answer with everything that can be included."""
    request = msgspec.convert(FITTINGS["towpath-tractor"].request, FittingRequest)
    include = frozenset({"trace", "geometry", "balance_curve", "candidates", "cures"})
    return json.loads(encode(fitting(request, SHELF, include=include)))


def with_nulls(content):
    """The content as a typed client stores it: members without a value are null, and some are its own."""
    if isinstance(content, dict):
        return {name: with_nulls(value) for name, value in content.items()} | {"members_of_the_caller": None}
    if isinstance(content, list):
        return [with_nulls(one) for one in content]
    return content


def test_a_genuine_answer_is_identical_with_all_that_was_included(genuine):
    assert verified(genuine).outcome == "identical"


def test_nulls_words_and_members_of_the_callers_own_do_not_alter_an_answer(genuine):
    stored = with_nulls(genuine)
    stored["words"]["headline"] = "Passt"
    stored["drip_rail"] = None
    stored["audit"]["request"]["opening"]["survey"] = None
    stored["coil"]["of_the_erp"] = 17
    assert verified(stored).outcome == "identical"


def test_empty_lists_and_objects_in_place_of_absent_ones_do_not_alter_an_answer(genuine):
    # as a Java client of openapi-generator has them, included or not
    for step in genuine["audit"]["trace"]:
        for name, empty in (("input_lists", {}), ("values", [])):
            step.setdefault(name, empty)
    assert verified(genuine).outcome == "identical"
    genuine["audit"]["trace"] = genuine["balance"]["curve"] = genuine["candidates"] = genuine["cures"] = []
    assert verified(genuine).outcome == "identical"


def test_an_empty_list_in_place_of_one_that_is_always_there_is_altered(genuine):
    genuine["parts"] = []
    assert [one.pointer for one in verified(genuine).differences] == ["/parts"]


@pytest.mark.parametrize("pointer", ["coil/radius_mm", "audit/request/opening/width_mm", "checks/0/value", "verdict"])
def test_a_figure_that_does_not_follow_is_altered(genuine, pointer):
    place = genuine
    *parents, member = pointer.split("/")
    for parent in parents:
        place = place[int(parent) if isinstance(place, list) else parent]
    place[member] = "fits" if member == "verdict" else place[member] + 1
    found = verified(genuine)
    assert found.outcome == "altered"
    assert found.differences


def test_a_figure_that_is_missing_where_an_answer_has_one_is_altered_or_refused(genuine):
    del genuine["cures"][0]["changes"][0]["value"]
    assert verified(genuine).outcome == "altered"
    del genuine["audit"]["trace"], genuine["candidates"], genuine["geometry"]
    del genuine["coil"]["radius_mm"]
    with pytest.raises(Refusal) as refused:
        verified(genuine)
    assert [fault.pointer for fault in refused.value.faults] == ["/coil/radius_mm"]

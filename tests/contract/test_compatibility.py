"""The gate: a contract that was released is kept, and the comparison that says so finds what breaks callers."""

import json
from copy import deepcopy
from pathlib import Path

import pytest
from contract.compatibility import answer_shape, breaks, shape

OPENAPI = Path(__file__).parents[2] / "openapi"
CONTRACT = json.loads((OPENAPI / "openapi.json").read_text())


def version(contract):
    return tuple(map(int, contract["info"]["version"].split(".")))


RELEASED = sorted((json.loads(path.read_text()) for path in (OPENAPI / "released").glob("*.json")), key=version)


def test_released_contracts_are_named_after_their_versions():
    assert {path.stem for path in (OPENAPI / "released").iterdir()} == {one["info"]["version"] for one in RELEASED}
    assert RELEASED


@pytest.mark.parametrize("released", RELEASED, ids=lambda one: one["info"]["version"])
def test_nothing_breaks_the_callers_of_a_released_contract(released):
    if version(released)[0] == version(CONTRACT)[0]:
        assert breaks(released, CONTRACT) == [], "raise the major version, or take it back"


def test_what_changed_since_the_last_release_has_a_version_of_its_own():
    last = RELEASED[-1]
    assert version(last) <= version(CONTRACT)
    if shape(CONTRACT) != shape(last):
        assert version(last)[:2] < version(CONTRACT)[:2], "raise the minor version at least"
    if answer_shape(CONTRACT) != answer_shape(last):
        versions = [one["info"]["x-calculation-version"] for one in (last, CONTRACT)]
        assert versions[0] != versions[1], "digests change with the answer's shape: raise the version of the calculation"


def changed(path, change):
    """The contract with a change at a path of members."""
    contract = deepcopy(CONTRACT)
    at = contract
    for name in path:
        at = at[name]
    change(at)
    return contract


SCHEMAS = ("components", "schemas")
OPENING = (*SCHEMAS, "Opening")
FITTING = (*SCHEMAS, "Fitting")
CALCULATE = ("paths", "/v1/fittings", "post")
ALTERNATIVES = ("paths", "/v1/fittings/alternatives", "post")

BREAKING = {
    "a path is gone": (("paths",), lambda at: at.pop("/v1/fittings/limits")),
    "a method is gone": (("paths", "/v1/catalogue"), lambda at: at.pop("get")),
    "an operation is renamed": (CALCULATE, lambda at: at.update(operationId="fit")),
    "a key is needed": (CALCULATE, lambda at: at["security"].remove({})),
    "a parameter is gone": (ALTERNATIVES, lambda at: at["parameters"].pop(0)),
    "a parameter is required": (ALTERNATIVES, lambda at: at["parameters"][0].update(required=True)),
    "a parameter is narrower": (ALTERNATIVES, lambda at: at["parameters"][0]["schema"].update(maximum=40)),
    "a parameter is new and required": (
        ALTERNATIVES,
        lambda at: at["parameters"].append({"in": "query", "name": "x", "required": True, "schema": {"type": "string"}}),
    ),
    "a choice of a parameter is gone": (CALCULATE, lambda at: at["parameters"][1]["schema"]["enum"].remove("figures")),
    "a choice in a list is gone": (CALCULATE, lambda at: at["parameters"][0]["schema"]["items"]["enum"].remove("cures")),
    "a body of another type": (
        CALCULATE,
        lambda at: at["requestBody"]["content"].update({"application/cbor": at["requestBody"]["content"].pop(JSON)}),
    ),
    "an answer of another type": (
        CALCULATE,
        lambda at: at["responses"]["200"]["content"].update({"text/csv": at["responses"]["200"]["content"].pop(JSON)}),
    ),
    "a header of an answer is gone": (CALCULATE, lambda at: at["responses"]["200"]["headers"].pop("X-Request-Id")),
    "an answer is another": (
        CALCULATE,
        lambda at: at["responses"]["200"]["content"][JSON].update(schema={"$ref": "#/components/schemas/ShortFitting"}),
    ),
    "a minimum is higher": ((*OPENING, "properties", "height_mm"), lambda at: at.update(minimum=260)),
    "a maximum is lower": ((*OPENING, "properties", "height_mm"), lambda at: at.update(maximum=2999)),
    "a maximum is new": ((*SCHEMAS, "FittingRequest", "properties", "options"), lambda at: at.update(maxItems=1)),
    "a default is another": ((*OPENING, "properties", "plate_offset_mm"), lambda at: at.update(default=1)),
    "a pattern is another": ((*SCHEMAS, "Shutter", "properties", "slat"), lambda at: at.update(pattern="^[a-z]+$")),
    "a member that may be sent is gone": ((*OPENING, "properties"), lambda at: at.pop("load_gap_mm")),
    "a member must be sent": (OPENING, lambda at: at["required"].append("width_mm")),
    "a value that may be sent is gone": (
        (*OPENING, "properties", "body"),
        lambda at: at["enum"].remove("composite"),
    ),
    "a sent number is to be a text": ((*OPENING, "properties", "depth_mm"), lambda at: at.update(type="string")),
    "a unit is another": ((*OPENING, "properties", "depth_mm"), lambda at: at.update({"x-unit": "cm"})),
    "a member of the answer is gone": ((*FITTING, "properties"), lambda at: at.pop("striker")),
    "a member of the answer is renamed": (
        (*SCHEMAS, "Coil", "properties"),
        lambda at: at.update(outer_radius_mm=at.pop("radius_mm")),
    ),
    "a member of the answer may be absent": (FITTING, lambda at: at["required"].remove("coil")),
    "a closed list is longer": ((*FITTING, "properties", "verdict"), lambda at: at["enum"].append("perhaps")),
    "a code of an open list is gone": (
        (*SCHEMAS, "Warning", "properties", "code"),
        lambda at: at["x-extensible-enum"].pop(),
    ),
    "an open list is closed": (
        (*SCHEMAS, "Warning", "properties", "code"),
        lambda at: at.update(enum=at.pop("x-extensible-enum")),
    ),
    "an answered number may be a text": (
        (*SCHEMAS, "Coil", "properties", "radius_mm"),
        lambda at: at.update(type=["number", "string"]),
    ),
    "an answered whole number may be none": (
        (*SCHEMAS, "Curtain", "properties", "slat_count"),
        lambda at: at.update(type="number"),
    ),
    "a list is one of others": ((*FITTING, "properties", "checks"), lambda at: at.update(items={"type": "string"})),
    "a type is renamed": ((), lambda at: renamed(at, "Coil", "Roll")),
    "a problem loses a member": ((*SCHEMAS, "Problem", "properties"), lambda at: at.pop("errors")),
}
JSON = "application/json"


def renamed(contract, old, new):
    text = json.dumps(contract).replace(f'schemas/{old}"', f'schemas/{new}"')
    contract.update(json.loads(text))
    contract["components"]["schemas"][new] = contract["components"]["schemas"].pop(old)


@pytest.mark.parametrize(("path", "change"), BREAKING.values(), ids=BREAKING)
def test_what_breaks_callers_is_found(path, change):
    assert breaks(CONTRACT, changed(path, change))


HARMLESS = {
    "nothing": ((), lambda _: None),
    "texts": ((*FITTING, "properties", "verdict"), lambda at: at.update(description="Another text.")),
    "a new operation": (("paths",), lambda at: at.update({"/v1/new": at["/v1/catalogue"]})),
    "a new parameter": (
        ALTERNATIVES,
        lambda at: at["parameters"].append({"in": "query", "name": "x", "required": False, "schema": {"type": "string"}}),
    ),
    "a new choice of a parameter": (CALCULATE, lambda at: at["parameters"][1]["schema"]["enum"].append("most")),
    "a new member that may be sent": ((*OPENING, "properties"), lambda at: at.update(new_mm={"type": "number"})),
    "a new value that may be sent": ((*OPENING, "properties", "body"), lambda at: at["enum"].append("wood")),
    "a wider range": ((*OPENING, "properties", "height_mm"), lambda at: at.update(minimum=200, maximum=4000)),
    "a member need not be sent": (OPENING, lambda at: at["required"].remove("depth_mm")),
    "a new member of the answer": ((*FITTING, "properties"), lambda at: at.update(new_mm={"type": "number"})),
    "a new code of an open list": (
        (*SCHEMAS, "Warning", "properties", "code"),
        lambda at: at["x-extensible-enum"].append("new_code"),
    ),
    "a new problem": (CALCULATE, lambda at: at["responses"].update({"410": at["responses"]["422"]})),
}


@pytest.mark.parametrize(("path", "change"), HARMLESS.values(), ids=HARMLESS)
def test_what_harms_no_caller_is_let_through(path, change):
    assert breaks(CONTRACT, changed(path, change)) == []


def test_a_new_member_of_an_answer_is_another_shape():
    more = changed((*SCHEMAS, "Coil", "properties"), lambda at: at.update(new_mm={"type": "number"}))
    assert answer_shape(more) != answer_shape(CONTRACT)
    assert shape(more) != shape(CONTRACT)
    told = changed((*SCHEMAS, "Coil"), lambda at: at.update(description="Another text."))
    assert answer_shape(told) == answer_shape(CONTRACT)
    assert shape(told) == shape(CONTRACT)

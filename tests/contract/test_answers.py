"""The wire's answer mirrors the core's, member by member, and every answer is what the contract says."""

import json
from typing import Any, get_args

import jsonschema_rs
import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.calculation import answer as core
from service.calculation import checks, geometry, warnings
from service.catalogue.loader import STANDARD, load
from service.contract import answers as wire
from service.contract import units
from service.contract.examples import FITTINGS
from service.contract.fittings import encode, fitting
from service.contract.openapi import document
from service.contract.requests import FittingRequest
from service.contract.shelf import stock

SHELF = stock(load(STANDARD))
MIRRORED = [
    *((getattr(core, name), getattr(wire, name)) for name in dir(core) if hasattr(wire, name) and name != "Answer"),
    (checks.Check, wire.Check),
    (warnings.Warning, wire.Warning),
    (geometry.Pose, wire.Pose),
    (geometry.Geometry, wire.Geometry),
]


@pytest.mark.parametrize(("inner", "outer"), [pair for pair in MIRRORED if hasattr(pair[0], "_fields")])
def test_the_wire_has_the_cores_members_in_the_cores_order(inner: Any, outer: Any) -> None:
    assert outer.__struct_fields__ == inner._fields


def test_the_wire_tells_every_part_of_the_answer() -> None:
    assert [name for name in wire.Fitting.__struct_fields__ if name in core.Answer._fields] == list(core.Answer._fields)


def test_every_number_says_its_unit_in_its_name_and_in_the_contract() -> None:
    suffixes = {"_mm": "mm", "_deg": "deg", "_kg": "kg", "_n": "N", "_mpa": "MPa", "_v": "V", "_a": "A"}
    suffixes |= {"_pa": "Pa", "_mm2": "mm2", "_n_m": "N.m", "_n_m_per_turn": "N.m/turn"}
    told = 0
    for schema in document()["components"]["schemas"].values():
        for name, member in schema.get("properties", {}).items():
            unit = member.get("x-unit") or next((one.get("x-unit") for one in member.get("anyOf", [])), None)
            for suffix, expected in suffixes.items():
                if name.endswith(suffix) and unit is not None:
                    told += 1
                    assert unit == expected, name
    assert told > 40
    assert get_args(units.Mm)[0] is float


def schema_of(name: str) -> Any:
    contract = document()
    return jsonschema_rs.Draft202012Validator({"$ref": f"#/components/schemas/{name}", "components": contract["components"]})


VALIDATOR = schema_of("Fitting")
REQUEST_VALIDATOR = schema_of("FittingRequest")


def mm(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high).map(lambda value: round(value, 2))


@st.composite
def requests(draw: st.DrawFn) -> dict[str, Any]:
    opening: dict[str, Any] = {
        "headroom_mm": draw(mm(60, 1500)),
        "depth_mm": draw(mm(60, 3000)),
        "header_thickness_mm": draw(mm(0, 200)),
        "plate_offset_mm": draw(st.sampled_from([0, 0, 0, -40, 15.5, 120])),
    }
    if draw(st.booleans()):
        opening |= {"width_mm": draw(mm(250, 3000)), "height_mm": draw(mm(250, 3000))}
    else:
        opening["survey"] = {
            "widths_mm": draw(st.lists(mm(250, 3000), min_size=2, max_size=5)),
            "heights_mm": draw(st.lists(mm(250, 3000), min_size=2, max_size=5)),
            "diagonals_mm": draw(st.lists(mm(350, 4300), min_size=2, max_size=2)),
        }
    slat = draw(st.sampled_from(["slim", "stout"]))
    shutter: dict[str, Any] = {"slat": slat, "mount": draw(st.sampled_from(["reveal", "face"]))}
    if draw(st.booleans()):
        shutter["slat_count"] = draw(st.integers(1, 200))
    if draw(st.booleans()):
        shutter["measured_coil_radius_mm"] = draw(mm(20, 500))
    if draw(st.booleans()):
        shutter["side_plate"] = draw(st.sampled_from(["P240", "P300", "P360"]))
    return {"opening": opening, "shutter": shutter}


@settings(max_examples=150)
@given(requests())
def test_every_answer_to_a_valid_request_validates_against_the_contract(request: dict[str, Any]) -> None:
    assert REQUEST_VALIDATOR.is_valid(request)
    answered = fitting(msgspec.convert(request, FittingRequest), SHELF, include=frozenset({"trace", "geometry"}))
    content = json.loads(encode(answered))
    assert [str(error) for error in VALIDATOR.iter_errors(content)] == []


@settings(max_examples=40)
@given(requests(), st.randoms(use_true_random=False))
def test_the_order_of_members_changes_nothing(request: dict[str, Any], random: Any) -> None:
    def shuffled(content: Any) -> Any:
        if not isinstance(content, dict):
            return content
        names = list(content)
        random.shuffle(names)
        return {name: shuffled(content[name]) for name in names}

    first, second = (
        encode(fitting(msgspec.json.decode(msgspec.json.encode(one), type=FittingRequest), SHELF))
        for one in (request, shuffled(request))
    )
    assert first == second


def test_what_include_adds_does_not_change_the_digest_of_the_result() -> None:
    request = msgspec.convert(FITTINGS["weed-boat-trailer"].request, FittingRequest)
    plain = fitting(request, SHELF)
    full = fitting(request, SHELF, include=frozenset({"trace", "geometry", "candidates"}))
    assert full.audit.result_sha256 == plain.audit.result_sha256
    assert full.audit.request_sha256 == plain.audit.request_sha256
    assert full.geometry is not msgspec.UNSET
    assert full.candidates[-1].worst_margin_mm >= 0


def test_the_candidates_that_were_refused_say_why() -> None:
    request = msgspec.convert(FITTINGS["lock-gate-truck"].request, FittingRequest)
    tried = fitting(request, SHELF, include=frozenset({"candidates"})).candidates
    # hand: the seventh column is the first whose bracket stands R + 20 + 39 = 139.876 from the wheel
    assert [one.worst_check for one in tried[:-1]] == ["wheel_clearance"] * 6
    assert all(one.worst_margin_mm < 0 for one in tried[:-1])
    assert (tried[-1].bracket_hole, tried[-1].worst_margin_mm >= 0) == ("row 0, column 6", True)


def test_options_count_once_whatever_their_order() -> None:
    request = FITTINGS["weed-boat-trailer"].request
    again = {**request, "options": [*reversed(request["options"]), request["options"][0]]}
    first, second = (fitting(msgspec.convert(one, FittingRequest), SHELF) for one in (request, again))
    assert encode(first) == encode(second)

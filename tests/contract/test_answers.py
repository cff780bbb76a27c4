"""The wire's answer mirrors the core's, member by member, and every answer is what the contract says."""

import json
from hashlib import sha256

import jsonschema_rs
import msgspec
import pytest
import rfc8785
from hypothesis import given, settings
from hypothesis import strategies as st

from service.calculation.fitting import fit
from service.catalogue.loader import STANDARD, load
from service.contract import answers as wire
from service.contract.batch import short
from service.contract.examples import FITTINGS
from service.contract.fittings import calculate, encode, fitting
from service.contract.jobs import to_job
from service.contract.openapi import document
from service.contract.requests import FittingRequest
from service.contract.shelf import stock
from service.words import LANGUAGES

SHELF = stock(load(STANDARD))
UNITS = {"_mm": "mm", "_mm2": "mm2", "_deg": "deg", "_kg": "kg", "_n": "N", "_mpa": "MPa", "_v": "V", "_a": "A", "_pa": "Pa"}
UNITS |= {"_n_m": "N.m", "_n_m_per_turn": "N.m/turn", "_j": "J", "_m": "m", "_kg_per_m": "kg/m", "_n_per_m": "N/m"}
UNITS |= {"_w_per_m": "W/m"}


def members():
    """Every member of every type of the contract with its schema."""
    for kind, schema in document()["components"]["schemas"].items():
        for name, member in schema.get("properties", {}).items():
            yield kind, name, member


def test_the_wire_tells_every_part_of_the_answer():
    found = fit(to_job(msgspec.convert(FITTINGS["lock-gate-truck"].request, FittingRequest), SHELF)).answer
    assert set(vars(found)) <= set(wire.Fitting.__struct_fields__)


@pytest.mark.parametrize("kind", ["Coil", "Bracket", "Wheel", "SidePlate", "Curtain", "Tracks", "Seals", "Striker"])
def test_the_wire_has_every_figure_of_a_group(kind):
    found = fit(to_job(msgspec.convert(FITTINGS["lock-gate-truck"].request, FittingRequest), SHELF)).answer
    name = {"SidePlate": "side_plate"}.get(kind, kind.lower())
    assert set(vars(getattr(found, name))) == set(getattr(wire, kind).__struct_fields__)


def test_every_number_says_its_unit_in_its_name_and_in_the_contract():
    said = 0
    for kind, name, member in members():
        suffix = max((one for one in UNITS if name.endswith(one)), key=len, default=None)
        if suffix is None or member.get("type") not in {"number", "integer"}:
            continue
        said += 1
        assert member.get("x-unit") == UNITS[suffix], (kind, name)
    assert said > 100


def test_every_member_says_what_it_is():
    silent = [f"{kind}.{name}" for kind, name, member in members() if "description" not in member and "$ref" not in member]
    assert silent == []


def test_nothing_in_the_contract_is_either_this_or_that():
    text = json.dumps(document()["components"]["schemas"])
    assert "oneOf" not in text
    assert '"null"' not in text


def opened(written):
    """A written answer as an object of the contract."""
    return msgspec.json.decode(written, type=wire.Fitting)


def schema_of(name):
    contract = document()
    return jsonschema_rs.Draft202012Validator({"$ref": f"#/components/schemas/{name}", "components": contract["components"]})


VALIDATOR = schema_of("Fitting")
REQUEST_VALIDATOR = schema_of("FittingRequest")


def mm(low, high):
    return st.floats(low, high).map(lambda value: round(value, 2))


@st.composite
def requests(draw):
    opening = {
        "headroom_mm": draw(mm(60, 1500)),
        "depth_mm": draw(mm(60, 3000)),
        "header_thickness_mm": draw(mm(0, 200)),
        "plate_offset_mm": draw(st.sampled_from([0, 0, 0, -40, 15.5, 100])),
    }
    if draw(st.booleans()):
        opening |= {"width_mm": draw(mm(250, 3000)), "height_mm": draw(mm(250, 3000))}
    else:
        opening["survey"] = {
            "widths_mm": draw(st.lists(mm(250, 3000), min_size=2, max_size=5)),
            "heights_mm": draw(st.lists(mm(250, 3000), min_size=2, max_size=5)),
            **draw(st.sampled_from([{}, {"diagonals_mm": [1600, 1602]}])),
        }
    slat = draw(st.sampled_from(["slim", "stout"]))
    shutter = {"slat": slat, "mount": draw(st.sampled_from(["reveal", "face"]))}
    if draw(st.booleans()):
        shutter["slat_count"] = draw(st.integers(1, 200))
    if draw(st.booleans()):
        shutter["measured_coil_radius_mm"] = draw(mm(20, 500))
    if draw(st.booleans()):
        shutter["side_plate"] = draw(st.sampled_from(["P240", "P300", "P360"]))
    return {"opening": opening, "shutter": shutter}


@pytest.mark.slow
@settings(max_examples=150)
@given(requests())
def test_every_answer_to_a_valid_request_validates_against_the_contract(request):
    assert REQUEST_VALIDATOR.is_valid(request)
    answered = fitting(
        msgspec.convert(request, FittingRequest), SHELF, include=frozenset({"trace", "geometry", "candidates"})
    )
    content = json.loads(encode(answered))
    assert [str(error) for error in VALIDATOR.iter_errors(content)] == []


@settings(max_examples=40)
@given(requests(), st.randoms(use_true_random=False))
def test_the_order_of_members_changes_nothing(request, random):
    def shuffled(content):
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


def test_what_include_adds_does_not_change_the_digest_of_the_result():
    request = msgspec.convert(FITTINGS["weed-boat-trailer"].request, FittingRequest)
    plain = opened(fitting(request, SHELF))
    full = opened(fitting(request, SHELF, include=frozenset({"trace", "geometry", "candidates"})))
    assert full.audit.result_sha256 == plain.audit.result_sha256
    assert full.audit.request_sha256 == plain.audit.request_sha256
    assert full.geometry is not msgspec.UNSET
    assert full.candidates[-1].worst_margin_mm >= 0


def test_the_candidates_that_were_refused_say_why():
    request = msgspec.convert(FITTINGS["lock-gate-truck"].request, FittingRequest)
    tried = opened(fitting(request, SHELF, include=frozenset({"candidates"}))).candidates
    # hand: the seventh column is the first whose bracket stands R + 20 + 39 = 139.876 from the wheel
    assert [one.worst_check for one in tried[:-1]] == ["wheel_clearance"] * 6
    assert all(one.worst_margin_mm < 0 for one in tried[:-1])
    assert (tried[-1].bracket_hole, tried[-1].worst_margin_mm >= 0) == ("row 0, column 6", True)


def test_options_count_once_whatever_their_order():
    request = FITTINGS["weed-boat-trailer"].request
    again = {**request, "options": [*reversed(request["options"]), request["options"][0]]}
    first, second = (fitting(msgspec.convert(one, FittingRequest), SHELF) for one in (request, again))
    assert encode(first) == encode(second)


@pytest.mark.slow
@settings(max_examples=100)
@given(requests(), st.text(max_size=200).filter(lambda text: "\udc00" not in text))
def test_an_answer_is_written_in_the_form_that_its_digest_is_of(request, reference):
    # independent program: rfc8785. What is sent is what is digested, in every language of the words.
    sent = msgspec.convert({**request, "reference": reference}, FittingRequest)
    for language in LANGUAGES:
        content = json.loads(bytes(fitting(sent, SHELF, language=language)))
        words = content.pop("words")
        audit = content.pop("audit")
        form = rfc8785.dumps(content)
        assert sha256(form).hexdigest() == audit["result_sha256"]
        assert bytes(fitting(sent, SHELF, with_words=False)).endswith(form[1:])
        assert encode(words) == encode(msgspec.json.decode(encode(words), type=wire.Words))
    short_form = json.loads(bytes(short(calculate(sent, SHELF))))
    digest = short_form.pop("audit")["result_sha256"]
    assert sha256(rfc8785.dumps(short_form)).hexdigest() == digest

"""Bodies that are wrong: every fault is named at once, by JSON Pointer, with what is allowed."""

import json
import re
import time
from pathlib import Path

import pytest

from service.catalogue.loader import STANDARD, load
from service.contract.batch import BatchRequest, cut
from service.contract.cutting_plans import CuttingRequest
from service.contract.decoding import FAULTS_MAX, LIST_SEARCHED, PATTERNS, SEARCHED_BYTES, BodyDecoder, decode_plainly
from service.contract.examples import FITTINGS
from service.contract.jobs import to_job
from service.contract.operations import OPERATIONS
from service.contract.problems import Refusal
from service.contract.requests import SIZE_OR_SURVEY, FittingRequest
from service.contract.schemas import schemas
from service.contract.shelf import stock
from service.contract.verification import verify

OPENAPI = Path(__file__).parents[2] / "openapi"
SHELF = stock(load(STANDARD))
DECODER = BodyDecoder(FittingRequest)
GOOD = FITTINGS["lock-gate-truck"].request
BODIES = [one.body for one in OPERATIONS if one.body is not None]


def refusal(body):
    with pytest.raises(Refusal) as caught:
        DECODER.decode(body)
    return caught.value


def changed(**members):
    return json.dumps({**GOOD, **members}).encode()


def opening(**members):
    return changed(opening={**GOOD["opening"], **members})


def test_all_faults_are_told_at_once():
    body = json.dumps(
        {
            "opening": {"width_mm": "1180", "height_mm": 1420, "headroom_mm": 59, "depth_mm": 3001, "colour": "red"},
            "shutter": {"mount": "corner", "slat_count": 1.5},
            "options": ["drip_rail", "flag"],
            "duty": None,
        }
    ).encode()
    told = {(fault.pointer, fault.detail) for fault in refusal(body).faults}
    assert told >= {
        ("/opening/width_mm", "must be of type number"),
        ("/opening/headroom_mm", "must be at least 60"),
        ("/opening/depth_mm", "must be at most 3000"),
        ("/opening/header_thickness_mm", "the member is missing"),
        ("/opening/colour", "there is no such member"),
        ("/shutter/slat", "the member is missing"),
        ("/shutter/mount", "must be one of face, reveal"),
        ("/shutter/slat_count", "must be a whole number"),
        ("/duty", "must be of type object"),
    }
    assert any(pointer == "/options/1" for pointer, _ in told)


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        (opening(width_mm=True), "/opening/width_mm"),
        (opening(width_mm=249.999), "/opening/width_mm"),
        (opening(width_mm=3000.001), "/opening/width_mm"),
        (opening(plate_offset_mm=None), "/opening/plate_offset_mm"),
        (opening(wall_gap_left_mm=80.5), "/opening/wall_gap_left_mm"),
        (changed(shutter={"slat": "slim\n"}), "/shutter/slat"),
        (changed(shutter={"slat": "x" * 41}), "/shutter/slat"),
        (changed(reference="r" * 201), "/reference"),
        (changed(duty={"road_speed_km_h": 161}), "/duty/road_speed_km_h"),
        (changed(duty={"temperature_min_c": 91}), "/duty/temperature_min_c"),
        (changed(duty={"temperature_max_c": 91}), "/duty/temperature_max_c"),
        (opening(width_mm=10**400), "/opening/width_mm"),
    ],
)
def test_the_member_at_fault_is_named(body, pointer):
    refused = refusal(body)
    assert refused.kind == "invalid-request"
    assert pointer in [fault.pointer for fault in refused.faults]


@pytest.mark.parametrize("text", ["NaN", "Infinity", "-Infinity"])
def test_what_is_not_json_is_malformed(text):
    assert refusal(opening(width_mm=0).replace(b'"width_mm": 0', b'"width_mm": ' + text.encode())).kind == "malformed-body"


@pytest.mark.parametrize(
    "body",
    [b"", b"{", b"\xff", b'{"reference": "\xff"}', b"\xef\xbb\xbf{}", b"[" * 100_000, b'{"opening":' * 30_000, b"nil"],
    ids=["empty", "cut", "no UTF-8", "no UTF-8 in text", "BOM", "deep list", "deep object", "word"],
)
def test_a_body_that_cannot_be_read_is_malformed(body):
    assert refusal(body).kind == "malformed-body"


def test_deep_nesting_in_an_unknown_member_is_refused():
    body = json.dumps(GOOD).encode()[:-1] + b', "x": ' + b"[" * 3000 + b"]" * 3000 + b"}"
    assert refusal(body).kind in {"malformed-body", "invalid-request"}


DEEP = [b'{"reference":' + b"[" * deep + b"]" * deep + b"}" for deep in (100, 256, 300, 600, 900)] + [
    b"[" * 300 + b"]" * 300,
    b'{"reference":' * 300 + b"1" + b"}" * 300,
]


@pytest.mark.parametrize("body", DEEP, ids=range(len(DEEP)))
def test_what_is_nested_deeper_than_it_can_be_searched_is_refused(body):
    assert refusal(body).faults
    with pytest.raises(Refusal) as caught:
        DECODER.convert(json.loads(body))
    assert caught.value.faults


def test_a_member_twice_is_refused_and_named():
    body = json.dumps(GOOD).encode().replace(b'"slat": "slim"', b'"slat": "slim", "slat": "stout"')
    assert [(fault.pointer, fault.detail) for fault in refusal(body).faults] == [
        ("/shutter/slat", "the member is there twice")
    ]


def test_a_member_twice_is_found_whatever_else_has_colons_and_a_text_with_colons_is_taken():
    twice = json.dumps({**GOOD, "reference": "a:b:c"}).encode().replace(b'"slat": "slim"', b'"slat": "slim", "slat": "slim"')
    assert [fault.pointer for fault in refusal(twice).faults] == ["/shutter/slat"]
    named = {
        **GOOD,
        "reference": '":::\\":',
        "opening": {**GOOD["opening"], "obstacles": [{"name": "a: b", "x_mm": 900, "z_mm": 0, "deep_mm": 5, "high_mm": 5}]},
    }
    assert DECODER.decode(json.dumps(named).encode()).reference == named["reference"]


def test_no_more_faults_are_told_than_a_reader_takes_in_and_none_is_looked_for_beyond():
    names = [f'"{number}":0' for number in range(10_000)]  # counting each by itself took seconds
    assert len(refusal(("{" + ",".join(names * 2) + "}").encode()).faults or []) == FAULTS_MAX
    assert len(refusal(('{"options":[' + ",".join(["1"] * 20_000) + "]}").encode()).faults or []) == FAULTS_MAX
    assert refusal(('{"options":[' + "1," * SEARCHED_BYTES).encode()).kind == "malformed-body"
    long = refusal(('{"options":[' + ",".join(["1"] * SEARCHED_BYTES) + "]}").encode())
    assert [fault.pointer for fault in long.faults or []] == ["/options/0"]


def test_no_list_of_a_fitting_may_be_longer_than_what_is_searched_of_it():
    bodies = [one for one in BODIES if one is not CuttingRequest]
    lengths = [int(found) for found in re.findall(r'"maxItems": (\d+)', json.dumps(schemas(bodies, template="{name}")))]
    assert lengths
    assert max(lengths) < LIST_SEARCHED


@pytest.mark.parametrize(("name", "most"), [("pieces", 10_000), ("fittings", 2000), ("stock", 500)])
def test_of_a_longer_list_the_length_is_told(name, most):
    bar = {"profile": "p", "length_mm": 5}
    entry = {"pieces": {**bar, "count": 1}, "fittings": GOOD, "stock": bar}[name]
    body = {"stock": [bar], name: [entry] * (most + 1)}
    with pytest.raises(Refusal) as caught:
        BodyDecoder(CuttingRequest).decode(json.dumps(body).encode())
    assert [(one.pointer, one.code, one.limit) for one in caught.value.faults] == [(f"/{name}", "too_many", most)]


def test_a_fault_behind_what_is_searched_of_a_list_is_told_by_its_place():
    entry = {"profile": "p", "length_mm": 5, "count": 1}
    body = {"pieces": [*[entry] * LIST_SEARCHED, {**entry, "length_mm": 0}], "stock": [{"profile": "p", "length_mm": 5}]}
    with pytest.raises(Refusal) as caught:
        BodyDecoder(CuttingRequest).decode(json.dumps(body).encode())
    assert [one.pointer for one in caught.value.faults] == [f"/pieces/{LIST_SEARCHED}/length_mm"]


def test_an_equal_member_twice_is_refused_as_well():
    body = json.dumps(GOOD).encode()[:-1] + b', "reference": "a", "reference": "a"}'
    assert "/reference" in [fault.pointer for fault in refusal(body).faults]


def test_a_body_that_is_no_json_behind_a_member_that_is_there_twice_is_malformed():
    body = json.dumps(GOOD).encode().replace(b'"depth_mm": 620', b'"depth_mm": 6200, "depth_mm": 620')[:-20]
    assert refusal(body).kind == "malformed-body"
    assert refusal(body.replace(b"6200", b"620")).kind == "malformed-body"


def test_a_pointer_is_escaped():
    # published: RFC 6901, ~ is written ~0 and / is written ~1
    assert refusal(changed(**{"a/b~c": 1})).faults[0].pointer == "/a~1b~0c"


SURVEY = {"widths_mm": [900, 901], "heights_mm": [900, 900], "diagonals_mm": [1272, 1273]}


MISSING = "the member is missing, and there is no survey"
NO_WIDTH, NO_HEIGHT = ("/opening/width_mm", MISSING), ("/opening/height_mm", MISSING)
BOTH = ("/opening", SIZE_OR_SURVEY)


@pytest.mark.parametrize(
    ("members", "told"),
    [
        ({}, [NO_WIDTH, NO_HEIGHT]),
        ({"width_mm": 900}, [NO_HEIGHT]),
        ({"height_mm": 900}, [NO_WIDTH]),
        ({"survey": SURVEY, "width_mm": 900}, [BOTH]),
        ({"survey": SURVEY, "height_mm": 900}, [BOTH]),
    ],
    ids=["neither", "width only", "height only", "survey and width", "survey and height"],
)
def test_neither_or_both_of_size_and_survey_is_refused(members, told):
    rest = {name: value for name, value in GOOD["opening"].items() if name not in {"width_mm", "height_mm"}}
    decoded = DECODER.decode(changed(opening={**rest, **members}))
    with pytest.raises(Refusal) as caught:
        to_job(decoded, SHELF)
    assert [(fault.pointer, fault.detail) for fault in caught.value.faults] == told
    # the same words where the schema finds it, beside something else
    besides = refusal(changed(opening={**rest, **members}, other=1)).faults or []
    assert [(fault.pointer, fault.detail) for fault in besides if fault.pointer != "/other"] == told


def test_a_missing_size_is_told_as_what_it_is_whatever_else_is_wrong():
    mismatch = "The body does not match the contract."
    contradicts = "The request contradicts itself or the catalogue."
    rest = {name: value for name, value in GOOD["opening"].items() if name != "height_mm"}
    unknown = {"slat": "featherweight"}

    def detail(**members):
        with pytest.raises(Refusal) as caught:
            to_job(DECODER.decode(changed(**members)), SHELF)
        return caught.value.detail

    assert detail(opening=rest) == detail(opening=rest, shutter=unknown) == mismatch
    assert refusal(changed(opening={})).detail == mismatch
    assert detail(shutter=unknown) == contradicts
    assert detail(opening={**rest, "survey": SURVEY}) == contradicts


def test_a_text_of_another_form_is_told_the_form_in_words():
    for id in ("a b", "", "x" * 41, "slim\n"):
        (fault,) = refusal(changed(shutter={"slat": id})).faults
        assert (fault.pointer, "must be an id of letters, digits" in fault.detail) == ("/shutter/slat", True)


def test_the_contract_has_plain_patterns_with_words_for_each():
    patterns = set(re.findall(r'"pattern": "([^"]*)"', json.dumps(schemas(BODIES, template="{name}"))))
    assert patterns == set(PATTERNS)
    for pattern in patterns:
        assert "(?" not in pattern


def test_ids_the_catalogue_does_not_have_are_all_told_with_those_it_has():
    decoded = DECODER.decode(changed(shutter={"slat": "slim", "tube": "T90", "side_plate": "P100"}))
    with pytest.raises(Refusal) as caught:
        to_job(decoded, SHELF)
    assert [(fault.pointer, fault.detail) for fault in caught.value.faults] == [
        ("/shutter/tube", "the catalogue has no tube 'T90' for slat slim; it has auto, T50, T70"),
        ("/shutter/side_plate", "the catalogue has no side_plate 'P100'; it has auto, P240, P300, P360"),
    ]


def test_whole_numbers_may_be_written_with_a_fraction_of_zero():
    decoded = DECODER.decode(changed(shutter={"slat": "slim", "slat_count": 55.0}))
    assert decoded.shutter.slat_count == 55


DECODED = [kind for kind in BODIES if kind is not BatchRequest]  # a batch is cut into its items before
LONG = "9" * 5000
"""More digits than Python makes a whole number of."""


@pytest.mark.parametrize("kind", DECODED, ids=lambda kind: kind.__name__)
@pytest.mark.parametrize(
    "body",
    [LONG, f"-{LONG}", f'{{"x":{LONG}}}', f'{{"a":1,"a":{LONG}}}', f'{{"reference":{LONG}}}', f'{{"audit":{{"x":{LONG}}}}}'],
    ids=["alone", "below zero", "unknown", "twice", "known", "nested"],
)
def test_a_number_of_thousands_of_digits_is_refused(kind, body):
    for decode in (BodyDecoder(kind).decode, decode_plainly):
        with pytest.raises(Refusal) as caught:
            decode(body.encode())
        assert caught.value.kind in {"malformed-body", "invalid-request"}


SLOW_NUMBERS = ["1e300", "-1.7976931348623157e308", "4.9e-324", "1e-308"]


@pytest.mark.parametrize("number", SLOW_NUMBERS)
def test_numbers_that_msgspec_reads_slowly_are_not_read_by_it(number):
    # the library takes 10 to 20 µs for each, and lets nobody else work meanwhile: bodies of them took 3 to 12 s
    answer = json.loads((OPENAPI / "examples/lock-gate-truck.answer.json").read_bytes())
    geometry = {"header": "@", "plate": [], "track": []}
    started_s = time.thread_time()
    with pytest.raises(Refusal) as caught:
        cut(f'{{"items":[{",".join([number] * 150_000)}],"items":[]}}'.encode())
    assert [one.code for one in caught.value.faults] == ["twice"]
    stored = json.dumps({**answer, "geometry": geometry}).replace('"@"', f"[{','.join([f'[{number},{number}]'] * 40_000)}]")
    with pytest.raises(Refusal) as caught:
        verify(decode_plainly(stored.encode()), SHELF)
    assert [one.code for one in caught.value.faults] == ["missing"]
    assert time.thread_time() - started_s < 2


@pytest.mark.parametrize("kind", DECODED, ids=lambda kind: kind.__name__)
def test_ever_so_many_faults_are_told_soon(kind):
    names = ",".join(f'"{number:x}":0' for number in range(8000))
    bodies = [
        f"{{{names}}}",
        f'{{"opening":{{{names}}},"shutter":{{}},"items":1}}',
        f"{{{names},{names}}}"[:65_535] + "}",
        '{"opening":{"survey":{"widths_mm":[' + ",".join(['"a"'] * 16_000) + "]}}}",
        '{"options":[' + ",".join(["1"] * 30_000) + "]}",
        '{"x":[' + ",".join(["{}"] * 20_000) + "]}",
    ]
    for body in bodies:
        assert len(body) < 140_000
        taken_s = []
        for _ in range(3):  # one of them without a garbage collection of everything that the tests hold
            started_s = time.thread_time()
            with pytest.raises(Refusal):
                BodyDecoder(kind).decode(body.encode())
            taken_s.append(time.thread_time() - started_s)
        assert min(taken_s) < 0.1  # ten times the aim


def test_a_known_member_behind_ever_so_many_unknown_ones_is_not_called_missing():
    unknown = {str(number): 0 for number in range(2000)}
    pointers = {fault.pointer for fault in refusal(json.dumps({**unknown, **GOOD}).encode()).faults}
    assert "/0" in pointers
    assert not pointers & {"/opening", "/shutter"}

"""Problems: in the caller's language, with codes, pointers and limits that are the same in all; syntax faults by place."""

import ast
import gzip
import json
import re
from pathlib import Path

import msgspec
import pytest

from service.catalogue.loader import STANDARD, load
from service.contract import explore, problems
from service.contract.batch import Batch
from service.contract.decoding import FINDINGS, OTHER, SEARCHED_BYTES, BodyDecoder, decode_plainly
from service.contract.examples import FITTINGS
from service.contract.operations import CSV, JSON, NDJSON
from service.contract.problems import FAULT_CODES, KINDS, Refusal, mistake, problem
from service.contract.requests import FittingRequest
from service.contract.shelf import stock
from service.contract.spreadsheet import NOT_A_NUMBER
from service.contract.syntax import CAUSES
from service.words import LANGUAGES
from service.words.coils import CONTRADICTIONS
from service.words.languages import language_of

SHELF = stock(load(STANDARD))
GOOD = FITTINGS["lock-gate-truck"].request
DECODER = BodyDecoder(FittingRequest)
SOURCES = sorted(Path(problems.__file__).parents[1].rglob("*.py"))


def refused(decode, *given):
    with pytest.raises(Refusal) as caught:
        decode(*given)
    return caught.value


def opening(**members):
    return json.dumps({**GOOD, "opening": {**GOOD["opening"], **members}}).encode()


@pytest.mark.parametrize("kind", KINDS)
def test_every_title_is_said_in_every_language(kind):
    titles = {problem(Refusal(kind, "x"), instance="i", language=language).title for language in LANGUAGES}
    assert len(titles) == len(LANGUAGES)


def test_a_problem_differs_in_words_only():
    body = json.dumps({"opening": {"width_mm": 118, "depth_mm": 3001.5}, "shutter": {"slat": "a b", "slat_count": 0.5}})
    refusal = refused(DECODER.decode, body.encode())
    said = [msgspec.to_builtins(problem(refusal, instance="i", language=language)) for language in LANGUAGES]
    texts = [[one.pop("title"), one.pop("detail"), *(fault.pop("detail") for fault in one["errors"])] for one in said]
    assert said[0] == said[1] == said[2]
    for in_each in zip(*texts, strict=True):
        assert len(set(in_each)) == len(LANGUAGES), in_each


def test_numbers_are_written_as_the_language_has_them_and_what_to_write_as_json_has_it():
    one = mistake("minimum", "must be at least {limit}", limit=0.5)
    assert [one.fault(language).detail for language in LANGUAGES] == [
        "must be at least 0.5",
        "muss mindestens 0,5 sein",
        "doit valoir au moins 0,5",
    ]
    refusal = refused(DECODER.decode, opening(width_mm=118.04))
    (detail,) = [fault.fault("de").detail for fault in refusal.faults]
    assert detail.startswith("muss mindestens 250 sein; falls 118.04 in cm ")
    assert detail.endswith(", 1180.4 schreiben")


def test_braces_in_what_a_caller_sends_are_said_as_they_are():
    refusal = Refusal("not-found", "There is nothing at {path}.", path="/{x}/{0}/{")
    assert "/{x}/{0}/{ gibt es nichts." in problem(refusal, instance="i", language="de").detail


def raised_codes():
    """The codes of all mistakes that the sources make."""
    for path in SOURCES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Name) or not node.args:
                continue
            if node.func.id in {"mistake", "_refusal", "_placed"} and isinstance(node.args[0], ast.Constant):
                yield node.args[0].value


def test_the_contract_lists_every_code():
    made = {
        *raised_codes(),
        *(code for code, _ in FINDINGS.values()),
        OTHER[0],
        *CONTRADICTIONS,
        *(one.code for one in CAUSES),
        *(code for _, code in NOT_A_NUMBER),
    }
    assert sorted(made) == list(FAULT_CODES)


def test_every_refusal_has_a_marked_text():
    for path in SOURCES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in {"Refusal", "mistake"}:
                assert not any(isinstance(text, ast.Constant | ast.JoinedStr) for text in node.args[1:]), (path, node.lineno)


@pytest.mark.parametrize(
    ("members", "code", "limit", "actual", "detail"),
    [
        ({"width_mm": 249.999}, "minimum", 250, 249.999, "must be at least 250"),
        ({"width_mm": 118}, "minimum", 250, 118, "must be at least 250; if 118 is meant in cm, write 1180"),
        ({"width_mm": 1.18}, "minimum", 250, 1.18, "must be at least 250; if 1.18 is meant in m, write 1180"),
        ({"width_mm": 2}, "minimum", 250, 2, "must be at least 250; if 2 is meant in m, write 2000"),
        ({"width_mm": -118}, "minimum", 250, -118, "must be at least 250"),
        ({"headroom_mm": 59}, "minimum", 60, 59, "must be at least 60"),
        ({"headroom_mm": 31}, "minimum", 60, 31, "must be at least 60; if 31 is meant in cm, write 310"),
        ({"depth_mm": 3000.5}, "maximum", 3000, 3000.5, "must be at most 3000"),
        ({"depth_mm": 10**400}, "maximum", 3000, None, "must be at most 3000"),
        ({"width_mm": "1180"}, "type", None, "1180", "must be of type number"),
        ({"width_mm": True}, "type", None, "true", "must be of type number"),
        ({"width_mm": None}, "type", None, "null", "must be of type number"),
        ({"width_mm": [1180]}, "type", None, None, "must be of type number"),
        ({"width_mm": "x" * 61}, "type", None, None, "must be of type number"),
        ({"body": "wood"}, "choice", None, "wood", "must be one of aluminium, composite, steel"),
    ],
)
def test_a_fault_says_limit_and_what_was_given(members, code, limit, actual, detail):
    (member,) = members
    one = refused(DECODER.decode, opening(**members)).faults[0].fault("en")
    told = msgspec.to_builtins(one)
    assert (told["pointer"], told["code"], told["detail"]) == (f"/opening/{member}", code, detail)
    assert (told.get("limit"), told.get("actual")) == (limit, actual)
    assert "e+" not in msgspec.json.encode(one).decode()


def test_sizes_in_lists_may_be_meant_in_another_unit_too():
    rest = {name: value for name, value in GOOD["opening"].items() if name not in {"width_mm", "height_mm"}}
    survey = {"widths_mm": [118, 1181], "heights_mm": [1420, 1421]}
    (one,) = refused(DECODER.decode, json.dumps({**GOOD, "opening": {**rest, "survey": survey}}).encode()).faults
    assert (one.pointer, "118 is meant in cm, write 1180" in one.detail) == ("/opening/survey/widths_mm/0", True)


SYNTAX = {
    "comma_in_number": [
        '{"opening": {\n "width_mm": 1180^,5}}',
        '{"opening": {"width_mm": 1^,180.5}}',
        '{"opening": {"width_mm": 1180^, \n 5}}',
        '{"ü": "ß", "x": 1^,5}',
    ],
    "comma_too_many": [
        '{"options": ["drip_rail"^,]}',
        '{"reference": "a"^,\n}',
        '{"x": 1^,  }',
        '{"é€": [\r\n "😀"^, ]}',
    ],
    "empty_value": ['{"opening": {"width_mm": ^, "height_mm": 1}}', '{"reference": ^}', '{"ü": [1,\n ^, 2]}'],
    "unit_after_number": ['{"opening": {"width_mm": 1180 ^mm}}', '{"opening": {"width_mm": 1180^mm}}', '{"x": 20^°}'],
    "quote_missing": [
        "{^reference: 1}",
        '{"reference": ^slim}',
        '{"reference": "a, "^opening": 1}',
        '{"reference": "a^\n"}',
    ],
    "cut_short": ['{"opening": {"width_mm": 1180}^', '{"reference": ^"a}', "[^"],
    "comma_missing": ['{"reference": "a"\n ^"options": []}', '{"x": 1 ^"y": 2}'],
    "single_quotes": ["{^'reference': 1}"],
    "unknown_word": ['{"x": ^NaN}', '{"x": ^None}', '{"x": -^Infinity}', '{"x": ^nan}'],
    "number_form": ['{"x": ^+5}', '{"x": ^.5}', '{"x": 5.^}', '{"x": 0^7}'],
    "trailing_text": ['{"x": 1} ^x', '{"x": 1}^}', '{"ü": 1}\n ^€'],
    "not_json": [
        "^// nothing\n{}",
        '{"x" ^1}',
        '{"x": "^\\ud800"}',
        '{"x": "\\u00fc \\ud83d\\ude00 \\\\ud800",\n "y": "ü^\\ud83d"}',
        '{"x": "^\\udfff"}',
        '{"x": "nan^\\ud83d"}',
        '{"x": "^\\ud800\\u0041"}',
    ],
}


@pytest.mark.parametrize(("code", "text"), [(code, text) for code, texts in SYNTAX.items() for text in texts])
def test_a_syntax_fault_tells_its_place_and_the_likely_cause(code, text):
    before, behind = text.split("^")
    place = (len(before.split("\n")), len(before.split("\n")[-1]) + 1)
    body = f"{before}{behind}"
    refusal = refused(DECODER.decode, body.encode())
    assert (refusal.kind, [one.code for one in refusal.faults]) == ("malformed-body", [code])
    assert (refusal.figures["line"], refusal.figures["column"]) == place
    assert refusal.detail.startswith(f"Line {place[0]}, column {place[1]}: ")
    for language in LANGUAGES:
        said = problem(refusal, instance="i", language=language)
        assert str(place[1]) in said.detail
        assert said.errors[0].detail == said.detail


def test_a_syntax_fault_behind_a_member_at_fault_is_told_alike():
    refusal = refused(DECODER.decode, b'{"opening": {"width_mm": "x", "height_mm": 1180,5}}')
    assert [one.code for one in refusal.faults] == ["comma_in_number"]


@pytest.mark.parametrize(
    ("body", "code"),
    [
        (b"", "empty_body"),
        (b" \n", "empty_body"),
        (b"[" * 100_000, "nested_too_deep"),
        (b'{"x": "\xff"}', "not_utf8"),
        (b'{"x": ' + b"9" * 5000 + b"}", "number_form"),
        (b'{"x": 1e999}', "number_form"),
        (b'{"curtain": {"slat": "\\ud800"}}', "not_json"),
        (b'{"x": NaN}', "unknown_word"),
        (b'{"x": 1180,5}', "comma_in_number"),
    ],
)
def test_a_stored_answer_that_cannot_be_read_says_why(body, code):
    assert [one.code for one in refused(decode_plainly, body).faults] == [code]


@pytest.mark.parametrize("member", ['"shutter": {"slat": "\\ud800 x"}', '"\\ud800": 1', '"options": ["\\udfff"]'])
def test_half_a_surrogate_pair_beside_another_fault_is_malformed(member):
    refusal = refused(DECODER.decode, f'{{"opening": {{"width_mm": 118}}, {member}}}'.encode())
    assert refusal.kind == "malformed-body"
    assert msgspec.json.encode(problem(refusal, instance="i"))


def long(member):
    return f'{{{member}, "reference": "{"r" * SEARCHED_BYTES}"}}'.encode()


@pytest.mark.parametrize(
    ("member", "code", "pointer", "detail"),
    [
        ('"options": 1', "type", "/options", "must be of type array"),
        ('"opening": {"width_mm": "1"}', "type", "/opening/width_mm", "must be of type number"),
        ('"opening": {"a": 1}', "unknown_member", "/opening/a", "there is no such member"),
        ('"opening": {}', "missing", "/opening/headroom_mm", "the member is missing"),
        ('"options": ["flag"]', "other", "/options/0", "is not as the contract says"),
    ],
)
def test_the_first_fault_of_a_long_body_is_said_in_every_language(member, code, pointer, detail):
    (one,) = refused(DECODER.decode, long(member)).faults
    assert (one.code, one.pointer, one.detail) == (code, pointer, detail)
    assert len({one.fault(language).detail for language in LANGUAGES}) == len(LANGUAGES)


def test_coils_that_contradict_a_spiral_are_told_by_code_and_in_every_language():
    coils = [
        explore.MeasuredCoil(slat_count=count, radius_mm=radius) for count, radius in ((20, 60.5), (30, 69), (40, 64.25))
    ]
    request = explore.CalibrationRequest(slat="slim", tube="T50", coils=coils)
    refusal = refused(explore.calibrate, request, SHELF)
    assert refusal.kind == "contradictory-measurements"
    (one,) = refusal.faults
    assert (one.code, one.pointer) == ("coil_shrinks", "/coils/2")
    assert one.detail == "40 slats measure 64.25 mm, but 30 slats measure 69 mm: a coil grows with its slats"
    assert one.fault("de").detail.startswith("40 Lamellen messen 64,25 mm, aber 30 Lamellen messen 69 mm")


def test_items_of_a_batch_are_refused_in_its_language():
    batch = Batch(SHELF, fields="full", request_id="i", language="fr")
    item = batch.answer(b'{"shutter": {}}').item
    assert item.problem.title == language_of("fr").name(KINDS["invalid-request"].title)
    assert "le champ manque" in [fault.detail for fault in item.problem.errors]


REQUESTS = [
    ("GET", "/v1/fittings", {}, b"", "method-not-allowed"),
    ("GET", "/nowhere", {}, b"", "not-found"),
    ("GET", "/v1//fittings", {}, b"", "not-found"),
    ("GET", "/v1/catalogue?q=1", {}, b"", "invalid-request"),
    ("GET", "/v1/catalogue", {"Accept": "text/html"}, b"", "not-acceptable"),
    ("POST", "/v1/fittings", {"Content-Type": "text/plain"}, b"{}", "unsupported-media-type"),
    ("POST", "/v1/fittings", {}, b"{}", "invalid-request"),
    ("POST", "/v1/fittings", {}, b"{", "malformed-body"),
    ("POST", "/v1/fittings?fields=x&include=trace&include=trace", {}, b"{}", "invalid-request"),
    ("POST", "/v1/fittings/short", {}, b"x" * 2_000_000, "body-too-large"),
    ("POST", "/v1/sheets/fitting.pdf", {}, b'{"opening": 1}', "invalid-request"),
    ("POST", "/v1/fittings/batch", {"Content-Encoding": "gzip"}, b"{}", "malformed-body"),
    ("POST", "/v1/fittings/table", {"Content-Type": CSV}, b"slat\n", "invalid-request"),
    ("GET", "/health/live", {"Connection": "upgrade", "Upgrade": "other"}, b"", "no-upgrade"),
]


@pytest.mark.parametrize(("method", "path", "headers", "body", "kind"), REQUESTS)
def test_every_problem_is_in_the_language_asked_for(client, method, path, headers, body, kind):
    for language, asked in (("de", "de-AT, en;q=0.5"), ("fr", "fr"), ("en", "it"), ("en", None)):
        given = {"Content-Type": JSON, **headers, **({} if asked is None else {"Accept-Language": asked})}
        answer = client.request(method, path, headers=given, content=body)
        assert answer.headers["content-type"] == "application/problem+json"
        assert answer.headers["content-language"] == language
        assert "Accept-Language" in re.split(", *", answer.headers["vary"])
        told = answer.json()
        row = KINDS[kind]
        assert (told["type"], told["status"], answer.status_code) == (f"/problems/{kind}", row.status, row.status)
        assert told["title"] == language_of(language).name(row.title)
        details = [told["detail"], *(one["detail"] for one in told.get("errors", []))]
        assert all(one and "{most}" not in one for one in details)
        if language == "en":
            english = details
    assert (
        client.request(method, path, headers={**given, "Accept-Language": "de"}, content=body).json()["detail"]
        not in english
    )


def test_batches_answer_their_problems_in_the_language_asked_for(client):
    german = {"Accept-Language": "de"}
    line = b'{"opening": {"width_mm": 1180,5}}\n'
    answer = client.post("/v1/fittings/stream", content=line * 2, headers={"Content-Type": NDJSON, **german})
    assert answer.headers["content-language"] == "de"
    first, second, last = map(json.loads, answer.text.splitlines())
    assert first["problem"]["detail"].startswith("Zeile 1, Spalte 30: ein ")
    assert second["problem"]["detail"].startswith("Zeile 2, Spalte 30: ein ")
    assert (second["index"], last["summary"]["problems"]) == (1, 2)
    broken = client.post(
        "/v1/fittings/stream",
        content=gzip.compress(line)[:-4],
        headers={"Content-Type": NDJSON, "Content-Encoding": "gzip", **german},
    )
    assert json.loads(broken.text.splitlines()[-1])["problem"]["detail"].endswith(" abgeschnitten.")
    items = client.post("/v1/fittings/batch", json={"items": [1]}, headers=german).json()["items"]
    assert items[0]["problem"]["errors"][0]["detail"] == "muss vom Typ object sein"
    header = "slat,width_mm,height_mm,headroom_mm,depth_mm,header_thickness_mm"
    table = client.post(
        "/v1/fittings/table", content=f"{header}\nslim,1180mm,1420,310,620,40\n", headers={"Content-Type": CSV, **german}
    )
    assert table.headers["content-language"] == "de"
    assert re.search("Zeile 2, Spalte width_mm: 1180mm .* Dezimalpunkt", table.text)

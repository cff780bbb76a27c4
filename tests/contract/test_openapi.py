"""The contract names what is really sent: header fields, and every problem behind a status."""

import gzip
import json
from itertools import product
from pathlib import Path

import httpx
import jsonschema_rs
import pytest
from serving import PATIENCE_S, serving

from service.contract.examples import CALIBRATIONS, CUTTINGS, FITTINGS, text
from service.contract.openapi import HEADERS, document
from service.contract.operations import CSV, DXF, NDJSON, OPERATIONS, PDF, SVG, TEXT
from service.settings import Settings
from service.web.keys import entry

CONTRACT = document()
GOOD = FITTINGS["lock-gate-truck"].request
BODIES = {
    "calculateBatch": json.dumps({"items": [GOOD]}),
    "calculateTable": text(CSV),
    "calibrateSlat": json.dumps(CALIBRATIONS["workshop-coils"].request),
    **dict.fromkeys(("planCutting", "listCutting", "drawCutting"), json.dumps(CUTTINGS["fleet-saw"].request)),
    "verifyResult": (Path(__file__).parents[2] / "openapi/examples/lock-gate-truck.answer.json").read_text(),
}
"""Good bodies of those operations that take no request for a fitting."""


def response_of(operation, status):
    described = CONTRACT["paths"][operation.path][operation.method.lower()]["responses"][str(status)]
    name = described.get("$ref", "").rpartition("/")[2]
    return CONTRACT["components"]["responses"][name] if name else described


def check(operation, answer):
    """Those of the contract's header fields that an answer has are those that the contract declares for it."""
    sent = {name for name in HEADERS if name in answer.headers}
    assert sent == set(response_of(operation, answer.status_code)["headers"]), (operation.id, answer.status_code)


def named(id):
    return next(one for one in OPERATIONS if one.id == id)


@pytest.mark.slow
def test_header_fields_are_declared_where_they_are_sent(tmp_path):
    keys = tmp_path / "keys.toml"
    keys.write_text(entry("all", ("calculate", "batch", "documents", "metrics"), "its-key"))
    settings = Settings(keys_file=str(keys), rate_limit="40/hour")
    with serving(settings) as base, httpx.Client(base_url=base, timeout=PATIENCE_S) as client:
        check_no_key = client.get("/v1/rules")
        assert {"WWW-Authenticate", "X-Request-Id"} <= set(response_of(named("getRules"), 401)["headers"])
        assert "www-authenticate" in check_no_key.headers
        client.headers["X-API-Key"] = "its-key"
        for operation in OPERATIONS:
            path = operation.path.replace("{kind}", "busy")
            if operation.method == "GET":
                answer = client.get(path)
                assert ("etag" in answer.headers) == operation.etag
                if operation.etag:
                    again = client.get(path, headers={"If-None-Match": answer.headers["etag"]})
                    assert again.status_code == 304
                    check(operation, again)
            else:
                body = BODIES.get(operation.id, json.dumps(GOOD))
                answer = client.post(path, content=body, headers={"Content-Type": operation.takes})
                assert answer.status_code == 200, operation.id
            check(operation, answer)
        fittings = named("calculateFitting")
        check(fittings, client.post("/v1/fittings", json={}))
        limited = [client.post("/v1/fittings", json=GOOD) for _ in range(40)][-1]
        assert limited.status_code == 429
        check(fittings, limited)


@pytest.mark.parametrize("operation", OPERATIONS, ids=lambda one: one.id)
def test_what_can_take_too_long_says_so_beside_busy(operation):
    responses = CONTRACT["paths"][operation.path][operation.method.lower()]["responses"]
    told = response_of(operation, 503)["description"] if "503" in responses else ""
    assert ("Too much at once" in told) == operation.counted
    assert ("It took too long" in told) == (
        operation.heavy or bool(operation.heavy_with) or operation.tag == "Cutting plans"
    )


def test_lines_of_a_streamed_answer_are_of_the_type_the_contract_says(client):
    (content,) = CONTRACT["paths"]["/v1/fittings/stream"]["post"]["responses"]["200"]["content"].values()
    assert content["schema"]["description"] == "Lines, each of them a StreamLine in JSON."
    line = {"$ref": "#/components/schemas/StreamLine", "components": CONTRACT["components"]}
    validator = jsonschema_rs.Draft202012Validator(line)
    lines = b"".join(json.dumps(one).encode() + b"\n" for one in (GOOD, {}))
    ends = (lines, "identity", "summary"), (gzip.compress(lines)[:-4], "gzip", "problem")
    for (body, coding, last), fields in product(ends, ("full", "figures", "short")):
        headers = {"Content-Type": NDJSON, "Content-Encoding": coding}
        answer = client.post(f"/v1/fittings/stream?fields={fields}", content=body, headers=headers)
        *items, end = map(json.loads, answer.text.splitlines())
        assert all(map(validator.is_valid, (*items, end)))
        assert [set(one) - {"index", "reference", "status"} for one in items] == [
            {"short" if fields == "short" else "fitting"},
            {"problem"},
        ]
        assert set(end) == {last}


def test_every_operation_takes_a_language_since_every_problem_is_in_words():
    for operation in OPERATIONS:
        parameters = CONTRACT["paths"][operation.path][operation.method.lower()]["parameters"]
        assert {"$ref": "#/components/parameters/AcceptLanguage"} in parameters


SHOWN = json.loads((Path(__file__).parents[2] / "openapi/openapi.json").read_text())
NOT_SHOWN = {SVG, DXF, PDF, TEXT}
"""Media types of answers that would be no examples: pictures, documents and metrics."""


@pytest.mark.parametrize("operation", OPERATIONS, ids=lambda one: one.id)
def test_examples_of_requests_and_answers_are_there_and_as_the_schemas_say(operation):
    described = SHOWN["paths"][operation.path][operation.method.lower()]
    contents = [described["responses"]["200"]["content"]]
    if operation.media_type not in NOT_SHOWN and operation.id != "getContract":
        assert all(content.get("examples") for content in contents[0].values())
    if operation.body is not None:
        contents.append(described["requestBody"]["content"])
        assert all(content.get("examples") or content.get("example") for content in contents[1].values())
    for content in (one for by_type in contents for one in by_type.values()):
        validator = jsonschema_rs.Draft202012Validator({**content["schema"], "components": SHOWN["components"]})
        shown = [one["value"] for one in content.get("examples", {}).values()]
        for value in (*shown, *([content["example"]] if "example" in content else [])):
            assert list(validator.iter_errors(value)) == []


def test_every_kind_of_problem_that_is_answered_has_an_example():
    problem = jsonschema_rs.Draft202012Validator({"$ref": "#/components/schemas/Problem", "components": SHOWN["components"]})
    for name, response in SHOWN["components"]["responses"].items():
        (content,) = response["content"].values()
        assert set(content["examples"]) == set(name.split("."))
        for kind, example in content["examples"].items():
            assert problem.is_valid(example["value"])
            assert example["value"]["type"] == f"/problems/{kind}"
    refused = SHOWN["components"]["responses"]["invalid-request"]["content"]["application/problem+json"]
    (fault,) = refused["examples"]["invalid-request"]["value"]["errors"]
    # hand: the example is an opening 90 mm high
    assert (fault["pointer"], fault["code"], fault["limit"], fault["actual"]) == ("/opening/height_mm", "minimum", 250, 90)

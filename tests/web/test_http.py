"""The service as its callers meet it over HTTP."""

import json
import re
import socket
from pathlib import Path
from urllib.parse import urlsplit

import jsonschema_rs
import pytest

from service.contract.__main__ import REQUEST_ID
from service.contract.examples import BATCHES, FITTINGS
from service.contract.openapi import document
from service.contract.operations import OPERATIONS
from service.contract.problems import KINDS

EXAMPLES = Path(__file__).parents[2] / "openapi/examples"
LOCK_GATE = (EXAMPLES / "lock-gate-truck.request.json").read_bytes()
JSON = {"Content-Type": "application/json"}
PROBLEM = jsonschema_rs.Draft202012Validator(
    {"$ref": "#/components/schemas/Problem", "components": document()["components"]}
)


def is_problem(response, kind):
    """The problem document, after checking what RFC 9457 asks of it."""
    content = response.json()
    assert response.headers["content-type"] == "application/problem+json"
    assert PROBLEM.is_valid(content), content
    assert content["status"] == response.status_code == KINDS[kind].status
    assert (content["type"], content["title"]) == (f"/problems/{kind}", KINDS[kind].title)
    assert content["instance"] == response.headers["x-request-id"]
    return content


def committed(name, kind):
    """A committed example's request or answer."""
    return (EXAMPLES / f"{name}.{kind}.json").read_bytes()


@pytest.mark.parametrize("name", FITTINGS)
def test_each_example_is_answered_as_committed(client, name):
    response = client.post("/v1/fittings", content=committed(name, "request"), headers=JSON)
    assert response.status_code == 200
    assert response.json() == json.loads(committed(name, "answer"))


@pytest.mark.parametrize("name", BATCHES)
def test_each_batch_is_answered_as_committed(client, name):
    headers = {**JSON, "X-Request-Id": REQUEST_ID}
    response = client.post("/v1/fittings/batch", content=committed(name, "request"), headers=headers)
    assert response.json() == json.loads(committed(name, "answer"))


def test_the_same_request_gives_the_same_bytes(client):
    first, second = (client.post("/v1/fittings", content=LOCK_GATE, headers=JSON).content for _ in range(2))
    assert first == second


def test_trace_comes_on_request_only(client):
    plain = client.post("/v1/fittings", content=LOCK_GATE, headers=JSON).json()
    full = client.post("/v1/fittings?include=trace&include=geometry", content=LOCK_GATE, headers=JSON).json()
    assert "trace" not in plain["audit"]
    assert "geometry" not in plain
    assert full["audit"]["trace"][0]["rule"] == "tracks.outer_width_mm"
    assert len(full["geometry"]["open"]["hinges"]) == full["curtain"]["slat_count"] + 1


def test_a_request_id_of_the_right_form_is_echoed_and_another_is_replaced(client):
    assert client.get("/health/live", headers={"X-Request-Id": "order-7.2_A"}).headers["x-request-id"] == "order-7.2_A"
    for wrong in ("a b", "x" * 65, 'q"q'):
        assert client.get("/health/live", headers={"X-Request-Id": wrong}).headers["x-request-id"] != wrong


@pytest.mark.parametrize(
    ("headers", "kind"),
    [
        ({}, "unsupported-media-type"),
        ({"Content-Type": "text/plain"}, "unsupported-media-type"),
        ({"Content-Type": "application/json; charset=latin-1"}, "unsupported-media-type"),
        ({"Content-Type": "application/json", "Content-Encoding": "br"}, "unsupported-media-type"),
        ({"Content-Type": "application/json", "Accept": "text/html"}, "not-acceptable"),
        ({"Content-Type": "application/json", "Accept": "application/json;q=0"}, "not-acceptable"),
        ({"Content-Type": "application/json", "Accept": "*/*, application/json;q=0"}, "not-acceptable"),
        ({"Content-Type": "application/json", "Accept": "application/*;q=0.0, */*;q=0.1"}, "not-acceptable"),
    ],
)
def test_media_types_are_negotiated(client, headers, kind):
    is_problem(client.post("/v1/fittings", content=LOCK_GATE, headers=headers), kind)


@pytest.mark.parametrize(
    "headers",
    [
        {"Content-Type": "application/json; charset=UTF-8"},
        {"Content-Type": "Application/JSON", "Accept": "text/html, application/*;q=0.5"},
        {"Content-Type": "application/json", "Content-Encoding": "identity", "Accept": "*/*;q=0.1"},
    ],
)
def test_what_may_pass_passes(client, headers):
    assert client.post("/v1/fittings", content=LOCK_GATE, headers=headers).status_code == 200


def test_a_body_over_the_limit_is_refused_declared_or_not(client):
    large = LOCK_GATE + b" " * 65_536
    assert "65536 bytes" in str(is_problem(client.post("/v1/fittings", content=large, headers=JSON), "body-too-large"))
    chunks = (large[start : start + 8192] for start in range(0, len(large), 8192))
    is_problem(client.post("/v1/fittings", content=chunks, headers=JSON), "body-too-large")


def test_a_body_at_the_limit_is_read(client):
    padded = LOCK_GATE + b" " * (65_536 - len(LOCK_GATE))
    assert client.post("/v1/fittings", content=padded, headers=JSON).status_code == 200


@pytest.mark.parametrize(
    ("query", "parameter"),
    [
        ("include=colour", "include"),
        ("trace=1", "trace"),
        ("include=trace&include=trace", "include"),
        ("include=", "include"),
    ],
)
def test_a_query_outside_the_contract_is_refused(client, query, parameter):
    content = is_problem(client.post(f"/v1/fittings?{query}", content=LOCK_GATE, headers=JSON), "invalid-request")
    assert content["errors"][0]["parameter"] == parameter


def test_bodies_that_are_no_json_are_400_and_bad_ones_422(client):
    for body in (b"", b"{", b'{"reference": "\xff"}', b"[" * 60_000):
        is_problem(client.post("/v1/fittings", content=body, headers=JSON), "malformed-body")
    content = is_problem(client.post("/v1/fittings", content=b"{}", headers=JSON), "invalid-request")
    assert {"/opening", "/shutter"} == {error["pointer"] for error in content["errors"]}


@pytest.mark.parametrize("operation", [one for one in OPERATIONS if one.method == "GET"], ids=lambda one: one.id)
def test_get_operations_answer_head_with_the_same_headers_and_no_body(client, operation):
    path = operation.path.replace("{kind}", "not-found")
    got, head = client.get(path), client.head(path)
    assert (got.status_code, head.status_code, head.content) == (200, 200, b"")
    assert got.headers["content-length"] == str(len(got.content))
    if operation.id != "getMetrics":  # the only one whose answer changes with every request
        assert head.headers["content-length"] == got.headers["content-length"]


def test_reference_data_is_not_sent_twice(client):
    for path in ("/v1/catalogue", "/v1/rules", "/v1/warnings", "/openapi.json"):
        etag = client.get(path).headers["etag"]
        again = client.get(path, headers={"If-None-Match": etag})
        assert (again.status_code, again.content) == (304, b"")


@pytest.mark.parametrize(
    ("form", "status"),
    [("*", 304), ("{}", 304), ("W/{}", 304), ('"a", {}', 304), ('"a",W/{},"b"', 304), ('"a"', 200), ("", 200)],
)
def test_if_none_match_is_read_as_the_standard_has_it(client, form, status):
    etag = client.get("/v1/rules").headers["etag"]
    assert client.get("/v1/rules", headers={"If-None-Match": form.replace("{}", etag)}).status_code == status
    assert client.get("/v1/rules", headers={"If-None-Match": etag.strip('"')}).status_code == 200


@pytest.mark.parametrize(
    ("accepted", "coding"),
    [
        ("gzip", "gzip"),
        ("br, gzip;q=0.5", "gzip"),
        ("*", "gzip"),
        ("gzip;q=0", None),
        ("gzip; q=0.000", None),
        ("*;q=0", None),
        ("gzip;q=0, *", None),
        ("identity", None),
        ("xgzip", None),
        ("", None),
    ],
)
def test_assets_are_packed_for_those_who_take_it(client, accepted, coding):
    path = re.findall(r'/docs/[^"]+\.js', client.get("/docs").text)[0]
    assert client.get(path, headers={"Accept-Encoding": accepted}).headers.get("content-encoding") == coding


def test_results_are_not_stored_on_the_way(client):
    assert client.post("/v1/fittings", content=LOCK_GATE, headers=JSON).headers["cache-control"] == "no-store"


def test_wrong_methods_are_told_the_right_ones(client):
    response = client.delete("/v1/fittings")
    is_problem(response, "method-not-allowed")
    assert response.headers["allow"] == "OPTIONS, POST"
    assert client.options("/v1/rules").headers["allow"] == "GET, HEAD, OPTIONS"


@pytest.mark.parametrize("path", ["/v1", "/v1/fittings/", "/v1/fittings/7", "/problems/none", "/%2e%2e/etc/passwd"])
def test_unknown_paths_are_problems_too(client, path):
    answer = client.post(path, content=LOCK_GATE, headers=JSON)
    is_problem(answer, "not-found")
    assert answer.headers["cache-control"] == "no-store"


@pytest.mark.parametrize("kind", KINDS)
def test_each_problem_type_leads_to_its_meaning(client, kind):
    page = client.get(f"/problems/{kind}").json()
    assert (page["status"], page["title"], page["meaning"]) == KINDS[kind]


def test_the_served_contract_is_the_committed_one(client):
    committed = (EXAMPLES.parent / "openapi.json").read_bytes()
    # in the order in which it is written, too: the docs page shows operations, members and examples in that order
    assert json.dumps(client.get("/openapi.json").json()) == json.dumps(json.loads(committed))


def test_every_rule_and_every_warning_is_listed(client):
    rules = {row["id"] for row in client.get("/v1/rules").json()["rules"]}
    trace = client.post("/v1/fittings?include=trace", content=LOCK_GATE, headers=JSON).json()["audit"]["trace"]
    assert {step["rule"] for step in trace} <= rules
    codes = {row["code"] for row in client.get("/v1/warnings").json()["warnings"]}
    for name in FITTINGS:
        assert {warning["code"] for warning in json.loads(committed(name, "answer"))["warnings"]} <= codes


def test_a_caller_that_hangs_up_harms_nobody(client, service):
    address = urlsplit(service)
    with socket.create_connection((address.hostname, address.port)) as raw:
        raw.sendall(
            b"POST /v1/fittings HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: 500\r\n\r\n{"
        )
    assert client.get("/health/ready").status_code == 200

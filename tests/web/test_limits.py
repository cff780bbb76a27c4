"""Limits over HTTP: what is too much or too slow is refused with its number, and what is just within passes."""

import gzip
import json
import re
import socket
import threading
import time
from pathlib import Path
from urllib.parse import urlsplit

import httpx
import pytest
from serving import PATIENCE_S, process, serving, until

from service.contract.examples import CALIBRATIONS, CUTTINGS, FITTINGS, text
from service.contract.operations import CSV, JSON, NDJSON, OPERATIONS
from service.settings import Settings
from service.web.keys import entry

pytestmark = pytest.mark.slow

GOOD = FITTINGS["lock-gate-truck"].request
POSTS = [one for one in OPERATIONS if one.body is not None]
READ_WHOLE = [one for one in POSTS if one.body_size != "stream"]
EXAMPLES = Path(__file__).parents[2] / "openapi/examples"
SMALL_BYTES, LARGE_BYTES = 16_384, 65_536
PAUSE_S = 0.1
IDLE_S = 3.0


@pytest.fixture(scope="module")
def narrow():
    """A service with small limits."""
    settings = Settings(body_limit_bytes=SMALL_BYTES, large_body_limit_bytes=LARGE_BYTES, body_idle_s=PATIENCE_S)
    with serving(settings) as base, httpx.Client(base_url=base, timeout=PATIENCE_S) as one:
        yield one


@pytest.fixture(scope="module")
def hasty():
    """The address of a service that waits for bodies thirty times as long as senders pause here."""
    with serving(Settings(body_idle_s=IDLE_S)) as base:
        yield base


def body_of(operation):
    """A good body for an operation."""
    if operation.id == "verifyResult":
        return (EXAMPLES / "pump-van.answer.json").read_bytes()
    if operation.id == "calibrateSlat":
        return json.dumps(next(iter(CALIBRATIONS.values())).request).encode()
    if operation.tag == "Cutting plans":
        return json.dumps(CUTTINGS["fleet-saw"].request).encode()
    if operation.takes == CSV:
        return text(CSV).encode()
    return json.dumps({"items": [GOOD]} if operation.id == "calculateBatch" else GOOD).encode()


def headers_of(operation):
    return {"Content-Type": operation.takes}


def talk(base, pieces, pause_s=0.0):
    """What a service says to pieces sent with pauses, until it closes the connection."""
    address = urlsplit(base)
    received = b""
    with socket.create_connection((address.hostname, address.port), timeout=PATIENCE_S) as raw:

        def send():
            try:
                for piece in pieces:
                    raw.sendall(piece)
                    time.sleep(pause_s)
            except OSError:
                return  # it has closed the connection: what it has said is what counts

        sending = threading.Thread(target=send, daemon=True)
        sending.start()
        try:
            while piece := raw.recv(65_536):
                received += piece
        except ConnectionResetError:
            pass
        sending.join(PATIENCE_S)
    return received


def head_of(path, media_type, length):
    return f"POST {path} HTTP/1.1\r\nHost: x\r\nConnection: close\r\nContent-Type: {media_type}\r\n{length}\r\n\r\n".encode()


@pytest.mark.parametrize("operation", READ_WHOLE, ids=lambda one: one.id)
def test_each_body_may_be_as_large_as_the_limit_and_no_larger(narrow, operation):
    limit = SMALL_BYTES if operation.body_size == "small" else LARGE_BYTES
    good = body_of(operation)
    assert narrow.post(operation.path, content=good.ljust(limit), headers=headers_of(operation)).status_code == 200
    large = good.ljust(limit + 1)
    chunks = (large[start : start + 8192] for start in range(0, len(large), 8192))
    for content in (large, chunks):  # with its length declared, and without
        refused = narrow.post(operation.path, content=content, headers=headers_of(operation))
        assert (refused.status_code, refused.json()["type"]) == (413, "/problems/body-too-large")
        assert f"{limit} bytes" in refused.json()["detail"]


@pytest.mark.parametrize("operation", READ_WHOLE, ids=lambda one: one.id)
def test_a_small_body_that_unpacks_to_a_large_one_is_refused(narrow, operation):
    bomb = gzip.compress(b" " * 50_000_000)
    assert len(bomb) < LARGE_BYTES
    refused = narrow.post(operation.path, content=bomb, headers={**headers_of(operation), "Content-Encoding": "gzip"})
    assert refused.status_code == (415 if operation.body_size == "small" else 413)


@pytest.mark.parametrize("operation", [one for one in POSTS if one.takes == JSON], ids=lambda one: one.id)
@pytest.mark.parametrize("opening", [b"[", b'{"opening":', b'{"reference":[{"a":'], ids=["lists", "objects", "both"])
def test_what_is_nested_too_deep_is_refused(narrow, operation, opening):
    deep = opening * (SMALL_BYTES // len(opening))
    refused = narrow.post(operation.path, content=deep, headers=headers_of(operation))
    assert (refused.status_code, refused.json()["type"]) == (400, "/problems/malformed-body")


def test_lines_may_come_with_pauses_since_their_answers_are_awaited(hasty):
    pieces = [b"{}\n"] * 40
    head = head_of("/v1/fittings/stream?fields=short", NDJSON, f"Content-Length: {len(b''.join(pieces))}")
    assert len(pieces) * PAUSE_S > IDLE_S
    assert b'"items":40,' in talk(hasty, [head, *pieces], PAUSE_S).partition(b'{"summary":')[2]


BLANK = b"\n" * 1_000_000


def test_blank_lines_do_not_go_on_for_ever(client):
    headers = {"Content-Type": NDJSON, "Content-Encoding": "gzip"}
    with serving(Settings(batch_items_max=1000)) as base:
        answer = httpx.post(f"{base}/v1/fittings/stream", content=gzip.compress(BLANK), headers=headers, timeout=PATIENCE_S)
    assert "1000 items at most" in answer.text
    sent = gzip.compress(json.dumps(GOOD).encode() + BLANK[:900_000])
    *_, last = client.post("/v1/fittings/stream", content=sent, headers=headers).text.splitlines()
    assert json.loads(last)["summary"] == {"items": 1, "fits": 1, "fits_with_cautions": 0, "does_not_fit": 0, "problems": 0}


def test_a_packed_stream_whose_caller_has_gone_is_not_worked_on(tmp_path):
    count = 30_000
    packed = gzip.compress((json.dumps(GOOD).encode() + b"\n") * count)
    with process(tmp_path) as (_, base, log):
        address = urlsplit(base)
        with socket.create_connection((address.hostname, address.port), timeout=PATIENCE_S) as raw:
            head = head_of("/v1/fittings/stream", NDJSON, f"Content-Encoding: gzip\r\nContent-Length: {len(packed)}")
            raw.sendall(head + packed)
            assert raw.recv(4096)
        assert until(lambda: '"gone":true' in log.read_text())
    (line,) = [one for one in map(json.loads, log.read_text().splitlines()) if one.get("gone")]
    assert line["items"] < count / 2


def test_each_key_has_a_rate_of_its_own_and_a_refused_one_takes_nothing(tmp_path):
    keys = tmp_path / "keys.toml"
    keys.write_text(entry("shop", ("calculate",), "shop-key") + entry("erp", ("calculate",), "erp-key"))
    with (
        serving(Settings(keys_file=str(keys), rate_limit="2/hour")) as base,
        httpx.Client(base_url=base, timeout=PATIENCE_S) as client,
    ):

        def status(key, path="/v1/fittings"):
            return client.post(path, json=GOOD, headers={"X-API-Key": key}).status_code

        assert [status("wrong"), status("shop-key", "/v1/drawings/plate.svg"), status("wrong")] == [401, 403, 401]
        assert [status("shop-key") for _ in range(3)] == [200, 200, 429]
        assert [status("erp-key") for _ in range(3)] == [200, 200, 429]


@pytest.mark.parametrize(("proxies", "statuses"), [("127.0.0.1", [200, 200, 200]), ("192.0.2.1", [200, 429, 429])])
def test_a_callers_address_is_believed_from_a_known_proxy_only(tmp_path, proxies, statuses):
    with process(tmp_path, LATHWIND_RATE_LIMIT="1/hour", LATHWIND_PROXIES=proxies) as (_, base, _log):
        told = [
            httpx.post(
                f"{base}/v1/fittings", json=GOOD, headers={"X-Forwarded-For": f"203.0.113.{number}"}, timeout=PATIENCE_S
            ).status_code
            for number in range(3)
        ]
    assert told == statuses


def test_what_is_refused_for_its_rate_says_what_is_left():
    settings = Settings(rate_limit="2/minute", cors_origins="https://shop.example")
    with (
        serving(settings) as base,
        httpx.Client(base_url=base, headers={"Origin": "https://shop.example"}, timeout=PATIENCE_S) as client,
    ):
        answers = [client.post("/v1/fittings", json=GOOD) for _ in range(3)]
    left = [re.fullmatch(r'"default";r=(\d+);t=(\d+)', answer.headers["ratelimit"]) for answer in answers]
    assert [int(found[1]) for found in left if found] == [1, 0, 0]
    assert {answer.headers["ratelimit-policy"] for answer in answers} == {'"default";q=2;w=60'}
    assert ["retry-after" in answer.headers for answer in answers] == [False, False, True]
    assert 1 <= int(answers[2].headers["retry-after"]) <= 60
    assert answers[2].headers["access-control-allow-origin"] == "https://shop.example"
    assert "Retry-After" in answers[2].headers["access-control-expose-headers"]

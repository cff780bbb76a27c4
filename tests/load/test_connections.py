"""A service without a proxy: callers that lie about lengths or talk nonsense; logs nobody reads; clocks that jump.

Each test ends by itself; counts are asserted, never times. Everything happens on loopback.
"""

import gzip
import http.client
import json
import os
import random
import signal
import subprocess
import sys
import threading
import time
from collections import Counter
from contextlib import closing
from pathlib import Path

import httpx
import pytest
from load.callers import (
    GOOD,
    NDJSON,
    STREAM,
    connected,
    everything,
    lines_of,
    mutated,
)
from load.heads import KEY, guarded, statuses
from serving import PATIENCE_S, answers, free_port, process, until

from service.catalogue.loader import STANDARD
from service.contract.examples import BATCHES, text
from service.contract.operations import CSV, OPERATIONS
from service.contract.operations import NDJSON as LINES
from service.web.keys import entry

pytestmark = pytest.mark.heavy


CHUNKED = b"POST /v1/fittings HTTP/1.1\r\nHost: x\r\nTransfer-Encoding: chunked\r\n\r\n"


@pytest.mark.parametrize(
    ("request_bytes", "statuses"),
    [
        # RFC 9112, 3.2.2: the target's authority counts and not the field; here none of them leads anywhere else
        (b"GET http://evil.example/health/live HTTP/1.1\r\nHost: fit.example\r\nConnection: close\r\n\r\n", ["200"]),
        (b"CONNECT evil.example:443 HTTP/1.1\r\nHost: fit.example\r\n\r\n", ["400"]),
        (b"OPTIONS * HTTP/1.1\r\nHost: fit.example\r\nConnection: close\r\n\r\n", ["404"]),
        # HTTP/1.0 is answered once: what follows is not taken for a request
        (
            b"GET /health/live HTTP/1.0\r\nConnection: keep-alive\r\n\r\nGET /health/live HTTP/1.0\r\n\r\n",
            ["200"],
        ),
        # what looks like a request is the body of the first
        (
            (
                b"GET /health/live HTTP/1.1\r\nHost: x\r\nConnection: close\r\nContent-Length: 44\r\n\r\n"
                b"GET /health/ready HTTP/1.1\r\nHost: fit.ex\r\n\r\n"
            ),
            ["200"],
        ),
        # two good ones one after the other are two
        (
            b"GET /health/live HTTP/1.1\r\nHost: x\r\n\r\nGET /health/live HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n",
            ["200", "200"],
        ),
        (CHUNKED.replace(b"chunked", b"xchunked") + b"0\r\n\r\n", ["400"]),
        (CHUNKED.replace(b"\r\n\r\n", b"\r\nTransfer-Encoding: identity\r\n\r\n") + b"0\r\n\r\n", ["400"]),
        (CHUNKED + b"0x2\r\n{}\r\n0\r\n\r\n", ["400"]),
        (b"POST /v1/fittings HTTP/1.1\r\nHost: x\r\nContent-Length: +2\r\n\r\n{}", ["400"]),
        (b"GET /health/live HTTP/1.1\nHost: x\n\n", ["400"]),
        (b"GET /health/live HTTP/1.1\r\nHost: x\r\nX: a\rContent-Length: 5\r\n\r\n", ["400"]),
        (b"GET /health/live HTTP/1.1\r\nHost: x\r\nX: a\0b\r\n\r\n", ["400"]),
        (b"GET /\xff HTTP/1.1\r\nHost: x\r\n\r\n", ["400"]),
    ],
    ids=[
        "absolute form", "authority form", "asterisk form", "1.0 keep-alive", "body of a GET", "pipelined", "unknown coding",
        "two codings", "hexadecimal prefix", "signed length", "bare line feed", "bare carriage return", "NUL", "no ASCII",
    ],
)  # fmt: skip
def test_what_two_could_read_in_two_ways_is_read_in_one(tmp_path, request_bytes, statuses):
    with process(tmp_path) as (_, base, log):
        with connected(base, timeout_s=PATIENCE_S) as raw:
            raw.sendall(request_bytes)
            received = everything(raw)
        told = [part[:3].decode() for part in received.split(b"HTTP/1.1 ")[1:]]
        assert told == statuses
        assert answers(base)
    assert '"event":"unhandled"' not in log.read_text()


def test_mutated_heads_find_no_fault_of_ours(tmp_path):
    with guarded(tmp_path) as (base, log):
        counted = statuses(base, 5000)
        assert answers(base)
    assert not any(one.startswith(("5", "hung")) for one in counted), counted
    assert min(counted[one] for one in ("200", "400", "401", "404", "405", "415", "421", "422", "426")) >= 10, counted
    assert '"event":"unhandled"' not in log.read_text()
    assert "Exception in ASGI application" not in log.read_text()


def test_mutated_tables_and_packed_bodies_find_no_fault_of_ours(tmp_path):
    chance = random.Random(20261127)  # noqa: S311 - repeatable, not secret
    sources = {
        CSV: text(CSV).encode(),
        LINES: text(LINES).encode(),
        "application/json": json.dumps(BATCHES["evening-order"].request).encode(),
    }
    paths = {one.takes: one.path for one in OPERATIONS if one.access == "batch" and one.tag == "Fittings"}
    statuses = Counter()
    keyed = {"X-API-Key": KEY}
    with guarded(tmp_path) as (base, log), httpx.Client(base_url=base, headers=keyed, timeout=PATIENCE_S) as client:
        for _ in range(4000):
            media_type = chance.choice(list(sources))
            body, headers = mutated(sources[media_type], chance), {"Content-Type": media_type}
            if chance.random() < 0.3:
                packed = gzip.compress(body)
                body = mutated(packed, chance) if chance.random() < 0.5 else packed
                headers["Content-Encoding"] = "gzip"
            answer = client.post(paths[media_type], content=body, headers=headers)
            statuses[answer.status_code] += 1
            assert b"internal-error" not in answer.content, body
        assert answers(base)
    assert set(statuses) == {200, 400, 422}
    assert min(statuses.values()) >= 100, statuses
    assert '"event":"unhandled"' not in log.read_text()


@pytest.mark.parametrize("kind", ["full disk", "reader gone"])
def test_a_log_that_cannot_be_written_fails_no_request(tmp_path, kind):
    reading, writing = (-1, os.open("/dev/full", os.O_WRONLY)) if kind == "full disk" else os.pipe()
    port, catalogue = free_port(), tmp_path / "own.toml"
    catalogue.write_text(STANDARD.read_text())
    running = subprocess.Popen(
        [sys.executable, "-m", "service"],
        env={**os.environ, "LATHWIND_PORT": str(port), "LATHWIND_CATALOGUE": str(catalogue)},
        stdout=writing,
        stderr=writing,
    )
    os.close(writing)
    base = f"http://127.0.0.1:{port}"
    try:
        assert until(lambda: answers(base))
        if reading >= 0:
            os.close(reading)
        with connected(base) as raw:  # one for all: a line that fails must not end the connection
            for _ in range(50):
                raw.sendall(b"HEAD /v1/rules HTTP/1.1\r\nHost: x\r\n\r\n")
                assert raw.recv(4096).startswith(b"HTTP/1.1 200 ")
        assert httpx.post(base + STREAM, content=lines_of(100), headers=NDJSON, timeout=PATIENCE_S).text.count("\n") == 101
        digest = httpx.post(f"{base}/v1/fittings", json=GOOD, timeout=PATIENCE_S).json()["audit"]["catalogue_sha256"]
        catalogue.write_text(STANDARD.read_text() + "# another\n")
        statuses = set()

        def changed():  # the line about it is written in the midst of a request
            answer = httpx.post(f"{base}/v1/fittings", json=GOOD, timeout=PATIENCE_S)
            statuses.add(answer.status_code)
            return answer.status_code == 200 and answer.json()["audit"]["catalogue_sha256"] != digest

        assert until(changed)
        assert statuses == {200}
        with connected(base) as raw:
            raw.sendall(b"nonsense\r\n\r\n")  # the server's own line about it cannot be written either
            assert everything(raw).startswith(b"HTTP/1.1 400 ")
        assert answers(base)
    finally:
        running.terminate()
        running.wait(PATIENCE_S)


def test_a_reader_that_has_stalled_gets_whole_lines_only_and_sees_that_they_are_not_all(tmp_path):
    with process(tmp_path, LATHWIND_DRAIN_S="1") as (running, base, _), connected(base) as raw:
        block = lines_of(1000)

        def send():
            try:
                for _ in range(50):
                    raw.sendall(f"{len(block):x}\r\n".encode() + block + b"\r\n")
            except OSError:
                return

        raw.sendall(
            b"POST /v1/fittings/stream HTTP/1.1\r\nHost: x\r\nContent-Type: application/x-ndjson\r\n"
            b"Transfer-Encoding: chunked\r\n\r\n"
        )
        sending = threading.Thread(target=send, daemon=True)
        sending.start()
        time.sleep(2)  # the answers fill every buffer meanwhile
        running.send_signal(signal.SIGTERM)
        running.wait(PATIENCE_S)
        with closing(http.client.HTTPResponse(raw)) as response:
            response.begin()
            with pytest.raises((http.client.IncompleteRead, ConnectionResetError)) as cut:
                response.read()
        sending.join(PATIENCE_S)
    received = cut.value.partial if isinstance(cut.value, http.client.IncompleteRead) else b""
    assert b'"summary"' not in received
    assert [json.loads(line)["index"] for line in received.splitlines()] == list(range(received.count(b"\n")))


def test_a_clock_that_jumps_disturbs_nothing(tmp_path):
    found = sorted(Path("/usr/lib").glob("*/faketime/libfaketimeMT.so.1"))
    assert found, "libfaketime is missing: apt-get install faketime"
    offset = tmp_path / "offset"
    offset.write_text("+0")
    keys = tmp_path / "keys.toml"
    keys.write_text(entry("shop", ("calculate",), KEY))
    environment = {
        "LD_PRELOAD": str(found[0]),
        "FAKETIME_TIMESTAMP_FILE": str(offset),
        "FAKETIME_NO_CACHE": "1",
        "FAKETIME_DONT_FAKE_MONOTONIC": "1",  # a clock that is set leaves the monotonic one alone
        "LATHWIND_KEYS_FILE": str(keys),
        "LATHWIND_RATE_LIMIT": "30/hour",
        "LATHWIND_BODY_IDLE_S": "5",
    }
    with (
        process(tmp_path, **environment) as (_, base, log),
        httpx.Client(base_url=base, headers={"X-API-Key": KEY}, timeout=PATIENCE_S) as client,
        connected(base) as raw,
    ):
        raw.sendall(
            f"POST /v1/fittings HTTP/1.1\r\nHost: x\r\nX-API-Key: {KEY}\r\n"
            "Content-Type: application/json\r\nContent-Length: 9\r\n\r\n{".encode()
        )
        statuses = []
        for jump in ("+0", "+30d", "-3650d", "+20y", "-1h", "+0"):
            offset.write_text(jump)
            statuses += [client.post("/v1/fittings", json=GOOD).status_code for _ in range(5)]
        assert statuses == [200] * 29 + [429], "one of the thirty is the slow sender's: no window has ended with a jump"
        assert raw.recv(4096).startswith(b"HTTP/1.1 408 ")
        keys.write_text(entry("next", ("calculate",), "another-key"))
        offset.write_text("-20y")
        assert until(lambda: client.post("/v1/fittings", json=GOOD, headers={"X-API-Key": KEY}).status_code == 401)
        requests = [line for line in map(json.loads, log.read_text().splitlines()) if line["event"] == "request"]
    assert len({line["time"][:4] for line in requests}) >= 3, "the clock has jumped"
    assert all(0 <= line["ms"] < 3_600_000 for line in requests), "the least jump is an hour"

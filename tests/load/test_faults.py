"""When things break: the service finishes what it can, says what it cannot, and goes on for everybody else.

Each test ends by itself; counts are asserted, never times. Everything happens on loopback.
"""

import json
import os
import random
import signal
import socket
import subprocess
import threading
from collections import Counter
from pathlib import Path

import httpx
import pytest
from load.callers import (
    GOOD,
    HEAD,
    NDJSON,
    STREAM,
    connected,
    everything,
    lines_of,
    mutated,
    open_files,
    resident_mb,
)
from serving import PATIENCE_S, answers, process, until

from service.catalogue.loader import STANDARD
from service.contract.examples import BATCHES, CALIBRATIONS, CUTTINGS, FITTINGS, text
from service.contract.operations import CSV, OPERATIONS
from service.contract.operations import NDJSON as LINES

pytestmark = pytest.mark.heavy

CUTTING_PATHS = [one.path for one in OPERATIONS if one.tag == "Cutting plans"]


def test_a_batch_under_way_is_finished_after_sigterm(tmp_path):
    count = 3000
    with process(tmp_path) as (running, base, log):
        with httpx.stream("POST", base + STREAM, content=lines_of(count), headers=NDJSON, timeout=PATIENCE_S) as response:
            lines = response.iter_lines()
            received = [next(lines)]
            running.send_signal(signal.SIGTERM)
            received += list(lines)
        assert running.wait(PATIENCE_S) in {0, -signal.SIGTERM, 143}
        assert json.loads(received[-1])["summary"]["items"] == count
        assert [json.loads(line)["index"] for line in received[:-1]] == list(range(count))
        assert not answers(base)
    assert '"items":3000' in log.read_text()


def test_a_batch_that_outlasts_the_drain_is_cut_without_a_summary(tmp_path):
    with process(tmp_path, LATHWIND_DRAIN_S="1") as (running, base, _), connected(base) as raw:
        raw.sendall(
            b"POST /v1/fittings/stream HTTP/1.1\r\nHost: x\r\nContent-Type: application/x-ndjson\r\n"
            b"Transfer-Encoding: chunked\r\n\r\n"
        )
        part = lines_of(3)
        raw.sendall(f"{len(part):x}\r\n".encode() + part + b"\r\n")
        received = raw.recv(1 << 16)
        running.send_signal(signal.SIGTERM)
        received += everything(raw)
        assert running.wait(PATIENCE_S) is not None
    whole = [line for line in received.split(b"\r\n") if line.startswith(b'{"fitting"')]
    assert b'"summary"' not in received
    assert whole
    assert all(line.endswith(b"}\n") for line in whole), "half a line"


def test_a_worker_killed_under_load_is_replaced_while_the_other_serves(tmp_path):
    callers, told, ended = 4, Counter[object](), threading.Event()

    def call(base):
        while not ended.is_set():
            try:
                told[httpx.post(f"{base}/v1/fittings", json=GOOD, timeout=PATIENCE_S).status_code] += 1
            except httpx.TransportError:
                told["lost"] += 1  # a connection that the killed worker had taken

    with process(tmp_path, LATHWIND_WORKERS="2") as (running, base, _):

        def workers():
            listed = subprocess.run(
                ["pgrep", "-P", str(running.pid), "-f", "spawn_main"], capture_output=True, text=True, check=False
            )
            return [int(one) for one in listed.stdout.split()]

        def served_more(than):
            return until(lambda: told[200] > than)

        assert until(lambda: len(workers()) == 2)
        before = workers()
        threads = [threading.Thread(target=call, args=[base]) for _ in range(callers)]
        for thread in threads:
            thread.start()
        try:
            assert served_more(20)
            os.kill(before[0], signal.SIGKILL)
            assert served_more(told[200] + 100)
            assert until(lambda: len(workers()) == 2 and set(workers()) != set(before))
            assert served_more(told[200] + 100)
        finally:
            ended.set()
            for thread in threads:
                thread.join()
    # each caller has one request under way; those that waited in the killed worker's queue are lost with it
    assert set(told) <= {200, "lost"}
    assert told["lost"] <= callers


def test_a_catalogue_broken_under_load_harms_no_request(tmp_path):
    catalogue = tmp_path / "own.toml"
    catalogue.write_text(STANDARD.read_text())
    with process(tmp_path, LATHWIND_CATALOGUE=str(catalogue)) as (_, base, log):
        statuses = set()
        with httpx.Client(base_url=base, timeout=PATIENCE_S) as client:
            digest = client.post("/v1/fittings", json=GOOD).json()["audit"]["catalogue_sha256"]
            catalogue.write_text("id = [")

            def noticed():
                answer = client.post("/v1/fittings", json=GOOD)
                statuses.add(answer.status_code)
                assert answer.json()["audit"]["catalogue_sha256"] == digest
                return "catalogue_not_reloaded" in log.read_text()

            assert until(noticed)
            for _ in range(50):
                noticed()
        assert statuses == {200}


@pytest.mark.parametrize(
    "request_bytes",
    [
        (
            b"POST /v1/fittings HTTP/1.1\r\nHost: x\r\nContent-Length: 5\r\nTransfer-Encoding: chunked\r\n\r\n"
            b"0\r\n\r\nGET /health/live HTTP/1.1\r\nHost: x\r\n\r\n"
        ),
        b"POST /v1/fittings HTTP/1.1\r\nHost: x\r\nContent-Length: 5\r\nContent-Length: 6\r\n\r\n{}   ",
        b"POST /v1/fittings HTTP/1.1\r\nHost: x\r\nTransfer-Encoding: chunked\r\n\r\nzz\r\n{}\r\n0\r\n\r\n",
        b"POST /v1/fittings HTTP/1.1\r\nHost: x\r\nContent-Length: -1\r\n\r\n",
        b"POST /v1/fittings HTTP/1.1\r\nHost: x\r\nContent-Length : 2\r\n\r\n{}",
        b"POST /v1/fittings HTTP/1.1\r\nHost: x\r\nX-Folded: a\r\n b\r\nContent-Length: 2\r\n\r\n{}",
        b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03",
    ],
    ids=["both lengths", "two lengths", "chunk size", "negative", "space", "folded", "TLS"],
)
def test_what_could_smuggle_is_refused(tmp_path, request_bytes):
    with process(tmp_path) as (_, base, _log):
        with connected(base, timeout_s=PATIENCE_S) as raw:
            raw.sendall(request_bytes)
            raw.shutdown(socket.SHUT_WR)
            received = everything(raw)
        assert received.count(b"HTTP/1.1 ") <= 1
        assert not received.startswith((b"HTTP/1.1 2", b"HTTP/1.1 5")), received[:200]
        assert answers(base)


def bodies(count):
    """Mutated and random bodies for every operation that takes one, light ones oftener than heavy ones."""
    chance = random.Random(20261125)  # noqa: S311 - repeatable, not secret
    examples = [json.dumps(one.request).encode() for one in FITTINGS.values()]
    batches = [json.dumps(one.request).encode() for one in BATCHES.values()]
    coils = [json.dumps(one.request).encode() for one in CALIBRATIONS.values()]
    answer = (Path(__file__).parents[2] / "openapi/examples/pump-van.answer.json").read_bytes()
    bodies_of = {
        "/v1/fittings/batch": batches,
        "/v1/fittings/stream": [text(LINES).encode()],
        "/v1/fittings/table": [text(CSV).encode()],
        "/v1/calibrations": coils,
        "/v1/audits/verification": [answer],
        **{path: [json.dumps(one.request).encode() for one in CUTTINGS.values()] for path in CUTTING_PATHS},
    }
    operations = [one for one in OPERATIONS if one.body is not None]
    weights = [1 if one.heavy or one.path in CUTTING_PATHS else 30 for one in operations]
    for _ in range(count):
        (one,) = chance.choices(operations, weights)
        source = chance.choice(bodies_of.get(one.path, examples))
        yield one, chance.randbytes(chance.randrange(300)) if chance.random() < 0.1 else mutated(source, chance)


def test_ten_thousand_mutated_bodies_find_no_fault_of_ours(tmp_path):
    statuses = Counter()
    with process(tmp_path) as (_, base, log), httpx.Client(base_url=base, timeout=PATIENCE_S) as client:
        for one, body in bodies(10_000):
            statuses[client.post(one.path, content=body, headers={"Content-Type": one.takes}).status_code] += 1
        for body in (body for one, body in bodies(2000) if one.id == "calculateFitting"):
            statuses[client.post(STREAM, content=body, headers=NDJSON).status_code] += 1
        assert client.get("/health/ready").status_code == 200
    assert not any(status >= 500 for status in statuses)
    assert statuses[200] > 100
    assert statuses[422] > 100
    assert statuses[400] > 1000
    assert '"event":"unhandled"' not in log.read_text()


def test_bodies_cut_half_way_leave_nothing_behind(tmp_path):
    body = json.dumps(GOOD).encode()
    with process(tmp_path) as (running, base, _):
        for number in range(300):
            with connected(base) as raw:
                head = HEAD.replace(b"500", str(len(body)).encode())
                raw.sendall(head + body[: number % len(body)])
        assert until(lambda: httpx.post(f"{base}/v1/fittings", json=GOOD, timeout=PATIENCE_S).status_code == 200)
        assert until(lambda: open_files(running.pid) < 60)


def test_a_long_stream_killed_half_way_leaves_the_service_healthy(tmp_path):
    with process(tmp_path) as (running, base, _):
        block = lines_of(1000)
        memory = []

        def sending(raw):
            try:
                for _ in range(200):
                    raw.sendall(f"{len(block):x}\r\n".encode() + block + b"\r\n")
            except OSError:
                return

        for _ in range(3):
            with connected(base) as raw:
                raw.sendall(
                    b"POST /v1/fittings/stream?fields=short HTTP/1.1\r\nHost: x\r\nContent-Type: application/x-ndjson\r\n"
                    b"Transfer-Encoding: chunked\r\n\r\n"
                )
                threading.Thread(target=sending, args=(raw,), daemon=True).start()
                received = 0
                while received < 5_000_000:
                    received += len(raw.recv(1 << 16))
            assert httpx.post(f"{base}/v1/fittings", json=GOOD, timeout=PATIENCE_S).status_code == 200
            memory.append(resident_mb(running.pid))
        assert memory[2] - memory[1] < 10, memory  # the first round warms up

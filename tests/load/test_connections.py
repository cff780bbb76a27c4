"""Callers that say nothing, never end, lie about lengths or talk nonsense; logs nobody reads; clocks that jump.

Each test ends by itself; counts are asserted, never times. Everything happens on loopback.
"""

import csv
import gzip
import http.client
import json
import os
import random
import signal
import socket
import subprocess
import sys
import threading
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import ExitStack, closing, contextmanager
from pathlib import Path

import httpx
import pytest
from load.callers import (
    BATCH,
    GOOD,
    NDJSON,
    connected,
    everything,
    lines_of,
    mutated,
    open_files,
    resident_mb,
    started,
)
from serving import PATIENCE_S, answers, free_port, process, until

from service.catalogue.loader import STANDARD
from service.contract.examples import BATCHES, text
from service.contract.operations import CSV
from service.contract.operations import NDJSON as LINES
from service.web.keys import entry

pytestmark = pytest.mark.heavy

DEPLOY = Path(__file__).parents[2] / "deploy"
KEY = "shop-key-nobody-guesses"


def ended(raw: socket.socket) -> bool:
    """Whether the other side has closed a connection, without waiting for it."""
    raw.settimeout(0)
    try:
        return not raw.recv(4096)
    except BlockingIOError:
        return False
    except ConnectionResetError:
        return True


def test_five_hundred_silent_connections_are_closed_and_keep_nobody_waiting(tmp_path: Path) -> None:
    with process(tmp_path) as (running, base, _), ExitStack() as open_ones:
        silent = [open_ones.enter_context(connected(base)) for _ in range(500)]
        for raw in silent[::5]:
            raw.sendall(b"GET /v1/rules HT")  # every fifth stops in the midst of its first line
        with httpx.Client(base_url=base, timeout=PATIENCE_S) as client:
            assert {client.post("/v1/fittings", json=GOOD).status_code for _ in range(50)} == {200}
        gone: set[int] = set()

        def all_gone() -> bool:
            gone.update(number for number, raw in enumerate(silent) if number not in gone and ended(raw))
            return len(gone) == 500

        assert until(all_gone), f"{len(gone)} of 500 were closed"
        assert answers(base)
        assert until(lambda: open_files(running.pid) < 60)


@pytest.mark.parametrize("before", [b"", b"GET /health/live HTTP/1.1\r\nHost: x\r\n\r\n"], ids=["first", "later"])
def test_a_head_that_drips_ends_though_it_never_stops(tmp_path: Path, before: bytes) -> None:
    with process(tmp_path) as (_, base, _log), connected(base) as raw:
        raw.sendall(before + b"GET /v1/ru")
        for _ in range(60):
            try:
                raw.sendall(b"l")
            except OSError:
                break
            time.sleep(0.5)
        else:
            pytest.fail("the connection was never closed")
        assert answers(base)


def test_heads_that_never_end_are_not_kept(tmp_path: Path) -> None:
    memory = []
    with process(tmp_path) as (running, base, _):
        for _ in range(3):
            for start in (b"GET /", b"GET /v1/rules HTTP/1.1\r\nX-Long: ", b"GET /v1/rules HTTP/1.1\r\n"):
                endless = b"a" * 65_536 if start.endswith((b"/", b" ")) else b"X-A: b\r\n" * 8192
                for _ in range(5):
                    with connected(base) as raw:
                        raw.sendall(start)
                        with pytest.raises(OSError, match=r"Broken pipe|reset"):
                            raw.sendall(endless * 400)  # 26 MB
            assert answers(base)
            memory.append(resident_mb(running.pid))
    assert memory[2] - memory[1] < 10, memory  # the first round warms up; 390 MB were sent in each


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
def test_what_two_could_read_in_two_ways_is_read_in_one(tmp_path: Path, request_bytes: bytes, statuses: list[str]) -> None:
    with process(tmp_path) as (_, base, log):
        with connected(base, timeout_s=PATIENCE_S) as raw:
            raw.sendall(request_bytes)
            received = everything(raw)
        told = [part[:3].decode() for part in received.split(b"HTTP/1.1 ")[1:]]
        assert told == statuses
        assert answers(base)
    assert '"event":"unhandled"' not in log.read_text()


HEADS = [
    (
        f"POST /v1/fittings?include=trace&include=geometry HTTP/1.1\r\nHost: fit.example\r\nX-API-Key: {KEY}\r\n"
        "Content-Type: application/json; charset=utf-8\r\nAccept: text/html, application/json;q=0.5\r\n"
        "Origin: https://shop.example\r\ntraceparent: 00-0af7651916cd43dd8448eb211c80319c-b7ad6b7169203331-01\r\n"
        f"X-Request-Id: order-7\r\nContent-Length: {len(json.dumps(GOOD))}\r\n\r\n{json.dumps(GOOD)}"
    ).encode(),
    (
        f"GET /v1/catalogue HTTP/1.1\r\nHost: fit.example:80\r\nAuthorization: Bearer {KEY}\r\n"
        'If-None-Match: "abc"\r\nAccept-Encoding: gzip\r\nX-Forwarded-For: 192.0.2.1, 203.0.113.7\r\n\r\n'
    ).encode(),
    b"OPTIONS /v1/rules HTTP/1.1\r\nHost: x\r\nOrigin: https://shop.example\r\nAccess-Control-Request-Method: GET\r\n\r\n",
    b"GET /docs HTTP/1.1\r\nHost: x\r\nConnection: Upgrade\r\nUpgrade: websocket\r\nExpect: 100-continue\r\n\r\n",
]


@contextmanager
def guarded(tmp_path: Path) -> Iterator[tuple[str, Path]]:
    """The address of a service with every door shut, and its log."""
    keys = tmp_path / "keys.toml"
    keys.write_text(entry("shop", ("calculate", "batch"), KEY))
    settings = {
        "LATHWIND_KEYS_FILE": str(keys),
        "LATHWIND_HOSTS": "fit.example,127.0.0.1",
        "LATHWIND_CORS_ORIGINS": "https://shop.example",
        "LATHWIND_RATE_LIMIT": "1000000/second",
        "LATHWIND_BODY_IDLE_S": str(PATIENCE_S),
    }
    with process(tmp_path, **settings) as (_, base, log):
        yield base, log


def test_five_thousand_mutated_requests_find_no_fault_of_ours(tmp_path: Path) -> None:
    chance = random.Random(20261126)  # noqa: S311 - repeatable, not secret
    statuses: Counter[str] = Counter()
    with guarded(tmp_path) as (base, log):
        for _ in range(5000):
            with connected(base) as raw:
                try:
                    raw.sendall(mutated(chance.choice(HEADS), chance))
                    raw.shutdown(socket.SHUT_WR)
                except OSError:
                    pass  # refused before it was all sent
                statuses[everything(raw)[9:12].decode()] += 1
        assert answers(base)
    assert not any(status.startswith("5") for status in statuses), statuses
    assert min(statuses[status] for status in ("200", "204", "400", "401", "404", "415", "421", "422")) >= 20, statuses
    assert '"event":"unhandled"' not in log.read_text()
    assert "Exception in ASGI application" not in log.read_text()


def test_mutated_tables_and_packed_bodies_find_no_fault_of_ours(tmp_path: Path) -> None:
    chance = random.Random(20261127)  # noqa: S311 - repeatable, not secret
    sources = {
        CSV: text(CSV).encode(),
        LINES: text(LINES).encode(),
        "application/json": json.dumps(BATCHES["evening-order"].request).encode(),
    }
    statuses: Counter[int] = Counter()
    keyed = {"X-API-Key": KEY}
    with guarded(tmp_path) as (base, log), httpx.Client(base_url=base, headers=keyed, timeout=PATIENCE_S) as client:
        for _ in range(4000):
            media_type = chance.choice(list(sources))
            body, headers = mutated(sources[media_type], chance), {"Content-Type": media_type}
            if chance.random() < 0.3:
                packed = gzip.compress(body)
                body = mutated(packed, chance) if chance.random() < 0.5 else packed
                headers["Content-Encoding"] = "gzip"
            answer = client.post(BATCH, content=body, headers=headers)
            statuses[answer.status_code] += 1
            assert b"internal-error" not in answer.content, body
        assert answers(base)
    assert set(statuses) == {200, 400, 422}
    assert min(statuses.values()) >= 100, statuses
    assert '"event":"unhandled"' not in log.read_text()


@pytest.mark.parametrize("kind", ["full disk", "reader gone"])
def test_a_log_that_cannot_be_written_fails_no_request(tmp_path: Path, kind: str) -> None:
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
        assert httpx.post(base + BATCH, content=lines_of(100), headers=NDJSON, timeout=PATIENCE_S).text.count("\n") == 101
        digest = httpx.post(f"{base}/v1/fittings", json=GOOD, timeout=PATIENCE_S).json()["audit"]["catalogue_sha256"]
        catalogue.write_text(STANDARD.read_text() + "# another\n")
        statuses: set[int] = set()

        def changed() -> bool:  # the line about it is written in the midst of a request
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


def test_a_reader_that_has_stalled_gets_whole_lines_only_and_sees_that_they_are_not_all(tmp_path: Path) -> None:
    with process(tmp_path, LATHWIND_DRAIN_S="1") as (running, base, _), connected(base) as raw:
        block = lines_of(1000)

        def send() -> None:
            try:
                for _ in range(50):
                    raw.sendall(f"{len(block):x}\r\n".encode() + block + b"\r\n")
            except OSError:
                return

        raw.sendall(
            b"POST /v1/fittings/batch HTTP/1.1\r\nHost: x\r\nContent-Type: application/x-ndjson\r\n"
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


# the service as it is, only that it keeps idle connections so long that a busy machine comes to send in time
LAST_CALL_LONG = f"""
import sys
from service import __main__ as service
from service.web import connection
connection.LAST_CALL_S = {PATIENCE_S}
sys.exit(service.main())
"""


@pytest.mark.parametrize("path", ["/v1/rules", BATCH], ids=["whole answer", "streamed answer"])
def test_a_connection_that_was_not_told_to_end_gets_one_more_answer_after_sigterm(tmp_path: Path, path: str) -> None:
    with process(tmp_path, program=("-c", LAST_CALL_LONG)) as (running, base, log), connected(base) as raw:

        def stops() -> bool:
            return '"event":"Shutting down"' in log.read_text()

        if path == BATCH:  # its answer has begun when the signal comes, and promised nothing
            part = lines_of(1)
            raw.sendall(
                f"POST {path} HTTP/1.1\r\nHost: x\r\nContent-Type: {LINES}\r\nTransfer-Encoding: chunked\r\n\r\n".encode()
            )
            raw.sendall(f"{len(part):x}\r\n".encode() + part + b"\r\n")
            assert b"connection: close" not in raw.recv(1 << 16)
            running.send_signal(signal.SIGTERM)
            assert until(stops)
            raw.sendall(b"0\r\n\r\n")
            received = b""
            while not received.endswith(b"0\r\n\r\n"):
                received += raw.recv(1 << 16)
            assert b'"summary"' in received
        else:
            raw.sendall(f"HEAD {path} HTTP/1.1\r\nHost: x\r\n\r\n".encode())
            assert b"connection: close" not in raw.recv(1 << 16)
            running.send_signal(signal.SIGTERM)
            assert until(stops)
        raw.sendall(b"POST /v1/fittings HTTP/1.1\r\nHost: x\r\n\r\n")
        last = everything(raw)
        assert last.startswith(b"HTTP/1.1 415 ")
        assert b"\r\nconnection: close\r\n" in last


def test_a_clock_that_jumps_disturbs_nothing(tmp_path: Path) -> None:
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
        statuses: list[int] = []
        for jump in ("+0", "+30d", "-3650d", "+20y", "-1h", "+0"):
            offset.write_text(jump)
            statuses += [client.post("/v1/fittings", json=GOOD).status_code for _ in range(5)]
        assert statuses == [200] * 29 + [429], "one of the thirty is the slow sender's: no window has ended with a jump"
        assert everything(raw).startswith(b"HTTP/1.1 408 ")
        keys.write_text(entry("next", ("calculate",), "another-key"))
        offset.write_text("-20y")
        assert until(lambda: client.post("/v1/fittings", json=GOOD, headers={"X-API-Key": KEY}).status_code == 401)
        requests = [line for line in map(json.loads, log.read_text().splitlines()) if line["event"] == "request"]
    assert len({line["time"][:4] for line in requests}) >= 3, "the clock has jumped"
    assert all(0 <= line["ms"] < 3_600_000 for line in requests), "the least jump is an hour"


@contextmanager
def haproxy(tmp_path: Path, replicas: tuple[int, ...]) -> Iterator[tuple[str, str]]:
    """The address of the proxy with the settings of `deploy`, only its addresses exchanged, and that of its statistics."""
    port, statistics = free_port(), free_port()
    settings = (DEPLOY / "proxy/haproxy.cfg").read_text()
    settings += f"\nlisten statistics\n    bind 127.0.0.1:{statistics}\n    stats enable\n    stats uri /\n"
    listed = "\n".join(f"    server replica-{number} 127.0.0.1:{number}" for number in replicas)
    template = next(line for line in settings.splitlines() if line.strip().startswith("server-template"))
    for old, new in (("bind :8080", f"bind 127.0.0.1:{port}"), (template, listed)):
        assert settings.count(old) == 1
        settings = settings.replace(old, new)
    path = tmp_path / "haproxy.cfg"
    path.write_text(settings)
    with (tmp_path / "haproxy.log").open("wb") as log:
        running = subprocess.Popen(["haproxy", "-db", "-f", path], stdout=log, stderr=log)
    try:
        base = f"http://127.0.0.1:{port}"
        assert until(lambda: answers(base)), (tmp_path / "haproxy.log").read_text()
        yield base, f"http://127.0.0.1:{statistics}/;csv"
    finally:
        running.terminate()
        running.wait(PATIENCE_S)


def is_up(statistics: str, replica: int) -> bool:
    """Whether the proxy takes a replica for one that answers."""
    table = httpx.get(statistics, timeout=PATIENCE_S).text.removeprefix("# ")
    (row,) = [row for row in csv.DictReader(table.splitlines()) if row["svname"] == f"replica-{replica}"]
    return row["status"].startswith("UP")


def test_a_rolling_restart_behind_the_proxy_of_deploy_fails_no_request(tmp_path: Path) -> None:
    ports = (free_port(), free_port())
    instances = {port: started(port) for port in ports}
    stop, statuses, batches = threading.Event(), Counter[int](), Counter[bool]()

    def single(base: str) -> None:
        with httpx.Client(base_url=base, timeout=PATIENCE_S) as client:
            while not stop.is_set():
                statuses[client.post("/v1/fittings", json=GOOD).status_code] += 1

    def batch(base: str) -> None:
        body = lines_of(200)
        with httpx.Client(base_url=base, timeout=PATIENCE_S) as client:
            while not stop.is_set():
                batches['"summary":{"items":200' in client.post(BATCH, content=body, headers=NDJSON).text] += 1

    def restart(port: int, statistics: str) -> None:
        instances[port].send_signal(signal.SIGTERM)
        instances[port].wait(PATIENCE_S)
        assert until(lambda: not is_up(statistics, port))
        instances[port] = started(port)
        assert until(lambda: is_up(statistics, port))
        singles, whole = statuses[200] + 20, batches[True] + 1
        assert until(lambda: statuses[200] > singles and batches[True] > whole)

    try:
        with haproxy(tmp_path, ports) as (base, statistics):
            assert until(lambda: all(is_up(statistics, port) for port in ports))
            loads = [threading.Thread(target=load, args=(base,)) for load in (single, single, single, batch)]
            for load in loads:
                load.start()
            try:
                for port in ports * 2:
                    restart(port, statistics)
            finally:
                stop.set()
                for load in loads:
                    load.join(PATIENCE_S)
    finally:
        for running in instances.values():
            running.terminate()
            running.wait(PATIENCE_S)
    assert set(statuses) == {200}
    assert set(batches) == {True}


# the service as it is, only that its limits take longer than it allows
SLOW = """
import sys, time
from service import __main__ as service
from service.web import handlers
handlers.find_limits = lambda request, shelf: time.sleep(1)
sys.exit(service.main())
"""


def test_the_proxy_of_deploy_asks_once_only_for_what_takes_too_long(tmp_path: Path) -> None:
    with (
        process(tmp_path, program=("-c", SLOW), LATHWIND_HEAVY_S="0.1") as (_, replica, log),
        haproxy(tmp_path, (int(replica.rpartition(":")[2]),)) as (base, _),
    ):
        answer = httpx.post(f"{base}/v1/fittings/limits", json=GOOD, timeout=PATIENCE_S)
        assert answer.json()["type"] == "/problems/took-too-long"
        lines = [json.loads(line) for line in log.read_text().splitlines()]
    assert [line["status"] for line in lines if line.get("operation") == "findLimits"] == [503]

"""What is under way at once: of one caller, of all together, and how little it keeps probes waiting and holds in memory."""

import gzip
import json
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, contextmanager

import httpx
import pytest
from load.callers import connected, everything, resident_mb
from serving import PATIENCE_S, process, serving, until

from service.contract.examples import FITTINGS
from service.contract.operations import OPERATIONS
from service.settings import Settings

pytestmark = pytest.mark.slow

GOOD = FITTINGS["lock-gate-truck"].request
LINE = json.dumps(GOOD).encode() + b"\n"
STREAM = "/v1/fittings/stream?fields=short"
PATHS = {one.takes: one.path for one in OPERATIONS if one.access == "batch" and one.tag == "Fittings"}
HEADER = b"slat,width_mm,height_mm,headroom_mm,depth_mm,header_thickness_mm,reference\n"
BODY_BYTES = Settings().large_body_limit_bytes - 100


def begun(base, path, media_type, *, caller=1, length=1000):
    """A request that has begun and whose body does not come."""
    raw = connected(base)
    raw.sendall(
        f"POST {path} HTTP/1.1\r\nHost: x\r\nX-Forwarded-For: 192.0.2.{caller}\r\nContent-Type: {media_type}\r\n"
        f"Content-Length: {length}\r\n\r\n{{".encode()
    )
    return raw


def status(base, path, *, caller=1, media_type="application/json"):
    body = LINE if path == STREAM else json.dumps(GOOD).encode()
    headers = {"Content-Type": media_type, "X-Forwarded-For": f"192.0.2.{caller}"}
    answer = httpx.post(base + path, content=body, headers=headers, timeout=PATIENCE_S)
    return answer.status_code, answer.headers.get("retry-after")


def test_a_caller_may_have_four_batches_and_64_others_under_way():
    ndjson = "application/x-ndjson"
    with serving(Settings()) as base, ExitStack() as open_ones:
        for _ in range(4):
            open_ones.enter_context(begun(base, STREAM, ndjson))
        for _ in range(63):
            open_ones.enter_context(begun(base, "/v1/fittings", "application/json"))
        assert until(lambda: status(base, STREAM, media_type=ndjson) == (429, "1"))
        assert status(base, "/v1/fittings") == (200, None)
        open_ones.enter_context(begun(base, "/v1/fittings", "application/json"))
        assert until(lambda: status(base, "/v1/fittings") == (429, "1"))
        assert status(base, "/v1/fittings", caller=2) == (200, None)
        assert status(base, STREAM, media_type=ndjson, caller=2) == (200, None)
        assert httpx.get(f"{base}/health/ready", timeout=PATIENCE_S).status_code == 200
        open_ones.close()
        assert until(lambda: status(base, STREAM, media_type=ndjson) == (200, None))
        assert until(lambda: status(base, "/v1/fittings") == (200, None))


def test_bodies_that_do_not_fit_together_are_refused_and_what_has_ended_gives_its_room_back():
    size = 700_000
    with serving(Settings(bytes_in_flight_max=1_048_576)) as base:
        first = begun(base, "/v1/fittings/batch", "application/json", length=size)
        first.sendall(b" " * (size - 10))
        body = b'{"items":[]}'.ljust(size)

        def second():
            headers = {"Content-Type": "application/json"}
            return httpx.post(f"{base}/v1/fittings/batch", content=body, headers=headers, timeout=PATIENCE_S)

        assert until(lambda: second().status_code == 503)
        refused = second()
        assert (refused.json()["type"], refused.headers["retry-after"]) == ("/problems/busy", "1")
        assert status(base, "/v1/fittings") == (200, None)
        first.close()
        assert until(lambda: second().status_code == 200)


@contextmanager
def streams(base, count):
    """So many callers each of which sends lines and reads answers for as long as the context lasts."""
    with ExitStack() as open_ones:
        piece = LINE * 50
        chunk = b"%x\r\n" % len(piece) + piece + b"\r\n"

        def send(raw):
            try:
                while True:
                    raw.sendall(chunk)
            except OSError:
                return

        def read(raw):
            try:
                while raw.recv(65_536):
                    pass
            except OSError:
                return

        for number in range(count):
            raw = open_ones.enter_context(connected(base))
            raw.sendall(
                f"POST {STREAM} HTTP/1.1\r\nHost: x\r\nX-Forwarded-For: 192.0.2.{number}\r\n"
                "Content-Type: application/x-ndjson\r\nTransfer-Encoding: chunked\r\n\r\n".encode()
            )
            for work in (send, read):
                threading.Thread(target=work, args=(raw,), daemon=True).start()
        yield


def test_probes_are_answered_beside_ever_so_many_streams(tmp_path):
    with process(tmp_path) as (running, base, _log), streams(base, 60), httpx.Client(base_url=base) as client:
        client.get("/health/live", timeout=PATIENCE_S)
        times_s = []
        for _ in range(100):
            started_s = time.monotonic()
            assert client.get("/health/live", timeout=PATIENCE_S).status_code == 200
            times_s.append(time.monotonic() - started_s)
        running.kill()  # it would answer the lines that have arrived first
    assert sorted(times_s)[90] < 1.0  # ten times the aim


POISON = {
    "tiny items": (b'{"items":[' + b"1," * (BODY_BYTES // 2 - 10) + b"1]}", "application/json"),
    "emoji": ('{"items":["' + "😀" * (BODY_BYTES // 4 - 10) + '"]}', "application/json"),
    "emoji items": ('{"items":[' + '"😀",' * 1000 + "1]}", "application/json"),
    "nested": (b'{"items":[' + b"[" * (BODY_BYTES - 20), "application/json"),
    "rows": (HEADER + "😀\n".encode() * 2000, "text/csv"),
    "a row without end": (HEADER + b'"' + b"," * (BODY_BYTES - 200), "text/csv"),
    "a bomb": (b" " * 50_000_000, "application/json"),
    "a line without end": (b"x" * 50_000_000, "application/x-ndjson"),
}


def test_poison_bodies_take_little_memory_and_give_it_back(tmp_path):
    packed = [(gzip.compress(body.encode() if isinstance(body, str) else body, 1), kind) for body, kind in POISON.values()]
    peak_mb = 0.0
    with process(tmp_path) as (running, base, _log), ThreadPoolExecutor(20) as callers:

        def send(number):
            body, media_type = packed[number % len(packed)]
            headers = {"Content-Type": media_type, "Content-Encoding": "gzip", "X-Forwarded-For": f"192.0.2.{number}"}
            return httpx.post(base + PATHS[media_type], content=body, headers=headers, timeout=PATIENCE_S).status_code

        sent = [callers.submit(send, number) for number in range(40)]
        while not all(one.done() for one in sent):
            peak_mb = max(peak_mb, resident_mb(running.pid))
            assert httpx.get(f"{base}/health/live", timeout=5).status_code == 200
            time.sleep(0.05)
        assert {one.result() for one in sent} <= {200, 400, 413, 422, 503}
        after_mb = resident_mb(running.pid)
    assert peak_mb < 400
    assert after_mb < 250


@pytest.mark.parametrize("end", [b"", b"\n"], ids=["without end", "with an end far behind"])
def test_a_packed_line_without_end_is_not_read_for_ever(tmp_path, end):
    packed = gzip.compress(b"x" * 300_000_000 + end, 1)
    headers = {"Content-Type": "application/x-ndjson", "Content-Encoding": "gzip"}
    with process(tmp_path) as (_, base, _log):
        answer = httpx.post(base + STREAM, content=LINE, headers={"Content-Type": headers["Content-Type"]})
        assert answer.status_code == 200
        started_s = time.monotonic()
        answer = httpx.post(base + STREAM, content=packed, headers=headers, timeout=PATIENCE_S)
        assert time.monotonic() - started_s < 5
    item, last = map(json.loads, answer.text.splitlines())
    assert (item["status"], last["problem"]["type"]) == (413, "/problems/body-too-large")


def test_a_line_that_is_too_long_harms_no_other(client):
    body = LINE + b"x" * 300_000 + b"\n" + LINE
    answer = client.post(STREAM, content=body, headers={"Content-Type": "application/x-ndjson"})
    assert [json.loads(line).get("status") for line in answer.text.splitlines()] == [200, 413, 200, None]


@pytest.mark.parametrize("media_type", ["application/x-ndjson", "application/json"])
def test_who_waits_to_be_told_to_continue_is_told_at_once(service, media_type):
    body = LINE if "nd" in media_type else json.dumps({"items": [GOOD]}).encode()
    with connected(service) as raw:
        raw.sendall(
            f"POST {PATHS[media_type]} HTTP/1.1\r\nHost: x\r\nContent-Type: {media_type}\r\nContent-Length: {len(body)}\r\n"
            "Expect: 100-continue\r\nConnection: close\r\n\r\n".encode()
        )
        assert raw.recv(25) == b"HTTP/1.1 100 Continue\r\n\r\n"
        raw.sendall(body)
        assert b'"summary"' in everything(raw)

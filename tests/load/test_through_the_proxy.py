"""Attacks and restarts with the proxy of `deploy` in front: it takes the slow and the greedy, the service never sees them.

Each test ends by itself; counts are asserted, never times. Everything happens on loopback.
"""

import json
import threading
import time
from collections import Counter
from contextlib import ExitStack, contextmanager
from urllib.parse import urlsplit

import httpx
import pytest
from load.callers import GOOD, HEAD, NDJSON, STREAM, connected, everything, lines_of, resident_mb, started
from load.heads import NOT_LIMITED, guarded, statuses
from proxied import proxied
from serving import PATIENCE_S, answers, free_port, process, until

pytestmark = pytest.mark.heavy

SOURCES = [f"127.0.0.{number}" for number in range(2, 12)]
"""Addresses to call from: the proxy counts the connections of each."""


def port_of(base):
    return urlsplit(base).port or 0


@contextmanager
def behind_a_proxy(folder, **settings):
    """The proxy before one service, and the service's log."""
    with (
        process(folder, **settings) as (_, base, log),
        proxied(folder, [port_of(base)], environment={"PROXY_CALLS_PER_10_S": NOT_LIMITED}) as proxy,
    ):
        yield proxy, log


def many(open_ones, proxy, count):
    """So many connections, from all sources in turn."""
    return [open_ones.enter_context(connected(proxy.base, source=SOURCES[number % len(SOURCES)])) for number in range(count)]


def ended(raw):
    """Whether the other side has closed a connection, without waiting for it."""
    raw.settimeout(0)
    try:
        while raw.recv(4096):
            pass
    except BlockingIOError:
        return False
    except ConnectionResetError:
        pass
    return True


def test_five_hundred_silent_connections_are_closed_and_keep_nobody_waiting(tmp_path):
    with behind_a_proxy(tmp_path) as (proxy, log), ExitStack() as open_ones:
        silent = many(open_ones, proxy, 500)
        for raw in silent[::5]:
            raw.sendall(b"GET /v1/rules HT")  # every fifth stops in the midst of its first line
        with httpx.Client(base_url=proxy.base, timeout=PATIENCE_S) as client:
            assert {client.post("/v1/fittings", json=GOOD).status_code for _ in range(50)} == {200}
        gone = set()

        def all_gone():
            gone.update(number for number, raw in enumerate(silent) if number not in gone and ended(raw))
            return len(gone) == 500

        assert until(all_gone), f"{len(gone)} of 500 were closed"
        assert answers(proxy.base)
        assert log.read_text().count('"operation":"calculateFitting"') == 50


@pytest.mark.parametrize("before", [b"", b"GET /health/live HTTP/1.1\r\nHost: x\r\n\r\n"], ids=["first", "later"])
def test_a_head_that_drips_ends_though_it_never_stops(tmp_path, before):
    with behind_a_proxy(tmp_path) as (proxy, _), connected(proxy.base) as raw:
        raw.sendall(before + b"GET /v1/ru")
        for _ in range(60):
            try:
                raw.sendall(b"l")
            except OSError:
                break
            time.sleep(0.5)
        else:
            pytest.fail("the connection was never closed")
        assert answers(proxy.base)


def test_heads_that_never_end_are_not_kept(tmp_path):
    with behind_a_proxy(tmp_path) as (proxy, _):
        before_mb = resident_mb(proxy.process_id)
        for start in (b"GET /", b"GET /v1/rules HTTP/1.1\r\nX-Long: ", b"GET /v1/rules HTTP/1.1\r\n"):
            endless = b"a" * 65_536 if start.endswith((b"/", b" ")) else b"X-A: b\r\n" * 8192
            for _ in range(5):
                with connected(proxy.base) as raw:
                    raw.sendall(start)
                    with pytest.raises(OSError, match=r"Broken pipe|reset"):
                        raw.sendall(endless * 400)  # 26 MB
        assert answers(proxy.base)
        assert resident_mb(proxy.process_id) - before_mb < 20


def test_five_hundred_slow_bodies_never_reach_the_service(tmp_path):
    with behind_a_proxy(tmp_path) as (proxy, log), ExitStack() as open_ones:
        slow = many(open_ones, proxy, 500)
        for raw in slow:
            raw.sendall(HEAD + b"{")
        with httpx.Client(base_url=proxy.base, timeout=PATIENCE_S) as client:
            assert {client.post("/v1/fittings", json=GOOD).status_code for _ in range(50)} == {200}
            for _ in range(5):  # some of them drip
                time.sleep(0.5)
                for raw in slow[::10]:
                    raw.sendall(b" ")
        told = Counter(everything(raw)[:13] for raw in slow)
        assert told == {b"HTTP/1.1 408 ": 500}
        assert answers(proxy.base)
        assert log.read_text().count('"operation":"calculateFitting"') == 50


def test_a_caller_that_reads_nothing_is_cut_off(tmp_path):
    with (
        process(tmp_path) as (_, base, log),
        proxied(tmp_path, [port_of(base)], exchanged={"timeout client 60s": "timeout client 2s"}) as proxy,
        connected(proxy.base) as raw,
    ):
        block = lines_of(1000)
        raw.sendall(
            b"POST /v1/fittings/stream HTTP/1.1\r\nHost: x\r\nContent-Type: application/x-ndjson\r\n"
            b"Transfer-Encoding: chunked\r\n\r\n"
        )
        with pytest.raises(OSError, match=r"Broken pipe|reset"):
            raw.sendall((f"{len(block):x}\r\n".encode() + block + b"\r\n") * 200)
        assert until(lambda: '"operation":"calculateStream"' in log.read_text())
        assert answers(proxy.base)


def test_mutated_heads_find_no_fault_of_ours_through_the_proxy(tmp_path):
    with guarded(tmp_path) as (base, log):
        with proxied(tmp_path, [port_of(base)], environment={"PROXY_CALLS_PER_10_S": NOT_LIMITED}) as proxy:
            counted = statuses(proxy.base, 20_000)
            assert answers(proxy.base)
        assert answers(base)
    assert not any(one.startswith(("5", "hung")) for one in counted), counted
    assert min(counted[one] for one in ("200", "400", "401", "404", "405", "415", "421", "422")) >= 20, counted
    assert '"event":"unhandled"' not in log.read_text()


class Load:
    """Callers that go on until they are stopped, and what they were answered."""

    def __init__(self, base):
        """Begin nothing yet."""
        self._base, self._stop = base, threading.Event()
        self.statuses, self.batches = Counter[object](), Counter[str]()
        self._threads = [threading.Thread(target=one) for one in (self._single, self._single, self._single, self._batch)]

    def _single(self):
        with httpx.Client(base_url=self._base, timeout=PATIENCE_S) as client:
            while not self._stop.is_set():
                try:
                    self.statuses[client.post("/v1/fittings", json=GOOD).status_code] += 1
                except httpx.TransportError as error:
                    self.statuses[repr(error)] += 1

    def _batch(self):
        """Batches that fit the proxy's buffer."""
        body = lines_of(100)
        with httpx.Client(base_url=self._base, timeout=PATIENCE_S) as client:
            while not self._stop.is_set():
                try:
                    answer = client.post(STREAM, content=body, headers=NDJSON)
                except httpx.TransportError:
                    self.batches["cut"] += 1
                else:
                    whole = '"items":100,' in answer.text.partition('"summary":')[2]
                    self.batches["whole" if whole else "cut unseen" if answer.is_success else answer.text] += 1

    def goes_on(self):
        """Whether more requests of each kind come to be answered."""
        singles, whole = self.statuses[200] + 20, self.batches["whole"] + 1
        return until(lambda: self.statuses[200] > singles and self.batches["whole"] > whole)

    def __enter__(self):
        """Begin."""
        for thread in self._threads:
            thread.start()
        return self

    def __exit__(self, *_):
        """End."""
        self._stop.set()
        for thread in self._threads:
            thread.join(PATIENCE_S)


@contextmanager
def replicas(folder):
    """The proxy before two services, which may be exchanged; by their ports."""
    ports = (free_port(), free_port())
    instances = {port: started(port) for port in ports}
    try:
        with proxied(folder, ports, environment={"PROXY_CALLS_PER_10_S": NOT_LIMITED}) as proxy:
            assert until(lambda: all(proxy.is_up(port) for port in ports))
            yield proxy, instances
    finally:
        for running in instances.values():
            running.terminate()
            running.wait(PATIENCE_S)


def restart(proxy, instances, port):
    """Start a replica again that has ended, and wait until the proxy knows both."""
    instances[port].wait(PATIENCE_S)
    assert until(lambda: not proxy.is_up(port))
    instances[port] = started(port)
    assert until(lambda: proxy.is_up(port))


def test_a_rolling_restart_fails_no_request(tmp_path):
    with replicas(tmp_path) as (proxy, instances), Load(proxy.base) as load:
        for port in [*instances] * 2:
            instances[port].terminate()
            restart(proxy, instances, port)
            assert load.goes_on()
    assert set(load.statuses) == {200}, load.statuses
    assert set(load.batches) == {"whole"}


def streams(proxy, count, stop):
    """Long NDJSON answers under way, and how they ended: `whole`, `cut and seen as cut` or `cut unseen`."""
    block, outcomes = lines_of(10), Counter[str]()

    def body():
        while not stop.is_set():
            yield block
            time.sleep(0.02)

    def stream():
        last = ""
        try:
            with httpx.stream("POST", proxy.base + STREAM, content=body(), headers=NDJSON, timeout=PATIENCE_S) as answer:
                for line in answer.iter_lines():
                    last = line
        except httpx.TransportError:
            outcomes["cut and seen as cut"] += 1
        else:
            outcomes["whole" if '"summary"' in last else "cut unseen"] += 1

    threads = [threading.Thread(target=stream) for _ in range(count)]
    for thread in threads:
        thread.start()
    return threads, outcomes


def test_a_killed_replica_fails_no_request_that_fits_the_buffer_and_cuts_streams_visibly(tmp_path):
    with replicas(tmp_path) as (proxy, instances):
        for port in instances:
            stop = threading.Event()
            threads, outcomes = streams(proxy, 4, stop)
            time.sleep(1)
            with Load(proxy.base) as load:
                assert load.goes_on()
                instances[port].kill()
                assert load.goes_on()
                restart(proxy, instances, port)
                assert load.goes_on()
            stop.set()
            for thread in threads:
                thread.join(PATIENCE_S)
            # the one answer and the one batch that were being sent may be cut as a stream is; their readers see that
            cut = [told for told in load.statuses if "peer closed connection without sending complete" in str(told)]
            assert set(load.statuses) - set(cut) == {200}, load.statuses
            assert sum(load.statuses[told] for told in cut) <= 1, load.statuses
            assert load.batches["cut"] <= 1, load.batches
            assert set(load.batches) <= {"whole", "cut"}, load.batches
            assert outcomes["cut unseen"] == 0, outcomes
            assert outcomes["cut and seen as cut"] >= 1, outcomes
            assert sum(outcomes.values()) == 4


# the service as it is, only that its limits take longer than it allows
SLOW = """
import sys, time
from service import __main__ as service
from service.web import handlers
handlers.find_limits = lambda *_: time.sleep(1)
sys.exit(service.main())
"""


def test_what_takes_too_long_is_asked_once_only(tmp_path):
    def asked():
        lines = [json.loads(line) for line in log.read_text().splitlines()]
        return [line["status"] for line in lines if line.get("operation") == "findLimits"]

    with (
        process(tmp_path, program=("-c", SLOW), LATHWIND_HEAVY_S="0.1") as (_, replica, log),
        proxied(tmp_path, [port_of(replica)]) as proxy,
    ):
        answer = httpx.post(f"{proxy.base}/v1/fittings/limits", json=GOOD, timeout=PATIENCE_S)
        assert answer.json()["type"] == "/problems/took-too-long"
        assert until(lambda: bool(asked())), "a line is written after its answer"
    # the service has ended, so there is no line to come
    assert asked() == [503]

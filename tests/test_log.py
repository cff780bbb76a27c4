"""The log: a bounded queue to a thread, so that no reader of it, and no missing one, can stop a request or the end."""

import json
import os
import signal
import subprocess
import sys
import time
from contextlib import contextmanager
from threading import Thread

import httpx
import pytest
from serving import PATIENCE_S, answers, free_port, until

from service.contract.examples import FITTINGS
from service.log import Lines

pytestmark = pytest.mark.slow

GOOD = FITTINGS["lock-gate-truck"].request


@contextmanager
def started(stdout, **settings):
    """A service whose standard output is a descriptor; None where it is closed."""
    port = free_port()
    environment = {**os.environ, "LATHWIND_PORT": str(port), **settings}
    command = [sys.executable, "-m", "service"]
    if stdout is None:
        command = ["sh", "-c", f"exec {sys.executable} -m service >&- 2>&-"]
    with subprocess.Popen(command, env=environment, stdout=stdout, stderr=subprocess.DEVNULL) as running:
        try:
            base = f"http://127.0.0.1:{port}"
            assert until(lambda: answers(base) or running.poll() is not None)
            yield running, base
        finally:
            running.kill()


@pytest.mark.parametrize("workers", ["1", "2"])
def test_a_pipe_that_nobody_reads_stops_neither_requests_nor_the_end(workers):
    reading, writing = os.pipe()
    try:
        with started(writing, LATHWIND_WORKERS=workers) as (running, base), httpx.Client(base_url=base) as client:
            for _ in range(500):  # 300 bytes a line, twice what the pipe holds
                assert client.get("/v1/warnings", timeout=PATIENCE_S).status_code == 200
            running.send_signal(signal.SIGTERM)
            assert running.wait(PATIENCE_S) in {0, -signal.SIGTERM}
    finally:
        os.close(reading)
        os.close(writing)


def test_lines_that_do_not_fit_are_counted_and_the_count_is_told():
    reading, writing = os.pipe()
    lines = Lines(writing, lines_max=10)
    line = b'{"event":"x"}' + b" " * 65_536 + b"\n"
    lines.write(line)  # it fills the pipe, and the thread waits
    time.sleep(0.5)
    started_s = time.monotonic()
    for _ in range(15):
        lines.write(line)
    assert time.monotonic() - started_s < 1
    received = bytearray()

    def read():
        while piece := os.read(reading, 65_536):
            received.extend(piece)

    Thread(target=read, daemon=True).start()
    assert until(lambda: b"log_lines_dropped" in received)
    told = [json.loads(one) for one in bytes(received).splitlines()]
    assert [one["event"] for one in told] == ["x"] * 11 + ["log_lines_dropped"]
    assert told[-1]["lines"] == 5


def test_what_is_waiting_is_written_before_the_end(tmp_path):
    with (tmp_path / "log").open("wb") as file, started(file.fileno()) as (running, base):
        for _ in range(50):
            httpx.get(f"{base}/v1/rules", timeout=PATIENCE_S)
        running.send_signal(signal.SIGTERM)
        running.wait(PATIENCE_S)
    text = (tmp_path / "log").read_text()
    assert text.count('"getRules"') == 50


def test_the_service_starts_and_answers_with_its_standard_streams_closed():
    with started(None) as (running, base):
        assert running.poll() is None
        assert httpx.post(f"{base}/v1/fittings", json=GOOD, timeout=PATIENCE_S).status_code == 200
        running.send_signal(signal.SIGTERM)
        assert running.wait(PATIENCE_S) in {0, -signal.SIGTERM}


def test_workers_whose_parent_was_killed_leave_the_port():
    with started(subprocess.DEVNULL, LATHWIND_WORKERS="2") as (running, base):
        running.kill()
        running.wait(PATIENCE_S)
        assert until(lambda: not answers(base))

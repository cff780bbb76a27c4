"""A service under test: a real server on a free port of loopback, in a thread of the test run or in a process of its own."""

import os
import random
import signal
import socket
import subprocess
import sys
import threading
import time
from contextlib import contextmanager, suppress

import httpx
import uvicorn

from service.__main__ import how_to_serve
from service.app import create
from service.documents.loading import load

PATIENCE_S = 60.0


@contextmanager
def serving(settings):
    """The base address of a service that runs for as long as the context does."""
    load()  # a service does so beside its loop, which makes loggers while pytest goes through all there are for each test
    with socket.socket() as listening:
        listening.bind(("127.0.0.1", 0))
        server = uvicorn.Server(uvicorn.Config(create(settings), **how_to_serve(settings)))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
        thread.start()
        started = time.monotonic()
        while not server.started:
            assert time.monotonic() - started < PATIENCE_S, "the service did not start"
            time.sleep(0.01)
        try:
            yield f"http://127.0.0.1:{listening.getsockname()[1]}"
        finally:
            server.should_exit = True
            thread.join(PATIENCE_S)


def until(holds):
    """Whether something comes to hold before patience runs out; while the service does not answer, it does not yet."""
    started = time.monotonic()
    while time.monotonic() - started < PATIENCE_S:
        with suppress(httpx.TimeoutException):
            if holds():
                return True
        time.sleep(0.05)
    return False


_PORTS = iter(random.SystemRandom().sample(range(20_000, 32_000), 12_000))
"""Each once: two that are asked for at once are two. They lie below those that the system gives to outgoing connections."""


def free_port():
    """A port of loopback that nobody has."""
    while True:
        port = next(_PORTS)
        with socket.socket() as free, suppress(OSError):
            free.bind(("127.0.0.1", port))
            return port


@contextmanager
def process(tmp_path, /, *, program=("-m", "service"), **settings):
    """A service in a process of its own: the process, its address, and the file its log goes to."""
    port = free_port()
    log = tmp_path / "log.jsonl"
    environment = {**os.environ, "LATHWIND_PORT": str(port), **settings}
    with log.open("wb") as written:
        running = subprocess.Popen([sys.executable, *program], env=environment, stdout=written, stderr=written)
    try:
        base = f"http://127.0.0.1:{port}"
        assert until(lambda: answers(base)), log.read_text()
        yield running, base, log
    finally:
        running.send_signal(signal.SIGTERM)
        running.wait(PATIENCE_S)


def answers(base):
    """Whether a service answers at an address."""
    try:
        return httpx.get(f"{base}/health/live", timeout=5).status_code == 200
    except httpx.TransportError:
        return False

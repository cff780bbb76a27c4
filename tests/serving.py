"""A service under test: a real server on a free port of loopback, in a thread of the test run."""

import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager

import uvicorn

from service.app import create
from service.settings import Settings

PATIENCE_S = 20.0


@contextmanager
def serving(settings: Settings) -> Iterator[str]:
    """The base address of a service that runs for as long as the context does."""
    with socket.socket() as listening:
        listening.bind(("127.0.0.1", 0))
        config = uvicorn.Config(
            create(settings), loop="uvloop", http="httptools", log_config=None, access_log=False, server_header=False
        )
        server = uvicorn.Server(config)
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

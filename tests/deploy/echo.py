"""A server that answers with what it was sent, to see what the proxy of `deploy` passes on."""

import json
import threading
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer


class _Echo(BaseHTTPRequestHandler):
    """Answers any request with its line and header fields; one without the key `good` is unauthorized."""

    protocol_version = "HTTP/1.1"
    server: "_Server"

    def _answer(self):
        self.rfile.read(int(self.headers.get("Content-Length", 0)))
        self.server.targets.append(self.path)
        told = {"method": self.command, "target": self.path, "fields": [[n.lower(), v] for n, v in self.headers.items()]}
        content = json.dumps(told).encode()
        self.send_response(401 if self.headers.get("X-API-Key", "good") != "good" else 200)
        self.send_header("Content-Type", "application/json")
        self.send_header("Content-Length", str(len(content)))
        self.end_headers()
        self.wfile.write(content)

    do_GET = do_POST = do_OPTIONS = do_CONNECT = _answer  # noqa: N815 - the names that the library calls

    def log_message(self, format, *arguments):
        """Log nothing."""


class _Server(ThreadingHTTPServer):
    daemon_threads = True

    def __init__(self):
        """Listen on any free port of loopback."""
        super().__init__(("127.0.0.1", 0), _Echo)
        self.targets = []

    def handle_error(self, request, client_address):
        """A proxy's check that ends early is no error."""


@contextmanager
def echo():
    """A server that runs for as long as the context does: its port, and the targets of the requests that reached it."""
    with _Server() as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield server.server_address[1], server.targets
        server.shutdown()

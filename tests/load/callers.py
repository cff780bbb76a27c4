"""What the tests of faults share: callers that are not polite, and looks at the service from outside."""

import json
import os
import re
import socket
import subprocess
import sys
from pathlib import Path
from urllib.parse import urlsplit

from serving import PATIENCE_S, answers, until

from service.contract.examples import FITTINGS

GOOD = FITTINGS["lock-gate-truck"].request
STREAM = "/v1/fittings/stream?fields=short"
HEAD = b"POST /v1/fittings HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: 500\r\n\r\n"
NDJSON = {"Content-Type": "application/x-ndjson"}


def lines_of(count):
    return b"".join(json.dumps({**GOOD, "reference": f"order {number}"}).encode() + b"\n" for number in range(count))


def connected(base, timeout_s=PATIENCE_S, *, source="127.0.0.1"):
    address = urlsplit(base)
    return socket.create_connection((address.hostname, address.port), timeout_s, source_address=(source, 0))


def everything(raw):
    """All that comes until the other side closes, or resets."""
    received = b""
    try:
        while piece := raw.recv(1 << 16):
            received += piece
    except ConnectionResetError:
        pass
    return received


def resident_mb(process_id):
    (kilobytes,) = re.findall(r"VmRSS:\s+(\d+)", Path(f"/proc/{process_id}/status").read_text())
    return int(kilobytes) / 1024


def open_files(process_id):
    return len(list(Path(f"/proc/{process_id}/fd").iterdir()))


def mutated(content, chance):
    """A body with a few of its bytes exchanged, cut out, doubled or put in."""
    body = bytearray(content)
    for _ in range(chance.randint(1, 6)):
        place = chance.randrange(len(body) + 1)
        match chance.randrange(5):
            case 0:
                body[place : place + 1] = bytes([chance.randrange(256)])
            case 1:
                del body[place : place + chance.randint(1, 30)]
            case 2:
                body[place:place] = body[place : place + chance.randint(1, 30)]
            case 3:
                body[place:place] = chance.choice([b"[" * 400, b'"', b"\\u0000", b"1e999", b"-", b"null", b"{}", b"\xff"])
            case _:
                body[place : place + 4] = chance.choice([b"0", b"9" * 40, b"0.1e-300", b"true", b'""'])
    return bytes(body)


def started(port):
    running = subprocess.Popen(
        [sys.executable, "-m", "service"],
        env={**os.environ, "LATHWIND_PORT": str(port)},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    assert until(lambda: answers(f"http://127.0.0.1:{port}"))
    return running

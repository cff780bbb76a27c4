"""Mutated heads of requests, many of them: `.venv/bin/python tests/load/heads.py COUNT [direct|proxy]`, or both ways.

It starts a service and a proxy of its own on loopback, ends by itself, prints the statuses, and ends with 1 where a request
was answered with a 5xx, or not in time. An empty status is a connection closed after an incomplete head.
"""

import json
import random
import socket
import sys
import tempfile
from collections import Counter
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlsplit

if __name__ == "__main__":
    sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[2])]

from load.callers import GOOD, connected, everything, mutated
from proxied import proxied
from serving import PATIENCE_S, answers, process

from service.web.keys import entry

KEY = "shop-key-nobody-guesses"
NOT_LIMITED = "1000000"
UPGRADE = "Connection: Upgrade, HTTP2-Settings\r\nUpgrade: h2c\r\nHTTP2-Settings: AAEAAEAAAAIAAAABAAMAAABk\r\n"
BODY = json.dumps(GOOD)
HEADS = [
    one.encode()
    for one in (
        (
            f"POST /v1/fittings?include=trace&include=geometry HTTP/1.1\r\nHost: fit.example\r\nX-API-Key: {KEY}\r\n"
            "Content-Type: application/json; charset=utf-8\r\nAccept: text/html, application/json;q=0.5\r\n"
            "Origin: https://shop.example\r\ntraceparent: 00-0af7651916cd43dd8448eb211c80319c-b7ad6b7169203331-01\r\n"
            f"X-Request-Id: order-7\r\nContent-Length: {len(BODY)}\r\n\r\n{BODY}"
        ),
        (
            f"GET /v1/catalogue HTTP/1.1\r\nHost: fit.example:80\r\nAuthorization: Bearer {KEY}\r\n"
            'If-None-Match: "abc"\r\nAccept-Encoding: gzip\r\nX-Forwarded-For: 192.0.2.1, 203.0.113.7\r\n\r\n'
        ),
        (
            "OPTIONS /v1/rules HTTP/1.1\r\nHost: x\r\nOrigin: https://shop.example\r\n"
            "Access-Control-Request-Method: GET\r\n\r\n"
        ),
        "GET /docs HTTP/1.1\r\nHost: x\r\nConnection: Upgrade\r\nUpgrade: websocket\r\nExpect: 100-continue\r\n\r\n",
        f"POST /v1/fittings HTTP/1.1\r\nHost: x\r\n{UPGRADE}X-API-Key: {KEY}\r\nContent-Length: {len(BODY)}\r\n\r\n{BODY}",
        (
            f"POST /v1/fittings/stream HTTP/1.1\r\nHost: x\r\nX-API-Key: {KEY}\r\nContent-Type: application/x-ndjson\r\n"
            f"Transfer-Encoding: chunked\r\n\r\n{len(BODY):x}\r\n{BODY}\r\n0\r\n\r\n"
        ),
        "CONNECT / HTTP/1.1\r\nHost: x\r\n\r\n",
        "CONNECT x:443 HTTP/1.1\r\nHost: x:443\r\n\r\n",
        "CONNECT http://h/v1/rules HTTP/1.1\r\n\r\n",
    )
]


@contextmanager
def guarded(folder):
    """The address of a service with keys, hosts, origins and a rate, and its log."""
    keys = folder / "keys.toml"
    keys.write_text(entry("shop", ("calculate", "batch"), KEY))
    settings = {
        "LATHWIND_KEYS_FILE": str(keys),
        "LATHWIND_HOSTS": "fit.example,x,127.0.0.1",
        "LATHWIND_CORS_ORIGINS": "https://shop.example",
        "LATHWIND_RATE_LIMIT": f"{NOT_LIMITED}/second",
        "LATHWIND_BODY_IDLE_S": str(PATIENCE_S),
    }
    with process(folder, **settings) as (_, base, log):
        yield base, log


def statuses(base, count, *, seed=20261126):
    """How many of so many mutated heads were answered with which status; `hung` are those not answered in time."""
    chance, counted = random.Random(seed), Counter[str]()
    for _ in range(count):
        with connected(base) as raw:
            try:
                raw.sendall(mutated(chance.choice(HEADS), chance))
                raw.shutdown(socket.SHUT_WR)
            except OSError:
                pass  # refused before it was all sent
            try:
                counted[everything(raw)[9:12].decode()] += 1
            except TimeoutError:
                counted["hung"] += 1
    return counted


def main(count, *ways):
    """Send so many heads in each way."""
    with tempfile.TemporaryDirectory() as name, guarded(Path(name)) as (base, log):
        folder, faults = Path(name), 0
        with proxied(folder, [urlsplit(base).port or 0], environment={"PROXY_CALLS_PER_10_S": NOT_LIMITED}) as proxy:
            addresses = {"direct": base, "proxy": proxy.base}
            for way in ways or addresses:
                counted = statuses(addresses[way], count)
                faults += sum(counted[one] for one in counted if one.startswith(("5", "hung")))
                print(
                    f"{way}: {count} heads, {dict(sorted(counted.items()))}, answers after it: {answers(base)}", flush=True
                )
        unhandled = log.read_text().count('"event":"unhandled"')
        print(f"unhandled in the log: {unhandled}")
    return 1 if faults or unhandled else 0


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]), *sys.argv[2:]))

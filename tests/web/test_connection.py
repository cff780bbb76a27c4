"""What arrives on a connection: wishes for another protocol, heads that are none, paths written as ours never are."""

import asyncio
import json
from typing import Any
from unittest.mock import Mock

import httpx
import pytest
import uvicorn
from load.callers import connected, everything
from serving import process, serving
from uvicorn.server import ServerState

from service.__main__ import how_to_serve
from service.contract.examples import FITTINGS
from service.contract.operations import OPERATIONS
from service.settings import Settings
from service.web.asgi import Receive, Scope, Send
from service.web.connection import DEFAULT, Connection, ConnectionLimits

GOOD = json.dumps(FITTINGS["lock-gate-truck"].request).encode()
# as the HTTP client of Java's own library asks in its first request on http://
WISH = b"Connection: Upgrade, HTTP2-Settings\r\nUpgrade: h2c\r\nHTTP2-Settings: AAEAAEAAAAIAAAABAAMAAABk\r\n"
HEAD = b"POST /v1/fittings HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\n"
WHOLE = b"Content-Length: 4\r\n\r\nbody"
CHUNKED = b"Transfer-Encoding: chunked\r\n\r\n2\r\nbo\r\n2\r\ndy\r\n0\r\n\r\n"


def said(base: str, *pieces: bytes) -> bytes:
    """What a service answers until it closes the connection."""
    with connected(base) as raw:
        for piece in pieces:
            raw.sendall(piece)
        return everything(raw)


async def echo(scope: Scope, receive: Receive, send: Send) -> None:
    """Answer with the path and the body."""
    body, more = b"", True
    while more:
        message = await receive()
        body, more = body + message["body"], message["more_body"]
    content = scope["path"].encode() + b" " + body
    fields = [(b"content-length", b"%d" % len(content))]
    await send({"type": "http.response.start", "status": 200, "headers": fields})
    await send({"type": "http.response.body", "body": content})


def echoed(*pieces: bytes) -> bytes:
    """What a connection to `echo` answers to pieces as they arrive."""

    async def run() -> bytes:
        config = uvicorn.Config(echo, http=Connection, ws="none", lifespan="off", log_config=None)
        transport = Mock(spec=asyncio.Transport)
        transport.is_closing.return_value, transport.get_extra_info.return_value = False, None
        connection = Connection(config=config, server_state=ServerState(), app_state={})
        connection.connection_made(transport)
        for piece in pieces:
            connection.data_received(piece)
        while tasks := list(connection.tasks):
            await asyncio.gather(*tasks)
        connection.connection_lost(None)
        return b"".join(call.args[0] for call in transport.write.call_args_list)

    return asyncio.run(run())


@pytest.mark.parametrize("body", [WHOLE, CHUNKED], ids=["whole", "chunked"])
@pytest.mark.parametrize(
    "wish", [WISH, b"upgrade:websocket\r\nCONNECTION: keep-alive , upgrade\r\n"], ids=["h2c", "websocket"]
)
def test_a_wish_for_another_protocol_is_ignored_wherever_the_head_is_split(wish: bytes, body: bytes) -> None:
    sent = HEAD + wish + body
    for place in range(len(sent)):
        assert echoed(sent[:place], sent[place:]).endswith(b"\r\n\r\n/v1/fittings body"), place
    assert echoed(*(bytes([byte]) for byte in sent)).endswith(b"\r\n\r\n/v1/fittings body")


def test_what_follows_a_wish_for_another_protocol_is_the_next_request() -> None:
    sent = (HEAD + WISH + WHOLE) * 2 + HEAD.replace(b"/v1", b"/v2") + CHUNKED + (HEAD + WISH + WHOLE) * 100
    bodies = [part.partition(b"\r\n\r\n")[2] for part in echoed(sent).split(b"HTTP/1.1 200 OK")[1:]]
    assert bodies == [b"/v1/fittings body"] * 2 + [b"/v2/fittings body"] + [b"/v1/fittings body"] * 100


def test_a_wish_for_another_protocol_is_answered_in_this_one(service: str) -> None:
    head = HEAD + WISH.replace(b"Connection: ", b"Connection: close, ")
    answer = said(service, head + b"Content-Length: %d\r\n\r\n" % len(GOOD), GOOD)
    assert answer.startswith(b"HTTP/1.1 200 ")
    assert b'"verdict":"fits"' in answer


@pytest.mark.parametrize(
    "head",
    [
        b"GET /health/live HTTP/1.1\r\n\r\n",
        b"GET /health/live HTTP/1.1\r\nHost: a\r\nHost: a\r\n\r\n",
        b"GET /metrics#x HTTP/1.1\r\nHost: a\r\n\r\n",
        b"CONNECT a:443 HTTP/1.1\r\nHost: a\r\nConnection: upgrade\r\nUpgrade: h2c\r\n\r\n",
    ],
    ids=["no host", "two hosts", "fragment", "CONNECT"],
)
def test_a_head_that_is_none_is_400(service: str, head: bytes) -> None:
    # RFC 9112, 3.2 and 3.2.1: one Host in HTTP/1.1; a target has no fragment
    assert said(service, head).startswith(b"HTTP/1.1 400 ")


def test_a_host_is_not_asked_of_the_older_version(service: str) -> None:
    assert said(service, b"GET /health/live HTTP/1.0\r\n\r\n").startswith(b"HTTP/1.1 200 ")


@pytest.mark.parametrize("operation", OPERATIONS, ids=lambda one: one.id)
def test_a_path_is_answered_in_one_form_only(client: httpx.Client, operation: Any) -> None:
    path = operation.path.replace("{kind}", "busy")
    for odd in (
        f"{path}%2f",
        f"/{path}",
        f"/%{ord(path[1]):x}{path[2:]}",
        f"{path}/",
        path.replace("/", "//"),
        f"{path}%00",
    ):
        answer = client.request(operation.method, str(client.base_url).rstrip("/") + odd)
        assert (answer.status_code, answer.json()["type"]) == (404, "/problems/not-found"), odd
        assert client.head(str(client.base_url).rstrip("/") + odd).content == b""


def test_a_head_that_is_too_large_has_an_id_that_the_log_knows(tmp_path: Any) -> None:
    with process(tmp_path) as (_, base, log):
        answer = said(base, (HEAD + b"X: ").ljust(DEFAULT.head_bytes_max + 1, b"x"))
    head, _, body = answer.partition(b"\r\n\r\n")
    id = json.loads(body)["instance"]
    assert f"x-request-id: {id}".encode() in head.splitlines()
    (line,) = [one for one in map(json.loads, log.read_text().splitlines()) if one["event"] == "head_too_large"]
    assert line["request_id"] == id


def test_the_settings_are_the_connections_limits() -> None:
    assert how_to_serve(Settings())["http"].keywords == {"limits": DEFAULT}
    narrow = Settings(head_s=1.5, head_bytes_max=2048, send_idle_s=2.5)
    assert how_to_serve(narrow)["http"].keywords == {"limits": ConnectionLimits(1.5, 2048, 2.5)}


def test_a_smaller_head_and_fewer_fields_can_be_asked_for() -> None:
    with serving(Settings(head_bytes_max=2048, headers_max=10)) as base:
        assert said(base, (HEAD + b"X: ").ljust(2049, b"x")).startswith(b"HTTP/1.1 431 ")
        with httpx.Client(base_url=base) as client:
            refused = client.get("/v1/rules", headers={f"X-{number}": "1" for number in range(10)})
        assert (refused.status_code, "10 header fields" in refused.json()["detail"]) == (431, True)

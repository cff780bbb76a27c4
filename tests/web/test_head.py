"""What is settled by a request's head: tunnels, other protocols, heads that are none, paths written as ours never are."""

import json

import httpx
import pytest
from load.callers import connected, everything, resident_mb
from serving import PATIENCE_S, process, until

from service.contract.examples import FITTINGS
from service.contract.operations import OPERATIONS

GOOD = json.dumps(FITTINGS["lock-gate-truck"].request).encode()
# as the HTTP client of Java's own library asks in its first request on http://
H2C = b"Connection: Upgrade, HTTP2-Settings\r\nUpgrade: h2c\r\nHTTP2-Settings: AAEAAEAAAAIAAAABAAMAAABk\r\n"
HEAD = b"POST /v1/fittings HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\n"


def said(base, *pieces):
    """What a service answers until it closes the connection."""
    with connected(base) as raw:
        for piece in pieces:
            raw.sendall(piece)
        return everything(raw)


def problem_of(answer):
    """Status, problem and header fields of an answer."""
    head, _, body = answer.partition(b"\r\n\r\n")
    line, *fields = head.split(b"\r\n")
    return line.split()[1], json.loads(body), fields


@pytest.fixture(scope="module")
def hosted(tmp_path_factory):
    """A service with a list of hosts in a process of its own: its id, address and log."""
    with process(tmp_path_factory.mktemp("hosted"), LATHWIND_HOSTS="fit.example") as (running, base, log):
        yield running.pid, base, log


@pytest.mark.parametrize("target", [b"/", b"/v1/fittings", b"http://h/x", b"*", b"a:443"])
@pytest.mark.parametrize("body", [b"", b"Content-Length: 4\r\n", b"Connection: upgrade\r\nUpgrade: h2c\r\n"])
def test_connect_is_refused_and_the_connection_ends(hosted, target, body):
    process_id, base, log = hosted
    before_mb, lines = resident_mb(process_id), log.read_text().count("CONNECT")
    answer = said(base, b"CONNECT " + target + b" HTTP/1.1\r\nHost: x\r\n" + body + b"\r\n" + b"more" * 100)
    assert httpx.get(f"{base}/health/live", timeout=PATIENCE_S).status_code == 200
    # what documents need is loaded meanwhile; the attack took 45 to 90 MB a second for ever
    assert resident_mb(process_id) < before_mb + 200
    if answer.startswith(b"HTTP/1.1 400 "):  # the parser itself takes the target for none
        assert target in {b"*", b"a:443"}
        return
    status, problem, fields = problem_of(answer)
    assert (status, problem["type"]) == (b"405", "/problems/method-not-allowed")
    assert {b"connection: close", b"allow: GET, HEAD, OPTIONS, POST"} <= set(fields)
    assert until(lambda: log.read_text().count("CONNECT") == lines + 1)
    (line,) = [one for one in map(json.loads, log.read_text().splitlines()) if one.get("method") == "CONNECT"][lines:]
    assert (line["status"], line["problem"]) == (405, "method-not-allowed")


@pytest.mark.parametrize(
    "wish",
    [H2C, b"upgrade:websocket\r\nCONNECTION: keep-alive , upgrade\r\n", b"Connection: Upgrade\r\n"],
    ids=["h2c", "websocket", "nothing named"],
)
@pytest.mark.parametrize(
    "body",
    [b"Content-Length: 4\r\n\r\nbody", b"Transfer-Encoding: chunked\r\n\r\n2\r\nbo\r\n2\r\ndy\r\n0\r\n\r\n", b"\r\n"],
    ids=["whole", "chunked", "none"],
)
def test_a_wish_for_another_protocol_is_refused_wherever_the_head_is_split(service, wish, body):
    sent = HEAD + wish + body + b"GET /health/live HTTP/1.1\r\nHost: x\r\n\r\n"
    for place in (1, len(HEAD) + 5, len(HEAD + wish), len(HEAD + wish + body) - 2, len(sent)):
        status, problem, fields = problem_of(said(service, sent[:place], sent[place:]))
        assert (status, problem["type"]) == (b"426", "/problems/no-upgrade")
        assert b"connection: close" in fields


def test_a_refused_wish_is_one_line_in_the_log_and_nothing_of_the_server(tmp_path):
    with process(tmp_path) as (_, base, log):
        said(base, HEAD + H2C + b"Content-Length: 4\r\n\r\nbody")
        assert until(lambda: '"no-upgrade"' in log.read_text())
    text = log.read_text()
    assert "Unsupported upgrade" not in text
    assert "WebSocket" not in text
    assert text.count('"no-upgrade"') == 1


@pytest.mark.parametrize(
    "head",
    [
        b"GET /health/live HTTP/1.1\r\n\r\n",
        b"GET /health/live HTTP/1.1\r\nHost: a\r\nHost: a\r\n\r\n",
    ],
    ids=["no host", "two hosts"],
)
def test_a_head_without_one_host_is_400(service, head):
    # RFC 9112, 3.2
    status, problem, _ = problem_of(said(service, head))
    assert (status, problem["type"]) == (b"400", "/problems/malformed-head")


def test_a_host_is_not_asked_of_the_older_version(service):
    assert said(service, b"GET /health/live HTTP/1.0\r\n\r\n").startswith(b"HTTP/1.1 200 ")


def test_a_field_that_is_repeated_ever_so_often_keeps_nobody_waiting(service):
    # joined one by one they took minutes
    sent = b"GET /health/live HTTP/1.1\r\nHost: x\r\nConnection: close\r\n" + b"a: b\r\n" * 700_000 + b"\r\n"
    assert said(service, sent).startswith(b"HTTP/1.1 200 ")


@pytest.mark.parametrize("operation", OPERATIONS, ids=lambda one: one.id)
def test_a_path_is_answered_in_one_form_only(client, operation):
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
        assert answer.headers["cache-control"] == "no-store"
        assert client.head(str(client.base_url).rstrip("/") + odd).content == b""


def test_a_long_or_strange_path_is_logged_and_answered_short_and_in_ascii(tmp_path):
    with process(tmp_path) as (_, base, log):
        for path in (f"/{'x' * 50_000}", "/%e2%80%ae%c2%85%1b"):
            assert len(httpx.get(base + path, timeout=PATIENCE_S).content) < 1000
        assert until(lambda: log.read_text().count('"not-found"') == 2)
    lines = [line for line in log.read_bytes().splitlines() if b'"not-found"' in line]
    assert all(len(line) < 1000 and line.isascii() for line in lines)
    assert "%e2%80%ae" in json.loads(lines[1])["path"]

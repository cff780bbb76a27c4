"""The proxy of `deploy`, a real HAProxy with its file: what it refuses, what it passes on and in which form."""

import gzip
import json
import re
import shutil
import socket
import struct
import subprocess
from contextlib import ExitStack
from urllib.parse import urlsplit

import httpx
import pytest
from deploy.echo import echo
from deploy.known import TOP
from load.callers import GOOD, connected, everything, lines_of
from proxied import SETTINGS, proxied
from serving import PATIENCE_S, process, until

from service.contract.examples import text
from service.contract.operations import CSV, JSON, NDJSON, OPERATIONS
from service.contract.problems import KINDS

pytestmark = pytest.mark.slow

EXAMPLE = TOP / "openapi/examples/lock-gate-truck.request.json"
RATE = 30


@pytest.fixture(scope="module")
def replica():
    """A server that answers with what it was sent: its port, and the targets that reached it."""
    with echo() as running:
        yield running


@pytest.fixture(scope="module")
def proxy(tmp_path_factory, replica):
    """The proxy before that server."""
    folder = tmp_path_factory.mktemp("proxy")
    with proxied(folder, [replica[0]], environment={"PROXY_CALLS_PER_10_S": "1000"}) as running:
        yield running


@pytest.fixture
def reached(replica):
    """The targets that reached the replica since the test began, save for the proxy's own checks."""
    targets = replica[1]
    before = len(targets)
    return lambda: [one for one in targets[before:] if one != "/health/ready"]


@pytest.fixture(scope="module")
def before_the_service(tmp_path_factory):
    """The proxy before the service itself."""
    folder = tmp_path_factory.mktemp("service")
    with process(folder) as (_, base, _log), proxied(folder, [urlsplit(base).port or 0]) as running:
        yield running


def sent(proxy, request):
    """All that comes back for raw bytes when nothing more is sent."""
    with connected(proxy.base) as raw:
        raw.sendall(request)
        raw.shutdown(socket.SHUT_WR)
        return everything(raw)


def passed_on(proxy, request):
    """What the server was sent for a request."""
    received = sent(proxy, request)
    assert received.startswith(b"HTTP/1.1 200 "), received
    return dict(json.loads(received.partition(b"\r\n\r\n")[2]))


def test_its_file_is_sound(tmp_path):
    path = tmp_path / "haproxy.cfg"
    path.write_text(re.sub(r" ssl crt \S+ alpn \S+", "", SETTINGS.read_text()))  # the certificate is not there
    environment = {"PROXY_HOSTS": "fit.example", "PROXY_REPLICAS": "lathwind", "PATH": "/usr/sbin:/usr/bin:/sbin:/bin"}
    ran = subprocess.run(["haproxy", "-c", "-f", path], env=environment, capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stdout + ran.stderr
    assert "WARNING" not in ran.stdout + ran.stderr
    del environment["PROXY_HOSTS"]
    ran = subprocess.run(["haproxy", "-c", "-f", path], env=environment, capture_output=True, text=True, check=False)
    assert ran.returncode != 0, "without host names it would refuse everybody"


def test_its_problems_are_those_of_the_contract():
    problems = [json.loads(one) for one in re.findall(r"string '(\{.*?\})'", SETTINGS.read_text())]
    listed = [one for one in problems if one["type"] != "about:blank"]
    assert len(listed) >= 6
    for one in listed:
        kind = KINDS[one["type"].removeprefix("/problems/")]
        assert (one["title"], one["status"]) == (kind.title, kind.status)


def test_everything_that_the_contract_answers_with_is_compressed_or_binary():
    (line,) = re.findall(r"compression type (.+)", SETTINGS.read_text())
    media_types = {one.media_type for one in OPERATIONS} | {one.takes for one in OPERATIONS if one.body is not None}
    assert {one.partition(";")[0] for one in media_types} - set(line.split()) == {"application/pdf", "text/plain"}


@pytest.mark.parametrize(
    ("request_bytes", "status"),
    [
        (b"CONNECT / HTTP/1.1\r\nHost: x\r\n\r\n", 400),
        (b"CONNECT * HTTP/1.1\r\nHost: x\r\n\r\n", 400),
        (b"CONNECT http://x/v1/rules HTTP/1.1\r\nHost: x\r\n\r\n", 400),
        (b"CONNECT x:443 HTTP/1.1\r\nHost: x:443\r\n\r\n", 405),
        (b"GET /v1/rules HTTP/1.1\r\nHost: evil.example\r\n\r\n", 421),
        (b"GET /v1/rules HTTP/1.0\r\n\r\n", 421),
        (b"GET http://evil.example/v1/rules HTTP/1.1\r\nHost: x\r\n\r\n", 400),
        (b"GET http://x HTTP/1.1\r\nHost: x\r\n\r\n", 404),
        (b"OPTIONS * HTTP/1.1\r\nHost: x\r\n\r\n", 404),
        (b"GET /metrics HTTP/1.1\r\nHost: x\r\n\r\n", 404),
        (b"GET /Metrics HTTP/1.1\r\nHost: x\r\n\r\n", 404),
        (b"GET /metrics/ HTTP/1.1\r\nHost: x\r\n\r\n", 404),
        (b"GET /metrics?a HTTP/1.1\r\nHost: x\r\n\r\n", 404),
        (b"GET //metrics HTTP/1.1\r\nHost: x\r\n\r\n", 404),
        (b"GET /./metrics HTTP/1.1\r\nHost: x\r\n\r\n", 404),
        (b"GET /docs/../metrics HTTP/1.1\r\nHost: x\r\n\r\n", 404),
        (b"GET /%6Detrics HTTP/1.1\r\nHost: x\r\n\r\n", 404),
        (b"GET /;a/metrics HTTP/1.1\r\nHost: x\r\n\r\n", 404),
        (b"GET http://x/metrics HTTP/1.1\r\nHost: x\r\n\r\n", 404),
        (b"GET /v1/rules HTTP/1.1\r\nHost: x\r\nX-Long: " + b"a" * 17_000 + b"\r\n\r\n", 431),
        (b"GET /v1/rules HTTP/1.1\r\nHost: x\r\n" + b"X-Many: a\r\n" * 100 + b"\r\n", 400),
        (b"POST /v1/fittings HTTP/1.1\r\nHost: x\r\nContent-Length: 5\r\nContent-Length: 6\r\n\r\n{}   ", 400),
        (b"POST /v1/fittings HTTP/1.1\r\nHost: x\r\nContent-Length: -1\r\n\r\n", 400),
        (b"POST /v1/fittings HTTP/1.1\r\nHost: x\r\nContent-Length : 2\r\n\r\n{}", 400),
        (b"POST /v1/fittings HTTP/1.1\r\nHost: x\r\nTransfer-Encoding: xchunked\r\n\r\n0\r\n\r\n", 400),
        (b"POST /v1/fittings HTTP/1.1\r\nHost: x\r\nTransfer-Encoding: chunked\r\n\r\nzz\r\n{}\r\n0\r\n\r\n", 400),
        (b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03", 400),
    ],
)  # fmt: skip
def test_what_is_wrong_never_reaches_a_replica(proxy, reached, request_bytes, status):
    received = sent(proxy, request_bytes)
    assert received.startswith(f"HTTP/1.1 {status} ".encode()), received[:300]
    assert received.count(b"HTTP/1.1 ") == 1
    assert reached() == []


def test_a_head_greater_than_a_buffer_ends_the_connection(proxy):
    with connected(proxy.base) as raw, pytest.raises(OSError, match=r"Broken pipe|reset"):
        raw.sendall(b"GET /v1/rules HTTP/1.1\r\nHost: x\r\nX-Long: " + b"a" * 26_000_000)


def frame(kind, flags, stream, payload):
    """A frame of HTTP/2 (RFC 9113, 4.1)."""
    return struct.pack(">I", len(payload))[1:] + bytes([kind, flags]) + struct.pack(">I", stream) + payload


def fields(*pairs):
    """Header fields, each as a literal (RFC 7541, 6.2.2)."""
    return b"".join(
        b"\0" + bytes([len(name)]) + name.encode() + bytes([len(value)]) + value.encode() for name, value in pairs
    )


@pytest.mark.parametrize(
    "head",
    [
        [(":method", "CONNECT"), (":authority", "x:443")],
        [(":method", "CONNECT"), (":authority", "/")],
        [(":method", "CONNECT"), (":authority", "x"), (":scheme", "https"), (":path", "/v1/rules")],
    ],
    ids=["plain", "bare slash", "with a path"],
)
def test_connect_over_http_2_never_reaches_a_replica(proxy, reached, head):
    with connected(proxy.base) as raw, raw.makefile("rb") as frames:
        raw.sendall(b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n" + frame(4, 0, 0, b"") + frame(1, 5, 1, fields(*head)))
        stream = b""
        while stream != b"\0\0\0\1":  # until the request's own stream is answered or reset
            front = frames.read(9)
            assert front, "neither answered nor reset"
            stream = front[5:]
            frames.read(int.from_bytes(front[:3], "big"))
    assert reached() == []
    assert httpx.get(f"{proxy.base}/v1/rules", timeout=PATIENCE_S).status_code == 200


def test_the_other_protocol_that_a_client_wishes_for_is_dropped(proxy):
    for wish in (
        b"Connection: Upgrade, HTTP2-Settings\r\nUpgrade: h2c\r\nHTTP2-Settings: AAEAAEAAAAIAAAABAAMAAABk\r\n",
        b"Connection: upgrade\r\nUpgrade: websocket\r\n",
    ):
        seen = passed_on(proxy, b"POST /a HTTP/1.1\r\nHost: x\r\n" + wish + b"Content-Length: 2\r\n\r\n{}")
        assert not {"connection", "upgrade", "http2-settings"} & {name for name, _ in seen["fields"]}


def test_an_absolute_target_goes_on_as_a_path(proxy):
    assert passed_on(proxy, b"GET http://x/a?b=1 HTTP/1.1\r\nHost: x\r\n\r\n")["target"] == "/a?b=1"


def test_only_the_proxy_says_where_a_caller_comes_from(proxy):
    lies = b"Forwarded: for=9.9.9.9\r\nX-Forwarded-For: 9.9.9.9\r\nX-Forwarded-For: 8.8.8.8\r\nX-Forwarded-Host: evil\r\n"
    seen = passed_on(proxy, b"GET /a HTTP/1.1\r\nHost: x\r\nX-Forwarded-Proto: https\r\n" + lies + b"\r\n")
    told = [one for one in seen["fields"] if "forwarded" in one[0]]
    assert told == [["x-forwarded-for", "127.0.0.1"], ["x-forwarded-proto", "http"]]
    over_tls = httpx.get(f"{proxy.tls}/a", verify=proxy.trusting(), timeout=PATIENCE_S)
    assert ["x-forwarded-proto", "https"] in over_tls.json()["fields"]
    assert over_tls.headers["Strict-Transport-Security"] == "max-age=31536000"


def test_every_request_has_an_id_and_the_callers_own_stays(proxy):
    ids = [dict(httpx.get(f"{proxy.base}/a", timeout=PATIENCE_S).json()["fields"])["x-request-id"] for _ in range(2)]
    assert all(re.fullmatch(r"[0-9a-f-]{36}", one) for one in ids)
    assert ids[0] != ids[1]
    seen = passed_on(proxy, b"GET /a HTTP/1.1\r\nHost: x\r\nX-Request-Id: order-7\r\n\r\n")
    assert ["x-request-id", "order-7"] in seen["fields"]
    assert until(lambda: "{order-7}" in proxy.log.read_text()), "a line is written after its answer"
    refused = httpx.get(f"{proxy.base}/metrics", timeout=PATIENCE_S)
    assert refused.headers["Content-Type"] == "application/problem+json"
    assert until(lambda: f"{{{refused.json()['instance']}}}" in proxy.log.read_text())


@pytest.mark.parametrize(
    ("accepted", "coding"), [("gzip", "gzip"), ("br, gzip;q=0.5", "gzip"), ("gzip;q=0", None), ("identity", None)]
)
def test_an_answer_is_compressed_for_those_who_accept_it(proxy, accepted, coding):
    with httpx.stream("GET", f"{proxy.base}/a", headers={"Accept-Encoding": accepted}, timeout=PATIENCE_S) as answer:
        content = b"".join(answer.iter_raw())
    assert answer.headers.get("Content-Encoding") == coding
    assert json.loads(gzip.decompress(content) if coding else content)["target"] == "/a"


def test_the_desk_passes_with_all_that_it_loads(before_the_service):
    with httpx.Client(base_url=before_the_service.base, timeout=PATIENCE_S) as caller:
        page = caller.get("/", follow_redirects=True)
        assert (page.url.path, page.status_code) == ("/desk", 200)
        assert page.headers["content-security-policy"].startswith("default-src 'none'")
        loaded = re.findall(r'(?:href|src)="(desk/[^"]+)"', page.text)
        assert len(loaded) > 10
        for path in loaded:
            asset = caller.get(f"/{path}")
            assert (asset.status_code, asset.headers["content-encoding"]) == (200, "gzip")
            assert "immutable" in asset.headers["cache-control"]


@pytest.mark.parametrize(
    ("path", "media_type", "body"),
    [
        ("/v1/fittings", JSON, json.dumps(GOOD).encode()),
        ("/v1/fittings/batch", JSON, json.dumps({"items": [GOOD] * 3}).encode()),
        ("/v1/fittings/stream", NDJSON, lines_of(3)),
        ("/v1/fittings/table", CSV, text(CSV).encode()),
    ],
)
def test_a_caller_that_asks_whether_to_send_a_body_is_told_to(before_the_service, path, media_type, body):
    for _ in range(40):  # whatever comes in one piece with the 100
        with connected(before_the_service.base) as raw:
            raw.sendall(
                f"POST {path} HTTP/1.1\r\nHost: x\r\nContent-Type: {media_type}\r\nExpect: 100-continue\r\n"
                f"Connection: close\r\nContent-Length: {len(body)}\r\n\r\n".encode()
            )
            assert raw.recv(25) == b"HTTP/1.1 100 Continue\r\n\r\n"
            raw.sendall(body)
            received = everything(raw)
        assert received.startswith(b"HTTP/1.1 200 ")
        assert received.endswith((b"}", b"0\r\n\r\n")), "cut"


def test_a_body_that_does_not_come_is_given_up_save_for_a_stream(tmp_path, replica):
    quick = {"http-request wait-for-body time 10s unless": "http-request wait-for-body time 1s unless"}
    paths = [one.path for one in OPERATIONS if one.body is not None and one.path != "/v1/fittings/stream"]
    with proxied(tmp_path, [replica[0]], exchanged=quick) as hasty, ExitStack() as open_ones:
        callers = [open_ones.enter_context(connected(hasty.base)) for _ in paths]
        for raw, path in zip(callers, paths, strict=True):
            raw.sendall(f"POST {path} HTTP/1.1\r\nHost: x\r\nContent-Length: 100\r\n\r\n{{".encode())
        assert {raw.recv(1 << 16)[:13] for raw in callers} == {b"HTTP/1.1 408 "}


@pytest.mark.parametrize(
    ("path", "media_type", "body"),
    [
        ("/v1/fittings/batch", JSON, json.dumps({"items": [GOOD] * 600}).encode()),
        ("/v1/fittings/table", CSV, b"".join(text(CSV).encode().splitlines(keepends=True)[at] for at in [0] + [1] * 2000)),
    ],
)
def test_a_body_larger_than_a_buffer_is_passed_on_too(before_the_service, path, media_type, body):
    assert len(body) > 1.5 * 81_920
    headers = {"Content-Type": media_type}
    answer = httpx.post(before_the_service.base + path, content=body, headers=headers, timeout=PATIENCE_S)
    assert (answer.status_code, answer.text.count("lock-gate truck, nearside 2") >= 500) == (200, True)


def test_a_stream_is_passed_on_line_by_line_in_both_directions(before_the_service):
    with connected(before_the_service.base) as raw:
        raw.sendall(
            b"POST /v1/fittings/stream?fields=short HTTP/1.1\r\nHost: x\r\nContent-Type: application/x-ndjson\r\n"
            b"Transfer-Encoding: chunked\r\n\r\n"
        )
        line = lines_of(1)
        for index in range(5):
            raw.sendall(f"{len(line):x}\r\n".encode() + line + b"\r\n")
            received = b""
            while f'{{"index":{index},'.encode() not in received:
                received += raw.recv(1 << 16)
        raw.sendall(b"0\r\n\r\n")
        while not received.endswith(b"0\r\n\r\n"):
            received += raw.recv(1 << 16)
    assert b'"items":5,' in received.partition(b'"summary":')[2]


@pytest.mark.parametrize("scheme", ["plain", "TLS"])
def test_javas_own_client_is_answered(before_the_service, tmp_path, scheme):
    if shutil.which("java") is None or shutil.which("javac") is None:
        pytest.skip("there is no Java on this machine")
    trust = tmp_path / "trust.p12"
    pem = before_the_service.certificate
    subprocess.run(
        [
            *("keytool", "-importcert", "-noprompt", "-alias", "proxy", "-file", pem, "-keystore", trust),
            *("-storetype", "PKCS12", "-storepass", "trusted"),
        ],
        check=True,
        capture_output=True,
    )
    base = before_the_service.base if scheme == "plain" else before_the_service.tls
    options = [f"-Djavax.net.ssl.trustStore={trust}", "-Djavax.net.ssl.trustStorePassword=trusted"]
    command = ["java", *options, TOP / "tests/deploy/Caller.java", f"{base}/v1/fittings", EXAMPLE]
    ran = subprocess.run(command, capture_output=True, text=True, check=False, timeout=PATIENCE_S)
    assert ran.returncode == 0, ran.stderr
    *statuses, body = ran.stdout.splitlines()
    assert statuses == ["200 HTTP_1_1" if scheme == "plain" else "200 HTTP_2"] * 10
    assert json.loads(body)["reference"] == json.loads(EXAMPLE.read_bytes())["reference"]


@pytest.fixture
def limited(tmp_path):
    """The proxy with a low limit before two servers, to see that one count holds for both."""
    with (
        echo() as (first, _),
        echo() as (second, _),
        proxied(tmp_path, [first, second], environment={"PROXY_CALLS_PER_10_S": str(RATE)}) as running,
    ):
        yield running


def test_the_limit_counts_for_all_replicas_together_by_key_or_address(limited):
    def call(**headers):
        return client.get(f"{limited.base}/a", headers={name.replace("_", "-"): value for name, value in headers.items()})

    with httpx.Client(timeout=PATIENCE_S) as client:
        statuses = [call(X_API_Key="good").status_code for _ in range(RATE)]
        assert statuses == [200] * RATE
        refused = call(X_API_Key="good")
        assert refused.status_code == 429
        assert refused.json()["type"] == "/problems/too-many-requests"
        assert refused.headers["Retry-After"] == "10"
        # the same key written in the other way is the same caller; another key and no key are others
        assert call(Authorization="Bearer good").status_code == 429
        assert call(Authorization="bearer  other").status_code == 200
        assert call().status_code == 200
    assert until(lambda: len(set(re.findall(r"replicas/(replica-\d+)", limited.log.read_text()))) == 2)
    assert "good" not in limited.log.read_text()


def test_a_page_of_another_origin_may_read_what_the_proxy_refuses_but_not_what_the_service_answers(limited):
    with httpx.Client(timeout=PATIENCE_S, headers={"Origin": "https://shop.example"}) as client:
        answers = [client.get(f"{limited.base}/a") for _ in range(RATE + 1)]
    *answered, refused = answers
    assert [one.status_code for one in answers] == [200] * RATE + [429]
    assert not any("Access-Control-Allow-Origin" in one.headers for one in answered)
    assert refused.headers["Access-Control-Allow-Origin"] == "*"
    assert refused.headers["Access-Control-Expose-Headers"] == "Retry-After"


def test_made_up_keys_do_not_get_round_the_limit(limited):
    with httpx.Client(timeout=PATIENCE_S) as client:
        statuses = [
            client.get(f"{limited.base}/a", headers={"X-API-Key": f"guess-{number}"}).status_code
            for number in range(2 * RATE)
        ]
    assert statuses == [401] * RATE + [429] * RATE


def test_one_source_cannot_take_all_connections(proxy):
    with ExitStack() as open_ones:
        refused = 0
        for _ in range(300):
            try:
                raw = open_ones.enter_context(connected(proxy.base))
                raw.settimeout(0.02)
                refused += not raw.recv(1)
            except TimeoutError:
                continue  # it stays open
            except ConnectionResetError:
                refused += 1
        assert refused == 200
        other = open_ones.enter_context(connected(proxy.base, source="127.0.0.2"))
        other.sendall(b"GET /a HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n")
        assert everything(other).startswith(b"HTTP/1.1 200 ")


def test_monitoring_has_an_address_of_its_own(proxy):
    assert httpx.get(f"{proxy.inside}/ready", timeout=PATIENCE_S).status_code == 200
    assert "haproxy_frontend_" in httpx.get(f"{proxy.inside}/metrics", timeout=PATIENCE_S).text
    assert httpx.get(f"{proxy.inside}/v1/rules", timeout=PATIENCE_S).status_code == 404
    assert httpx.get(f"{proxy.base}/ready", timeout=PATIENCE_S).json()["target"] == "/ready", "no path of the proxy's own"

"""Admission over HTTP: who may pass, how often, under which name, and how many at once."""

import json
import re
import socket
import subprocess
import sys
import threading
import time
from contextlib import ExitStack

import httpx
import pytest
from load.callers import connected, everything
from serving import PATIENCE_S, process, serving, until

from service.app import parts
from service.contract.examples import FITTINGS
from service.contract.operations import OPERATIONS
from service.settings import Settings, SettingsError, from_environment
from service.web import handlers, worker_threads
from service.web.keys import entry

SHOP, ERP, OPS = "shop-key-nobody-guesses", "erp-key-nobody-guesses", "ops-key-nobody-guesses"
GOOD = FITTINGS["lock-gate-truck"].request
BODIES = {
    "calculateBatch": {"items": [GOOD]},
    "calibrateSlat": {"slat": "slim"},
    "verifyResult": {},
}


def bearer(key):
    return {"Authorization": f"Bearer {key}"}


@pytest.fixture(scope="module")
def keys_file(tmp_path_factory):
    path = tmp_path_factory.mktemp("keys") / "keys.toml"
    path.write_text(
        entry("shop", ("calculate", "documents"), SHOP) + entry("erp", ("batch",), ERP) + entry("ops", ("metrics",), OPS)
    )
    return path


@pytest.fixture(scope="module")
def locked(keys_file):
    settings = Settings(keys_file=str(keys_file), cors_origins="https://shop.example", hosts="127.0.0.1, fit.example")
    with serving(settings) as base, httpx.Client(base_url=base, timeout=PATIENCE_S) as one:
        yield one


def ask(client, operation, headers):
    path = operation.path.replace("{kind}", "forbidden")
    if operation.method == "GET":
        return client.get(path, headers=headers)
    return client.post(path, json=BODIES.get(operation.id, GOOD), headers=headers)


@pytest.mark.parametrize("operation", OPERATIONS, ids=lambda one: one.id)
def test_each_operation_asks_for_its_scope(locked, operation):
    access = operation.access
    without = ask(locked, operation, {})
    if not access:
        assert without.status_code == 200
        return
    assert (without.status_code, without.json()["type"]) == (401, "/problems/unauthorized")
    assert without.headers["www-authenticate"].startswith("Bearer")
    assert ask(locked, operation, bearer("wrong")).status_code == 401
    for key, scopes in ((SHOP, {"calculate", "documents"}), (ERP, {"batch"}), (OPS, {"metrics"})):
        for headers in (bearer(key), {"X-API-Key": key}):
            response = ask(locked, operation, headers)
            if access in scopes:
                assert response.status_code not in {401, 403}
            else:
                assert (response.status_code, response.json()["type"]) == (403, "/problems/forbidden")
                assert access in response.json()["detail"]


def test_the_docs_page_needs_no_key(locked):
    assert locked.get("/docs").status_code == 200


@pytest.mark.slow
def test_keys_are_rotated_without_a_restart(locked, keys_file):
    before = keys_file.read_text()
    fresh = "shop-key-of-next-month"
    try:
        keys_file.write_text(before + entry("shop-next", ("calculate",), fresh))
        assert until(lambda: locked.post("/v1/fittings", json=GOOD, headers=bearer(fresh)).status_code == 200)
        assert locked.post("/v1/fittings", json=GOOD, headers=bearer(SHOP)).status_code == 200
        keys_file.write_text(
            before.replace(entry("shop", ("calculate", "documents"), SHOP), "") + entry("n", ("calculate",), fresh)
        )
        assert until(lambda: locked.post("/v1/fittings", json=GOOD, headers=bearer(SHOP)).status_code == 401)
        keys_file.write_text("[[key]]\nname = 7\n")
        time.sleep(1.3)
        assert locked.post("/v1/fittings", json=GOOD, headers=bearer(fresh)).status_code == 200
    finally:
        keys_file.write_text(before)
        assert until(lambda: locked.post("/v1/fittings", json=GOOD, headers=bearer(SHOP)).status_code == 200)


def test_another_host_is_refused_and_probes_come_under_any(locked):
    headers = bearer(SHOP)
    assert locked.get("/v1/rules", headers={**headers, "Host": "fit.example:8000"}).status_code == 200
    refused = locked.get("/v1/rules", headers={**headers, "Host": "evil.example"})
    assert (refused.status_code, refused.json()["type"]) == (421, "/problems/wrong-host")
    assert locked.get("/health/ready", headers={"Host": "10.0.0.7:8000"}).status_code == 200


@pytest.mark.parametrize(
    "hosts",
    [
        (),
        ("evil.example", "fit.example"),
        ("fit.example:1", "evil.example"),
        ("fit.example, evil.example",),
        ("fit.example:@evil.example",),
        ("fit.example:80:80",),
        ("fit.example.evil.example",),
        ("[fit.example]",),
    ],
)
def test_no_trick_with_the_host_gets_by(locked, hosts):
    fields = "".join(f"Host: {host}\r\n" for host in hosts)
    status = b"421" if len(hosts) == 1 else b"400"
    assert said(locked, f"GET /v1/rules HTTP/1.1\r\nX-API-Key: {SHOP}\r\n{fields}").startswith(b"HTTP/1.1 " + status)


def test_hosts_may_be_addresses_and_small_or_capital():
    with serving(Settings(hosts="[::1],Fit.Example")) as base, httpx.Client(base_url=base, timeout=PATIENCE_S) as client:
        for host in ("[::1]", "[::1]:8000", "FIT.example", "fit.example:80"):
            assert client.get("/v1/rules", headers={"Host": host}).status_code == 200
        for host in ("[::2]", "::1", "127.0.0.1"):
            assert client.get("/v1/rules", headers={"Host": host}).status_code == 421


@pytest.mark.parametrize("host", ["a b", "a/b", "a?b#c", "\xff", "fit.example, evil.example"])
@pytest.mark.parametrize("path", ["/v1/rules", "/health/live", "/nothing"])
def test_what_is_no_host_at_all_is_no_fault_of_ours(locked, host, path):
    assert said(locked, f"GET {path} HTTP/1.1\r\nHost: {host}\r\n").startswith(b"HTTP/1.1 421 ")


def said(client, head):
    """The answer to a head that no proper client would send."""
    with connected(str(client.base_url)) as raw:
        raw.sendall(f"{head}Connection: close\r\n\r\n".encode("latin-1"))
        return everything(raw)


def test_only_listed_origins_are_let_in(locked):
    asked = {"Origin": "https://shop.example", "Access-Control-Request-Method": "POST"}
    allowed = locked.options("/v1/fittings", headers=asked)
    assert (allowed.status_code, allowed.headers["access-control-allow-origin"]) == (200, "https://shop.example")
    refused = locked.options("/v1/fittings", headers={**asked, "Origin": "https://evil.example"})
    assert "access-control-allow-origin" not in refused.headers
    answer = locked.post("/v1/fittings", json=GOOD, headers={**bearer(SHOP), "Origin": "https://shop.example"})
    assert answer.headers["access-control-allow-origin"] == "https://shop.example"
    assert "X-Request-Id" in answer.headers["access-control-expose-headers"]
    unauthorized = locked.post("/v1/fittings", json=GOOD, headers={"Origin": "https://shop.example"})
    assert (unauthorized.status_code, unauthorized.headers["access-control-allow-origin"]) == (401, "https://shop.example")


def test_security_headers_and_times_are_told(locked):
    headers = locked.post("/v1/fittings", json=GOOD, headers=bearer(SHOP)).headers
    assert (headers["x-content-type-options"], headers["x-frame-options"]) == ("nosniff", "DENY")
    assert headers["server-timing"].startswith("app;dur=")
    assert "server" not in headers


def test_metrics_count_what_happened(locked):
    def counted(series):
        text = locked.get("/metrics", headers=bearer(OPS)).text
        return next(float(line.split()[-1]) for line in text.splitlines() if line.startswith(series))

    fits, rejected = 'lathwind_verdicts_total{verdict="fits"}', 'lathwind_rejected_total{kind="unauthorized"}'
    before = counted(fits), counted(rejected)
    locked.post("/v1/fittings", json=GOOD, headers=bearer(SHOP))
    locked.post("/v1/fittings", json=GOOD)
    locked.post("/v1/fittings/batch", json={"items": [GOOD]}, headers=bearer(ERP))
    assert (counted(fits), counted(rejected)) == (before[0] + 2, before[1] + 1)


def test_the_rate_is_told_and_limited():
    with serving(Settings(rate_limit="3/hour")) as base, httpx.Client(base_url=base, timeout=PATIENCE_S) as client:
        answers = [client.post("/v1/fittings", json=GOOD) for _ in range(5)]
        assert [answer.status_code for answer in answers] == [200, 200, 200, 429, 429]
        assert "At most 3 requests in 3600 s" in answers[-1].json()["detail"]
        assert client.get("/metrics").status_code == 200
        assert all("ratelimit" in answer.headers and "ratelimit-policy" in answer.headers for answer in answers)
        assert int(answers[-1].headers["retry-after"]) > 0
        assert answers[-1].json()["type"] == "/problems/too-many-requests"
        assert client.get("/health/live").status_code == 200


def test_more_at_once_than_there_are_places_is_refused():
    with (
        serving(Settings(concurrent_max=1, body_idle_s=5.0)) as base,
        httpx.Client(base_url=base, timeout=PATIENCE_S) as client,
    ):
        port = int(base.rpartition(":")[2])
        with socket.create_connection(("127.0.0.1", port)) as raw:
            raw.sendall(
                b"POST /v1/fittings HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: 9\r\n\r\n{"
            )
            assert until(lambda: client.post("/v1/fittings", json=GOOD).status_code == 503)
            busy = client.post("/v1/fittings", json=GOOD)
            assert (busy.json()["type"], busy.headers["retry-after"]) == ("/problems/busy", "1")
            assert {client.get(path).status_code for path in ("/health/ready", "/metrics")} == {200}
        assert until(lambda: client.post("/v1/fittings", json=GOOD).status_code == 200)


def test_what_takes_too_long_is_given_up(monkeypatch):
    ended = threading.Event()

    def endless(_request, _shelf, _language):
        ended.wait(PATIENCE_S)

    monkeypatch.setattr(handlers, "find_limits", endless)
    with serving(Settings(heavy_s=0.1)) as base, httpx.Client(base_url=base, timeout=PATIENCE_S) as client:
        refused = client.post("/v1/fittings/limits", json=GOOD)
        assert (refused.status_code, refused.json()["type"]) == (503, "/problems/took-too-long")
        assert client.post("/v1/fittings", json=GOOD).status_code == 200
        ended.set()


@pytest.mark.parametrize("asked", ["include=cures", "include=candidates&fields=figures"])
def test_what_may_take_long_of_a_fitting_is_made_beside_the_loop(monkeypatch, asked):
    ended = threading.Event()

    def endless(*_args, **_kwargs):
        ended.wait(PATIENCE_S)

    monkeypatch.setattr(handlers, "answer", endless)
    with serving(Settings(heavy_s=0.1)) as base, httpx.Client(base_url=base, timeout=PATIENCE_S) as client:
        refused = client.post(f"/v1/fittings?{asked}", json=GOOD)
        assert (refused.status_code, refused.json()["type"]) == (503, "/problems/took-too-long")
        assert client.get("/health/live").status_code == 200
        ended.set()


def test_what_nobody_waits_for_any_more_is_not_begun(monkeypatch):
    begun = []
    goes_on = threading.Event()

    def waiting(request, _shelf, _language):
        begun.append(request.reference)
        goes_on.wait(PATIENCE_S)

    monkeypatch.setattr(handlers, "find_limits", waiting)
    with serving(Settings()) as base, ExitStack() as callers:

        def calling(reference):
            body = json.dumps({**GOOD, "reference": reference}).encode()
            raw = callers.enter_context(socket.create_connection(("127.0.0.1", int(base.rpartition(":")[2])), PATIENCE_S))
            raw.sendall(b"POST /v1/fittings/limits HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\n")
            raw.sendall(b"Content-Length: %d\r\n\r\n" % len(body) + body)
            return raw

        try:
            for number in range(2):
                calling(f"first {number}")  # they take both threads
            assert until(lambda: len(begun) == 2)
            gone = [calling(f"gone {number}") for number in range(20)]
            assert until(lambda: worker_threads.WORKERS._work_queue.qsize() == 20)  # noqa: SLF001 - no other sign that they are queued
            for raw in gone:
                raw.close()
            ended = 'lathwind_requests_total{method="POST",operation="findLimits",status="0"} 20.0'
            assert until(lambda: ended in httpx.get(f"{base}/metrics", timeout=PATIENCE_S).text)
            patient = calling("patient")
        finally:
            goes_on.set()
        assert patient.recv(4096)
    assert [reference for reference in begun if reference.startswith("gone")] == []
    assert "patient" in begun


@pytest.mark.slow
@pytest.mark.parametrize(
    "broken", ["[[key]]\nname = 7\n", "not TOML at all", "", None], ids=["entry", "TOML", "empty", "gone"]
)
def test_a_broken_key_file_leaves_the_keys_in_use_loudly(tmp_path, broken):
    path = tmp_path / "keys.toml"
    path.write_text(entry("shop", ("calculate",), SHOP))
    with process(tmp_path, LATHWIND_KEYS_FILE=str(path)) as (_, base, log):
        path.unlink() if broken is None else path.write_text(broken)
        told = '"event":"keys_not_reloaded","level":"error"'
        assert until(
            lambda: (
                httpx.get(f"{base}/v1/rules", headers=bearer(SHOP), timeout=PATIENCE_S).status_code == 200
                and told in log.read_text()
            )
        )
        assert httpx.get(f"{base}/v1/rules", headers=bearer("wrong"), timeout=PATIENCE_S).status_code == 401
        path.write_text(entry("shop-next", ("calculate",), ERP))
        assert until(lambda: httpx.get(f"{base}/v1/rules", headers=bearer(ERP), timeout=PATIENCE_S).status_code == 200)
        assert httpx.get(f"{base}/v1/rules", headers=bearer(SHOP), timeout=PATIENCE_S).status_code == 401
    lines = [json.loads(line) for line in log.read_text().splitlines()]
    refused = [line for line in lines if line["event"] == "keys_not_reloaded"]
    assert all((str(path) in line["reason"], line["still"]) == (True, ["shop"]) for line in refused)
    (taken,) = [line for line in lines if line["event"] == "keys_reloaded"]
    assert taken["keys"] == ["shop-next"]


def test_no_key_is_ever_logged(tmp_path, keys_file):
    with process(tmp_path, LATHWIND_KEYS_FILE=str(keys_file)) as (_, base, log):
        assert httpx.post(f"{base}/v1/fittings", json=GOOD, headers=bearer(SHOP), timeout=PATIENCE_S).status_code == 200
        assert (
            httpx.post(
                f"{base}/v1/fittings?include={ERP}", json=GOOD, headers={"X-API-Key": SHOP}, timeout=PATIENCE_S
            ).status_code
            == 422
        )
        assert (
            httpx.post(f"{base}/v1/fittings", json=GOOD, headers=bearer("a-wrong-key"), timeout=PATIENCE_S).status_code
            == 401
        )
    text = log.read_text()
    assert '"key":"shop"' in text
    assert not any(secret in text for secret in (SHOP, ERP, "a-wrong-key"))
    assert all(json.loads(line) for line in text.splitlines())


def test_without_keys_only_loopback_is_served_unless_said_otherwise(tmp_path):
    command = [sys.executable, "-m", "service"]
    refused = subprocess.run(command, env={"LATHWIND_HOST": "0.0.0.0"}, capture_output=True, text=True, check=False)  # noqa: S104
    assert (refused.returncode, "LATHWIND_KEYS_FILE" in refused.stderr) == (2, True)
    with process(tmp_path, LATHWIND_OPEN="true") as (_, base, log):
        assert httpx.get(f"{base}/v1/rules", timeout=PATIENCE_S).status_code == 200
    assert '"event":"open_mode","level":"warning"' in log.read_text()


@pytest.mark.parametrize(
    ("setting", "value", "told"),
    [
        ("KEYS_FILE", "none.toml", "cannot be read"),
        ("RATE_LIMIT", "6000 a minute", "600/minute"),
        ("PROXIES", "nope", "10.0.0.0/8"),
        ("PROXIES", "127.0.0.1, 10.0.0.1/8", "10.0.0.1/8"),
        ("CORS_ORIGINS", "https://shop.example/", "https://shop.example"),
        ("HOSTS", "fit.example:8000", "without a port"),
        ("HOSTS", "https://fit.example", "a name or an address alone"),
        ("HEAVY_S", "0", ">= 0.1"),
        ("CONCURRENT_MAX", "many", "int"),
        ("OPEN", "perhaps", "bool"),
    ],
)
def test_a_setting_that_cannot_be_used_is_named(setting, value, told):
    with pytest.raises(SettingsError, match=f"^LATHWIND_{setting}: .*{re.escape(told)}"):
        parts(from_environment({f"LATHWIND_{setting}": value}))


@pytest.mark.parametrize("value", ["", "*", "::1", "127.0.0.1, 10.0.0.0/8"])
def test_proxies_may_be_addresses_and_networks(value):
    assert parts(from_environment({"LATHWIND_PROXIES": value}))


def test_the_service_names_the_setting_and_does_not_start():
    environment = {"LATHWIND_CORS_ORIGINS": "*"}
    refused = subprocess.run([sys.executable, "-m", "service"], env=environment, capture_output=True, text=True, check=False)
    assert (refused.returncode, refused.stdout) == (2, "")
    assert "LATHWIND_CORS_ORIGINS: '*': an origin looks like" in refused.stderr
    assert "Traceback" not in refused.stderr

"""Cross-origin calls: what a browser is told, by the Fetch standard, 3.3 (WHATWG). The origins are invented."""

import httpx
import pytest
from serving import PATIENCE_S, serving

from service.settings import Settings
from service.web.cors import CorsError, origins_of

SHOP, DESK = "https://shop.example", "http://localhost:5173"


@pytest.fixture(scope="module")
def open_to_shop():
    with (
        serving(Settings(cors_origins=f"{SHOP}, {DESK}")) as base,
        httpx.Client(base_url=base, timeout=PATIENCE_S) as client,
    ):
        yield client


def preflight(client, origin, method="POST"):
    return client.options("/v1/fittings", headers={"Origin": origin, "Access-Control-Request-Method": method})


@pytest.mark.parametrize("origin", [SHOP, DESK])
@pytest.mark.parametrize("path", ["/v1/rules", "/nothing", "/v1/fittings"])
def test_any_answer_to_an_allowed_origin_may_be_read(open_to_shop, origin, path):
    fields = open_to_shop.get(path, headers={"Origin": origin}).headers
    assert fields["access-control-allow-origin"] == origin
    exposed = set(fields["access-control-expose-headers"].split(", "))
    assert {
        "Content-Disposition",
        "X-Request-Id",
        "RateLimit",
        "RateLimit-Policy",
        "Retry-After",
        "Server-Timing",
    } <= exposed
    assert "Origin" in fields["vary"]
    assert "access-control-allow-credentials" not in fields


def test_a_preflight_is_answered(open_to_shop):
    answer = preflight(open_to_shop, SHOP)
    assert (answer.status_code, answer.headers["access-control-allow-origin"]) == (200, SHOP)
    assert set(answer.headers["access-control-allow-methods"].split(", ")) == {"GET", "HEAD", "POST"}
    headers = set(answer.headers["access-control-allow-headers"].lower().split(", "))
    assert {"authorization", "x-api-key", "content-type", "content-encoding", "x-request-id", "traceparent"} <= headers
    assert answer.headers["access-control-max-age"].isdigit()
    assert "access-control-allow-credentials" not in answer.headers
    assert "x-request-id" in answer.headers


@pytest.mark.parametrize(
    "origin",
    [
        "https://shop.example.evil.example",
        "https://evil-shop.example",
        "https://sub.shop.example",
        "http://shop.example",
        "https://shop.example:443",
        "https://shop.example:8443",
        "https://SHOP.example",
        "https://shop.example/",
        "https://shop.example, http://localhost:5173",
        "null",
        "*",
        "",
    ],
)
def test_another_origin_is_not_let_in(open_to_shop, origin):
    for answer in (open_to_shop.get("/v1/rules", headers={"Origin": origin}), preflight(open_to_shop, origin)):
        assert "access-control-allow-origin" not in answer.headers
        assert "Origin" in answer.headers["vary"]


def test_caches_are_told_that_the_origin_matters_even_without_one(open_to_shop):
    assert "Origin" in open_to_shop.get("/v1/rules").headers["vary"]


def test_without_a_list_nothing_is_said(client):
    answer = client.get("/v1/rules", headers={"Origin": SHOP})
    assert not [name for name in (*answer.headers, *preflight(client, SHOP).headers) if name.startswith("access-control")]


@pytest.mark.parametrize(
    ("text", "origins"),
    [
        ("", []),
        ("https://a.example", ["https://a.example"]),
        (
            "https://a.example,http://b.example:8080  https://[::1]:3000",
            ["https://a.example", "http://b.example:8080", "https://[::1]:3000"],
        ),
    ],
)
def test_a_list_is_read(text, origins):
    assert origins_of(text) == origins


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("*", "looks like https://shop.example"),
        ("null", "looks like"),
        ("shop.example", "looks like"),
        ("https://shop.example/", "looks like"),
        ("https://Shop.example", "small letters"),
        ("https://*.example", "looks like"),
        ("https://shop.example:443", "write https://shop.example"),
        ("http://shop.example:80", "write http://shop.example"),
        ("https://shop.example:0", "looks like"),
        ("https://shop.example:70000", "no such port"),
        ("ftp://shop.example", "looks like"),
        ("https://user@shop.example", "looks like"),
        ("https://a.example;https://b.example", "looks like"),
    ],
)
def test_what_no_browser_sends_is_refused(text, told):
    with pytest.raises(CorsError, match=told):
        origins_of(text)

"""Cross-origin calls: what a browser is told, by the Fetch standard, 3.3 (WHATWG). The origins are invented."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.web.cors import Cors, CorsError, origins_of

SHOP, DESK = b"https://shop.example", b"http://localhost:5173"
CORS = Cors(origins_of("https://shop.example, http://localhost:5173"))

pairs = st.lists(
    st.tuples(
        st.one_of(st.binary(max_size=20), st.sampled_from([b"origin", b"access-control-request-method"])),
        st.one_of(st.binary(max_size=40), st.sampled_from([SHOP, b"null", b"*"])),
    ),
    max_size=6,
)


def asking(origin: bytes) -> list[tuple[bytes, bytes]]:
    return [(b"origin", origin), (b"access-control-request-method", b"POST")]


@pytest.mark.parametrize("origin", [SHOP, DESK])
def test_an_answer_to_an_allowed_origin_may_be_read(origin: bytes) -> None:
    fields = dict(CORS.fields([(b"accept", b"*/*"), (b"origin", origin)]))
    assert fields[b"access-control-allow-origin"] == origin
    exposed = fields[b"access-control-expose-headers"].decode().split(", ")
    assert {"X-Request-Id", "RateLimit", "RateLimit-Policy", "Retry-After", "Server-Timing"} <= set(exposed)
    assert fields[b"vary"] == b"Origin"


def test_a_question_beforehand_is_answered() -> None:
    fields = dict(CORS.preflight("OPTIONS", asking(SHOP)) or ())
    assert fields[b"access-control-allow-origin"] == SHOP
    assert set(fields[b"access-control-allow-methods"].decode().split(", ")) == {"GET", "HEAD", "POST"}
    headers = fields[b"access-control-allow-headers"].decode().lower().split(", ")
    assert {"authorization", "x-api-key", "content-type", "content-encoding", "x-request-id", "traceparent"} <= set(headers)
    assert fields[b"access-control-max-age"].isdigit()
    assert fields[b"vary"] == b"Origin"


@pytest.mark.parametrize(
    "origin",
    [
        b"https://shop.example.evil.example",
        b"https://evil-shop.example",
        b"https://sub.shop.example",
        b"http://shop.example",
        b"https://shop.example:443",
        b"https://shop.example:8443",
        b"https://SHOP.example",
        b"https://shop.example/",
        b"https://shop.example, http://localhost:5173",
        b"null",
        b"*",
        b"",
    ],
)
def test_another_origin_is_told_nothing(origin: bytes) -> None:
    assert CORS.fields([(b"origin", origin)]) == ((b"vary", b"Origin"),)
    assert CORS.preflight("OPTIONS", asking(origin)) is None


def test_caches_are_told_that_the_origin_matters_even_without_one() -> None:
    assert CORS.fields([]) == ((b"vary", b"Origin"),)


def test_two_origins_are_none() -> None:
    assert CORS.fields([(b"origin", SHOP), (b"origin", SHOP)]) == ((b"vary", b"Origin"),)


@pytest.mark.parametrize(
    ("method", "headers"), [("GET", asking(SHOP)), ("OPTIONS", [(b"origin", SHOP)]), ("OPTIONS", asking(SHOP)[1:])]
)
def test_what_is_no_question_beforehand_is_left_to_the_door(method: str, headers: list[tuple[bytes, bytes]]) -> None:
    assert CORS.preflight(method, headers) is None


def test_without_a_list_nothing_is_said() -> None:
    none = Cors(origins_of(""))
    assert none.fields(asking(SHOP)) == ()
    assert none.preflight("OPTIONS", asking(SHOP)) is None


@given(st.sampled_from(["GET", "POST", "OPTIONS"]), pairs)
def test_only_a_listed_origin_is_ever_let_in_and_never_with_credentials(
    method: str, headers: list[tuple[bytes, bytes]]
) -> None:
    for fields in (CORS.fields(headers), CORS.preflight(method, headers) or ()):
        assert dict(fields).get(b"access-control-allow-origin", SHOP) in {SHOP, DESK}
        assert b"access-control-allow-credentials" not in dict(fields)
        if [value for name, value in headers if name == b"origin"] != [SHOP]:
            assert b"access-control-allow-origin" not in dict(fields)


@pytest.mark.parametrize(
    ("text", "origins"),
    [
        ("", set()),
        ("https://a.example", {b"https://a.example"}),
        (
            "https://a.example,http://b.example:8080  https://[::1]:3000",
            {b"https://a.example", b"http://b.example:8080", b"https://[::1]:3000"},
        ),
        ("https://a.example https://a.example", {b"https://a.example"}),
    ],
)
def test_a_list_is_read(text: str, origins: set[bytes]) -> None:
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
def test_what_no_browser_sends_is_refused(text: str, told: str) -> None:
    with pytest.raises(CorsError, match=told):
        origins_of(text)

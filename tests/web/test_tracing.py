"""Traces: `traceparent` read as the W3C's own test suite wants it, carried on, and recorded where that is asked for.

Published values: the requests of the test suite of W3C Trace Context, `test/test.py` in github.com/w3c/trace-context
(names of its tests in the comments), and the example of the Recommendation's section on `traceparent`. Where the suite
expects a new trace to be begun, this service begins none: `traceparent` is ignored.
"""

import asyncio
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from opentelemetry.proto.collector.trace.v1.trace_service_pb2 import ExportTraceServiceRequest
from opentelemetry.sdk.trace import ReadableSpan
from opentelemetry.sdk.trace.export.in_memory_span_exporter import InMemorySpanExporter
from opentelemetry.trace import SpanKind, StatusCode

from service.web.asgi import Application, Receive, Scope, Send
from service.web.tracing import SCOPE_KEY, Spans, Trace, Tracing, TracingError, incoming, onward, parse

TRACE_ID, SPAN_ID = "12345678901234567890123456789012", "1234567890123456"
SENT = b"00-12345678901234567890123456789012-1234567890123456-01"
FUTURE = b"-what-the-future-will-be-like"


@pytest.mark.parametrize(
    "value",
    [
        SENT,  # test_traceparent_included_tracestate_missing
        b"cc" + SENT[2:],  # test_traceparent_version_0xcc
        b"cc" + SENT[2:] + FUTURE,  # the same
        b" " + SENT,  # test_traceparent_ows_handling
        b"\t" + SENT,
        SENT + b" ",
        SENT + b"\t",
        b"\t " + SENT + b" \t",
    ],
)
def test_valid_ones_are_taken(value: bytes) -> None:
    assert parse(value) == Trace(TRACE_ID, SPAN_ID, 1)


def test_the_example_of_the_recommendation() -> None:
    assert parse(b"00-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-00") == Trace(
        "4bf92f3577b34da6a3ce929d0e0e4736", "00f067aa0ba902b7", 0
    )


@pytest.mark.parametrize(
    "value",
    [
        SENT + b".",  # test_traceparent_version_0x00
        SENT + FUTURE,  # the same
        b"cc" + SENT[2:] + b".what-the-future-will-be-like",  # test_traceparent_version_0xcc
        b"ff" + SENT[2:],  # test_traceparent_version_0xff
        b".0" + SENT[2:],  # test_traceparent_version_illegal_characters
        b"0." + SENT[2:],
        b"000" + SENT[2:],  # test_traceparent_version_too_long
        b"0000" + SENT[2:],
        b"0" + SENT[2:],  # test_traceparent_version_too_short
        b"00-00000000000000000000000000000000-1234567890123456-01",  # test_traceparent_trace_id_all_zero
        b"00-.2345678901234567890123456789012-1234567890123456-01",  # test_traceparent_trace_id_illegal_characters
        b"00-1234567890123456789012345678901.-1234567890123456-01",
        b"00-123456789012345678901234567890123-1234567890123456-01",  # test_traceparent_trace_id_too_long
        b"00-1234567890123456789012345678901-1234567890123456-01",  # test_traceparent_trace_id_too_short
        b"00-12345678901234567890123456789012-0000000000000000-01",  # test_traceparent_parent_id_all_zero
        b"00-12345678901234567890123456789012-.234567890123456-01",  # test_traceparent_parent_id_illegal_characters
        b"00-12345678901234567890123456789012-123456789012345.-01",
        b"00-12345678901234567890123456789012-12345678901234567-01",  # test_traceparent_parent_id_too_long
        b"00-12345678901234567890123456789012-123456789012345-01",  # test_traceparent_parent_id_too_short
        b"00-12345678901234567890123456789012-1234567890123456-.0",  # test_traceparent_trace_flags_illegal_characters
        b"00-12345678901234567890123456789012-1234567890123456-0.",
        b"00-12345678901234567890123456789012-1234567890123456-001",  # test_traceparent_trace_flags_too_long
        b"00-12345678901234567890123456789012-1234567890123456-1",  # test_traceparent_trace_flags_too_short
        # of the Recommendation's text: hexadecimal digits are small letters
        b"00-4BF92F3577B34DA6A3CE929D0E0E4736-00f067aa0ba902b7-01",
        SENT + b"\n",
        b"",
    ],
)
def test_invalid_ones_are_ignored(value: bytes) -> None:
    assert parse(value) is None


def test_two_are_as_good_as_none() -> None:  # test_traceparent_duplicated
    other = SENT.replace(b"9012-", b"9011-")
    assert incoming([(b"traceparent", other), (b"traceparent", SENT)]) is None
    assert incoming([(b"trace-parent", SENT)]) is None  # test_traceparent_header_name
    assert incoming([(b"trace.parent", SENT)]) is None
    assert incoming([(b"host", b"x"), (b"traceparent", SENT)]) == Trace(TRACE_ID, SPAN_ID, 1)


def test_the_trace_goes_on_with_a_new_span_and_known_flags_only() -> None:
    came = Trace(TRACE_ID, SPAN_ID, 0xFF)
    went = onward(came)
    assert (went.trace_id, went.flags) == (TRACE_ID, 0b11)
    assert went.span_id != SPAN_ID
    assert onward(came).span_id != went.span_id
    assert parse(went.header) == went


@given(st.binary(max_size=80))
def test_any_bytes_are_answered(value: bytes) -> None:
    assert parse(value) is None


@given(
    st.from_regex(rb"[0-9a-g]{2}-[0-9a-f]{31,33}-[0-9a-f]{15,17}-[0-9a-f]{2}(-.{0,9})?", fullmatch=True),
    st.integers(0, 54),
)
def test_what_is_taken_has_the_form_that_is_sent(value: bytes, cut: int) -> None:
    for one in (value, value[:cut]):
        found = parse(one)
        if found is not None:
            assert one[2:55] == b"-%s-%s-%02x" % (found.trace_id.encode(), found.span_id.encode(), found.flags)


Sent = list[dict[str, Any]]


def answering(status: int) -> Application:
    async def app(_scope: Scope, _receive: Receive, send: Send) -> None:
        await send({"type": "http.response.start", "status": status, "headers": [(b"a", b"b")]})
        await send({"type": "http.response.body", "body": b"{}"})

    return app


async def failing(_scope: Scope, _receive: Receive, _send: Send) -> None:
    raise ValueError("words of a body")


async def call(app: Application, *headers: tuple[bytes, bytes]) -> tuple[Scope, dict[bytes, bytes]]:
    """The scope after the request, and the answer's header fields."""
    scope: Scope = {"type": "http", "method": "POST", "path": "/v1/fittings", "headers": list(headers)}
    sent: Sent = []

    async def send(message: Any) -> None:
        sent.append(message)

    async def receive() -> Any:
        raise AssertionError("nobody asks for the body")

    await app(scope, receive, send)
    return scope, dict(sent[0]["headers"])


def test_a_request_with_a_trace_is_answered_with_it() -> None:
    scope, fields = asyncio.run(call(Tracing(answering(200)), (b"traceparent", SENT)))
    own = scope[SCOPE_KEY]
    assert own.trace_id == TRACE_ID
    assert own.span_id != SPAN_ID
    assert fields == {b"a": b"b", b"traceresponse": own.header}


@pytest.mark.parametrize("headers", [[], [(b"traceparent", b"nonsense")], [(b"traceparent", SENT)] * 2])
def test_no_trace_is_begun(headers: list[tuple[bytes, bytes]]) -> None:
    scope, fields = asyncio.run(call(Tracing(answering(200)), *headers))
    assert SCOPE_KEY not in scope
    assert fields == {b"a": b"b"}


def test_what_is_no_request_is_passed_on() -> None:
    passed: list[Scope] = []

    async def app(scope: Scope, _receive: Receive, _send: Send) -> None:
        passed.append(scope)

    async def nothing(*_: Any) -> Any:
        return {}

    asyncio.run(Tracing(app)({"type": "lifespan"}, nothing, nothing))
    assert passed == [{"type": "lifespan"}]


@contextmanager
def recording(app: Application) -> Iterator[tuple[Application, InMemorySpanExporter]]:
    exporter = InMemorySpanExporter()
    spans = Spans(version="1.0", operation=lambda _scope: "calculateFitting", exporter=exporter)
    try:
        yield Tracing(app, spans), exporter
    finally:
        spans.close()


def recorded(app: Application, *headers: tuple[bytes, bytes]) -> tuple[Scope, dict[bytes, bytes], ReadableSpan]:
    with recording(app) as (traced, exporter):
        scope, fields = asyncio.run(call(traced, *headers))
    (span,) = exporter.get_finished_spans()
    return scope, fields, span


def test_a_request_is_a_span_of_the_callers_trace() -> None:
    scope, fields, span = recorded(answering(200), (b"traceparent", SENT))
    assert span.context is not None
    assert span.parent is not None
    assert (f"{span.context.trace_id:032x}", f"{span.parent.span_id:016x}") == (TRACE_ID, SPAN_ID)
    assert span.parent.is_remote
    assert (span.name, span.kind, span.status.status_code) == ("calculateFitting", SpanKind.SERVER, StatusCode.UNSET)
    assert span.attributes == {"http.request.method": "POST", "http.response.status_code": 200}
    assert span.resource.attributes["service.version"] == "1.0"
    assert fields[b"traceresponse"] == scope[SCOPE_KEY].header
    assert scope[SCOPE_KEY].span_id == f"{span.context.span_id:016x}"


@pytest.mark.parametrize("headers", [[], [(b"traceparent", b"nonsense")]])
def test_with_spans_a_request_without_a_trace_begins_one(headers: list[tuple[bytes, bytes]]) -> None:
    _, fields, span = recorded(answering(200), *headers)
    assert span.parent is None
    begun = parse(fields[b"traceresponse"])
    assert begun is not None
    assert span.context is not None
    assert begun.trace_id == f"{span.context.trace_id:032x}"


def test_the_callers_wish_not_to_be_recorded_is_kept() -> None:
    with recording(answering(200)) as (traced, exporter):
        _, fields = asyncio.run(call(traced, (b"traceparent", SENT[:-1] + b"0")))
    assert exporter.get_finished_spans() == ()
    answered = parse(fields[b"traceresponse"])
    assert answered is not None
    assert (answered.trace_id, answered.flags & 1) == (TRACE_ID, 0)


def test_a_fault_of_ours_is_an_error_and_a_refusal_is_not() -> None:
    *_, span = recorded(answering(503))
    assert span.status.status_code is StatusCode.ERROR
    assert span.attributes is not None
    assert span.attributes["error.type"] == "503"
    *_, span = recorded(answering(422))
    assert span.status.status_code is StatusCode.UNSET


def test_an_exception_goes_on_and_its_words_are_not_recorded() -> None:
    with recording(failing) as (traced, exporter), pytest.raises(ValueError, match="words"):
        asyncio.run(call(traced))
    (span,) = exporter.get_finished_spans()
    assert span.status.status_code is StatusCode.ERROR
    assert span.attributes is not None
    assert span.attributes["error.type"] == "ValueError"
    assert "words" not in span.to_json()


@contextmanager
def collector() -> Iterator[tuple[str, list[bytes]]]:
    """A receiver of OTLP over HTTP: its address and the bodies it has got."""
    got: list[bytes] = []

    class Receiving(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            assert self.path == "/v1/traces"
            got.append(self.rfile.read(int(self.headers["content-length"])))
            self.send_response(200)
            self.send_header("content-length", "0")
            self.end_headers()

        def log_message(self, *_: Any) -> None:
            """Say nothing."""

    with ThreadingHTTPServer(("127.0.0.1", 0), Receiving) as server:
        thread = threading.Thread(target=server.serve_forever)
        thread.start()
        try:
            yield f"http://127.0.0.1:{server.server_port}", got
        finally:
            server.shutdown()
            thread.join()


def test_spans_are_sent_where_the_environment_says(monkeypatch: pytest.MonkeyPatch) -> None:
    with collector() as (address, got):
        monkeypatch.setenv("OTEL_EXPORTER_OTLP_ENDPOINT", address)
        monkeypatch.setenv("OTEL_SERVICE_NAME", "lathwind-north")
        spans = Spans(version="1.0")
        asyncio.run(call(Tracing(answering(200), spans), (b"traceparent", SENT)))
        spans.close()
    (body,) = got
    (resource,) = ExportTraceServiceRequest.FromString(body).resource_spans
    named = {one.key: one.value.string_value for one in resource.resource.attributes}
    assert named["service.name"] == "lathwind-north"
    (span,) = resource.scope_spans[0].spans
    assert (span.trace_id.hex(), span.parent_span_id.hex(), span.name) == (TRACE_ID, SPAN_ID, "POST")


def test_without_the_packages_the_reason_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "opentelemetry.sdk.trace", None)
    with pytest.raises(TracingError, match=r"extra `traces`.*opentelemetry\.sdk\.trace"):
        Spans(version="1.0")

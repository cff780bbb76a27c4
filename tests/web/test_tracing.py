"""Traces: `traceparent` carried on by OpenTelemetry, nothing recorded that a caller has written.

Published value: the example of the Recommendation W3C Trace Context, section on `traceparent` (from memory).
"""

import asyncio
import json
import sys
import threading
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

import httpx
import pytest
from opentelemetry.proto.collector.trace.v1.trace_service_pb2 import ExportTraceServiceRequest
from opentelemetry.sdk.trace.export.in_memory_span_exporter import InMemorySpanExporter
from opentelemetry.trace import SpanKind, StatusCode
from serving import PATIENCE_S, process

from service.contract.examples import FITTINGS
from service.web.tracing import RECORDED, Spans, TracingError

TRACE_ID, SPAN_ID = "4bf92f3577b34da6a3ce929d0e0e4736", "00f067aa0ba902b7"
SENT = f"00-{TRACE_ID}-{SPAN_ID}-01".encode()
SECRET = b"orchid-lock-7"


def answering(status, spans=None):
    async def app(_scope, _receive, send):
        if spans is not None:
            spans.name("calculateFitting")
        await send({"type": "http.response.start", "status": status, "headers": [(b"a", b"b")]})
        await send({"type": "http.response.body", "body": b"{}"})

    return app


async def failing(_scope, _receive, _send):
    raise ValueError(SECRET.decode())


async def call(app, *headers):
    """The answer's header fields."""
    scope = {
        "type": "http",
        "method": "POST",
        "scheme": "http",
        "http_version": "1.1",
        "server": ("127.0.0.1", 80),
        "client": ("192.0.2.7", 1),
        "path": f"/{SECRET.decode()}",
        "raw_path": b"/" + SECRET,
        "query_string": SECRET,
        "headers": [(b"host", b"h"), (b"user-agent", SECRET), (b"x-api-key", SECRET), *headers],
    }
    sent = []

    async def send(message):
        sent.append(message)

    async def receive():
        raise AssertionError("nobody asks for the body")

    await app(scope, receive, send)
    return dict(sent[0]["headers"])


def recorded(status, *headers):
    exporter = InMemorySpanExporter()
    spans = Spans(version="1.0", exporter=exporter)
    fields = asyncio.run(call(spans.around(answering(status, spans)), *headers))
    spans.close()
    return fields, list(exporter.get_finished_spans())


def test_a_request_is_a_span_of_the_callers_trace():
    fields, (span,) = recorded(200, (b"traceparent", SENT))
    assert span.context is not None
    assert span.parent is not None
    assert (f"{span.context.trace_id:032x}", f"{span.parent.span_id:016x}") == (TRACE_ID, SPAN_ID)
    assert (span.name, span.kind, span.status.status_code) == ("calculateFitting", SpanKind.SERVER, StatusCode.UNSET)
    assert span.resource.attributes["service.version"] == "1.0"
    assert fields[b"traceresponse"].decode() == f"00-{TRACE_ID}-{span.context.span_id:016x}-01"


@pytest.mark.parametrize("headers", [[], [(b"traceparent", b"nonsense")], [(b"traceparent", SENT.upper() + b"x")]])
def test_a_request_without_a_trace_begins_one(headers):
    fields, (span,) = recorded(200, *headers)
    assert span.parent is None
    assert span.context is not None
    assert fields[b"traceresponse"].decode().split("-")[1] == f"{span.context.trace_id:032x}" != TRACE_ID


def test_the_callers_wish_not_to_be_recorded_is_kept():
    fields, spans = recorded(200, (b"traceparent", SENT[:-1] + b"0"))
    assert spans == []
    assert fields[b"traceresponse"].decode().split("-")[1] == TRACE_ID


def test_nothing_that_a_caller_has_written_is_recorded():
    _, (span,) = recorded(200, (b"traceparent", SENT))
    assert set(span.attributes or {}) <= RECORDED
    assert (span.attributes or {})["http.method"] == "POST"
    assert (span.attributes or {})["http.status_code"] == 200
    assert SECRET.decode() not in span.to_json()


def test_a_fault_of_ours_is_an_error_and_a_refusal_is_not():
    assert recorded(503)[1][0].status.status_code is StatusCode.ERROR
    assert recorded(422)[1][0].status.status_code is StatusCode.UNSET


def test_an_exception_goes_on_and_its_words_are_not_recorded():
    exporter = InMemorySpanExporter()
    spans = Spans(version="1.0", exporter=exporter)
    with pytest.raises(ValueError, match=SECRET.decode()):
        asyncio.run(call(spans.around(failing)))
    spans.close()
    (span,) = exporter.get_finished_spans()
    assert span.status.status_code is StatusCode.ERROR
    assert SECRET.decode() not in span.to_json()


@contextmanager
def collector():
    """A receiver of OTLP over HTTP: its address and the bodies it has got."""
    got = []

    class Receiving(BaseHTTPRequestHandler):
        def do_POST(self):
            assert self.path == "/v1/traces"
            got.append(self.rfile.read(int(self.headers["content-length"])))
            self.send_response(200)
            self.send_header("content-length", "0")
            self.end_headers()

        def log_message(self, *_):
            """Say nothing."""

    with ThreadingHTTPServer(("127.0.0.1", 0), Receiving) as server:
        thread = threading.Thread(target=server.serve_forever)
        thread.start()
        try:
            yield f"http://127.0.0.1:{server.server_port}", got
        finally:
            server.shutdown()
            thread.join()


def test_spans_are_sent_where_the_environment_says_and_the_log_names_them(tmp_path):
    with collector() as (address, got):
        settings = {
            "LATHWIND_TRACES": "true",
            "OTEL_EXPORTER_OTLP_ENDPOINT": address,
            "OTEL_SERVICE_NAME": "lathwind-north",
        }
        with process(tmp_path, **settings) as (_, base, log):
            headers = {"traceparent": SENT.decode()}
            answer = httpx.post(
                f"{base}/v1/fittings", json=FITTINGS["pump-van"].request, headers=headers, timeout=PATIENCE_S
            )
    (line,) = [one for one in map(json.loads, log.read_text().splitlines()) if one.get("trace_id") == TRACE_ID]
    assert (line["event"], line["request_id"]) == ("request", answer.headers["x-request-id"])
    assert answer.headers["traceresponse"] == f"00-{TRACE_ID}-{line['span_id']}-01"
    resources = [one for body in got for one in ExportTraceServiceRequest.FromString(body).resource_spans]
    named = {one.key: one.value.string_value for one in resources[0].resource.attributes}
    assert named["service.name"] == "lathwind-north"
    sent = [span for one in resources for scope in one.scope_spans for span in scope.spans]
    assert (TRACE_ID, SPAN_ID, "calculateFitting") in [
        (span.trace_id.hex(), span.parent_span_id.hex(), span.name) for span in sent
    ]


def test_without_the_packages_the_reason_is_told(monkeypatch):
    monkeypatch.setitem(sys.modules, "opentelemetry.sdk.trace", None)
    with pytest.raises(TracingError, match=r"extra `traces`.*opentelemetry\.sdk\.trace"):
        Spans(version="1.0")

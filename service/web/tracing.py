"""Traces: the caller's W3C `traceparent` read strictly and carried on; spans of OpenTelemetry as an optional extra.

Without the extra a request that comes with a valid `traceparent` keeps its trace id, gets a span id of its own, both go
into the log line, and the answer says them in `traceresponse`. An absent or invalid one is ignored; no trace is begun.
With the extra every request is a span, of the caller's trace or of a new one, and is sent where the variables of
OpenTelemetry say (`OTEL_EXPORTER_OTLP_ENDPOINT`, `OTEL_SERVICE_NAME`, `OTEL_TRACES_SAMPLER` and the like).

The service calls no other service, so there is nobody to hand `tracestate` to: it is not read.
"""

import re
from collections.abc import Callable, Iterable
from secrets import token_hex
from typing import TYPE_CHECKING, NamedTuple

from service.web.asgi import Application, Message, Receive, Send
from service.web.asgi import Scope as RequestScope

if TYPE_CHECKING:
    from opentelemetry.context import Context
    from opentelemetry.sdk.trace.export import SpanExporter
    from opentelemetry.trace import Span

SCOPE_KEY = "lathwind.trace"
SERVER_ERROR = 500

TRACEPARENT = re.compile(rb"([0-9a-f]{2})-([0-9a-f]{32})-([0-9a-f]{16})-([0-9a-f]{2})(-.*)?\Z", re.DOTALL)
VERSION, FORBIDDEN_VERSION = b"00", b"ff"
NO_TRACE, NO_SPAN = b"0" * 32, b"0" * 16

KNOWN_FLAGS = 0b11
"""`sampled` of level 1 and `random-trace-id` of level 2; every other flag must be sent as zero."""


class Trace(NamedTuple):
    """A place in a trace: whose it is, and the span that it names."""

    trace_id: str
    span_id: str
    flags: int

    @property
    def header(self) -> bytes:
        """The value of `traceparent` and of `traceresponse`."""
        return f"00-{self.trace_id}-{self.span_id}-{self.flags:02x}".encode()


def parse(value: bytes) -> Trace | None:
    """The trace of a `traceparent`; None where the header is to be ignored.

    W3C Trace Context, level 1 (Recommendation) and level 2 (Candidate Recommendation), "traceparent Header Field Values"
    and "Versioning of traceparent": a higher version may be longer, version 00 may not.
    """
    found = TRACEPARENT.match(value.strip(b" \t"))
    if not found:
        return None
    version, trace_id, span_id, flags, more = found.groups()
    if version == FORBIDDEN_VERSION or (version == VERSION and more) or trace_id == NO_TRACE or span_id == NO_SPAN:
        return None
    return Trace(trace_id.decode(), span_id.decode(), int(flags, 16))


def incoming(headers: Iterable[tuple[bytes, bytes]]) -> Trace | None:
    """The caller's trace: of the one `traceparent`; two of them are as good as none."""
    found = [value for name, value in headers if name == b"traceparent"]
    return parse(found[0]) if len(found) == 1 else None


def onward(trace: Trace) -> Trace:
    """The same trace with a new span, for the answer and for whoever is next."""
    return Trace(trace.trace_id, token_hex(8), trace.flags & KNOWN_FLAGS)


class Tracing:
    """Wraps an application: puts the request's trace into the scope (`SCOPE_KEY`) and into the answer."""

    def __init__(self, app: Application, spans: "Spans | None" = None) -> None:
        """Wrap an application; with spans each request is recorded."""
        self._app = app
        self._spans = spans

    async def __call__(self, scope: RequestScope, receive: Receive, send: Send) -> None:
        """Pass a request on."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        caller = incoming(scope["headers"])
        if self._spans is not None:
            await self._spans.record(self._app, caller, scope, receive, send)
        elif caller is not None:
            own = scope[SCOPE_KEY] = onward(caller)
            await self._app(scope, receive, _telling(own, send, lambda _status: None))
        else:
            await self._app(scope, receive, send)


def _telling(own: Trace, send: Send, status_known: Callable[[int], None]) -> Send:
    """A `send` that adds `traceresponse` (W3C editor's draft, "Trace Context HTTP Response Headers Format")."""

    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            status_known(message["status"])
            message["headers"] = [*message.get("headers", ()), (b"traceresponse", own.header)]
        await send(message)

    return sending


class TracingError(Exception):
    """Spans are asked for and cannot be had; the text says what is missing."""


class Spans:
    """Records requests as spans of OpenTelemetry."""

    def __init__(
        self,
        *,
        version: str,
        operation: Callable[[RequestScope], str] = lambda _scope: "",
        exporter: "SpanExporter | None" = None,
    ) -> None:
        """Send spans with OTLP over HTTP, or give them to an exporter.

        `operation` tells the id of the operation that has answered a request, once it has.

        Raises:
            TracingError: OpenTelemetry is not installed.
        """
        try:
            from opentelemetry import trace  # noqa: PLC0415 - an optional extra, missing in most installs
            from opentelemetry.exporter.otlp.proto.http.trace_exporter import OTLPSpanExporter  # noqa: PLC0415 - the same
            from opentelemetry.sdk.resources import Resource  # noqa: PLC0415 - the same
            from opentelemetry.sdk.trace import TracerProvider  # noqa: PLC0415 - the same
            from opentelemetry.sdk.trace.export import BatchSpanProcessor  # noqa: PLC0415 - the same
        except ImportError as error:
            raise TracingError(f"spans need the packages of the extra `traces`: there is no {error.name}") from error
        self._api = trace
        self._operation = operation
        # OTEL_SERVICE_NAME and OTEL_RESOURCE_ATTRIBUTES override the name given here
        resource = Resource.create({"service.version": version}).merge(Resource.create())
        self._provider = TracerProvider(resource=resource, shutdown_on_exit=False)
        self._provider.add_span_processor(BatchSpanProcessor(exporter or OTLPSpanExporter()))
        self._tracer = self._provider.get_tracer("lathwind")

    async def record(
        self, app: Application, caller: Trace | None, scope: RequestScope, receive: Receive, send: Send
    ) -> None:
        """Let an application answer inside a span. Neither bodies nor header values nor paths are recorded."""
        with self._tracer.start_as_current_span(
            scope["method"],
            context=self._context(caller),
            kind=self._api.SpanKind.SERVER,
            attributes={"http.request.method": scope["method"]},
            record_exception=False,  # an exception's text can hold parts of a body
            set_status_on_exception=False,
        ) as span:
            told = span.get_span_context()
            own = Trace(f"{told.trace_id:032x}", f"{told.span_id:016x}", told.trace_flags & KNOWN_FLAGS)
            scope[SCOPE_KEY] = own
            try:
                await app(scope, receive, _telling(own, send, lambda status: self._answered(span, status)))
            except BaseException as error:
                self._failed(span, type(error).__name__)
                raise
            finally:
                operation = self._operation(scope)
                if operation:
                    span.update_name(operation)

    def _context(self, caller: Trace | None) -> "Context":
        """The caller's place as OpenTelemetry has it."""
        if caller is None:
            return self._api.set_span_in_context(self._api.INVALID_SPAN)
        place = self._api.SpanContext(
            int(caller.trace_id, 16),
            int(caller.span_id, 16),
            is_remote=True,
            trace_flags=self._api.TraceFlags(caller.flags & KNOWN_FLAGS),
        )
        return self._api.set_span_in_context(self._api.NonRecordingSpan(place))

    def _answered(self, span: "Span", status: int) -> None:
        span.set_attribute("http.response.status_code", status)
        if status >= SERVER_ERROR:
            self._failed(span, str(status))

    def _failed(self, span: "Span", kind: str) -> None:
        span.set_attribute("error.type", kind)
        span.set_status(self._api.StatusCode.ERROR)

    def close(self) -> None:
        """Send what has not been sent yet."""
        self._provider.shutdown()

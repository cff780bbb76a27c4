"""Traces, where the extra `traces` is installed and switched on: OpenTelemetry reads `traceparent` and records each request.

Spans are sent where the variables of OpenTelemetry say (`OTEL_EXPORTER_OTLP_ENDPOINT`, `OTEL_SERVICE_NAME`,
`OTEL_TRACES_SAMPLER` and the like). The answer names its span in `traceresponse`, the log line has its ids.
"""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from service.web.asgi import Application

if TYPE_CHECKING:
    from opentelemetry.sdk.trace import ReadableSpan
    from opentelemetry.sdk.trace.export import SpanExporter, SpanExportResult

RECORDED = frozenset({"http.request.method", "http.method", "http.response.status_code", "http.status_code", "error.type"})
"""Attributes of a span that are sent: none that holds a path, a query, an address or a header's value."""


class TracingError(Exception):
    """Spans are asked for and cannot be had; the text says what is missing."""


class Spans:
    """Records requests as spans of OpenTelemetry."""

    def __init__(self, *, version: str, exporter: "SpanExporter | None" = None) -> None:
        """Send spans with OTLP over HTTP, or give them to an exporter.

        Raises:
            TracingError: OpenTelemetry is not installed.
        """
        try:
            from opentelemetry import trace  # noqa: PLC0415 - an optional extra, missing in most installs
            from opentelemetry.exporter.otlp.proto.http.trace_exporter import OTLPSpanExporter  # noqa: PLC0415 - the same
            from opentelemetry.instrumentation.asgi import OpenTelemetryMiddleware  # noqa: PLC0415 - the same
            from opentelemetry.instrumentation.propagators import (  # noqa: PLC0415 - the same
                TraceResponsePropagator,
                set_global_response_propagator,
            )
            from opentelemetry.sdk.resources import Resource  # noqa: PLC0415 - the same
            from opentelemetry.sdk.trace import TracerProvider  # noqa: PLC0415 - the same
            from opentelemetry.sdk.trace.export import BatchSpanProcessor  # noqa: PLC0415 - the same
        except ImportError as error:
            raise TracingError(f"spans need the packages of the extra `traces`: there is no {error.name}") from error
        self._trace = trace
        self._middleware = OpenTelemetryMiddleware
        # OTEL_SERVICE_NAME and OTEL_RESOURCE_ATTRIBUTES override the name given here
        resource = Resource.create({"service.version": version}).merge(Resource.create())
        self._provider = TracerProvider(resource=resource, shutdown_on_exit=False)
        self._provider.add_span_processor(BatchSpanProcessor(_filtering(exporter or OTLPSpanExporter())))
        set_global_response_propagator(TraceResponsePropagator())  # type: ignore[no-untyped-call] # the library has no types here

    def around(self, app: Application) -> Application:
        """The application with a span around each request, named by its method until the operation is known."""
        wrapped: Application = self._middleware(
            app,
            tracer_provider=self._provider,
            default_span_details=lambda scope: (scope["method"], {}),
            exclude_spans=["receive", "send"],
        )
        return wrapped

    def name(self, operation: str) -> tuple[str, str]:
        """Name the current span by its operation, and tell the ids of its trace and its own for the log line."""
        span = self._trace.get_current_span()
        if operation:
            span.update_name(operation)
        context = span.get_span_context()
        return f"{context.trace_id:032x}", f"{context.span_id:016x}"

    def close(self) -> None:
        """Send what has not been sent yet."""
        self._provider.shutdown()


def _filtering(exporter: "SpanExporter") -> "SpanExporter":
    """An exporter that sends spans without what callers have written: attributes, events, an exception's text."""
    from opentelemetry.sdk.trace import ReadableSpan  # noqa: PLC0415 - an optional extra
    from opentelemetry.sdk.trace.export import SpanExporter  # noqa: PLC0415 - the same
    from opentelemetry.trace import Status  # noqa: PLC0415 - the same

    def filtered(span: "ReadableSpan") -> "ReadableSpan":
        attributes: dict[str, Any] = dict(span.attributes or {})
        return ReadableSpan(
            name=span.name,
            context=span.context,
            parent=span.parent,
            resource=span.resource,
            attributes={name: value for name, value in attributes.items() if name in RECORDED},
            kind=span.kind,
            status=Status(span.status.status_code),
            start_time=span.start_time,
            end_time=span.end_time,
            instrumentation_scope=span.instrumentation_scope,
        )

    class Filtering(SpanExporter):
        def export(self, spans: "Sequence[ReadableSpan]") -> "SpanExportResult":
            return exporter.export([filtered(span) for span in spans])

        def shutdown(self) -> None:
            exporter.shutdown()

        def force_flush(self, timeout_millis: int = 30_000) -> bool:
            return exporter.force_flush(timeout_millis)

    return Filtering()

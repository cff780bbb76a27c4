"""The outermost layer: request id, the canonical log line, and the answer to whatever nobody caught."""

import asyncio
import re
from collections.abc import Mapping
from time import perf_counter
from typing import Any
from uuid import uuid4

import msgspec
import structlog

from service.contract.openapi import PROBLEM_JSON
from service.contract.problems import KINDS, Fault, problem
from service.web.asgi import Application, Message, Receive, Scope, Send
from service.web.cors import Cors
from service.web.metrics import Metrics
from service.web.tracing import SCOPE_KEY as TRACE_KEY

REQUEST_ID = re.compile(rb"^[A-Za-z0-9._-]{1,64}\Z")
SCOPE_KEY = "lathwind"

SECURITY_HEADERS = (
    (b"x-content-type-options", b"nosniff"),
    (b"x-frame-options", b"DENY"),
    (b"referrer-policy", b"no-referrer"),
)

log = structlog.stdlib.get_logger("lathwind")


class Seen:
    """What is known of a request while it runs.

    `status` stands once an answer has begun, `operation` once it is known which one answers. `fields` go into the
    answer's header, `logged` into the log line.
    """

    __slots__ = ("fields", "logged", "operation", "request_id", "status")

    def __init__(self, request_id: str) -> None:
        """Start with the request's id."""
        self.request_id = request_id
        self.status = 0
        self.operation = ""
        self.fields: tuple[tuple[bytes, bytes], ...] = ()
        self.logged: dict[str, Any] = {}


def seen(scope: Mapping[str, Any]) -> Seen:
    """What is known of the scope's request."""
    known: Seen = scope[SCOPE_KEY]
    return known


class Witness:
    """Wraps the whole application."""

    def __init__(self, app: Application, *, cors: Cors, metrics: Metrics) -> None:
        """Wrap an application; other sites may use it as `cors` says, `metrics` count what it answers."""
        self._app = app
        self._cors = cors
        self._metrics = metrics

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, count it, and write one line about it."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        started = perf_counter()
        known = scope[SCOPE_KEY] = Seen(_request_id(scope))
        preflight = self._cors.preflight(scope["method"], scope["headers"])
        own = (
            (b"x-request-id", known.request_id.encode()),
            *SECURITY_HEADERS,
            *(self._cors.fields(scope["headers"]) if preflight is None else preflight),
        )
        sent = 0

        async def sending(message: Message) -> None:
            nonlocal sent
            if message["type"] == "http.response.start":
                known.status = message["status"]
                timing = b"app;dur=%.3f" % ((perf_counter() - started) * 1000)
                message["headers"] = [*message.get("headers", ()), *own, *known.fields, (b"server-timing", timing)]
            elif message["type"] == "http.response.body":
                sent += len(message.get("body", b""))
            await send(message)

        try:
            if _odd(scope):
                known.logged["problem"] = "not-found"
                told = nothing_at(scope)
                head = scope["method"] == "HEAD"
                await send_problem(sending, "not-found", detail=told, request_id=known.request_id, without_body=head)
            elif preflight is None:
                await self._app(scope, receive, sending)
            else:
                await sending({"type": "http.response.start", "status": 204})
                await sending({"type": "http.response.body", "body": b"", "more_body": False})
        except Exception:
            log.exception("unhandled", request_id=known.request_id, path=scope["path"])
            known.logged["problem"] = "internal-error"
            if known.status:
                raise
            await send_problem(sending, "internal-error", detail=INTERNAL, request_id=known.request_id)
        finally:
            self._tell(scope, known, perf_counter() - started, sent)

    def _tell(self, scope: Scope, known: Seen, seconds: float, sent: int) -> None:
        """Count the request, and write its line."""
        self._metrics.request(known.operation, scope["method"], known.status, seconds)
        if "problem" in known.logged:
            self._metrics.rejected(str(known.logged["problem"]))
        trace = scope.get(TRACE_KEY)
        if trace is not None:
            known.logged |= {"trace_id": trace.trace_id, "span_id": trace.span_id}
        log.info(
            "request",
            request_id=known.request_id,
            operation=known.operation,
            method=scope["method"],
            path=scope["path"],
            status=known.status,
            bytes_out=sent,
            ms=round(seconds * 1000, 3),
            **known.logged,
        )


ENDS = (asyncio.CancelledError, GeneratorExit, KeyboardInterrupt, SystemExit)
"""What ends the work and is no fault. Other exceptions outside `Exception` are: a library in Rust that panics raises one."""
INTERNAL = "The service failed; the fault is logged under this request's id."


def _request_id(scope: Scope) -> str:
    """The caller's id where it has the right form, else a new one."""
    for name, value in scope["headers"]:
        if name == b"x-request-id" and REQUEST_ID.match(value):
            return str(value, "ascii")
    return uuid4().hex


def _odd(scope: Scope) -> bool:
    """Whether a path is written as none of ours is, though the router would take it for one.

    Ours are plain ASCII. What a proxy lets through goes by the path as it is written, so there is one way to write it.
    """
    path = scope["path"]
    return scope["raw_path"] != path.encode() or "//" in path or (path.endswith("/") and path != "/")


def nothing_at(scope: Mapping[str, Any]) -> str:
    """What is said of an unknown path."""
    return f"There is nothing at {scope['path']}."


async def send_problem(
    send: Send,
    kind: str,
    *,
    detail: str,
    request_id: str,
    faults: list[Fault] | None = None,
    headers: tuple[tuple[bytes, bytes], ...] = (),
    without_body: bool = False,
) -> None:
    """Answer with a problem of the table."""
    body = msgspec.json.encode(problem(kind, detail=detail, instance=request_id, faults=faults))
    start = {
        "type": "http.response.start",
        "status": KINDS[kind].status,
        "headers": [
            (b"content-type", PROBLEM_JSON.encode()),
            (b"content-length", str(len(body)).encode()),
            (b"cache-control", b"no-store"),
            *headers,
        ],
    }
    end = {"type": "http.response.body", "body": b"" if without_body else body, "more_body": False}
    await send(start)
    await send(end)

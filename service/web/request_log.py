"""The outermost layer: request id, the canonical log line, and the answer to whatever nobody caught."""

import asyncio
import re
from collections.abc import Awaitable, Callable, Mapping
from random import getrandbits
from time import perf_counter
from typing import Any

import msgspec
import structlog
from msgspec import UNSET

from service.contract.openapi import PROBLEM_JSON
from service.contract.problems import KINDS, Refusal, problem
from service.contract.version import CONTRACT_VERSION
from service.log import Lines, RequestLine
from service.web.asgi import Application, Message, Receive, Scope, Send
from service.web.call import NO_STORE, spoken
from service.web.metrics import Metrics
from service.words import chosen_language
from service.words.languages import marked

REQUEST_ID = re.compile(rb"^[A-Za-z0-9._-]{1,64}\Z")
ID_BITS = 128
"""Bits of a new request id: no secret, only never the same twice, so that it need not come from the system each time."""
SCOPE_KEY = "lathwind"
PATH_LOGGED_MAX = 200
"""Characters of a path that are logged and answered."""

ON_EVERY_ANSWER = (
    (b"lathwind-contract", CONTRACT_VERSION.encode()),
    (b"x-content-type-options", b"nosniff"),
    (b"x-frame-options", b"DENY"),
    (b"referrer-policy", b"no-referrer"),
)

log = structlog.stdlib.get_logger("lathwind")


class RequestState:
    """What is known of a request while it runs.

    `headers` are the header fields by name, the values of a repeated one joined; `fields` go into the answer's header.
    In `line`, its log line, `status` stands once an answer has begun, `operation` once it is known which one answers.
    """

    __slots__ = ("_send", "_trace", "fields", "headers", "line", "started_s")

    def __init__(self, scope: Scope, send: Send, trace: "Trace | None") -> None:
        """Begin with the request's head; `send` sends to its caller."""
        self.started_s = perf_counter()
        self._send = send
        self._trace = trace
        self.fields: tuple[tuple[bytes, bytes], ...] = ()
        headers: dict[bytes, str] = {}
        repeated: dict[bytes, list[str]] = {}
        for name, value in scope["headers"]:
            text = value.decode("latin-1")
            if name in headers:  # joined at the end: a head may repeat one a million times
                repeated.setdefault(name, [headers[name]]).append(text)
            else:
                headers[name] = text
        for name, values in repeated.items():
            headers[name] = ", ".join(values)
        self.headers = headers
        self.line = RequestLine(_request_id(scope, headers), scope["method"], path_of(scope))

    def send(self, message: Message) -> Awaitable[None]:
        """Send a message of the answer, whose header gets what is on every answer."""
        line = self.line
        kind = message["type"]
        if kind == "http.response.start":
            line.status = message["status"]
            if self._trace is not None:
                line.trace_id, line.span_id = self._trace(line.operation)
            message["headers"] = [
                *message.get("headers", ()),
                (b"x-request-id", line.request_id.encode()),
                *ON_EVERY_ANSWER,
                *self.fields,
                (b"server-timing", b"app;dur=%.3f" % ((perf_counter() - self.started_s) * 1000)),
            ]
        elif kind == "http.response.body":
            line.bytes_out += len(message.get("body", b""))
        return self._send(message)


Trace = Callable[[str], tuple[str, str]]
"""Told the operation's id when the answer begins, gives the ids of the current trace and span."""


def state_of(scope: Mapping[str, Any]) -> RequestState:
    """What is known of the scope's request."""
    state: RequestState = scope[SCOPE_KEY]
    return state


class RequestLog:
    """Wraps the whole application."""

    def __init__(
        self,
        app: Application,
        *,
        check: Callable[[Scope], None],
        metrics: Metrics,
        lines: Lines,
        trace: Trace | None = None,
    ) -> None:
        """Wrap an application.

        Args:
            app: what answers the requests
            check: refuses a request by its head alone, before anything else looks at it
            metrics: count what is answered
            lines: the log
            trace: names the trace of a request for its log line
        """
        self._app = app
        self._check = check
        self._metrics = metrics
        self._lines = lines
        self._trace = trace

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, count it, and write one line about it."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        state = scope[SCOPE_KEY] = RequestState(scope, send, self._trace)
        line = state.line
        try:
            self._check(scope)
            await self._app(scope, receive, state.send)
        except Refusal as refusal:
            await send_refusal(scope, state.send, refusal)
        except Exception:
            log.exception("unhandled", request_id=line.request_id, path=line.path)
            if line.status:
                line.problem = "internal-error"
                raise
            await send_refusal(scope, state.send, Refusal("internal-error", INTERNAL))
        finally:
            seconds = perf_counter() - state.started_s
            line.ms = round(seconds * 1e6) / 1000
            self._metrics.request(line.operation, line.method, line.status, seconds)
            if line.problem is not UNSET:
                self._metrics.rejected(line.problem)
            self._lines.tell(line)


ENDS = (asyncio.CancelledError, GeneratorExit, KeyboardInterrupt, SystemExit)
"""What ends the work and is no fault. Other exceptions outside `Exception` are: a library in Rust that panics raises one."""
INTERNAL = marked("The service failed; the fault is logged under this request's id.")


def _request_id(scope: Scope, headers: Mapping[bytes, str]) -> str:
    """The caller's id where it has the right form, else a new one."""
    if b"x-request-id" in headers:
        for name, value in scope["headers"]:
            if name == b"x-request-id" and REQUEST_ID.match(value):
                return str(value, "ascii")
    return f"{getrandbits(ID_BITS):032x}"


def path_of(scope: Mapping[str, Any]) -> str:
    """The beginning of a path as it was sent: plain ASCII, other characters percent-encoded."""
    raw: bytes = scope["raw_path"]
    return raw[:PATH_LOGGED_MAX].decode("ascii", "backslashreplace")


def accepted_language(scope: Mapping[str, Any]) -> str:
    """The language that a request asks for."""
    return chosen_language(state_of(scope).headers.get(b"accept-language", ""))


def nothing_at(scope: Mapping[str, Any]) -> Refusal:
    """The refusal of an unknown path."""
    return Refusal("not-found", marked("There is nothing at {path}."), path=path_of(scope))


async def send_refusal(scope: Scope, send: Send, refusal: Refusal) -> None:
    """Answer with a refusal's problem, and note it for the log line."""
    line = state_of(scope).line
    line.problem = refusal.kind
    language = accepted_language(scope)
    body = msgspec.json.encode(problem(refusal, instance=line.request_id, language=language))
    headers = [
        (b"content-type", PROBLEM_JSON.encode()),
        (b"content-length", str(len(body)).encode()),
        NO_STORE,
        *spoken(language),
        *refusal.headers,
    ]
    content = b"" if scope["method"] == "HEAD" else body
    await send({"type": "http.response.start", "status": KINDS[refusal.kind].status, "headers": headers})
    await send({"type": "http.response.body", "body": content, "more_body": False})

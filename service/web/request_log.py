"""The outermost layer: request id, the canonical log line, and the answer to whatever nobody caught."""

import asyncio
import re
from collections.abc import Callable, Mapping
from random import getrandbits
from time import perf_counter
from typing import Any

import msgspec
import structlog

from service.contract.openapi import PROBLEM_JSON
from service.contract.problems import KINDS, Refusal, problem
from service.contract.version import CONTRACT_VERSION
from service.log import Lines
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
        trace: Callable[[str], dict[str, str]] | None = None,
    ) -> None:
        """Wrap an application.

        Args:
            app: what answers the requests
            check: refuses a request by its head alone, before anything else looks at it
            metrics: count what is answered
            lines: the log
            trace: told the operation's id when the answer begins, gives the ids of the current trace for the log line
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
        started = perf_counter()
        state = scope[SCOPE_KEY] = RequestState(_request_id(scope))
        own = ((b"x-request-id", state.request_id.encode()), *ON_EVERY_ANSWER)
        sent = 0

        async def sending(message: Message) -> None:
            nonlocal sent
            if message["type"] == "http.response.start":
                state.status = message["status"]
                if self._trace is not None:
                    state.logged |= self._trace(state.operation)
                timing = b"app;dur=%.3f" % ((perf_counter() - started) * 1000)
                message["headers"] = [*message.get("headers", ()), *own, *state.fields, (b"server-timing", timing)]
            elif message["type"] == "http.response.body":
                sent += len(message.get("body", b""))
            await send(message)

        try:
            self._check(scope)
            await self._app(scope, receive, sending)
        except Refusal as refusal:
            await send_refusal(scope, sending, refusal)
        except Exception:
            log.exception("unhandled", request_id=state.request_id, path=path_of(scope))
            if state.status:
                state.logged["problem"] = "internal-error"
                raise
            await send_refusal(scope, sending, Refusal("internal-error", INTERNAL))
        finally:
            self._write(scope, state, perf_counter() - started, sent)

    def _write(self, scope: Scope, state: RequestState, seconds: float, sent: int) -> None:
        """Count the request, and write its line."""
        self._metrics.request(state.operation, scope["method"], state.status, seconds)
        if "problem" in state.logged:
            self._metrics.rejected(str(state.logged["problem"]))
        self._lines.tell(
            "request",
            {
                "request_id": state.request_id,
                "operation": state.operation,
                "method": scope["method"],
                "path": path_of(scope),
                "status": state.status,
                "bytes_out": sent,
                "ms": round(seconds * 1000, 3),
                **state.logged,
            },
        )


ENDS = (asyncio.CancelledError, GeneratorExit, KeyboardInterrupt, SystemExit)
"""What ends the work and is no fault. Other exceptions outside `Exception` are: a library in Rust that panics raises one."""
INTERNAL = marked("The service failed; the fault is logged under this request's id.")


def _request_id(scope: Scope) -> str:
    """The caller's id where it has the right form, else a new one."""
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
    return chosen_language(
        ", ".join(value.decode("latin-1") for name, value in scope["headers"] if name == b"accept-language")
    )


def nothing_at(scope: Mapping[str, Any]) -> Refusal:
    """The refusal of an unknown path."""
    return Refusal("not-found", marked("There is nothing at {path}."), path=path_of(scope))


async def send_refusal(scope: Scope, send: Send, refusal: Refusal) -> None:
    """Answer with a refusal's problem, and note it for the log line."""
    state = state_of(scope)
    state.logged["problem"] = refusal.kind
    language = accepted_language(scope)
    body = msgspec.json.encode(problem(refusal, instance=state.request_id, language=language))
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

"""The outermost layer: request id, the canonical log line, and the answer to whatever nobody caught."""

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

REQUEST_ID = re.compile(rb"^[A-Za-z0-9._-]{1,64}\Z")
SCOPE_KEY = "lathwind"

SECURITY_HEADERS = ((b"x-content-type-options", b"nosniff"),)

log = structlog.stdlib.get_logger("lathwind")


class Seen:
    """What is known of a request while it runs: `status` once an answer has begun; `logged` goes into its log line."""

    __slots__ = ("logged", "request_id", "status")

    def __init__(self, request_id: str) -> None:
        """Start with the request's id."""
        self.request_id = request_id
        self.status = 0
        self.logged: dict[str, Any] = {}


def seen(scope: Mapping[str, Any]) -> Seen:
    """What is known of the scope's request."""
    known: Seen = scope[SCOPE_KEY]
    return known


class Witness:
    """Wraps the whole application."""

    def __init__(self, app: Application) -> None:
        """Wrap an application."""
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, and write one line about it."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        started = perf_counter()
        known = Seen(_request_id(scope))
        scope[SCOPE_KEY] = known
        own = ((b"x-request-id", known.request_id.encode()), *SECURITY_HEADERS)
        sent = 0

        async def sending(message: Message) -> None:
            nonlocal sent
            if message["type"] == "http.response.start":
                known.status = message["status"]
                message["headers"] = [*message.get("headers", ()), *own]
            elif message["type"] == "http.response.body":
                sent += len(message.get("body", b""))
            await send(message)

        try:
            await self._app(scope, receive, sending)
        except Exception:
            log.exception("unhandled", request_id=known.request_id, path=scope["path"])
            if known.status:
                raise
            await send_problem(sending, "internal-error", detail=INTERNAL, request_id=known.request_id)
        finally:
            log.info(
                "request",
                request_id=known.request_id,
                method=scope["method"],
                path=scope["path"],
                status=known.status,
                bytes_out=sent,
                ms=round((perf_counter() - started) * 1000, 3),
                **known.logged,
            )


INTERNAL = "The service failed; the fault is logged under this request's id."


def _request_id(scope: Scope) -> str:
    """The caller's id where it has the right form, else a new one."""
    for name, value in scope["headers"]:
        if name == b"x-request-id" and REQUEST_ID.match(value):
            return str(value, "ascii")
    return uuid4().hex


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

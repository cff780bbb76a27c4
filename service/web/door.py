"""The door: one path of the contract as an ASGI application. Method, media types, query and body are settled here."""

from collections.abc import Mapping
from typing import NamedTuple

from service.contract.openapi import PROBLEM_JSON
from service.contract.operations import JSON, Operation
from service.contract.problems import Refusal
from service.web.asgi import Receive, Scope, Send
from service.web.call import Call, Handler, Reply
from service.web.negotiation import accepts, check_content, read_query
from service.web.witness import INTERNAL, log, seen, send_problem

OK = 200


class Served(NamedTuple):
    """An operation and who answers it."""

    operation: Operation
    handler: Handler


class GoneError(Exception):
    """The caller has hung up before its body was complete."""


class Door:
    """Answers every request for one path."""

    def __init__(self, path: str, served: Mapping[str, Served], *, body_limit_bytes: int) -> None:
        """Open a door at a path for the operations by method."""
        self._path = path
        self._served = dict(served)
        if "GET" in self._served:
            self._served["HEAD"] = self._served["GET"]
        self._allow = ", ".join(sorted({*self._served, "OPTIONS"}))
        self._body_limit = body_limit_bytes

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        head = scope["method"] == "HEAD"
        try:
            reply = await self._reply(scope, receive)
        except Refusal as refusal:
            seen(scope).logged["problem"] = refusal.kind
            await send_problem(
                send,
                refusal.kind,
                detail=refusal.detail,
                request_id=seen(scope).request_id,
                faults=refusal.faults,
                headers=refusal.headers,
                without_body=head,
            )
        except GoneError:
            seen(scope).logged["gone"] = True
        except Exception:  # noqa: BLE001 - the last line: whatever it was, the caller gets a problem and the log the trace
            request_id = seen(scope).request_id
            log.exception("unhandled", request_id=request_id, path=self._path)
            await send_problem(send, "internal-error", detail=INTERNAL, request_id=request_id, without_body=head)
        else:
            seen(scope).logged.update(reply.logged)
            await _send(scope, send, reply)

    async def _reply(self, scope: Scope, receive: Receive) -> Reply:
        """Settle everything that does not depend on the operation, then let its handler answer."""
        if scope["raw_path"].partition(b"?")[0].endswith(b"/"):
            raise Refusal("not-found", f"There is nothing here; did you mean {self._path}?")
        served = self._served.get(scope["method"])
        if served is None:
            if scope["method"] == "OPTIONS":
                return Reply(b"", headers=((b"allow", self._allow.encode()),))
            raise Refusal("method-not-allowed", f"Use {self._allow}.", headers=((b"allow", self._allow.encode()),))
        operation, handler = served
        headers = _headers(scope)
        accept = headers.get(b"accept", "")
        if not (accepts(accept, operation.media_type) or accepts(accept, PROBLEM_JSON)):
            raise Refusal("not-acceptable", f"This operation answers with {operation.media_type}.")
        query = read_query(scope["query_string"].decode("latin-1"), operation.queries)
        body = b""
        if operation.body is not None:
            check_content(headers.get(b"content-type", ""), headers.get(b"content-encoding", ""), (JSON,))
            body = await self._body(receive, headers.get(b"content-length", ""))
        return handler(Call(body, query))

    async def _body(self, receive: Receive, declared: str) -> bytes:
        """The whole body.

        Raises:
            Refusal: it is larger than allowed; no more than the limit is ever kept.
            GoneError: the caller has hung up.
        """
        too_large = Refusal("body-too-large", f"The body may have {self._body_limit} bytes at most.")
        if declared.isdigit() and int(declared) > self._body_limit:
            raise too_large
        chunks: list[bytes] = []
        size = 0
        while True:
            message = await receive()
            if message["type"] == "http.disconnect":
                raise GoneError
            chunk: bytes = message.get("body", b"")
            size += len(chunk)
            if size > self._body_limit:
                raise too_large
            chunks.append(chunk)
            if not message.get("more_body"):
                return b"".join(chunks)


def _headers(scope: Scope) -> dict[bytes, str]:
    """The headers by name; the values of a repeated one joined."""
    headers: dict[bytes, str] = {}
    for name, value in scope["headers"]:
        text = value.decode("latin-1")
        headers[name] = f"{headers[name]}, {text}" if name in headers else text
    return headers


async def _send(scope: Scope, send: Send, reply: Reply) -> None:
    """Send an answer: not at all where the caller has it already, compressed where that was done beforehand."""
    asked = _headers(scope) if reply.etag or reply.gzipped else {}
    headers = list(reply.headers)
    content, status = reply.content, 200
    if reply.etag:
        headers.append((b"etag", reply.etag))
        if reply.etag.decode() in asked.get(b"if-none-match", ""):
            content, status = b"", 304
    if reply.gzipped:
        headers.append((b"vary", b"accept-encoding"))
        if status == OK and "gzip" in asked.get(b"accept-encoding", ""):
            headers.append((b"content-encoding", b"gzip"))
            content = reply.gzipped
    if status == OK:
        headers.append((b"content-type", reply.media_type.encode()))
        headers.append((b"content-length", str(len(content)).encode()))
    start = {"type": "http.response.start", "status": status, "headers": headers}
    body = b"" if scope["method"] == "HEAD" else content
    end = {"type": "http.response.body", "body": body, "more_body": False}
    await send(start)
    await send(end)

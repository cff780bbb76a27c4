"""An endpoint: one path of the contract as an ASGI application. Method, media types, query and body are settled here."""

import sys
from collections.abc import Mapping
from functools import partial
from typing import NamedTuple, cast

from service.contract.negotiation import accepts, check_content_encoding, check_content_type, matches, read_query
from service.contract.openapi import PROBLEM_JSON
from service.contract.operations import Operation
from service.contract.problems import Refusal
from service.web.admission import Admission
from service.web.asgi import Receive, Scope, Send
from service.web.body import Body, ByteBudget, GoneError, Patience
from service.web.call import Call, Exchange, Handler, Reply, StreamHandler
from service.web.request_log import ENDS, INTERNAL, RequestState, log, send_refusal, state_of
from service.web.worker_threads import in_worker_thread
from service.words import chosen_language
from service.words.languages import marked

OK = 200
NOT_MODIFIED = 304


class Served(NamedTuple):
    """An operation and who answers it."""

    operation: Operation
    handler: Handler | StreamHandler


class _Way(NamedTuple):
    """An operation, who answers it, and how large its body may be."""

    operation: Operation
    handler: Handler | StreamHandler
    limit_bytes: int


class BodyLimits(NamedTuple):
    """How large bodies may be, how patiently the service waits for more of one, and how long heavy work may take.

    `budget` is what all bodies of this process may hold together.
    """

    small_bytes: int
    large_bytes: int
    budget: ByteBudget
    patience: Patience
    heavy_s: float


class Endpoint:
    """Answers every request for one path."""

    def __init__(self, path: str, served: Mapping[str, Served], limits: BodyLimits, admission: Admission) -> None:
        """Serve the operations of a path by their methods."""
        self._path = path
        self._served = {method: _Way(*one, _limit_bytes(one.operation, limits)) for method, one in served.items()}
        if "GET" in self._served:
            self._served["HEAD"] = self._served["GET"]
        self._allow = ", ".join(sorted({*self._served, "OPTIONS"}))
        self._limits = limits
        self._admission = admission

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        state = state_of(scope)
        try:
            reply = await self._reply(scope, state, receive, send)
        except Refusal as refusal:
            await send_refusal(scope, send, refusal)
        except GoneError:
            state.line.gone = True
        except BaseException as fault:
            if isinstance(fault, ENDS):
                raise
            if state.line.status:  # an answer is under way: let the server cut it, so that the caller sees it is not whole
                raise
            log.exception("unhandled", request_id=state.line.request_id, path=self._path)
            await send_refusal(scope, send, Refusal("internal-error", INTERNAL))
        else:
            if reply is not None:
                await _send(scope, state.headers, send, reply)

    async def _reply(self, scope: Scope, state: RequestState, receive: Receive, send: Send) -> Reply | None:
        """Settle everything that does not depend on the operation, then let its handler answer; None when it has."""
        served = self._served.get(scope["method"])
        if served is None:
            return self._without_operation(scope["method"])
        operation, handler, limit_bytes = served
        headers, line = state.headers, state.line
        line.operation = operation.id
        caller = self._admission.admit(scope, state, operation)
        self._admission.enter(caller, operation)
        body = None
        try:
            query = read_query(scope["query_string"].decode("latin-1"), operation.queries)
            language = chosen_language(headers.get(b"accept-language", ""))
            if operation.body is None:
                _check_accept(headers, operation.media_type)
                return cast("Handler", handler)(Call(b"", query, language, line))
            check_content_type(headers.get(b"content-type", ""), operation.takes)
            _check_accept(headers, operation.media_type)
            gzipped = b"content-encoding" in headers and check_content_encoding(
                headers[b"content-encoding"], gzip=operation.body_size != "small"
            )
            body = Body(
                receive, self._limits.budget, self._limits.patience, limit_bytes, gzipped=gzipped, watched=operation.streams
            )
            body.check_declared(headers.get(b"content-length", ""))
            if operation.streams:
                return await cast("StreamHandler", handler)(Exchange(query, body, send, language, line))
            call = Call(await body.whole(), query, language, line)
            if operation.works_beside(query):
                return await self._in_worker_thread(cast("Handler", handler), call, body)
            return cast("Handler", handler)(call)
        finally:
            if body is not None:
                body.close()
            self._admission.leave(caller, operation)

    def _without_operation(self, method: str) -> Reply:
        """What is answered to a method that has no operation here.

        Raises:
            Refusal: it is not the one that asks for those that have.
        """
        allow = ((b"allow", self._allow.encode()),)
        if method != "OPTIONS":
            raise Refusal("method-not-allowed", marked("Use {methods}."), methods=self._allow, headers=allow)
        return Reply(b"", headers=allow)

    async def _in_worker_thread(self, handler: Handler, call: Call, body: Body) -> Reply:
        """Let a heavy handler work in a thread beside the event loop.

        Raises:
            Refusal: it takes too long.
            GoneError: the caller has hung up.
        """
        try:
            return await in_worker_thread(partial(handler, call), body, limit_s=self._limits.heavy_s)
        except TimeoutError as error:
            told, again = marked("It was given up after {seconds} s."), ((b"retry-after", b"5"),)
            raise Refusal("took-too-long", told, seconds=self._limits.heavy_s, headers=again) from error


def _limit_bytes(operation: Operation, limits: BodyLimits) -> int:
    """How large a body may be; one that is answered while it arrives is only limited line by line."""
    if operation.body_size == "stream":
        return sys.maxsize
    return min(limits.small_bytes if operation.body_size == "small" else limits.large_bytes, operation.body_bytes_max)


def _check_accept(headers: dict[bytes, str], media_type: str) -> None:
    """Refuse a caller that does not take the answer.

    Raises:
        Refusal: it does not.
    """
    accept = headers.get(b"accept")
    # some generated clients name of an operation's media types only the JSON one, its problems'
    if accept is not None and not accepts(accept, media_type) and PROBLEM_JSON not in accept:
        told = marked("This operation answers with {media_type}.")
        raise Refusal("not-acceptable", told, media_type=media_type)


async def _send(scope: Scope, asked: dict[bytes, str], send: Send, reply: Reply) -> None:
    """Send an answer: not at all where the caller has it already, compressed where that was done beforehand."""
    headers = list(reply.headers)
    content, status = reply.content, reply.status
    if reply.etag:
        headers.append((b"etag", reply.etag))
        if matches(asked.get(b"if-none-match", ""), reply.etag.decode()):
            content, status = b"", NOT_MODIFIED
    if reply.gzipped:
        headers.append((b"vary", b"accept-encoding"))
        if status == OK and asked.get(b"accept-encoding") and accepts(asked[b"accept-encoding"], "gzip"):
            headers.append((b"content-encoding", b"gzip"))
            content = reply.gzipped
    if status != NOT_MODIFIED:
        headers.append((b"content-type", reply.media_type.encode()))
        headers.append((b"content-length", b"%d" % len(content)))
    start = {"type": "http.response.start", "status": status, "headers": headers}
    body = b"" if scope["method"] == "HEAD" else content
    end = {"type": "http.response.body", "body": body, "more_body": False}
    await send(start)
    await send(end)

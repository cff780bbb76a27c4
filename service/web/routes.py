"""The routes: a door for each path of the contract and of the docs page."""

from typing import Any, cast

from litestar import Request, Response, asgi
from litestar.exceptions import ClientException, HTTPException
from litestar.handlers import ASGIRouteHandler

from service.contract.openapi import PROBLEM_JSON
from service.contract.operations import OPERATIONS
from service.contract.problems import KINDS, Problem, problem
from service.web import docs
from service.web.asgi import Receive, Scope, Send
from service.web.call import Handler, StreamHandler
from service.web.door import BodyLimits, Door, Served
from service.web.gate import Gate
from service.web.handlers import problem_pages
from service.web.witness import INTERNAL, log, nothing_at, seen

NOT_FOUND = 404
PROBLEM_PAGE = "getProblem"
"""The one operation whose path has a parameter: it is served at each of the parameter's values."""


def routes(handlers: dict[str, Handler | StreamHandler], limits: BodyLimits, gate: Gate) -> list[ASGIRouteHandler]:
    """A route for each path: of the table of operations, of the problem types, of the docs page.

    Raises:
        KeyError: an operation of the table has no handler.
    """
    doors: dict[str, dict[str, Served]] = {}
    for operation in OPERATIONS:
        if operation.id == PROBLEM_PAGE:
            for path, handler in problem_pages().items():
                doors[path] = {operation.method: Served(operation, handler)}
        else:
            doors.setdefault(operation.path, {})[operation.method] = Served(operation, handlers[operation.id])
    for path, handler in docs.pages().items():
        doors[path] = {docs.PAGE.method: Served(docs.PAGE, handler)}
    return [_route(path, Door(path, served, limits, gate)) for path, served in doors.items()]


def _route(path: str, door: Door) -> ASGIRouteHandler:
    async def pass_door(scope: Scope, receive: Receive, send: Send) -> None:
        await door(scope, receive, send)

    return asgi(path, copy_scope=False)(pass_door)


def answer_uncaught(request: Request[Any, Any, Any], error: Exception) -> Response[Problem]:
    """The problem document for what the framework itself raises: unknown paths, a Host that is none, and faults of ours."""
    known = seen(cast("dict[str, Any]", request.scope))
    kind, detail = "internal-error", INTERNAL
    if isinstance(error, HTTPException) and error.status_code == NOT_FOUND:
        kind, detail = "not-found", nothing_at(cast("dict[str, Any]", request.scope))
    elif isinstance(error, ClientException):
        kind, detail = "wrong-host", "The header Host holds no name of a host."
    else:
        log.error("unhandled", request_id=known.request_id, path=request.scope["path"], exc_info=error)
    known.logged["problem"] = kind
    body = problem(kind, detail=detail, instance=known.request_id)
    return Response(body, status_code=KINDS[kind].status, media_type=PROBLEM_JSON)

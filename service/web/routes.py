"""The routes: a door for each path of the contract and of the docs page."""

from collections.abc import Iterable
from typing import Any, cast

from litestar import Request, Response, asgi
from litestar.exceptions import HTTPException
from litestar.handlers import ASGIRouteHandler

from service.contract.openapi import PROBLEM_JSON
from service.contract.operations import OPERATIONS
from service.contract.problems import KINDS, Problem, problem
from service.web import docs
from service.web.asgi import Receive, Scope, Send
from service.web.call import Handler
from service.web.door import Door, Served
from service.web.witness import INTERNAL, log, seen

NOT_FOUND = 404


def routes(handlers: dict[str, Handler], *, body_limit_bytes: int) -> list[ASGIRouteHandler]:
    """A route for each path.

    Raises:
        KeyError: an operation of the table has no handler.
    """
    served = [Served(operation, handlers[operation.id]) for operation in OPERATIONS]
    served += [Served(docs.PAGE, docs.page), Served(docs.ASSET, docs.asset)]
    paths = dict.fromkeys(one.operation.path for one in served)
    return [
        _route(path, [one for one in served if one.operation.path == path], body_limit_bytes=body_limit_bytes)
        for path in paths
    ]


def _route(path: str, served: Iterable[Served], *, body_limit_bytes: int) -> ASGIRouteHandler:
    door = Door(path, {one.operation.method: one for one in served}, body_limit_bytes=body_limit_bytes)

    async def pass_door(scope: Scope, receive: Receive, send: Send) -> None:
        await door(scope, receive, send)

    return asgi(path.replace("}", ":str}"))(pass_door)


def answer_uncaught(request: Request[Any, Any, Any], error: Exception) -> Response[Problem]:
    """The problem document for what the framework itself raises: unknown paths, and faults of ours."""
    known = seen(cast("dict[str, Any]", request.scope))
    kind, detail = "internal-error", INTERNAL
    if isinstance(error, HTTPException) and error.status_code == NOT_FOUND:
        kind, detail = "not-found", f"There is nothing at {request.scope['path']}."
    else:
        log.error("unhandled", request_id=known.request_id, path=request.scope["path"], exc_info=error)
    known.logged["problem"] = kind
    body = problem(kind, detail=detail, instance=known.request_id)
    return Response(body, status_code=KINDS[kind].status, media_type=PROBLEM_JSON)

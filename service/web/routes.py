"""The routes: an endpoint for each path of the contract and of the pages for people, and the way there."""

from collections.abc import Awaitable
from typing import Any, cast

from litestar import Request, Response, asgi
from litestar.exceptions import HTTPException
from litestar.handlers import ASGIRouteHandler

from service.contract.openapi import PROBLEM_JSON
from service.contract.operations import OPERATIONS
from service.contract.problems import KINDS, Problem, Refusal, problem
from service.web import desk, docs
from service.web.admission import Admission
from service.web.asgi import Application, Receive, Scope, Send
from service.web.call import Handler, StreamHandler, spoken
from service.web.endpoint import BodyLimits, Endpoint, Served
from service.web.handlers import problem_pages
from service.web.request_log import INTERNAL, accepted_language, log, nothing_at, state_of

NOT_FOUND = 404
PROBLEM_PAGE = "getProblem"
"""The one operation whose path has a parameter: it is served at each of the parameter's values."""
DIRECT = ("calculateFitting", "calculateShort")
"""The small operations that are asked for most: a router would need as long for them as their endpoints."""


def endpoints_of(
    handlers: dict[str, Handler | StreamHandler], limits: BodyLimits, admission: Admission
) -> dict[str, Endpoint]:
    """An endpoint for each path: of the table of operations, of the problem types, of the pages.

    Raises:
        KeyError: an operation of the table has no handler.
    """
    endpoints: dict[str, dict[str, Served]] = {}
    for operation in OPERATIONS:
        if operation.id == PROBLEM_PAGE:
            for path, handler in problem_pages().items():
                endpoints[path] = {operation.method: Served(operation, handler)}
        else:
            endpoints.setdefault(operation.path, {})[operation.method] = Served(operation, handlers[operation.id])
    for page, at in ((docs.PAGE, docs.docs), (desk.PAGE, desk.desk)):
        for path, handler in at(keys=admission.asks_for_keys).items():
            endpoints[path] = {page.method: Served(page, handler)}
    endpoints[desk.HOME.path] = {desk.HOME.method: Served(desk.HOME, desk.home)}
    return {path: Endpoint(path, served, limits, admission) for path, served in endpoints.items()}


class Front:
    """Hands requests of the operations that need no router to their endpoints, everything else to the framework."""

    def __init__(self, endpoints: dict[str, Endpoint], framework: Application) -> None:
        """Prepare for the endpoints of all paths."""
        paths = [operation.path for operation in OPERATIONS if operation.id in DIRECT]
        self._direct: dict[str, Application] = {path: endpoints[path] for path in paths}
        self._framework = framework

    def __call__(self, scope: Scope, receive: Receive, send: Send) -> Awaitable[None]:
        """Answer one request; what begins and ends with the service has no path."""
        return self._direct.get(scope.get("path", ""), self._framework)(scope, receive, send)


def route(path: str, endpoint: Endpoint) -> ASGIRouteHandler:
    """The framework's route to an endpoint."""

    async def answer(scope: Scope, receive: Receive, send: Send) -> None:
        await endpoint(scope, receive, send)

    return asgi(path, copy_scope=False)(answer)


def answer_uncaught(request: Request[Any, Any, Any], error: Exception) -> Response[Problem]:
    """The problem document for what the framework itself raises: unknown paths, and faults of ours."""
    scope = cast("dict[str, Any]", request.scope)
    line, language = state_of(scope).line, accepted_language(scope)
    if isinstance(error, HTTPException) and error.status_code == NOT_FOUND:
        refusal = nothing_at(scope)
    else:
        refusal = Refusal("internal-error", INTERNAL)
        log.error("unhandled", request_id=line.request_id, path=line.path, exc_info=error)
    line.problem = refusal.kind
    headers = {"cache-control": "no-store", **{name.decode(): value.decode() for name, value in spoken(language)}}
    body = problem(refusal, instance=line.request_id, language=language)
    return Response(body, status_code=KINDS[refusal.kind].status, media_type=PROBLEM_JSON, headers=headers)

"""Cutting plans over HTTP. Each is solved in a process of its own, which ends with its caller.

The solver keeps the interpreter for long, needs memory that a service at rest does not have, and may be ended at any time:
so it is loaded there alone.
"""

import asyncio
import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from importlib import import_module
from typing import Any

import msgspec

from service.contract.cells import CONTENT_TYPE
from service.contract.cutting_plans import DRAWN_MAX, CuttingPlan, CuttingRequest, Prepared, plan_of, prepare
from service.contract.decoding import BodyDecoder
from service.contract.fittings import encode
from service.contract.operations import SVG
from service.contract.problems import Refusal
from service.contract.saw_list import saw_list
from service.contract.shelf import Shelf
from service.cutting.model import Answer, Task
from service.web.body import Body, GoneError
from service.web.call import Exchange, Reply, StreamHandler, spoken
from service.web.drawings import OF_A_PICTURE
from service.web.live_catalogue import LiveCatalogue
from service.web.request_log import log
from service.web.worker_threads import in_worker_thread
from service.words.languages import marked

BEYOND_LIMIT_S = 15.0
"""Seconds that a solver gets beyond its task's time: to start, to end its last step, and to write."""
AGAIN = ((b"retry-after", b"2"),)
NO_STORE = ((b"cache-control", b"no-store"),)
ONE_THREAD = {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}
TOLD_OF_A_FAILURE = 2000
"""Characters of what a failed solver said that go into the log, from its end."""

Written = Callable[[Prepared, CuttingPlan, Answer, str], Reply]
"""Writes a plan, in the caller's language where it has words."""


def cutting(live: LiveCatalogue, solvers_max: int) -> dict[str, StreamHandler]:
    """The handler of each form of a plan by the operation's id; so many plans are made at once."""
    places = _Places(solvers_max)
    decoder = BodyDecoder(CuttingRequest)
    forms: dict[str, Written] = {"planCutting": _json, "listCutting": _csv, "drawCutting": _svg}
    return {id: partial(_planned, live, places, decoder, written) for id, written in forms.items()}


class _Places:
    """Places for the plans that are made at once."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._taken = 0

    @contextmanager
    def one(self) -> Iterator[None]:
        """One of them.

        Raises:
            Refusal: all are taken.
        """
        if self._taken >= self._most:
            told = marked("{most} cutting plans are being made already.")
            raise Refusal("busy", told, most=self._most, headers=AGAIN)
        self._taken += 1
        try:
            yield
        finally:
            self._taken -= 1


async def _planned(
    live: LiveCatalogue, places: _Places, decoder: BodyDecoder[CuttingRequest], written: Written, exchange: Exchange
) -> Reply:
    """Make a plan and write it.

    Raises:
        Refusal: the request cannot be planned, too many are under way, or the solver made no plan.
        GoneError: the caller has hung up.
    """
    body = await exchange.body.whole()
    with places.one():
        prepared = await in_worker_thread(partial(_prepared, decoder, body, live.content.shelf), exchange.body)
        solved = await solve(prepared.task, exchange)
    plan, reply = await in_worker_thread(partial(_answered, written, prepared, solved, exchange.language), exchange.body)
    exchange.logged["bars"] = sum(one.bar_count for one in plan.profiles)
    exchange.logged["optimal"] = all(one.optimal for one in plan.profiles)
    return reply


def _prepared(decoder: BodyDecoder[CuttingRequest], body: bytes, shelf: Shelf) -> Prepared:
    return prepare(decoder.decode(body), shelf)


def _answered(written: Written, prepared: Prepared, solved: Answer, language: str) -> tuple[CuttingPlan, Reply]:
    plan = plan_of(prepared, solved)
    return plan, written(prepared, plan, solved, language)


def _json(_prepared: Prepared, plan: CuttingPlan, _solved: Answer, _language: str) -> Reply:
    return Reply(encode(plan), headers=NO_STORE)


def _csv(_prepared: Prepared, plan: CuttingPlan, _solved: Answer, _language: str) -> Reply:
    named = (b"content-disposition", b'attachment; filename="saw-list.csv"')
    return Reply(saw_list(plan), media_type=CONTENT_TYPE, headers=(*NO_STORE, named))


def _svg(prepared: Prepared, _plan: CuttingPlan, solved: Answer, language: str) -> Reply:
    bars_svg: Callable[..., str] = import_module("service.documents.bars").bars_svg
    drawn = bars_svg(prepared.task.orders, solved.plans, language=language, drawn_max=DRAWN_MAX)
    named = (b"content-disposition", b'inline; filename="cutting-plan.svg"')
    return Reply(drawn.encode(), media_type=SVG, headers=(*NO_STORE, named, OF_A_PICTURE, *spoken(language)))


async def solve(task: Task, exchange: Exchange) -> Answer:
    """The plans of a task, made in a process that ends in time, and when the caller hangs up or the service stops.

    Raises:
        Refusal: it took too long, or ended without a plan.
        GoneError: the caller has hung up.
    """
    path = ["-P"] if sys.flags.safe_path else []
    child = await asyncio.create_subprocess_exec(
        *(sys.executable, *path, "-m", "service.cutting"),
        stdin=asyncio.subprocess.PIPE,
        stdout=asyncio.subprocess.PIPE,
        stderr=asyncio.subprocess.PIPE,
        env={**os.environ, **ONE_THREAD},
    )
    limit_s = task.time_limit_s + BEYOND_LIMIT_S
    try:
        async with asyncio.timeout(limit_s):
            code, said, complained = await _unless_gone(_talk(child, task), exchange.body)
    except TimeoutError as error:
        raise Refusal(
            "took-too-long", marked("It was given up after {seconds} s."), seconds=limit_s, headers=AGAIN
        ) from error
    finally:
        if child.returncode is None:
            child.kill()
            await child.wait()
    if code:
        log.error("solver_failed", request_id=exchange.request_id, code=code, said=complained[-TOLD_OF_A_FAILURE:])
        raise Refusal("no-plan", marked("The solver ended before it had a plan."), headers=AGAIN)
    return msgspec.json.decode(said, type=Answer)


async def _talk(child: asyncio.subprocess.Process, task: Task) -> tuple[int, bytes, str]:
    """Hand a task to a solver, whose input stays open as long as somebody waits: its code, what it said, its complaints."""
    if child.stdin is None or child.stdout is None or child.stderr is None:
        raise AssertionError("all three are pipes")
    child.stdin.write(msgspec.json.encode(task) + b"\n")
    said, complained = await asyncio.gather(child.stdout.read(), child.stderr.read())
    return await child.wait(), said, complained.decode(errors="replace")


async def _unless_gone(talking: Any, body: Body) -> tuple[int, bytes, str]:
    """What comes of a talk, unless the caller hangs up.

    Raises:
        GoneError: it has.
    """
    task: asyncio.Task[tuple[int, bytes, str]] = asyncio.ensure_future(talking)
    try:
        either: set[asyncio.Future[Any]] = {task, body.gone()}
        await asyncio.wait(either, return_when=asyncio.FIRST_COMPLETED)
        if not task.done():
            raise GoneError
        return task.result()
    finally:
        task.cancel()

"""Cutting plans over HTTP. Each is solved in a process of its own, which ends with its caller.

The solver keeps the interpreter for long, needs memory that a service at rest does not have, and may be ended at any time:
so it is loaded there alone.
"""

import asyncio
import os
import sys
from collections.abc import Callable
from functools import partial
from importlib import import_module

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
from service.web.call import NO_STORE, Exchange, Reply, StreamHandler, spoken
from service.web.drawings import OF_A_PICTURE
from service.web.live_catalogue import LiveCatalogue
from service.web.request_log import log
from service.web.worker_threads import in_worker_thread, unless_gone
from service.words.languages import marked

BEYOND_LIMIT_S = 15.0
"""Seconds that a solver gets beyond its task's time: to start, to end its last step, and to write."""
AGAIN = ((b"retry-after", b"2"),)
ONE_THREAD = {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}
TOLD_OF_A_FAILURE = 2000
"""Characters of what a failed solver said that go into the log, from its end."""

Written = Callable[[Prepared, CuttingPlan, Answer, str], Reply]
"""Writes a plan, in the caller's language where it has words."""


def cutting(live: LiveCatalogue, solvers_max: int) -> dict[str, StreamHandler]:
    """The handler of each form of a plan by the operation's id; so many plans are made at once."""
    places = asyncio.Semaphore(solvers_max)
    decoder = BodyDecoder(CuttingRequest)
    forms: dict[str, Written] = {"planCutting": _json, "listCutting": _csv, "drawCutting": _svg}
    return {id: partial(_planned, live, places, solvers_max, decoder, written) for id, written in forms.items()}


async def _planned(
    live: LiveCatalogue,
    places: asyncio.Semaphore,
    solvers_max: int,
    decoder: BodyDecoder[CuttingRequest],
    written: Written,
    exchange: Exchange,
) -> Reply:
    """Make a plan and write it.

    Raises:
        Refusal: the request cannot be planned, too many are under way, or the solver made no plan.
        GoneError: the caller has hung up.
    """
    body = await exchange.body.whole()
    if places.locked():
        told = marked("{most} cutting plans are being made already.")
        raise Refusal("busy", told, most=solvers_max, headers=AGAIN)
    async with places:
        prepared = await in_worker_thread(partial(_prepared, decoder, body, live.content.shelf), exchange.body)
        solved = await solve(prepared.task, exchange)
    plan, reply = await in_worker_thread(partial(_answered, written, prepared, solved, exchange.language), exchange.body)
    exchange.line.bars = sum(one.bar_count for one in plan.profiles)
    exchange.line.optimal = all(one.optimal for one in plan.profiles)
    return reply


def _prepared(decoder: BodyDecoder[CuttingRequest], body: bytes, shelf: Shelf) -> Prepared:
    return prepare(decoder.decode(body), shelf)


def _answered(written: Written, prepared: Prepared, solved: Answer, language: str) -> tuple[CuttingPlan, Reply]:
    plan = plan_of(prepared, solved)
    return plan, written(prepared, plan, solved, language)


def _json(_prepared: Prepared, plan: CuttingPlan, _solved: Answer, _language: str) -> Reply:
    return Reply(encode(plan), headers=(NO_STORE,))


def _csv(_prepared: Prepared, plan: CuttingPlan, _solved: Answer, _language: str) -> Reply:
    named = (b"content-disposition", b'attachment; filename="saw-list.csv"')
    return Reply(saw_list(plan), media_type=CONTENT_TYPE, headers=(NO_STORE, named))


def _svg(prepared: Prepared, _plan: CuttingPlan, solved: Answer, language: str) -> Reply:
    bars_svg: Callable[..., str] = import_module("service.documents.bars").bars_svg
    drawn = bars_svg(prepared.task.orders, solved.plans, language=language, drawn_max=DRAWN_MAX)
    named = (b"content-disposition", b'inline; filename="cutting-plan.svg"')
    return Reply(drawn.encode(), media_type=SVG, headers=(NO_STORE, named, OF_A_PICTURE, *spoken(language)))


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
            code, said, complained = await unless_gone(asyncio.ensure_future(_talk(child, task)), exchange.body)
    except TimeoutError as error:
        raise Refusal(
            "took-too-long", marked("It was given up after {seconds} s."), seconds=limit_s, headers=AGAIN
        ) from error
    finally:
        if child.returncode is None:
            child.kill()
            await child.wait()
    if code:
        log.error("solver_failed", request_id=exchange.line.request_id, code=code, said=complained[-TOLD_OF_A_FAILURE:])
        raise Refusal("no-plan", marked("The solver ended before it had a plan."), headers=AGAIN)
    return msgspec.json.decode(said, type=Answer)


async def _talk(child: asyncio.subprocess.Process, task: Task) -> tuple[int, bytes, str]:
    """Hand a task to a solver, whose input stays open as long as somebody waits: its code, what it said, its complaints."""
    if child.stdin is None or child.stdout is None or child.stderr is None:
        raise AssertionError("all three are pipes")
    child.stdin.write(msgspec.json.encode(task) + b"\n")
    said, complained = await asyncio.gather(child.stdout.read(), child.stderr.read())
    return await child.wait(), said, complained.decode(errors="replace")

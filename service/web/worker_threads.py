"""Work in threads beside the event loop, for what takes long."""

import asyncio
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any, TypeVar

from service.web.body import Body, GoneError

T = TypeVar("T")
WORKERS = ThreadPoolExecutor(2, thread_name_prefix="worker")
"""Where it is done. Threads share one interpreter: they let small requests through, they do not add speed."""


async def in_worker_thread(work: Callable[[], T], body: Body, *, limit_s: float | None = None) -> T:
    """Let a thread work for the caller of a body that has been read. What nobody waits for any more is not begun.

    Raises:
        TimeoutError: it takes too long. A thread cannot be stopped and ends by itself.
        GoneError: the caller has hung up.
    """
    working = asyncio.get_running_loop().run_in_executor(WORKERS, work)
    async with asyncio.timeout(limit_s):
        return await unless_gone(working, body)


async def unless_gone(working: asyncio.Future[T], body: Body) -> T:
    """What comes of work for the caller of a body that has been read; it is cancelled when nobody waits any more.

    Raises:
        GoneError: the caller has hung up.
    """
    try:
        either: set[asyncio.Future[Any]] = {working, body.gone()}
        await asyncio.wait(either, return_when=asyncio.FIRST_COMPLETED)
        if not working.done():
            raise GoneError
        return working.result()
    finally:
        working.cancel()

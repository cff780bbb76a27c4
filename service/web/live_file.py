"""What a file holds, read again when the file changes; while it cannot be used, what it held before stays in use."""

import asyncio
from collections.abc import Callable
from pathlib import Path
from time import monotonic
from typing import Any, Generic, TypeVar

T = TypeVar("T")
LOOKED_AT_EVERY_S = 1.0
AGAIN_AT_MOST_S = 5.0
"""Longest pause before a file that could not be used is tried again."""

_State = tuple[int, int, int, int] | None
"""What tells one state of a file from another: times of change, size, inode; None where there is no file."""


class LiveFile(Generic[T]):
    """The content of a file at this moment."""

    def __init__(
        self,
        path: Path,
        load: Callable[[Path], T],
        *,
        taken: Callable[[T], None],
        failed: Callable[[T, str], None],
        clock: Callable[[], float] = monotonic,
    ) -> None:
        """Read the file; what `load` raises now is raised.

        Args:
            path: where the file lies
            load: reads, checks and tries it
            taken: called with a new content once it is in use
            failed: called with the content that stays in use and the reason, each time the new one cannot be loaded
            clock: seconds that never jump
        """
        self._path = path
        self._load = load
        self._taken = taken
        self._failed = failed
        self._clock = clock
        self._seen = _state(path)
        self.content = load(path)
        self._pause_s = LOOKED_AT_EVERY_S
        self._try_at_s = 0.0

    def look(self) -> None:
        """Read the file again if it has changed. Its state counts as seen only once it has been loaded."""
        state = _state(self._path)
        if state == self._seen:
            self._pause_s = LOOKED_AT_EVERY_S
            self._try_at_s = 0.0
            return
        if self._clock() < self._try_at_s:
            return
        try:
            content = self._load(self._path)
        except Exception as error:  # noqa: BLE001 - whatever it is, it must not end the watch
            self._failed(self.content, str(error) or type(error).__name__)
            self._try_at_s = self._clock() + self._pause_s
            self._pause_s = min(2 * self._pause_s, AGAIN_AT_MOST_S)
            return
        self._pause_s, self._try_at_s = LOOKED_AT_EVERY_S, 0.0
        self.content, self._seen = content, state
        self._taken(content)


async def watch(*files: LiveFile[Any]) -> None:
    """Look at files for ever, in a thread: reading and trying them may take long."""
    while True:
        await asyncio.sleep(LOOKED_AT_EVERY_S)
        for file in files:
            await asyncio.to_thread(file.look)


def _state(path: Path) -> _State:
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_mtime_ns, found.st_ctime_ns, found.st_size, found.st_ino

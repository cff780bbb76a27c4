"""Seeing that a file has changed, by looking once a second at most."""

from collections.abc import Callable
from pathlib import Path
from time import monotonic

LOOKED_AT_EVERY_S = 1.0

_State = tuple[int, int, int] | None
"""What tells one state of a file from another: time of change, size, inode; None where there is no file."""


class Watch:
    """A file that is read again when it changes. Make it before the first reading, so that no change is missed."""

    def __init__(self, path: Path, *, clock: Callable[[], float] = monotonic) -> None:
        """Note how the file is now."""
        self._path = path
        self._clock = clock
        self._state = _state(path)
        self._look_at_s = clock() + LOOKED_AT_EVERY_S

    def changed(self) -> bool:
        """Whether it is another than when it was last looked at."""
        now_s = self._clock()
        if now_s < self._look_at_s:
            return False
        self._look_at_s = now_s + LOOKED_AT_EVERY_S
        before, self._state = self._state, _state(self._path)
        return self._state != before


def _state(path: Path) -> _State:
    try:
        told = path.stat()
    except OSError:
        return None
    return told.st_mtime_ns, told.st_size, told.st_ino

"""The catalogue in use, read again when its file changes; a broken file leaves the old one in place, loudly."""

from collections.abc import Callable
from pathlib import Path
from time import monotonic
from typing import NamedTuple

from service.catalogue.loader import CatalogueError, load
from service.catalogue.rows import Catalogue
from service.contract.shelf import Shelf, stock
from service.web.witness import log

LOOKED_AT_EVERY_S = 1.0


class Stocked(NamedTuple):
    """One state of the catalogue, as its rows and as the core takes them."""

    catalogue: Catalogue
    shelf: Shelf


class Stock:
    """The catalogue of this moment."""

    def __init__(self, path: Path, *, clock: Callable[[], float] = monotonic) -> None:
        """Read the file.

        Raises:
            CatalogueError: it cannot be used.
        """
        self._path = path
        self._clock = clock
        self._state = _state(path)
        self._stocked = _read(path)
        self._look_at_s = clock() + LOOKED_AT_EVERY_S
        self._told: list[Callable[[Shelf], None]] = []

    def tell(self, listener: Callable[[Shelf], None]) -> None:
        """Call a listener now and whenever another catalogue has taken its place."""
        self._told.append(listener)
        listener(self._stocked.shelf)

    def __call__(self) -> Stocked:
        """The catalogue of this moment; the file is looked at once a second at most."""
        now_s = self._clock()
        if now_s >= self._look_at_s:
            self._look_at_s = now_s + LOOKED_AT_EVERY_S
            self._look()
        return self._stocked

    def _look(self) -> None:
        state = _state(self._path)
        if state == self._state:
            return
        self._state = state
        try:
            self._stocked = _read(self._path)
        except CatalogueError as error:
            still = self._stocked.shelf
            log.error("catalogue_not_reloaded", reason=str(error), still=still.catalogue_sha256)
            return
        shelf = self._stocked.shelf
        log.info("catalogue_reloaded", catalogue=shelf.catalogue_id, catalogue_sha256=shelf.catalogue_sha256)
        for listener in self._told:
            listener(shelf)


def _read(path: Path) -> Stocked:
    loaded = load(path)
    return Stocked(loaded.catalogue, stock(loaded))


def _state(path: Path) -> tuple[int, int, int] | None:
    """What changes when a file does; None where there is none."""
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino

"""The catalogue in use, read again when its file changes; a broken file leaves the old one in place, loudly."""

from collections.abc import Callable
from pathlib import Path
from time import monotonic
from typing import NamedTuple

from service.catalogue.loader import CatalogueError, load
from service.catalogue.rows import Catalogue
from service.contract.shelf import Shelf, stock
from service.web.watch import Watch
from service.web.witness import log


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
        self._watch = Watch(path, clock=clock)
        self._stocked = _read(path)
        self._told: list[Callable[[Shelf], None]] = []

    def tell(self, listener: Callable[[Shelf], None]) -> None:
        """Call a listener now and whenever another catalogue has taken its place."""
        self._told.append(listener)
        listener(self._stocked.shelf)

    def __call__(self) -> Stocked:
        """The catalogue of this moment; the file is looked at once a second at most."""
        if self._watch.changed():
            self._read_again()
        return self._stocked

    def _read_again(self) -> None:
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

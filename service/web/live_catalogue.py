"""The catalogue in use, exchanged when its file changes; one that is broken or cannot be calculated with is not taken."""

from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from service.catalogue.loader import CatalogueError, load
from service.catalogue.rows import Catalogue
from service.contract.selfcheck import first_fault
from service.contract.shelf import Shelf, stock
from service.web.live_file import LiveFile
from service.web.request_log import log


class CatalogueInUse(NamedTuple):
    """One state of the catalogue, as its rows and as the core takes them."""

    catalogue: Catalogue
    shelf: Shelf


class LiveCatalogue(LiveFile[CatalogueInUse]):
    """The catalogue of this moment."""

    def __init__(self, path: Path) -> None:
        """Read the file.

        Raises:
            CatalogueError: it cannot be used.
        """
        self._listeners: list[Callable[[Shelf], None]] = []
        super().__init__(path, read, taken=self._announce, failed=_not_taken)

    def tell(self, listener: Callable[[Shelf], None]) -> None:
        """Call a listener now and whenever another catalogue has taken its place."""
        self._listeners.append(listener)
        listener(self.content.shelf)

    def _announce(self, taken: CatalogueInUse) -> None:
        shelf = taken.shelf
        for listener in self._listeners:
            listener(shelf)
        log.info("catalogue_reloaded", catalogue=shelf.catalogue_id, catalogue_sha256=shelf.catalogue_sha256)


def _not_taken(still: CatalogueInUse, reason: str) -> None:
    log.error("catalogue_not_reloaded", reason=reason, still=still.shelf.catalogue_sha256)


def read(path: Path) -> CatalogueInUse:
    """The catalogue of a file, tried.

    Raises:
        CatalogueError: it cannot be read, contradicts itself, or some fitting cannot be calculated with it.
    """
    loaded = load(path)
    try:
        shelf = stock(loaded)
    except CatalogueError as error:
        raise CatalogueError(f"{path}: {error}") from error
    fault = first_fault(shelf)
    if fault:
        raise CatalogueError(f"{path}: {fault}")
    return CatalogueInUse(loaded.catalogue, shelf)

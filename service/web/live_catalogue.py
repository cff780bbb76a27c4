"""The catalogue in use, exchanged when its file changes; one that is broken or cannot be calculated with is not taken."""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, NamedTuple

import msgspec

from service.catalogue.loader import CatalogueError, load
from service.catalogue.rows import Catalogue
from service.contract.examples import FITTINGS
from service.contract.fittings import encode, fitting
from service.contract.requests import FittingRequest
from service.contract.shelf import Shelf, stock
from service.web.live_file import LiveFile
from service.web.request_log import log

KNOWN = FITTINGS["lock-gate-truck"].request
EXTREMES: tuple[dict[str, Any], ...] = (
    {},
    {"width_mm": 250, "height_mm": 250, "headroom_mm": 60, "depth_mm": 60},
    {"width_mm": 3000, "height_mm": 3000, "headroom_mm": 1500, "depth_mm": 3000},
    {"width_mm": 250, "height_mm": 3000, "headroom_mm": 1500, "depth_mm": 60},
    {"width_mm": 3000, "height_mm": 250, "headroom_mm": 60, "depth_mm": 3000},
)
"""What is changed in the known opening: nothing, then each end of what the contract takes."""


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
    for trial in _trials(shelf):
        try:
            encode(fitting(msgspec.convert(trial, FittingRequest), shelf))
        except Exception as error:
            told = f"a fitting of {trial['shutter']} in {trial['opening']} cannot be calculated: {type(error).__name__}"
            raise CatalogueError(f"{path}: {told}") from error
    return CatalogueInUse(loaded.catalogue, shelf)


def _trials(shelf: Shelf) -> Iterator[dict[str, Any]]:
    """The known opening and the extremes, with every slat in both mounts and on every side plate by itself."""
    for slat in shelf.slats:
        for mount in shelf.mounts:
            for changes in EXTREMES:
                shutter = {"slat": slat, "mount": mount}
                yield {**KNOWN, "opening": {**KNOWN["opening"], **changes}, "shutter": shutter}
        for plate in shelf.side_plates:
            yield {**KNOWN, "shutter": {"slat": slat, "side_plate": plate}}

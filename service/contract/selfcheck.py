"""What a service that works must find: a known fitting with the standard catalogue, some fitting with any other."""

from collections.abc import Iterator
from functools import cache
from typing import Any

import msgspec

from service.audit.figures import figure
from service.calculation.fitting import fit
from service.calculation.job import Job
from service.catalogue.loader import STANDARD, load
from service.contract.examples import FITTINGS
from service.contract.fittings import encode, fitting
from service.contract.jobs import to_job
from service.contract.requests import FittingRequest
from service.contract.shelf import Shelf, stock

REQUEST: dict[str, Any] = FITTINGS["lock-gate-truck"].request
KNOWN = (80.333, 76.743, 210, 88, 54, 1165.608)
"""Radius, open radius, bracket x and z, slat count, slat length of the example `lock-gate-truck`, worked by hand."""


@cache
def _known_job() -> Job:
    request = msgspec.convert(REQUEST, FittingRequest)
    return to_job(request, stock(load(STANDARD)))


def known_fitting_holds() -> bool:
    """Whether the known fitting comes out as it must. It is calculated anew each time."""
    found = fit(_known_job()).answer
    figures = (
        found.coil.radius_mm,
        found.coil.radius_open_mm,
        found.bracket.x_mm,
        found.bracket.z_mm,
        found.curtain.slat_count,
        found.curtain.slat_length_mm,
    )
    return tuple(map(figure, figures)) == KNOWN


EXTREMES: tuple[dict[str, Any], ...] = (
    {},
    {"width_mm": 250, "height_mm": 250, "headroom_mm": 60, "depth_mm": 60},
    {"width_mm": 3000, "height_mm": 3000, "headroom_mm": 1500, "depth_mm": 3000},
    {"width_mm": 250, "height_mm": 3000, "headroom_mm": 1500, "depth_mm": 60},
    {"width_mm": 3000, "height_mm": 250, "headroom_mm": 60, "depth_mm": 3000},
)
"""What is changed in the known opening: nothing, then each end of what the contract takes."""


def first_fault(shelf: Shelf) -> str:
    """The first fitting that cannot be calculated with a catalogue, in words; empty where all can."""
    for trial in _trials(shelf):
        try:
            encode(fitting(msgspec.convert(trial, FittingRequest), shelf))
        except Exception as error:  # noqa: BLE001 - whatever it is, requests would meet it
            return f"a fitting of {trial['shutter']} in {trial['opening']} cannot be calculated: {type(error).__name__}"
    return ""


def _trials(shelf: Shelf) -> Iterator[dict[str, Any]]:
    """The known opening and the extremes with every slat in both mounts, and the known one on every side plate by itself."""
    for slat in shelf.slats:
        for mount in shelf.mounts:
            for changes in EXTREMES:
                shutter = {"slat": slat, "mount": mount}
                yield {**REQUEST, "opening": {**REQUEST["opening"], **changes}, "shutter": shutter}
        for plate in shelf.side_plates:
            yield {**REQUEST, "shutter": {"slat": slat, "side_plate": plate}}

"""A known fitting: what a service that works must find for the standard catalogue."""

from functools import cache

import msgspec

from service.audit.figures import figure
from service.calculation.fitting import fit
from service.calculation.job import Job
from service.catalogue.loader import STANDARD, load
from service.contract.examples import FITTINGS
from service.contract.jobs import to_job
from service.contract.requests import FittingRequest
from service.contract.shelf import stock

KNOWN = (80.333, 76.743, 210, 88, 54, 1165.608)
"""Radius, open radius, bracket x and z, slat count, slat length of the example `lock-gate-truck`, worked by hand."""


@cache
def _known_job() -> Job:
    request = msgspec.convert(FITTINGS["lock-gate-truck"].request, FittingRequest)
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

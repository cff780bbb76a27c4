"""Every rule of the calculation by id, in the order in which a fitting needs them."""

from service.audit.rules import collect
from service.calculation import clearance, coil, curtain, path, survey, tracks, wheel

RULES = collect([survey, wheel, path, coil, curtain, tracks, clearance])

"""Every rule of the calculation by id, in the order in which a fitting needs them."""

from service.audit.rules import collect
from service.calculation import (
    balance,
    calibration,
    clearance,
    coil,
    curtain,
    parts,
    path,
    spring,
    strength,
    survey,
    tracks,
    wheel,
    wiring,
    work,
)

RULES = collect(
    [survey, wheel, path, coil, curtain, tracks, clearance, balance, spring, strength, wiring, parts, work, calibration]
)

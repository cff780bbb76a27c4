"""Every rule of the calculation by id, in the order in which a fitting needs them."""

from ..audit.rules import collect
from . import (
    balance,
    calibration,
    care,
    clearance,
    coil,
    curtain,
    lifting,
    parts,
    path,
    seals,
    spring,
    strength,
    survey,
    tracks,
    wheel,
    wiring,
)

RULES = collect(
    [
        survey,
        tracks,
        curtain,
        strength,
        wheel,
        seals,
        path,
        coil,
        clearance,
        balance,
        spring,
        lifting,
        wiring,
        parts,
        care,
        calibration,
    ]
)

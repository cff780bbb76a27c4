"""Warnings: what a person must know beside the figures, each with a stable code, a plain sentence and a remedy."""

from collections.abc import Callable
from math import radians, sin, tan
from typing import Literal, NamedTuple

from service.calculation import coil
from service.calculation.checks import KINDS, Check
from service.calculation.job import Hardware, Slat, Tube

Severity = Literal["stop", "caution", "note"]

SEVERITY_OF_FAILURE: dict[str, Severity] = {"fit": "stop", "other": "caution"}
SEVERITY_OF_TIGHTNESS: dict[str, Severity] = {"fit": "caution", "other": "note"}


class Warning(NamedTuple):
    """One warning. `check` is the id of the check it comes from, if any; `field` is a JSON Pointer into the request."""

    code: str
    severity: Severity
    message: str
    check: str | None
    field: str
    value: float
    limit: float
    unit: str
    remedy: str


class WarningKind(NamedTuple):
    """What a warning code means, for the list of codes."""

    meaning: str
    severities: tuple[Severity, ...]
    field: str
    remedy: str


class Chosen(NamedTuple):
    """What remedies may speak of."""

    slat: Slat
    tube: Tube
    hardware: Hardware
    coil_radius_mm: float
    measured: bool


def figure(value: float) -> str:
    """A number as people write it: at most three decimals, none that say nothing."""
    return f"{round(value, 3) + 0.0:.3f}".rstrip("0").rstrip(".")


def _slats_at_most(short: float, chosen: Chosen) -> str:
    """The part of a remedy that says how many slats would do."""
    if chosen.measured:
        return ""
    count = coil.slats_within(
        tube_radius_mm=chosen.tube.radius_mm,
        pitch_mm=chosen.slat.pitch_mm,
        thickness_mm=chosen.slat.thickness_mm,
        nesting=chosen.slat.nesting,
        radius_mm=chosen.coil_radius_mm - short,
    )
    return f", or {count} slats at most" if count else ""


def _headroom(check: Check, short: float, chosen: Chosen) -> str:
    return f"{figure(short)} mm more headroom, or a lower side plate"


def _depth(check: Check, short: float, chosen: Chosen) -> str:
    return f"{figure(short)} mm more depth, or a shorter side plate"


def _raise_plate(check: Check, short: float, chosen: Chosen) -> str:
    return f"set the side plate {figure(short)} mm higher, or use a higher wheel hole"


def _entry(check: Check, short: float, chosen: Chosen) -> str:
    slot = chosen.slat.thickness_mm + 2 * check.value
    return f"a higher wheel hole or side plate, or a track slot {figure(slot)} mm wide"


def _roof(check: Check, short: float, chosen: Chosen) -> str:
    return f"{figure(short)} mm more headroom{_slats_at_most(short, chosen)}"


def _wheel(check: Check, short: float, chosen: Chosen) -> str:
    return f"a bracket hole {figure(short)} mm further from the wheel (a deeper side plate){_slats_at_most(short, chosen)}"


def _rear(check: Check, short: float, chosen: Chosen) -> str:
    return f"{figure(short)} mm more depth{_slats_at_most(short, chosen)}"


def _header(check: Check, short: float, chosen: Chosen) -> str:
    return f"a bracket hole {figure(short)} mm further inwards{_slats_at_most(short, chosen)}"


def _rise(check: Check, short: float, chosen: Chosen) -> str:
    return f"a bracket hole lower or further inwards, so that the curtain rises {figure(short)} deg less"


def _tube(check: Check, short: float, chosen: Chosen) -> str:
    slat = chosen.slat
    radius = slat.pitch_mm / 2 / tan(radians(slat.hinge_limit_deg) / 2) - slat.thickness_mm / 2
    return f"a tube of at least {figure(radius)} mm radius"


def _larger_wheel(check: Check, short: float, chosen: Chosen) -> str:
    slat = chosen.slat
    radius = slat.pitch_mm / 2 / sin(radians(slat.hinge_limit_deg) / 2) - slat.thickness_mm / 2
    return f"a wheel of at least {figure(radius)} mm radius"


def _more_slats(check: Check, short: float, chosen: Chosen) -> str:
    return f"{figure(short)} slats more: {figure(check.limit)} in all"


def _narrower(check: Check, short: float, chosen: Chosen) -> str:
    return f"an opening {figure(short)} mm narrower, or a slat made for {figure(check.value)} mm"


def _engage(check: Check, short: float, chosen: Chosen) -> str:
    slot = chosen.hardware.track.slot_depth_mm + short
    return f"a track slot {figure(slot)} mm deep, or a narrower temperature range"


def _pack(check: Check, short: float, chosen: Chosen) -> str:
    return f"straighten the opening, or pack the tracks by up to {figure(check.value)} mm so that they stand parallel"


def _square(check: Check, short: float, chosen: Chosen) -> str:
    return f"set the tracks to a plumb line and pack up to {figure(check.value)} mm; the seals will not follow by themselves"


REMEDIES: dict[str, Callable[[Check, float, Chosen], str]] = {
    "plate_height": _headroom,
    "plate_depth": _depth,
    "wheel_above_header": _raise_plate,
    "track_entry": _entry,
    "roof_clearance": _roof,
    "wheel_clearance": _wheel,
    "rear_clearance": _rear,
    "header_clearance": _header,
    "path_over_wheel": _rise,
    "hinge_on_tube": _tube,
    "hinge_on_wheel": _larger_wheel,
    "curtain_covers": _more_slats,
    "slat_width": _narrower,
    "engagement": _engage,
    "opening_taper": _pack,
    "opening_square": _square,
}

GENERAL_REMEDIES = {
    "plate_height": "more headroom, or a lower side plate",
    "plate_depth": "more depth, or a shorter side plate",
    "wheel_above_header": "set the side plate higher, or use a higher wheel hole",
    "track_entry": "a higher wheel hole or side plate, or a wider track slot",
    "roof_clearance": "more headroom, or fewer slats",
    "wheel_clearance": "a deeper side plate, or fewer slats",
    "rear_clearance": "more depth, or fewer slats",
    "header_clearance": "a bracket hole further inwards, or fewer slats",
    "path_over_wheel": "a bracket hole lower or further inwards",
    "hinge_on_tube": "a thicker tube",
    "hinge_on_wheel": "a larger wheel",
    "curtain_covers": "more slats",
    "slat_width": "a narrower opening, or a slat made for the width",
    "engagement": "a deeper track slot, or a narrower temperature range",
    "opening_taper": "straighten the opening, or pack the tracks",
    "opening_square": "set the tracks to a plumb line and pack them",
}

OTHER_KINDS = {
    "diagonals_inconsistent": WarningKind(
        "the surveyed diagonals contradict the surveyed widths and heights",
        ("caution",),
        "/opening/survey/diagonals_mm",
        "measure the opening again",
    ),
    "measured_coil_differs": WarningKind(
        "the measured coil differs from the computed one",
        ("caution",),
        "/shutter/measured_coil_radius_mm",
        "measure again, check slat and tube, or calibrate the slat's nesting",
    ),
    "coil_hangs_into_opening": WarningKind(
        "the coil hangs below the header's base",
        ("caution",),
        "/opening/headroom_mm",
        "set the side plate higher, or use a higher bracket row",
    ),
    "thick_coil": WarningKind(
        "a clearance is lost when the slats are at their upper thickness tolerance",
        ("caution",),
        "/shutter/slat",
        "more room where it is lost, or fewer slats",
    ),
}

WARNING_KINDS = {
    **{
        id: WarningKind(
            f"the check of the {kind.title} fails or is tight",
            (SEVERITY_OF_FAILURE[kind.role], *((SEVERITY_OF_TIGHTNESS[kind.role],) if kind.rests_on == "tape" else ())),
            kind.field,
            GENERAL_REMEDIES[id],
        )
        for id, kind in KINDS.items()
    },
    **OTHER_KINDS,
}
"""Every warning code by name."""


def of_check(check: Check, chosen: Chosen) -> Warning:
    """The warning of a check that is not `ok`."""
    kind = KINDS[check.id]
    unit = "" if check.unit == "slats" else f" {check.unit}"
    bound = "at most" if check.direction == "at_most" else "at least"
    told = f"{kind.title[0].upper()}{kind.title[1:]}: {figure(check.value)}{unit}, {bound} {figure(check.limit)}{unit}"
    if check.state == "fails":
        severity = SEVERITY_OF_FAILURE[kind.role]
        message = f"{told}; {figure(-check.margin)} {check.unit} too {'much' if check.direction == 'at_most' else 'little'}."
        remedy = REMEDIES[check.id](check, -check.margin, chosen)
    else:
        severity = SEVERITY_OF_TIGHTNESS[kind.role]
        message = f"{told}; the {figure(check.margin)} {check.unit} to spare are less than the measuring tolerance."
        remedy = "measure again more exactly, or leave more room"
    return Warning(check.id, severity, message, check.id, kind.field, check.value, check.limit, check.unit, remedy)


def _other(code: str, message: str, *, check: str | None, value: float, limit: float, unit: str, remedy: str) -> Warning:
    kind = OTHER_KINDS[code]
    return Warning(code, kind.severities[0], message, check, kind.field, value, limit, unit, remedy)


def diagonals_inconsistent(*, disagreement_mm: float, limit_mm: float) -> Warning:
    """The surveyed diagonals contradict the sides."""
    return _other(
        "diagonals_inconsistent",
        f"The diagonals miss what widths and heights give by {figure(disagreement_mm)} mm, at most {figure(limit_mm)} mm.",
        check=None,
        value=disagreement_mm,
        limit=limit_mm,
        unit="mm",
        remedy="measure the opening again, both diagonals from the same corners as widths and heights",
    )


def measured_coil_differs(*, measured_mm: float, computed_mm: float, share: float, limit_share: float) -> Warning:
    """The measured coil is not the computed one."""
    return _other(
        "measured_coil_differs",
        f"The measured coil radius {figure(measured_mm)} mm differs from the computed {figure(computed_mm)} mm by "
        f"{figure(100 * share)} %, more than {figure(100 * limit_share)} %; the measured one is used.",
        check=None,
        value=100 * share,
        limit=100 * limit_share,
        unit="%",
        remedy="measure the rolled-up shutter again, check slat and tube, or calibrate the slat's nesting factor",
    )


def coil_hangs_into_opening(*, intrusion_mm: float) -> Warning:
    """The coil hangs below the header's base."""
    return _other(
        "coil_hangs_into_opening",
        f"The coil hangs {figure(intrusion_mm)} mm below the header's base.",
        check=None,
        value=intrusion_mm,
        limit=0.0,
        unit="mm",
        remedy=f"set the side plate {figure(intrusion_mm)} mm higher, or guard the coil and expect less clear height",
    )


def thick_coil(*, check: Check, thick_radius_mm: float, short_mm: float) -> Warning:
    """A clearance is lost at the upper thickness tolerance."""
    return _other(
        "thick_coil",
        f"With slats at their upper thickness tolerance the coil grows to {figure(thick_radius_mm)} mm and the "
        f"{KINDS[check.id].title} falls {figure(short_mm)} mm short of {figure(check.limit)} mm.",
        check=check.id,
        value=check.limit - short_mm,
        limit=check.limit,
        unit="mm",
        remedy=f"{figure(short_mm)} mm more room, or measure the rolled-up shutter before fitting",
    )

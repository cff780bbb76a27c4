"""Warnings: what a person must know beside the figures, each with a stable code, a plain sentence and a remedy."""

from collections.abc import Callable
from math import radians, sin, tan
from typing import Literal, NamedTuple

from service.calculation import coil, strength
from service.calculation.balance import SpringNeeded
from service.calculation.checks import KINDS, Check, tenth_down, tenth_up
from service.calculation.job import Duty, Hardware, Slat, Tube
from service.calculation.spring import BORE_IN_HAND

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
    duty: Duty
    coil_radius_mm: float
    measured: bool
    slats_needed: int
    slat_length_mm: float
    slat_bow_mm: float


def figure(value: float) -> str:
    """A number as people write it: at most three decimals, none that say nothing."""
    return f"{value:z.3f}".rstrip("0").rstrip(".")


def at_least(value: float) -> str:
    """A figure of a remedy that must be reached: rounded so that following it cures."""
    return figure(tenth_up(value))


def at_most(value: float) -> str:
    """A figure of a remedy that must not be passed: rounded so that following it cures."""
    return figure(tenth_down(value))


def _slats_at_most(short: float, chosen: Chosen) -> str:
    """The part of a remedy that says how many slats would do, and for which opening they are enough."""
    if chosen.measured:
        return ""
    count = coil.slats_within(
        tube_radius_mm=chosen.tube.radius_mm,
        pitch_mm=chosen.slat.pitch_mm,
        thickness_mm=chosen.slat.thickness_mm,
        nesting=chosen.slat.nesting,
        radius_mm=chosen.coil_radius_mm - short,
    )
    if not count:
        return ""
    # a slat fewer is needed for each pitch by which the opening is lower
    lower = (chosen.slats_needed - count) * chosen.slat.pitch_mm
    return f", or {count} slats at most" + (f", as for an opening {at_least(lower)} mm lower" if lower > 0 else "")


def _headroom(check: Check, short: float, chosen: Chosen) -> str:
    return f"{at_least(short)} mm more headroom, or a side plate that is less high"


def _depth(check: Check, short: float, chosen: Chosen) -> str:
    return f"{at_least(short)} mm more depth, or a side plate that is less deep"


def _raise_plate(check: Check, short: float, chosen: Chosen) -> str:
    return f"set the side plate {at_least(short)} mm higher, or use a higher wheel hole"


def _entry(check: Check, short: float, chosen: Chosen) -> str:
    slot = chosen.slat.thickness_mm + 2 * check.value
    if slot > chosen.slat.pitch_mm:  # no slot guides a slat that is turned so far
        return "a higher wheel hole or side plate"
    return f"a higher wheel hole or side plate, or a track slot {at_least(slot)} mm wide"


def _roof(check: Check, short: float, chosen: Chosen) -> str:
    return f"{at_least(short)} mm more headroom{_slats_at_most(short, chosen)}"


def _wheel(check: Check, short: float, chosen: Chosen) -> str:
    further = f"a bracket hole {at_least(short)} mm further from the wheel (a deeper side plate)"
    return f"{further}{_slats_at_most(short, chosen)}"


def _rear(check: Check, short: float, chosen: Chosen) -> str:
    return f"{at_least(short)} mm more depth{_slats_at_most(short, chosen)}"


def _header(check: Check, short: float, chosen: Chosen) -> str:
    return f"a bracket hole {at_least(short)} mm further inwards{_slats_at_most(short, chosen)}"


def _rise(check: Check, short: float, chosen: Chosen) -> str:
    return f"a bracket hole lower or further inwards, so that the curtain rises {at_least(short)} deg less"


def _tube(check: Check, short: float, chosen: Chosen) -> str:
    slat = chosen.slat
    radius = slat.pitch_mm / 2 / tan(radians(slat.hinge_limit_deg) / 2) - slat.thickness_mm / 2
    return f"a tube of at least {at_least(radius)} mm radius"


def _larger_wheel(check: Check, short: float, chosen: Chosen) -> str:
    slat = chosen.slat
    radius = slat.pitch_mm / 2 / sin(radians(slat.hinge_limit_deg) / 2) - slat.thickness_mm / 2
    return f"a wheel of at least {at_least(radius)} mm radius"


def _more_slats(check: Check, short: float, chosen: Chosen) -> str:
    return f"{figure(short)} slats more: {figure(check.limit)} in all with wheel and bracket where they are"


def _narrower(check: Check, short: float, chosen: Chosen) -> str:
    return f"an opening {at_least(short)} mm narrower, or a slat made for {at_least(check.limit + short)} mm"


SLOT_OVER_SHORT = 1.01
"""Slot depth that a shortfall of engagement asks for: the slat grows with the slot, but shrinks again in the cold."""

WIDTH_OVER_SLAT = 1.003
"""Width by which an opening must be narrower for each mm of slat: the slat is cut short for the heat, by 0.16 % at 90 °C."""


def _engage(check: Check, short: float, chosen: Chosen) -> str:
    return f"{_slot(SLOT_OVER_SHORT * short, chosen)}a narrower temperature range, or a narrower opening"


def _slot(deeper_mm: float, chosen: Chosen) -> str:
    """The part of a remedy that asks for a deeper slot; nothing where the track's wall would be cut through."""
    track = chosen.hardware.track
    slot = tenth_up(track.slot_depth_mm + deeper_mm)
    return f"a track slot {figure(slot)} mm deep, " if slot <= track.wall_mm else ""


def _pack(check: Check, short: float, chosen: Chosen) -> str:
    return f"straighten the opening, or pack the tracks by up to {figure(check.value)} mm so that they stand parallel"


def _square(check: Check, short: float, chosen: Chosen) -> str:
    return f"set the tracks to a plumb line and pack up to {figure(check.value)} mm; the seals will not follow by themselves"


def _stouter_slat(check: Check, short: float, chosen: Chosen) -> str:
    """Stress follows the square of the slat's length and of the speed, and falls with the section modulus."""
    share = check.value / check.limit
    modulus = chosen.slat.section_modulus_mm3 * share
    narrower = WIDTH_OVER_SLAT * chosen.slat_length_mm * (1 - share**-0.5)
    return (
        f"a stouter slat of at least {at_least(modulus)} mm³ section modulus, an opening {at_least(narrower)} mm narrower, "
        f"or a road speed of at most {at_most(chosen.duty.road_speed_km_h * share**-0.5)} km/h"
    )


DEEPER_STEPS = 30
"""Steps after which the slot's depth is found, wherever the track's wall has room for it."""


def _hold_the_bowed(check: Check, short: float, chosen: Chosen) -> str:
    """A deeper slot takes a longer slat, whose bow draws in more: 8·f²/(3·L) with f as L⁴, so as L⁷."""
    length = chosen.slat_length_mm
    draw_in = strength.draw_in_mm(slat_bow_mm=chosen.slat_bow_mm, slat_length_mm=length)
    deeper = 0.0
    for _ in range(DEEPER_STEPS):
        more = draw_in * ((1 + 2 * deeper / length) ** 7 - 1)
        deeper = min(SLOT_OVER_SHORT * (short + more), length)
    return f"{_slot(deeper, chosen)}a stouter slat, a narrower opening, or a lower road speed"


def _stiffer_tube(check: Check, short: float, chosen: Chosen) -> str:
    """Sag over span follows the third power of the span, since the curtain's weight grows with it."""
    share = check.value / check.limit
    narrower = WIDTH_OVER_SLAT * chosen.slat_length_mm * (1 - share ** (-1 / 3))
    return f"a tube {at_least(share)} times as stiff, or an opening {at_least(narrower)} mm narrower"


def _ease_the_spring(check: Check, short: float, chosen: Chosen) -> str:
    more = 100 * (check.value / check.limit - 1)
    return f"springs with {at_least(more)} % more coils in a longer tube, thicker wire, or a curtain that much lighter"


def _longer_tube(check: Check, short: float, chosen: Chosen) -> str:
    return f"a tube {at_least(short)} mm longer (a wider opening), or a thinner wire in the catalogue"


def _thinner_shaft(check: Check, short: float, chosen: Chosen) -> str:
    if check.value <= 0:
        return "more coils in a longer tube, or a wider tube"
    return f"a shaft of at most {at_most(check.value / BORE_IN_HAND)} mm, more coils in a longer tube, or a wider tube"


def _lighter_curtain(check: Check, short: float, chosen: Chosen) -> str:
    return f"a lighter slat or a narrower opening, or allow a hand force of {at_least(check.value)} N"


def _more_pretension(check: Check, short: float, chosen: Chosen) -> str:
    return f"{at_least(short)} N more lift at the open end: half a turn more pretension, or a catch that holds it open"


def _thicker_cable(check: Check, short: float, chosen: Chosen) -> str:
    return (
        f"a cable run shorter by {at_least(100 * short / check.value)} %, conductors {at_least(check.value / check.limit)} "
        "times as thick, or a higher supply voltage"
    )


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
    "slat_stress": _stouter_slat,
    "engagement_bowed": _hold_the_bowed,
    "tube_sag": _stiffer_tube,
    "spring_stress": _ease_the_spring,
    "spring_length": _longer_tube,
    "spring_bore": _thinner_shaft,
    "hand_force": _lighter_curtain,
    "holds_open": _more_pretension,
    "voltage_drop": _thicker_cable,
}

GENERAL_REMEDIES = {
    "plate_height": "more headroom, or a side plate that is less high",
    "plate_depth": "more depth, or a side plate that is less deep",
    "wheel_above_header": "set the side plate higher, or use a higher wheel hole",
    "track_entry": "a higher wheel hole or side plate, or a wider track slot",
    "roof_clearance": "more headroom, or fewer slats for a lower opening",
    "wheel_clearance": "a deeper side plate, or fewer slats for a lower opening",
    "rear_clearance": "more depth, or fewer slats for a lower opening",
    "header_clearance": "a bracket hole further inwards, or fewer slats for a lower opening",
    "path_over_wheel": "a bracket hole lower or further inwards",
    "hinge_on_tube": "a thicker tube",
    "hinge_on_wheel": "a larger wheel",
    "curtain_covers": "more slats",
    "slat_width": "a narrower opening, or a slat made for the width",
    "engagement": "a deeper track slot, a narrower temperature range, or a narrower opening",
    "opening_taper": "straighten the opening, or pack the tracks",
    "opening_square": "set the tracks to a plumb line and pack them",
    "slat_stress": "a stouter slat, a narrower opening, or a lower road speed",
    "engagement_bowed": "a deeper track slot, a stouter slat, a narrower opening, or a lower road speed",
    "tube_sag": "a stiffer tube, or a narrower opening",
    "spring_stress": "more coils in a longer tube, thicker wire, or a lighter curtain",
    "spring_length": "a longer tube (a wider opening), or a thinner wire in the catalogue",
    "spring_bore": "a thinner shaft, more coils in a longer tube, or a wider tube",
    "hand_force": "a lighter slat, a narrower opening, or a higher limit",
    "holds_open": "more pretension, or a catch that holds it open",
    "voltage_drop": "a shorter cable run, thicker conductors, or a higher supply voltage",
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
        "set the side plate higher, or guard the coil",
    ),
    "thick_coil": WarningKind(
        "a clearance is lost when the slats are at their upper thickness tolerance",
        ("caution",),
        "/shutter/slat",
        "more room where it is lost, or measure the rolled-up shutter",
    ),
    "no_spring_fits": WarningKind(
        "no spring of the catalogue balances this curtain in this tube",
        ("caution",),
        "/shutter/tube",
        "a longer tube (a wider opening), a thicker tube, a lighter slat, or other wires in the catalogue",
    ),
    "starts_by_itself": WarningKind(
        "the closed shutter rises by itself when it is unlocked; a caution where it takes more than the hand-force limit",
        ("note", "caution"),
        "/shutter",
        "hold the bottom bar when unlocking it",
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


OUT_OF_TRACK = ("engagement", "engagement_bowed")
"""Checks whose value below 0 means that a slat leaves its track."""


def of_check(check: Check, chosen: Chosen) -> Warning:
    """The warning of a check that is not `ok`."""
    kind = KINDS[check.id]
    unit = "" if check.unit == "slats" else f" {check.unit}"
    bound = "at most" if check.direction == "at_most" else "at least"
    told = f"{kind.title[0].upper()}{kind.title[1:]}: {figure(check.value)}{unit}, {bound} {figure(check.limit)}{unit}"
    if check.state == "fails":
        severity = SEVERITY_OF_FAILURE[kind.role]
        wrong = "too much" if check.direction == "at_most" else "too few" if check.unit == "slats" else "too little"
        message = f"{told}; {figure(-check.margin)} {check.unit} {wrong}."
        if check.id in OUT_OF_TRACK and check.value < 0:
            message += " The slats come out of the track."
        remedy = REMEDIES[check.id](check, -check.margin, chosen)
    else:
        severity = SEVERITY_OF_TIGHTNESS[kind.role]
        message = f"{told}; the {figure(check.margin)} {check.unit} to spare are less than the measuring tolerance."
        more = REMEDIES[check.id](check, chosen.duty.measuring_tolerance_mm - check.margin, chosen)
        measured = tenth_down(max(0.0, check.margin))
        remedy = f"measure again to within {figure(measured)} mm, or allow for it: {more}" if measured else more
    return Warning(check.id, severity, message, check.id, kind.field, check.value, check.limit, check.unit, remedy)


def _other(
    code: str,
    message: str,
    *,
    check: str | None,
    value: float,
    limit: float,
    unit: str,
    remedy: str,
    severity: Severity | None = None,
) -> Warning:
    """A warning that is no check; of the first severity of its kind unless told."""
    kind = OTHER_KINDS[code]
    return Warning(code, severity or kind.severities[0], message, check, kind.field, value, limit, unit, remedy)


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


def coil_hangs_into_opening(*, intrusion_mm: float, raised_mm: float | None) -> Warning:
    """The coil hangs below the header's base; raising the side plate by `raised_mm` would end that (None: nothing would)."""
    raise_plate = "" if raised_mm is None else f"set the side plate {at_least(raised_mm)} mm higher, or "
    return _other(
        "coil_hangs_into_opening",
        f"The coil hangs {figure(intrusion_mm)} mm below the header's base.",
        check=None,
        value=intrusion_mm,
        limit=0.0,
        unit="mm",
        remedy=f"{raise_plate}guard the coil and expect {at_least(intrusion_mm)} mm less clear height",
    )


def no_spring_fits(needed: SpringNeeded) -> Warning:
    """No spring of the catalogue can be made for this curtain in this tube."""
    told = (
        f"No spring fits: {figure(needed.rate_n_m_per_turn)} N·m a turn and {figure(needed.torque_closed_n_m)} N·m with "
        "the shutter closed would be needed"
    )
    if needed.length_mm is None:
        return _other(
            "no_spring_fits",
            f"{told}, which none of the catalogue's wires bears.",
            check=None,
            value=needed.torque_closed_n_m,
            limit=0.0,
            unit="N·m",
            remedy="a thicker tube, a lighter slat, a narrower opening, or thicker wires in the catalogue",
        )
    return _other(
        "no_spring_fits",
        f"{told}, in a tube {figure(needed.length_mm)} mm long; this one has {figure(needed.length_given_mm)} mm.",
        check="spring_length",
        value=needed.length_given_mm,
        limit=needed.length_mm,
        unit="mm",
        remedy=f"a tube {at_least(needed.length_mm - needed.length_given_mm)} mm longer (a wider opening), "
        "or a lighter slat",
    )


def starts_by_itself(*, hand_force_closed_n: float, hand_force_limit_n: float) -> Warning:
    """The closed shutter rises by itself: a caution where holding it takes more than a hand should give."""
    return _other(
        "starts_by_itself",
        f"Unlocked, the closed shutter rises by itself with {figure(-hand_force_closed_n)} N.",
        check=None,
        value=hand_force_closed_n,
        limit=0.0,
        unit="N",
        remedy="hold the bottom bar when unlocking it, and keep clear of its path",
        severity="caution" if -hand_force_closed_n > hand_force_limit_n else "note",
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
        remedy=f"{at_least(short_mm)} mm more room, or measure the rolled-up shutter before fitting",
    )

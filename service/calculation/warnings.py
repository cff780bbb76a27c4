"""Warnings: what a person must know beside the figures, each with a stable code, a severity and the figures it speaks of."""

from math import ceil, floor, pow, sin, tan
from typing import Final, final

from . import clearance, coil
from .checks import RESOLUTION, ROWS, Check, Severity
from .constants import RAD_PER_DEG
from .job import Job
from .spring import BORE_IN_HAND
from .trial import Trial

TENTHS: Final = 10
NOISE: Final = 1e-9
"""Part of a tenth that counts as rounding noise."""

ROOM_CHECKS: Final = frozenset(
    {"roof_clearance", "wheel_clearance", "rear_clearance", "header_clearance", "obstacle_clearance"}
)
"""Checks of the coil's room."""

SLOT_OVER_SHORT: Final = 1.01
"""Slot depth that a shortfall of engagement asks for: the slat grows with the slot, but shrinks again in the cold."""

WIDTH_OVER_SLAT: Final = 1.003
"""Width by which an opening must be narrower for each mm of slat: the slat is cut short for the heat, by 0.16 % at 90 °C."""

DEEPER_STEPS: Final = 30
"""Steps after which the slot's depth is found, wherever the track's wall has room for it."""


@final
class WarningRow:
    """A warning that is no check: its severity, the member of the request it points at, the unit of its figures."""

    def __init__(self, *, code: str, severity: Severity, pointer: str, unit: str) -> None:
        self.code = code
        self.severity: Severity = severity
        self.pointer = pointer
        self.unit = unit


OTHER_ROWS: Final[dict[str, WarningRow]] = {
    row.code: row
    for row in (
        WarningRow(code="diagonals_inconsistent", severity="caution", pointer="/opening/survey/diagonals_mm", unit="mm"),
        WarningRow(code="measured_coil_differs", severity="caution", pointer="/shutter/measured_coil_radius_mm", unit="%"),
        WarningRow(code="coil_hangs_into_opening", severity="caution", pointer="/opening/headroom_mm", unit="mm"),
        WarningRow(code="thick_coil", severity="note", pointer="/shutter/slat", unit="mm"),
        WarningRow(code="starts_by_itself", severity="note", pointer="/shutter", unit="N"),
        WarningRow(code="sinks_by_itself", severity="note", pointer="/shutter", unit="N"),
    )
}
"""Every warning that is no check, by code."""

CODES: Final = (*ROWS, *OTHER_ROWS)
"""Every warning code, checks first."""


@final
class Warning:
    """One warning. `check` is the id of the check it comes from, if any; `pointer` names a member of the request.

    `remedy_value` is a figure that cures this check alone, in the unit of its remedy; None where none can be told.
    """

    def __init__(
        self,
        *,
        code: str,
        severity: Severity,
        check: str | None,
        pointer: str,
        value: float,
        limit: float,
        unit: str,
        remedy_value: float | None,
    ) -> None:
        self.code = code
        self.severity: Severity = severity
        self.check = check
        self.pointer = pointer
        self.value = value
        self.limit = limit
        self.unit = unit
        self.remedy_value = remedy_value


def tenth_up(value: float) -> float:
    """A figure that must be reached, rounded up to a tenth."""
    return ceil(value * TENTHS - NOISE) / TENTHS


def tenth_down(value: float) -> float:
    """A figure that must not be passed, rounded down to a tenth."""
    return floor(value * TENTHS + NOISE) / TENTHS


def severities_of(check_id: str) -> tuple[Severity, ...]:
    """The severities that the warning of a check may have."""
    row = ROWS[check_id]
    failed: Severity = "stop" if row.kind == "must" else "caution"
    return (failed, "note") if row.on_tape else (failed,)


def of_check(check: Check, *, job: Job, slat_length_mm: float, draw_in_mm: float) -> Warning:
    """The warning of a check that is not `ok`."""
    failed = check.state == "fails"
    severity: Severity = "note"
    short = job.duty.measuring_tolerance_mm - check.margin
    if failed:
        severity = "stop" if check.kind == "must" else "caution"
        short = -check.margin
    return Warning(
        code=check.id,
        severity=severity,
        check=check.id,
        pointer=check.pointer,
        value=check.value,
        limit=check.limit,
        unit=check.unit,
        remedy_value=_remedy(check, short, job, slat_length_mm, draw_in_mm),
    )


def _remedy(  # noqa: C901, PLR0912 - one branch a kind of figure
    check: Check, short: float, job: Job, slat_length_mm: float, draw_in_mm: float
) -> float | None:
    """A figure that cures a check alone: how much more room is needed, or the figure that would do.

    What it is a figure of is told beside the code: most are the shortfall itself, rounded to the side that cures.
    """
    slat, id = job.slat, check.id
    value: float | None = tenth_up(short)
    if id == "hinge_on_tube":  # a tube's radius
        value = tenth_up(slat.pitch_mm / 2 / tan(slat.hinge_limit_deg * RAD_PER_DEG / 2) - slat.thickness_mm / 2)
    elif id == "hinge_on_wheel":  # a wheel's radius
        value = tenth_up(slat.pitch_mm / 2 / sin(slat.hinge_limit_deg * RAD_PER_DEG / 2) - slat.thickness_mm / 2)
    elif id == "track_entry":  # a slot's width; no slot guides a slat that is turned too far
        slot = slat.thickness_mm + 2 * check.value
        value = tenth_up(slot) if slot <= slat.pitch_mm else None
    elif id == "curtain_covers":  # slats in all
        value = check.limit
    elif id in {"slat_stress", "slat_yield"}:  # road speed: stress follows its square
        value = tenth_down(job.duty.road_speed_km_h * (check.limit / check.value) ** 0.5)
    elif id in {"slat_bow", "load_gap"}:
        value = tenth_down(job.duty.road_speed_km_h * (max(0.0, check.limit) / check.value) ** 0.5)
    elif id in {"engagement_bowed", "held_in_track"}:  # a slot's depth, where the track's wall has room for it
        value = _slot_for_the_bowed(short, job, slat_length_mm, draw_in_mm)
    elif id == "engagement":  # the same
        value = _slot(SLOT_OVER_SHORT * short, job)
    elif id == "tube_sag":  # narrower: sag over span follows the third power of the span, as the weight grows with it
        value = tenth_up(WIDTH_OVER_SLAT * slat_length_mm * (1 - (check.value / check.limit) ** (-1 / 3)))
    elif id == "spring_bore":  # a shaft's diameter
        value = tenth_down(check.value / BORE_IN_HAND) if check.value > 0 else None
    elif id in {"hand_force", "pull_strap_reach"}:  # what would have to be allowed
        value = tenth_up(check.value)
    elif id == "voltage_drop":  # how many times the conductor's area
        value = tenth_up(check.value / check.limit)
    elif id in {"spring_made", "spring_stress", "spring_fatigue", "seal_reach", "track_lap"}:
        value = None
    return value


def _slot(deeper_mm: float, job: Job) -> float | None:
    """A slot so much deeper [mm]; None where the track's wall would be cut through."""
    track = job.hardware.track
    slot = tenth_up(track.slot_depth_mm + deeper_mm)
    return slot if slot <= track.wall_mm else None


def _slot_for_the_bowed(short_mm: float, job: Job, slat_length_mm: float, draw_in_mm: float) -> float | None:
    """A slot that holds the bowed slat [mm]: it takes a longer slat, whose bow draws in more, as L⁷."""
    deeper = 0.0
    for _attempt in range(DEEPER_STEPS):
        more = draw_in_mm * (pow(1 + 2 * deeper / slat_length_mm, 7.0) - 1)
        deeper = min(SLOT_OVER_SHORT * (short_mm + more), slat_length_mm)
    return _slot(deeper, job)


def other(code: str, *, value: float, limit: float, remedy_value: float | None = None, check: str | None = None) -> Warning:
    """A warning that is no check.

    Raises:
        KeyError: there is no such code.
    """
    row = OTHER_ROWS[code]
    return Warning(
        code=code,
        severity=row.severity,
        check=check,
        pointer=row.pointer,
        value=value,
        limit=limit,
        unit=row.unit,
        remedy_value=remedy_value,
    )


def thick_coil(compared: list[Check], *, coil_radius_mm: float, radius_thick_mm: float) -> Warning | None:
    """The room that is lost worst when slats are at their upper thickness tolerance, if some is."""
    growth = radius_thick_mm - coil_radius_mm
    worst: Check | None = None
    least = -RESOLUTION
    for check in compared:
        if check.margin - growth < least and check.id in ROOM_CHECKS:
            worst, least = check, check.margin - growth
    if worst is None:
        return None
    value = clearance.thick_clearance_mm(
        clearance_mm=worst.value, coil_radius_mm=coil_radius_mm, radius_thick_mm=radius_thick_mm
    )
    return other("thick_coil", value=value, limit=worst.limit, remedy_value=tenth_up(-least), check=worst.id)


def slats_at_most(*, job: Job, trial: Trial, short_mm: float) -> int | None:
    """How many slats would leave the coil so much more room; None where it was measured or where no slat would."""
    if job.measured_coil_radius_mm is not None:
        return None
    slat = job.slat
    count = coil.slats_within(
        tube_radius_mm=trial.position.tube.radius_mm,
        pitch_mm=slat.pitch_mm,
        thickness_mm=slat.thickness_mm,
        nesting=slat.nesting,
        radius_mm=trial.radius_checked_mm - short_mm,
    )
    return count or None

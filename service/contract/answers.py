"""What callers get. The figures' types have the members of the core's answer in the same order (a test compares them)."""

from typing import Annotated, Literal

import msgspec
from msgspec import UNSET, Meta, UnsetType

from service.catalogue.rows import Catalogue
from service.contract.requests import Duty, FittingRequest
from service.contract.units import NM, A, Deg, Kg, M, Mm, Mm2, MPa, N, NMPerTurn, Pa, Point, Sha256, Turns, V

Verdict = Literal["fits", "fits_with_cautions", "does_not_fit"]
Severity = Literal["stop", "caution", "note"]
WheelHoleName = Literal["low", "mid", "high"]


class Coil(msgspec.Struct, frozen=True):
    """The curtain wound on its tube. `radius_mm` is with all slats wound, as a rolled-up shutter is measured."""

    radius_mm: Mm
    radius_open_mm: Mm
    radius_ideal_mm: Mm
    radius_thick_mm: Mm
    turns: Turns
    measured_radius_mm: Mm | None


class Bracket(msgspec.Struct, frozen=True):
    """Where the tube's bracket goes. Rows and columns of holes count from 0: rows as tried, columns from the front."""

    hole: str
    row: int
    column: int
    x_mm: Mm
    z_mm: Mm
    from_plate_front_mm: Mm
    from_plate_base_mm: Mm
    below_roof_mm: Mm
    to_wheel_mm: Mm


class Wheel(msgspec.Struct, frozen=True):
    """Where the wheel goes; `entry_shift_mm` is how far a slat stands off the track's middle when it enters."""

    hole: WheelHoleName
    x_mm: Mm
    z_mm: Mm
    from_plate_front_mm: Mm
    from_plate_base_mm: Mm
    entry_shift_mm: Mm


class SidePlate(msgspec.Struct, frozen=True):
    """Where the side plates stand."""

    id: str
    deep_mm: Mm
    high_mm: Mm
    front_x_mm: Mm
    base_z_mm: Mm


class Curtain(msgspec.Struct, frozen=True):
    """The curtain: `length_mm` is slats and bottom bar laid flat, `engagement_mm` that of a cold slat pushed to one side."""

    slat: str
    tube: str
    slat_count: int
    slat_length_mm: Mm
    length_mm: Mm
    mass_kg: Kg
    engagement_mm: Mm


class Tracks(msgspec.Struct, frozen=True):
    """The guides."""

    length_mm: Mm
    outer_width_mm: Mm


class Seals(msgspec.Struct, frozen=True):
    """Top seal to cut, bottom seal as it stands when pressed."""

    top_cut_length_mm: Mm
    top_short_edge_mm: Mm
    top_end_angle_deg: Deg
    bottom_compressed_mm: Mm


class DripRail(msgspec.Struct, frozen=True):
    """The rail over the header."""

    length_mm: Mm


class Striker(msgspec.Struct, frozen=True):
    """What the bottom bar's bolts catch: its axis over the sill."""

    height_above_sill_mm: Mm


class Daylight(msgspec.Struct, frozen=True):
    """What is left of the opening when the shutter is open."""

    width_mm: Mm
    height_mm: Mm
    coil_intrusion_mm: Mm


class BalancePoint(msgspec.Struct, frozen=True):
    """One position of the lift; hand forces include the drag of both tracks."""

    lift_mm: Mm
    layer_radius_mm: Mm
    tension_n: N
    torque_needed_n_m: NM
    torque_given_n_m: NM
    hand_up_n: N
    hand_down_n: N


class Balance(msgspec.Struct, omit_defaults=True):
    """The springs and what they leave for the hand.

    `wire_mm`, `mean_diameter_mm` and `coils` describe each spring, `rate_n_m_per_turn` all springs together.
    `pretension_turns` is in the spring with the shutter open: what the fitter winds. `hand_force_open_n` is the pull down
    from the open end, `hand_force_closed_n` the lift up from the closed one; a negative force means it starts by itself.
    """

    spring_count: int
    wire_mm: Mm
    mean_diameter_mm: Mm
    coils: int
    rate_n_m_per_turn: NMPerTurn
    pretension_turns: Turns
    turns_closed: Turns
    stress_mpa: MPa
    stress_limit_mpa: MPa
    hand_force_max_n: N
    hand_force_open_n: N
    hand_force_closed_n: N
    drag_n: N
    curve: Annotated[
        list[BalancePoint] | UnsetType, Meta(description="With `include=balance_curve`: 25 positions, closed first.")
    ] = UNSET


class Strength(msgspec.Struct, frozen=True):
    """Slat and tube under load; `engagement_left_mm` is that of the cold, bowed slat pushed to one side."""

    wind_pressure_pa: Pa
    slat_stress_mpa: MPa
    slat_bow_mm: Mm
    engagement_left_mm: Mm
    tube_sag_mm: Mm


class Wiring(msgspec.Struct, frozen=True):
    """The supply of the electrical options; the strip light's length is that of both tracks together."""

    strip_light_m: M
    current_a: A
    fuse_a: A
    conductor_mm2: Mm2
    voltage_drop_v: V


class Part(msgspec.Struct, frozen=True):
    """One line of the parcel's check list; a length only where the part is cut for this fitting."""

    part: str
    quantity: int
    cut_length_mm: Mm | None


class WorkStep(msgspec.Struct, frozen=True):
    """One step of the order of work, with a caution where it can hurt."""

    step: str
    text: str
    caution: str | None


class Check(msgspec.Struct, frozen=True):
    """One comparison; `margin` is positive on the good side. `tight` is a margin below the measuring tolerance."""

    id: str
    value: float
    limit: float
    direction: Literal["at_most", "at_least"]
    margin: float
    unit: str
    state: Literal["ok", "tight", "fails"]


class Warning(msgspec.Struct, frozen=True):
    """What a person must know; `field` is a JSON Pointer into the request."""

    code: str
    severity: Severity
    message: str
    check: str | None
    field: str
    value: float
    limit: float
    unit: str
    remedy: str


class Pose(msgspec.Struct, frozen=True):
    """The curtain in one position: hinges from the tube to the bottom bar, and the bar's outline."""

    hinges: list[Point]
    coil_radius_mm: Mm
    bar: list[Point]


class Geometry(msgspec.Struct, frozen=True):
    """The side section. Origin: outer face of the opening at the header's base; x runs inwards, z runs up."""

    closed: Pose
    open: Pose
    wheel: Point
    bracket: Point
    wheel_radius_mm: Mm
    tube_radius_mm: Mm
    slat_thickness_mm: Mm
    header: list[Point]
    plate: list[Point]
    track: list[Point]
    roof_z_mm: Mm
    rear_x_mm: Mm
    sill_z_mm: Mm


class Candidate(msgspec.Struct, frozen=True):
    """A place that was tried: the check that speaks most against it, its margin as a length."""

    tube: str
    side_plate: str
    wheel_hole: WheelHoleName
    bracket_hole: str
    slat_count: int
    coil_radius_mm: Mm
    worst_check: str
    worst_margin_mm: Mm


RuleInput = float | str | list[float] | None


class TraceStep(msgspec.Struct, frozen=True):
    """One applied rule with its inputs and its unrounded value."""

    rule: str
    symbol: str
    formula: str
    inputs: dict[str, RuleInput]
    value: float | list[float]
    unit: str
    basis: str
    source: str


class Audit(msgspec.Struct, frozen=True):
    """What the figures rest on.

    `request` is the request as understood, defaults filled in; `request_sha256` is the digest of its RFC 8785 form.
    `result_sha256` is the digest of the RFC 8785 form of this answer without `audit` and without what only `include` adds.
    """

    calculation_version: str
    catalogue: str
    catalogue_sha256: Sha256
    request_sha256: Sha256
    result_sha256: Sha256
    request: FittingRequest
    trace: list[TraceStep] | UnsetType = UNSET


class Fitting(msgspec.Struct):
    """One fitting. With the verdict `does_not_fit` it is the candidate that comes nearest to one."""

    reference: str | None
    verdict: Verdict
    coil: Coil
    bracket: Bracket
    wheel: Wheel
    side_plate: SidePlate
    curtain: Curtain
    tracks: Tracks
    seals: Seals
    drip_rail: Annotated[DripRail | None, Meta(description="Only where the option `drip_rail` is chosen.")]
    striker: Striker
    daylight: Daylight
    balance: Balance
    strength: Strength
    wiring: Annotated[Wiring | None, Meta(description="Only where an option needs a supply.")]
    parts: list[Part]
    work: list[WorkStep]
    checks: list[Check]
    warnings: list[Warning]
    geometry: Annotated[Geometry | UnsetType, Meta(description="With `include=geometry`.")] = UNSET
    candidates: Annotated[list[Candidate] | UnsetType, Meta(description="With `include=candidates`.")] = UNSET
    audit: Audit | UnsetType = UNSET


class CatalogueAnswer(msgspec.Struct, frozen=True):
    """The catalogue in use. Lengths in mm, angles in degrees; every number of the standard one is invented."""

    catalogue_sha256: Sha256
    duty_defaults: Annotated[Duty, Meta(description="What holds where a request does not say otherwise.")]
    catalogue: Catalogue


class RuleRow(msgspec.Struct, frozen=True):
    """One rule of the calculation."""

    id: str
    title: str
    symbol: str
    unit: str
    formula: str
    basis: Literal["standard", "handbook", "practice", "geometry", "catalogue", "assumption"]
    source: str


class Rules(msgspec.Struct, frozen=True):
    """Every rule of one version of the calculation."""

    calculation_version: str
    rules: list[RuleRow]


class WarningRow(msgspec.Struct, frozen=True):
    """One warning code: what it means, how severe it can be, which member of the request it points at."""

    code: str
    meaning: str
    severities: list[Severity]
    check: str | None
    field: str
    remedy: str


class Warnings(msgspec.Struct, frozen=True):
    """Every warning code."""

    warnings: list[WarningRow]


class Health(msgspec.Struct, frozen=True):
    """What a probe asks for."""

    status: Literal["ok"]
    calculation_version: str
    catalogue: str

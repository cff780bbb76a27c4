"""What comes out: the whole fitting. Frozen, unrounded; units in the names. Rounding happens once, at the boundary."""

from typing import NamedTuple

from service.calculation.balance import Balance
from service.calculation.checks import Check, Verdict
from service.calculation.geometry import Geometry
from service.calculation.job import WheelHoleName
from service.calculation.parts import Part
from service.calculation.strength import Strength
from service.calculation.warnings import Warning
from service.calculation.wiring import Wiring
from service.calculation.work import WorkStep


class Coil(NamedTuple):
    """The curtain wound on its tube."""

    radius_mm: float
    radius_open_mm: float
    radius_ideal_mm: float
    radius_thick_mm: float
    turns: float
    measured_radius_mm: float | None


class Bracket(NamedTuple):
    """Where the tube's bracket goes; row and column count from 0."""

    hole: str
    row: int
    column: int
    x_mm: float
    z_mm: float
    from_plate_front_mm: float
    from_plate_base_mm: float
    below_roof_mm: float
    to_wheel_mm: float


class Wheel(NamedTuple):
    """Where the wheel goes."""

    hole: WheelHoleName
    x_mm: float
    z_mm: float
    from_plate_front_mm: float
    from_plate_base_mm: float
    entry_shift_mm: float


class SidePlate(NamedTuple):
    """Where the side plates stand."""

    id: str
    deep_mm: float
    high_mm: float
    front_x_mm: float
    base_z_mm: float


class Curtain(NamedTuple):
    """The curtain itself."""

    slat: str
    tube: str
    slat_count: int
    slat_length_mm: float
    length_mm: float
    mass_kg: float
    engagement_mm: float


class Tracks(NamedTuple):
    """The guides."""

    length_mm: float
    outer_width_mm: float


class Seals(NamedTuple):
    """Top and bottom seal."""

    top_cut_length_mm: float
    top_short_edge_mm: float
    top_end_angle_deg: float
    bottom_compressed_mm: float


class DripRail(NamedTuple):
    """The rail over the header."""

    length_mm: float


class Striker(NamedTuple):
    """What the bottom bar's bolts catch."""

    height_above_sill_mm: float


class Daylight(NamedTuple):
    """What is left of the opening when the shutter is open."""

    width_mm: float
    height_mm: float
    coil_intrusion_mm: float


class Answer(NamedTuple):
    """One fitting, or the candidate that comes nearest to one."""

    verdict: Verdict
    coil: Coil
    bracket: Bracket
    wheel: Wheel
    side_plate: SidePlate
    curtain: Curtain
    tracks: Tracks
    seals: Seals
    drip_rail: DripRail | None
    striker: Striker
    daylight: Daylight
    balance: Balance
    strength: Strength
    wiring: Wiring | None
    parts: tuple[Part, ...]
    work: tuple[WorkStep, ...]
    checks: tuple[Check, ...]
    warnings: tuple[Warning, ...]
    geometry: Geometry | None

"""What comes out: the whole fitting, unrounded; units in the names. Rounding happens once, at the boundary."""

from typing import final

from .balance import Balance
from .checks import Check, Verdict
from .job import WheelHoleName
from .lifting import Lifting
from .parts import Part
from .strength import Strength
from .survey import Sized
from .warnings import Warning
from .wiring import Wiring


@final
class Coil:
    """The curtain wound on its tube."""

    def __init__(
        self,
        *,
        radius_mm: float,
        radius_open_mm: float,
        radius_ideal_mm: float,
        radius_thick_mm: float,
        turns: float,
        measured_radius_mm: float | None,
    ) -> None:
        self.radius_mm = radius_mm
        self.radius_open_mm = radius_open_mm
        self.radius_ideal_mm = radius_ideal_mm
        self.radius_thick_mm = radius_thick_mm
        self.turns = turns
        self.measured_radius_mm = measured_radius_mm


@final
class Bracket:
    """Where the tube's bracket goes; row and column count from 0."""

    def __init__(
        self,
        *,
        hole: str,
        row: int,
        column: int,
        x_mm: float,
        z_mm: float,
        from_plate_front_mm: float,
        from_plate_base_mm: float,
        below_roof_mm: float,
        to_wheel_mm: float,
    ) -> None:
        self.hole = hole
        self.row = row
        self.column = column
        self.x_mm = x_mm
        self.z_mm = z_mm
        self.from_plate_front_mm = from_plate_front_mm
        self.from_plate_base_mm = from_plate_base_mm
        self.below_roof_mm = below_roof_mm
        self.to_wheel_mm = to_wheel_mm


@final
class Wheel:
    """Where the wheel goes."""

    def __init__(
        self,
        *,
        hole: WheelHoleName,
        x_mm: float,
        z_mm: float,
        from_plate_front_mm: float,
        from_plate_base_mm: float,
        entry_shift_mm: float,
    ) -> None:
        self.hole: WheelHoleName = hole
        self.x_mm = x_mm
        self.z_mm = z_mm
        self.from_plate_front_mm = from_plate_front_mm
        self.from_plate_base_mm = from_plate_base_mm
        self.entry_shift_mm = entry_shift_mm


@final
class SidePlate:
    """Where the side plates stand."""

    def __init__(
        self,
        *,
        id: str,
        deep_mm: float,
        high_mm: float,
        front_x_mm: float,
        base_z_mm: float,
    ) -> None:
        self.id = id
        self.deep_mm = deep_mm
        self.high_mm = high_mm
        self.front_x_mm = front_x_mm
        self.base_z_mm = base_z_mm


@final
class Curtain:
    """The curtain itself, with its tube and bottom seal."""

    def __init__(
        self,
        *,
        slat: str,
        tube: str,
        slat_count: int,
        slat_length_mm: float,
        tube_length_mm: float,
        bottom_seal_length_mm: float,
        length_mm: float,
        mass_kg: float,
        engagement_mm: float,
        header_gap_mm: float,
    ) -> None:
        self.slat = slat
        self.tube = tube
        self.slat_count = slat_count
        self.slat_length_mm = slat_length_mm
        self.tube_length_mm = tube_length_mm
        self.bottom_seal_length_mm = bottom_seal_length_mm
        self.length_mm = length_mm
        self.mass_kg = mass_kg
        self.engagement_mm = engagement_mm
        self.header_gap_mm = header_gap_mm


@final
class Tracks:
    """The guides."""

    def __init__(
        self,
        *,
        length_mm: float,
        outer_width_mm: float,
        lips_mm: float,
    ) -> None:
        self.length_mm = length_mm
        self.outer_width_mm = outer_width_mm
        self.lips_mm = lips_mm


@final
class Seals:
    """Top and bottom seal."""

    def __init__(
        self,
        *,
        top_profile: str,
        top_gap_mm: float,
        top_cut_length_mm: float,
        top_short_edge_mm: float,
        top_end_angle_deg: float,
        bottom_compressed_mm: float,
    ) -> None:
        self.top_profile = top_profile
        self.top_gap_mm = top_gap_mm
        self.top_cut_length_mm = top_cut_length_mm
        self.top_short_edge_mm = top_short_edge_mm
        self.top_end_angle_deg = top_end_angle_deg
        self.bottom_compressed_mm = bottom_compressed_mm


@final
class DripRail:
    """The rail on the header's base that carries the top seal."""

    def __init__(
        self,
        *,
        length_mm: float,
    ) -> None:
        self.length_mm = length_mm


@final
class Striker:
    """What the bottom bar's bolts catch."""

    def __init__(
        self,
        *,
        height_above_sill_mm: float,
    ) -> None:
        self.height_above_sill_mm = height_above_sill_mm


@final
class Daylight:
    """What is left of the opening when the shutter is open."""

    def __init__(
        self,
        *,
        width_mm: float,
        height_mm: float,
        coil_intrusion_mm: float,
    ) -> None:
        self.width_mm = width_mm
        self.height_mm = height_mm
        self.coil_intrusion_mm = coil_intrusion_mm


@final
class PullStrap:
    """The strap that brings the open bottom bar within reach; a length of 0 means that none is needed."""

    def __init__(
        self,
        *,
        length_mm: float,
    ) -> None:
        self.length_mm = length_mm


@final
class Answer:
    """One fitting, or the candidate that comes nearest to one: figures, ids and codes, and not a sentence."""

    def __init__(
        self,
        *,
        verdict: Verdict,
        opening: Sized,
        coil: Coil,
        bracket: Bracket,
        wheel: Wheel,
        side_plate: SidePlate,
        curtain: Curtain,
        tracks: Tracks,
        seals: Seals,
        drip_rail: DripRail | None,
        striker: Striker,
        daylight: Daylight,
        balance: Balance,
        strength: Strength,
        lifting: Lifting,
        pull_strap: PullStrap | None,
        wiring: Wiring | None,
        parts: list[Part],
        checks: list[Check],
        warnings: list[Warning],
    ) -> None:
        self.verdict: Verdict = verdict
        self.opening = opening
        self.coil = coil
        self.bracket = bracket
        self.wheel = wheel
        self.side_plate = side_plate
        self.curtain = curtain
        self.tracks = tracks
        self.seals = seals
        self.drip_rail = drip_rail
        self.striker = striker
        self.daylight = daylight
        self.balance = balance
        self.strength = strength
        self.lifting = lifting
        self.pull_strap = pull_strap
        self.wiring = wiring
        self.parts = parts
        self.checks = checks
        self.warnings = warnings

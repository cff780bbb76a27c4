"""What goes in: one opening, the catalogue rows that may serve it, and the duty. Frozen; units in the names."""

from typing import Literal, NamedTuple

MountId = Literal["reveal", "face"]
FittedFrom = Literal["outside", "inside"]
WheelHoleName = Literal["low", "mid", "high"]


class Survey(NamedTuple):
    """An opening measured more than once; the smallest readings count."""

    widths_mm: tuple[float, ...]
    heights_mm: tuple[float, ...]
    diagonals_mm: tuple[float, float]


class Opening(NamedTuple):
    """The compartment's opening and the room behind it. `survey`, when given, stands in place of width and height."""

    width_mm: float
    height_mm: float
    headroom_mm: float
    depth_mm: float
    header_thickness_mm: float
    plate_offset_mm: float = 0.0
    wall_gap_left_mm: float = 0.0
    wall_gap_right_mm: float = 0.0
    survey: Survey | None = None


class Slat(NamedTuple):
    """A slat profile. `wheel_allowance_mm` is kept free of the coil around the wheel's centre, besides the clearance."""

    id: str
    pitch_mm: float
    thickness_mm: float
    thickness_tolerance_mm: float
    nesting: float
    hinge_limit_deg: float
    mass_kg_per_m: float
    second_moment_mm4: float
    section_modulus_mm3: float
    wheel_radius_mm: float
    wheel_allowance_mm: float
    slot_width_mm: float
    width_max_mm: float


class Tube(NamedTuple):
    """A spring-balanced tube."""

    id: str
    radius_mm: float
    wall_mm: float


class WheelHole(NamedTuple):
    """A hole for the wheel, from the plate's front and lower edges."""

    name: WheelHoleName
    from_front_mm: float
    from_base_mm: float


class BracketHole(NamedTuple):
    """A hole for the tube's bracket; row and column count from 0, from the plate's front and lower edges."""

    row: int
    column: int
    from_front_mm: float
    from_base_mm: float


class SidePlate(NamedTuple):
    """A side plate; wheel holes from the lowest up, bracket holes row by row in the order in which they are tried."""

    id: str
    deep_mm: float
    high_mm: float
    wheel_holes: tuple[WheelHole, ...]
    bracket_holes: tuple[BracketHole, ...]


class Mount(NamedTuple):
    """How the tracks stand to the opening."""

    id: MountId
    mouth_z_mm: float
    plate_setback_mm: float
    track_beyond_mm: float


class Track(NamedTuple):
    """The vertical guide."""

    wall_mm: float
    slot_depth_mm: float
    end_gap_mm: float
    engagement_min_mm: float
    sill_gap_mm: float
    drag_n: float


class BottomBar(NamedTuple):
    """The curtain's lowest member with its seal."""

    height_mm: float
    mass_kg_per_m: float
    bolt_axis_mm: float
    seal_free_mm: float


class TopSeal(NamedTuple):
    """The seal at the header and the rail that may carry it."""

    depth_mm: float
    end_angle_deg: float
    drip_rail_beyond_mm: float


class Running(NamedTuple):
    """Room and reserve that a moving curtain needs."""

    clearance_mm: float
    stop_gap_mm: float
    reserve_turns: float
    strap_length_mm: float


class Limits(NamedTuple):
    """How far measurements may disagree before somebody must be told."""

    out_of_true_mm: float
    diagonals_mm: float
    measured_coil_share: float


class SpringSet(NamedTuple):
    """The springs that a catalogue offers."""

    wires_mm: tuple[float, ...]
    elastic_modulus_mpa: float
    radial_clearance_mm: float
    shaft_diameter_mm: float
    end_fittings_mm: float


class Electrics(NamedTuple):
    """Loads of the electrical options; the door switch is a signal and draws nothing worth counting."""

    strip_light_w_per_m: float
    lock_current_a: float


class Hardware(NamedTuple):
    """The parts every fitting of a catalogue shares."""

    track: Track
    bar: BottomBar
    top_seal: TopSeal
    running: Running
    limits: Limits
    springs: SpringSet
    electrics: Electrics


class Duty(NamedTuple):
    """What the shutter must stand."""

    road_speed_km_h: float
    temperature_min_c: float
    temperature_max_c: float
    supply_v: float
    cable_run_m: float
    cycles_per_day: float
    hand_force_limit_n: float
    measuring_tolerance_mm: float


class Job(NamedTuple):
    """One fitting to calculate. Tubes and plates are the candidates in the order in which they are tried."""

    opening: Opening
    slat: Slat
    tubes: tuple[Tube, ...]
    side_plates: tuple[SidePlate, ...]
    mount: Mount
    hardware: Hardware
    duty: Duty
    options: frozenset[str] = frozenset()
    fitted_from: FittedFrom = "outside"
    slat_count: int | None = None
    measured_coil_radius_mm: float | None = None

"""What goes in: one opening, the catalogue rows that may serve it, and the duty. Never changed; units in the names."""

from dataclasses import dataclass, field
from typing import Literal, final

MountId = Literal["reveal", "face"]
FittedFrom = Literal["outside", "inside"]
WheelHoleName = Literal["low", "mid", "high"]
Body = Literal["steel", "aluminium", "composite"]


@final
@dataclass(eq=False, kw_only=True)
class Survey:
    """An opening measured more than once, as seen from outside.

    Widths from top to bottom and heights from left to right, evenly spaced; the first diagonal runs from upper left to
    lower right. `diagonals_mm` is empty where nobody measured them.
    """

    widths_mm: tuple[float, ...]
    heights_mm: tuple[float, ...]
    diagonals_mm: tuple[float, ...] = ()


@final
@dataclass(eq=False, kw_only=True)
class Obstacle:
    """A box in the side section that nothing may touch, by its lower front corner."""

    name: str
    x_mm: float
    z_mm: float
    deep_mm: float
    high_mm: float


@final
@dataclass(init=False, eq=False)
class Opening:
    """The compartment's opening and the room behind it. `survey`, when given, stands in place of width and height."""

    width_mm: float
    height_mm: float
    headroom_mm: float
    depth_mm: float
    header_thickness_mm: float
    plate_offset_mm: float
    wall_gap_left_mm: float
    wall_gap_right_mm: float
    survey: Survey | None
    body: Body
    obstacles: tuple[Obstacle, ...]
    sill_above_ground_mm: float | None
    load_gap_mm: float | None

    def __init__(
        self,
        *,
        width_mm: float,
        height_mm: float,
        headroom_mm: float,
        depth_mm: float,
        header_thickness_mm: float,
        plate_offset_mm: float = 0.0,
        wall_gap_left_mm: float = 0.0,
        wall_gap_right_mm: float = 0.0,
        survey: Survey | None = None,
        body: Body = "steel",
        obstacles: tuple[Obstacle, ...] = (),
        sill_above_ground_mm: float | None = None,
        load_gap_mm: float | None = None,
    ) -> None:
        self.width_mm = width_mm
        self.height_mm = height_mm
        self.headroom_mm = headroom_mm
        self.depth_mm = depth_mm
        self.header_thickness_mm = header_thickness_mm
        self.plate_offset_mm = plate_offset_mm
        self.wall_gap_left_mm = wall_gap_left_mm
        self.wall_gap_right_mm = wall_gap_right_mm
        self.survey = survey
        self.body = body
        self.obstacles = obstacles
        self.sill_above_ground_mm = sill_above_ground_mm
        self.load_gap_mm = load_gap_mm


@final
@dataclass(eq=False, kw_only=True)
class Slat:
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
    article: str = ""


@final
@dataclass(eq=False, kw_only=True)
class Tube:
    """A spring-balanced tube."""

    id: str
    radius_mm: float
    wall_mm: float
    article: str = ""


@final
@dataclass(eq=False, kw_only=True)
class WheelHole:
    """A hole for the wheel, from the plate's front and lower edges."""

    name: WheelHoleName
    from_front_mm: float
    from_base_mm: float


@final
@dataclass(eq=False, kw_only=True)
class BracketHole:
    """A hole for the tube's bracket; row and column count from 0, from the plate's front and lower edges."""

    row: int
    column: int
    from_front_mm: float
    from_base_mm: float
    name: str = field(init=False)

    def __post_init__(self) -> None:
        """Name the hole as answers and drawings call it."""
        self.name = f"row {self.row}, column {self.column}"


@final
@dataclass(eq=False, kw_only=True)
class SidePlate:
    """A side plate; wheel holes from the lowest up, bracket holes row by row in the order in which they are tried."""

    id: str
    deep_mm: float
    high_mm: float
    wheel_holes: tuple[WheelHole, ...]
    bracket_holes: tuple[BracketHole, ...]
    article: str = ""


@final
@dataclass(eq=False, kw_only=True)
class Mount:
    """How the tracks stand to the opening."""

    id: MountId
    mouth_z_mm: float
    plate_setback_mm: float
    track_beyond_mm: float
    article: str = ""


@final
@dataclass(eq=False, kw_only=True)
class Track:
    """The vertical guide: across its width the web, then the slot; across its depth it reaches past the slot's walls."""

    wall_mm: float
    web_mm: float
    slot_depth_mm: float
    before_slot_mm: float
    behind_slot_mm: float
    end_gap_mm: float
    engagement_min_mm: float
    held_min_mm: float
    sill_gap_mm: float


@final
@dataclass(eq=False, kw_only=True)
class PlateFixing:
    """How side plates and brackets stand across the opening, and the holes that are drilled into a plate."""

    thickness_mm: float
    inset_mm: float
    groove_width_mm: float
    groove_depth_mm: float
    fixing_hole_diameter_mm: float
    fixing_hole_edge_mm: float
    wheel_hole_diameter_mm: float
    bracket_hole_diameter_mm: float
    bracket_thickness_mm: float


@final
@dataclass(eq=False, kw_only=True)
class BottomBar:
    """The curtain's lowest member with its seal and its handle lip."""

    height_mm: float
    mass_kg_per_m: float
    bolt_axis_mm: float
    lip_deep_mm: float
    lip_above_underside_mm: float
    seal_free_mm: float
    seal_shorter_mm: float


@final
@dataclass(eq=False, kw_only=True)
class TopSeal:
    """A profile of the top seal and the gaps that it reaches."""

    id: str
    deep_mm: float
    reach_min_mm: float
    reach_max_mm: float
    article: str = ""


@final
@dataclass(eq=False, kw_only=True)
class Header:
    """What goes on at the header: the top seals in the order in which they are tried, and the rail that may carry one."""

    top_seals: tuple[TopSeal, ...]
    end_angle_deg: float
    drip_rail_shorter_mm: float
    drip_rail_high_mm: float


@final
@dataclass(eq=False, kw_only=True)
class Running:
    """Room and reserve that a moving curtain needs."""

    clearance_mm: float
    header_gap_min_mm: float
    side_gap_min_mm: float
    curtain_clearance_mm: float
    stop_gap_mm: float
    reserve_turns: float
    strap_length_mm: float
    strap_thickness_mm: float


@final
@dataclass(eq=False, kw_only=True)
class Drag:
    """What rubs: each metre of curtain in a track, each metre of top seal, wheels and bearings."""

    track_n_per_m: float
    seal_n_per_m: float
    bearings_n: float


@final
@dataclass(eq=False, kw_only=True)
class Limits:
    """How far measurements may disagree, and the least that a lapping track laps, before somebody must be told."""

    out_of_true_mm: float
    diagonals_mm: float
    measured_coil_share: float
    track_lap_min_mm: float


@final
@dataclass(eq=False, kw_only=True)
class SpringSet:
    """The springs that a catalogue offers."""

    wires_mm: tuple[float, ...]
    elastic_modulus_mpa: float
    radial_clearance_mm: float
    shaft_diameter_mm: float
    end_fittings_mm: float


@final
@dataclass(eq=False, kw_only=True)
class Electrics:
    """Loads of the electrical options; the door switch is a signal and draws nothing worth counting."""

    strip_light_w_per_m: float
    lock_current_a: float


@final
@dataclass(eq=False, kw_only=True)
class Hardware:
    """The parts every fitting of a catalogue shares; `articles` are the article numbers of those without a row, by part."""

    track: Track
    plate: PlateFixing
    bar: BottomBar
    header: Header
    running: Running
    drag: Drag
    limits: Limits
    springs: SpringSet
    electrics: Electrics
    articles: dict[str, str] = field(default_factory=dict)


@final
@dataclass(eq=False, kw_only=True)
class Duty:
    """What the shutter must stand."""

    road_speed_km_h: float
    temperature_min_c: float
    temperature_max_c: float
    supply_v: float
    cable_run_m: float
    cycles_per_day: float
    service_years: float
    hand_force_limit_n: float
    measuring_tolerance_mm: float


@final
@dataclass(init=False, eq=False)
class Job:
    """One fitting to calculate. Tubes and plates are the candidates in the order in which they are tried."""

    opening: Opening
    slat: Slat
    tubes: tuple[Tube, ...]
    side_plates: tuple[SidePlate, ...]
    mount: Mount
    hardware: Hardware
    duty: Duty
    options: frozenset[str]
    fitted_from: FittedFrom
    slat_count: int | None
    measured_coil_radius_mm: float | None

    def __init__(
        self,
        *,
        opening: Opening,
        slat: Slat,
        tubes: tuple[Tube, ...],
        side_plates: tuple[SidePlate, ...],
        mount: Mount,
        hardware: Hardware,
        duty: Duty,
        options: frozenset[str] = frozenset(),
        fitted_from: FittedFrom = "outside",
        slat_count: int | None = None,
        measured_coil_radius_mm: float | None = None,
    ) -> None:
        self.opening = opening
        self.slat = slat
        self.tubes = tubes
        self.side_plates = side_plates
        self.mount = mount
        self.hardware = hardware
        self.duty = duty
        self.options = options
        self.fitted_from = fitted_from
        self.slat_count = slat_count
        self.measured_coil_radius_mm = measured_coil_radius_mm


@final
@dataclass(eq=False, kw_only=True)
class Offer:
    """What the catalogue has to choose from: every slat with the tubes that it may be wound on, the plates, the mounts."""

    slats: tuple[Slat, ...]
    tubes_of_slat: dict[str, tuple[Tube, ...]]
    side_plates: tuple[SidePlate, ...]
    mounts: tuple[Mount, ...]

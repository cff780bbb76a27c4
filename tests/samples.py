"""Made-up catalogue rows and jobs for the tests; every number is invented and none is read from a catalogue file."""

from collections.abc import Sequence

from service.calculation.fitting import fit
from service.calculation.job import (
    BottomBar,
    BracketHole,
    Duty,
    Electrics,
    Hardware,
    Job,
    Limits,
    Mount,
    Opening,
    Running,
    SidePlate,
    Slat,
    SpringSet,
    TopSeal,
    Track,
    Tube,
    WheelHole,
)

WHEEL_HOLES = (WheelHole("low", 50.0, 18.0), WheelHole("mid", 50.0, 40.0), WheelHole("high", 50.0, 62.0))


def side_plate(
    name: str,
    *,
    deep_mm: float,
    high_mm: float,
    rows_mm: Sequence[float] | None = None,
    columns_mm: Sequence[float] | None = None,
) -> SidePlate:
    """A side plate; without rows and columns its bracket holes follow the sample pattern, centre row first."""
    rows = rows_mm or [high_mm / 2 - drop for drop in (0.0, 15.0, 30.0, 45.0)]
    columns = columns_mm or [float(column) for column in range(110, int(deep_mm) - 14, 10)]
    return SidePlate(
        id=name,
        deep_mm=deep_mm,
        high_mm=high_mm,
        wheel_holes=WHEEL_HOLES,
        bracket_holes=tuple(
            BracketHole(row, column, from_front, from_base)
            for row, from_base in enumerate(rows)
            for column, from_front in enumerate(columns)
        ),
    )


SLIM = Slat(
    id="slim",
    pitch_mm=28.0,
    thickness_mm=8.0,
    thickness_tolerance_mm=0.15,
    nesting=1.0,
    hinge_limit_deg=60.0,
    mass_kg_per_m=0.21,
    second_moment_mm4=560.0,
    section_modulus_mm3=140.0,
    wheel_radius_mm=26.0,
    wheel_allowance_mm=39.0,
    slot_width_mm=10.0,
    width_max_mm=1600.0,
)
STOUT = Slat(
    id="stout",
    pitch_mm=40.0,
    thickness_mm=10.0,
    thickness_tolerance_mm=0.20,
    nesting=1.0,
    hinge_limit_deg=60.0,
    mass_kg_per_m=0.36,
    second_moment_mm4=1500.0,
    section_modulus_mm3=300.0,
    wheel_radius_mm=36.0,
    wheel_allowance_mm=51.0,
    slot_width_mm=12.5,
    width_max_mm=2600.0,
)
T50 = Tube("T50", 25.0, 2.0)
T70 = Tube("T70", 35.0, 2.5)
P240 = side_plate("P240", deep_mm=240.0, high_mm=200.0)
P300 = side_plate("P300", deep_mm=300.0, high_mm=260.0)
P360 = side_plate("P360", deep_mm=360.0, high_mm=320.0)
PLATES = (P240, P300, P360)
REVEAL = Mount("reveal", mouth_z_mm=-12.0, plate_setback_mm=0.0, track_beyond_mm=0.0)
FACE = Mount("face", mouth_z_mm=10.0, plate_setback_mm=8.0, track_beyond_mm=20.0)
HARDWARE = Hardware(
    track=Track(wall_mm=18.0, slot_depth_mm=13.0, end_gap_mm=2.0, engagement_min_mm=6.0, sill_gap_mm=2.0, drag_n=6.0),
    bar=BottomBar(height_mm=45.0, mass_kg_per_m=0.9, bolt_axis_mm=20.0, seal_free_mm=24.0),
    top_seal=TopSeal(depth_mm=12.0, end_angle_deg=55.0, drip_rail_beyond_mm=15.0),
    running=Running(clearance_mm=20.0, stop_gap_mm=2.0, reserve_turns=0.5, strap_length_mm=120.0),
    limits=Limits(out_of_true_mm=3.0, diagonals_mm=5.0, measured_coil_share=0.05),
    springs=SpringSet(
        wires_mm=(3.0, 3.5, 4.0, 4.5, 5.0, 6.0),
        elastic_modulus_mpa=206_000.0,
        radial_clearance_mm=3.0,
        shaft_diameter_mm=12.0,
        end_fittings_mm=90.0,
    ),
    electrics=Electrics(strip_light_w_per_m=7.2, lock_current_a=1.5),
)
DUTY = Duty(
    road_speed_km_h=110.0,
    temperature_min_c=-20.0,
    temperature_max_c=50.0,
    supply_v=12.0,
    cable_run_m=4.0,
    cycles_per_day=10.0,
    hand_force_limit_n=100.0,
    measuring_tolerance_mm=2.0,
)
OPENING = Opening(width_mm=1180.0, height_mm=1420.0, headroom_mm=310.0, depth_mm=620.0, header_thickness_mm=40.0)
JOB = Job(
    opening=OPENING,
    slat=SLIM,
    tubes=(T50, T70),
    side_plates=PLATES,
    mount=REVEAL,
    hardware=HARDWARE,
    duty=DUTY,
)


def job(opening: dict[str, object] | None = None, **changes: object) -> Job:
    """The sample job with parts of it exchanged; `opening` holds the opening's changed fields."""
    return JOB._replace(opening=OPENING._replace(**(opening or {})), **changes)


def fixed(one: Job) -> Job:
    """The job with the place that was chosen for it as its only candidate."""
    answer = fit(one)
    tube = next(tube for tube in one.tubes if tube.id == answer.curtain.tube)
    plate = next(plate for plate in one.side_plates if plate.id == answer.side_plate.id)
    return only(
        one,
        tube=tube,
        plate=plate,
        wheel_hole=next(hole for hole in plate.wheel_holes if hole.name == answer.wheel.hole),
        bracket_hole=next(
            hole for hole in plate.bracket_holes if (hole.row, hole.column) == (answer.bracket.row, answer.bracket.column)
        ),
    )


def only(one: Job, *, tube: Tube, plate: SidePlate, wheel_hole: WheelHole, bracket_hole: BracketHole) -> Job:
    """The job with a single candidate."""
    return one._replace(
        tubes=(tube,), side_plates=(plate._replace(wheel_holes=(wheel_hole,), bracket_holes=(bracket_hole,)),)
    )


def check_of(answer: object, name: str) -> object:
    """An answer's check by its id."""
    return next(one for one in answer.checks if one.id == name)

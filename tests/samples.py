"""Made-up catalogue rows and jobs for the tests; every number is invented and none is read from a catalogue file."""

from dataclasses import replace

from service.audit.trace import noted, noting_copy
from service.calculation.fitting import fit
from service.calculation.job import (
    BottomBar,
    BracketHole,
    Drag,
    Duty,
    Electrics,
    Hardware,
    Header,
    Job,
    Limits,
    Mount,
    Obstacle,
    Offer,
    Opening,
    PlateFixing,
    Running,
    SidePlate,
    Slat,
    SpringSet,
    TopSeal,
    Track,
    Tube,
    WheelHole,
)

WHEEL_HOLES = (
    WheelHole(name="low", from_front_mm=50.0, from_base_mm=18.0),
    WheelHole(name="mid", from_front_mm=50.0, from_base_mm=40.0),
    WheelHole(name="high", from_front_mm=50.0, from_base_mm=62.0),
)


def side_plate(
    name,
    *,
    deep_mm,
    high_mm,
    rows_mm=None,
    columns_mm=None,
):
    """A side plate; without rows and columns its bracket holes follow the sample pattern, centre row first."""
    rows = rows_mm or [high_mm / 2 - drop for drop in (0.0, 15.0, 30.0, 45.0)]
    columns = columns_mm or [float(column) for column in range(110, int(deep_mm) - 14, 10)]
    return SidePlate(
        id=name,
        deep_mm=deep_mm,
        high_mm=high_mm,
        wheel_holes=WHEEL_HOLES,
        bracket_holes=tuple(
            BracketHole(row=row, column=column, from_front_mm=from_front, from_base_mm=from_base)
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
T50 = Tube(id="T50", radius_mm=25.0, wall_mm=2.0)
T70 = Tube(id="T70", radius_mm=35.0, wall_mm=2.5)
P240 = side_plate("P240", deep_mm=240.0, high_mm=200.0)
P300 = side_plate("P300", deep_mm=300.0, high_mm=260.0)
P360 = side_plate("P360", deep_mm=360.0, high_mm=320.0)
PLATES = (P240, P300, P360)
REVEAL = Mount(id="reveal", mouth_z_mm=-12.0, plate_setback_mm=0.0, track_beyond_mm=0.0)
FACE = Mount(id="face", mouth_z_mm=10.0, plate_setback_mm=8.0, track_beyond_mm=20.0)
HARDWARE = Hardware(
    track=Track(
        wall_mm=18.0,
        web_mm=5.0,
        slot_depth_mm=13.0,
        before_slot_mm=2.0,
        behind_slot_mm=3.0,
        end_gap_mm=2.0,
        engagement_min_mm=6.0,
        held_min_mm=2.0,
        sill_gap_mm=2.0,
    ),
    plate=PlateFixing(
        thickness_mm=3.0,
        inset_mm=4.0,
        groove_width_mm=3.4,
        groove_depth_mm=40.0,
        fixing_hole_diameter_mm=6.5,
        fixing_hole_edge_mm=20.0,
        wheel_hole_diameter_mm=10.5,
        bracket_hole_diameter_mm=8.5,
        bracket_thickness_mm=14.0,
    ),
    bar=BottomBar(
        height_mm=45.0,
        mass_kg_per_m=0.9,
        bolt_axis_mm=20.0,
        lip_deep_mm=30.0,
        lip_above_underside_mm=5.0,
        seal_free_mm=24.0,
        seal_shorter_mm=2.0,
    ),
    header=Header(
        top_seals=(
            TopSeal(id="TS10", deep_mm=10.0, reach_min_mm=4.0, reach_max_mm=10.0),
            TopSeal(id="TS18", deep_mm=18.0, reach_min_mm=8.0, reach_max_mm=18.0),
            TopSeal(id="TS30", deep_mm=30.0, reach_min_mm=16.0, reach_max_mm=30.0),
        ),
        end_angle_deg=55.0,
        drip_rail_shorter_mm=2.0,
        drip_rail_high_mm=8.0,
    ),
    running=Running(
        clearance_mm=20.0,
        header_gap_min_mm=3.0,
        side_gap_min_mm=2.0,
        curtain_clearance_mm=5.0,
        stop_gap_mm=2.0,
        reserve_turns=0.5,
        strap_length_mm=120.0,
        strap_thickness_mm=2.0,
    ),
    drag=Drag(track_n_per_m=2.5, seal_n_per_m=3.0, bearings_n=2.0),
    limits=Limits(out_of_true_mm=3.0, diagonals_mm=5.0, measured_coil_share=0.05, track_lap_min_mm=10.0),
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
    service_years=15.0,
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
OFFER = Offer(
    slats=(SLIM, STOUT),
    tubes_of_slat={"slim": (T50, T70), "stout": (T70,)},
    side_plates=PLATES,
    mounts=(REVEAL, FACE),
)
OPTIONS = frozenset(
    {"perimeter_seal", "drip_rail", "pull_strap", "inside_release", "door_switch", "electric_lock", "strip_light"}
)
"""Every option."""


def box(x_mm, z_mm, deep_mm, high_mm):
    """An obstacle in the side section."""
    return Obstacle(name="box", x_mm=x_mm, z_mm=z_mm, deep_mm=deep_mm, high_mm=high_mm)


def job(opening=None, **changes):
    """The sample job with parts of it exchanged; `opening` holds the opening's changed fields."""
    return replace(JOB, opening=replace(OPENING, **(opening or {})), **changes)


def reopened(one, **changes):
    """A job with fields of its opening exchanged."""
    return replace(one, opening=replace(one.opening, **changes))


def duty(**changes):
    """The sample duty with parts of it exchanged."""
    return replace(DUTY, **changes)


def hardware(**rows):
    """The sample hardware; each keyword names a row and holds its changed fields."""
    return replace(HARDWARE, **{name: replace(getattr(HARDWARE, name), **changes) for name, changes in rows.items()})


def fixed(one):
    """The job with the place that was chosen for it as its only candidate."""
    trial = fit(one).trial
    position = trial.position
    return only(
        one,
        tube=position.tube,
        plate=position.side_plate,
        wheel_hole=position.wheel_hole,
        bracket_hole=trial.bracket_hole,
    )


def only(one, *, tube, plate, wheel_hole, bracket_hole):
    """The job with a single candidate."""
    narrowed = replace(plate, wheel_holes=(wheel_hole,), bracket_holes=(bracket_hole,))
    return replace(one, tubes=(tube,), side_plates=(narrowed,))


def traced(one, made=None):
    """The fitting of the noting copy, at the place and with the springs of the plain one, and the steps that it noted."""
    made = made or fit(one)
    position = made.trial.position
    with noted() as steps:
        again = noting_copy("service.calculation", "fitting").fit_at(
            one,
            tube=position.tube,
            side_plate=position.side_plate,
            wheel_hole=position.wheel_hole,
            bracket_hole=made.trial.bracket_hole,
            choice=made.choice,
        )
    return again, steps


def check_of(answer, name):
    """An answer's check by its id."""
    return next(one for one in answer.checks if one.id == name)


def plain(value):
    """What the core made as plain data, so that two of them can be compared; also from the noting copy's classes."""
    if isinstance(value, (list, tuple)):
        return [plain(one) for one in value]
    if isinstance(value, dict):
        return {key: plain(one) for key, one in value.items()}
    if hasattr(value, "__dict__"):
        return {name: plain(one) for name, one in vars(value).items()}
    return value


def figures(value):
    """Every float of what the core made."""
    if isinstance(value, dict):
        return [number for part in value.values() for number in figures(part)]
    if isinstance(value, (list, tuple)):
        return [number for part in value for number in figures(part)]
    if hasattr(value, "__dict__"):
        return figures(vars(value))
    return [value] if isinstance(value, float) else []

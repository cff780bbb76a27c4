"""Made-up jobs for the words: a sample, and some hundred that reach every text. All numbers are invented."""

import random
from dataclasses import replace
from functools import cache

from service.calculation.checks import ROWS, Check
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
    Survey,
    TopSeal,
    Track,
    Tube,
    WheelHole,
)
from service.calculation.warnings import Warning

OPTIONS = (
    "perimeter_seal",
    "drip_rail",
    "pull_strap",
    "inside_release",
    "door_switch",
    "electric_lock",
    "strip_light",
)


def _plate(name, deep_mm, high_mm):
    return SidePlate(
        id=name,
        deep_mm=deep_mm,
        high_mm=high_mm,
        wheel_holes=tuple(
            WheelHole(name=hole, from_front_mm=50.0, from_base_mm=base)
            for hole, base in (("low", 18.0), ("mid", 40.0), ("high", 62.0))
        ),
        bracket_holes=tuple(
            BracketHole(row=row, column=column, from_front_mm=float(front), from_base_mm=high_mm / 2 - drop)
            for row, drop in enumerate((0.0, 15.0, 30.0, 45.0))
            for column, front in enumerate(range(110, int(deep_mm) - 14, 10))
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
    thickness_tolerance_mm=0.2,
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
TUBES_OF_SLAT = {"slim": (T50, T70), "stout": (T70,)}
PLATES = (_plate("P240", 240.0, 200.0), _plate("P300", 300.0, 260.0), _plate("P360", 360.0, 320.0))
REVEAL = Mount(id="reveal", mouth_z_mm=-12.0, plate_setback_mm=0.0, track_beyond_mm=0.0)
FACE = Mount(id="face", mouth_z_mm=10.0, plate_setback_mm=8.0, track_beyond_mm=20.0)
OFFER = Offer(slats=(SLIM, STOUT), tubes_of_slat=TUBES_OF_SLAT, side_plates=PLATES, mounts=(REVEAL, FACE))
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
JOB = Job(
    opening=Opening(width_mm=1180.0, height_mm=1420.0, headroom_mm=310.0, depth_mm=620.0, header_thickness_mm=40.0),
    slat=SLIM,
    tubes=(T50, T70),
    side_plates=PLATES,
    mount=REVEAL,
    hardware=HARDWARE,
    duty=DUTY,
    options=frozenset({"drip_rail", "strip_light"}),
)


def job(**changes):
    """The sample job with members of its opening, its duty or itself exchanged."""
    opening = {name: changes.pop(name) for name in list(changes) if name in Opening.__dataclass_fields__}
    duty = {name: changes.pop(name) for name in list(changes) if name in Duty.__dataclass_fields__}
    return replace(JOB, opening=replace(JOB.opening, **opening), duty=replace(DUTY, **duty), **changes)


def _survey(drawn, width_mm, height_mm):
    """Widths and heights that differ by some millimetres, with diagonals that agree, lean or contradict."""
    lean, wrong = drawn.choice([0.0, 0.0, 4.0, 12.0]), drawn.choice([0.0, 0.0, 15.0])
    across = (width_mm**2 + height_mm**2) ** 0.5 + wrong
    return Survey(
        widths_mm=tuple(width_mm + drawn.choice([0.0, 1.0, 4.0, 16.0]) for _ in range(3)),
        heights_mm=(height_mm, height_mm + 1.0),
        diagonals_mm=drawn.choice([(), (across + lean, across - lean)]),
    )


def _drawn(drawn):
    """One made-up job: most fit or nearly do, some are cramped, windy, heavy or absurd."""
    slat = drawn.choice([SLIM, STOUT])
    width, height = drawn.choice([280.0, 600.0, 1180.0, 1500.5, 2400.0]), drawn.choice([300.0, 1000.0, 1420.5, 2600.0])
    box = Obstacle(
        name="lamp {x}", x_mm=drawn.choice([60.0, 200.0]), z_mm=drawn.choice([-60.0, 60.0]), deep_mm=60.0, high_mm=30.0
    )
    measured = drawn.random() < 0.15
    return job(
        width_mm=width,
        height_mm=height,
        headroom_mm=drawn.choice([120.0, 262.0, 311.5, 600.0, 800.0, 800.0]),
        depth_mm=drawn.choice([180.0, 330.0, 620.0, 1500.0, 1500.0]),
        header_thickness_mm=drawn.choice([0.0, 12.0, 40.0, 120.0]),
        plate_offset_mm=drawn.choice([0.0, 0.0, 0.0, 12.0, -10.0, -40.0, 60.5]),
        wall_gap_left_mm=drawn.choice([0.0, 0.0, 5.0]),
        wall_gap_right_mm=drawn.choice([0.0, 0.0, 12.5]),
        survey=_survey(drawn, width, height) if drawn.random() < 0.4 else None,
        obstacles=drawn.choice([(), (), (), (box,)]),
        sill_above_ground_mm=drawn.choice([None, 300.0, 1200.0]),
        load_gap_mm=drawn.choice([None, None, 3.0, 60.0]),
        slat=slat,
        tubes=TUBES_OF_SLAT[slat.id],
        side_plates=drawn.choice([PLATES, PLATES, PLATES[:1], PLATES[2:]]),
        mount=drawn.choice([REVEAL, FACE]),
        options=frozenset(option for option in OPTIONS if drawn.random() < 0.5),
        fitted_from=drawn.choice(["outside", "inside"]),
        slat_count=drawn.choice([None, None, None, None, None, 20, 60]),
        measured_coil_radius_mm=drawn.choice([70.0, 110.0]) if measured else None,
        road_speed_km_h=drawn.choice([0.0, 60.0, 110.0, 160.0]),
        temperature_min_c=drawn.choice([20.0, -20.0, -50.0]),
        temperature_max_c=drawn.choice([20.0, 50.0, 90.0]),
        cable_run_m=drawn.choice([0.0, 4.0, 60.0]),
        cycles_per_day=drawn.choice([1.0, 10.0, 400.0]),
        service_years=drawn.choice([5.0, 30.0]),
        hand_force_limit_n=drawn.choice([20.0, 100.0]),
    )


@cache
def drawn_fittings():
    """Some hundred made-up fittings, the same in every run, and a few that chance seldom makes."""
    drawn = random.Random(1)  # noqa: S311 - repeatable, not secret
    jobs = [_drawn(drawn) for _ in range(130)]
    jobs += [
        job(slat=replace(SLIM, hinge_limit_deg=20.0)),
        job(slat=replace(SLIM, wheel_radius_mm=60.0, wheel_allowance_mm=73.0)),
        job(mount=FACE, plate_offset_mm=-10.0),
        job(width_mm=300.0, height_mm=300.0),
        job(options=frozenset({"pull_strap"}), height_mm=500.0, sill_above_ground_mm=2000.0),
        job(hardware=replace(HARDWARE, track=replace(HARDWARE.track, end_gap_mm=0.5, wall_mm=14.0))),
    ]
    return (
        *(fit(one) for one in jobs),
        with_check("spring_bore", value=9.0, limit=13.2, remedy_value=8.1),
        with_check("spring_bore", value=-1.0, limit=13.2, remedy_value=None),
        with_check("engagement", value=-3.0, limit=6.0, remedy_value=None),
    )


def with_check(id, *, value, limit, remedy_value):
    """The sample fitting with the figures of one check that fails exchanged, and its warning alone."""
    one = fit(JOB)
    check = Check(ROWS[id], value=value, limit=limit, tolerance_mm=DUTY.measuring_tolerance_mm)
    one.answer.checks = [check if found.id == id else found for found in one.answer.checks]
    one.answer.warnings = [
        Warning(
            code=id,
            severity="stop" if check.kind == "must" else "caution",
            check=id,
            pointer=check.pointer,
            value=value,
            limit=limit,
            unit=check.unit,
            remedy_value=remedy_value,
        )
    ]
    return one

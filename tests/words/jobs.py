"""Made-up jobs for the words: a sample, and some hundred that reach every text. All numbers are invented."""

import random
from dataclasses import replace
from functools import cache

import samples
from samples import FACE, HARDWARE, OFFER, PLATES, REVEAL, SLIM, STOUT

from service.calculation.checks import ROWS, Check
from service.calculation.fitting import fit
from service.calculation.job import Duty, Obstacle, Opening, Survey
from service.calculation.warnings import Warning

OPTIONS = sorted(samples.OPTIONS)
JOB = replace(samples.JOB, options=frozenset({"drip_rail", "strip_light"}))


def job(**changes):
    """The sample job with members of its opening, its duty or itself exchanged."""
    opening = {name: changes.pop(name) for name in list(changes) if name in Opening.__dataclass_fields__}
    duty = {name: changes.pop(name) for name in list(changes) if name in Duty.__dataclass_fields__}
    return replace(JOB, opening=replace(JOB.opening, **opening), duty=replace(JOB.duty, **duty), **changes)


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
        tubes=OFFER.tubes_of_slat[slat.id],
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
    check = Check(ROWS[id], value=value, limit=limit, tolerance_mm=JOB.duty.measuring_tolerance_mm)
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

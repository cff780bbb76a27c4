"""What the tests of forces share: invented springs, and the balance of a job on its chosen path."""

import samples

from service.calculation import curtain, path
from service.calculation.answer import Answer
from service.calculation.balance import Balanced, balance_of
from service.calculation.fitting import fit
from service.calculation.job import Electrics, Job, SpringSet, Tube
from service.calculation.parts import Figures
from service.calculation.spring import springs_mass_kg
from service.calculation.strength import tube_mass_kg
from service.calculation.wiring import wiring_of

SPRINGS = SpringSet(
    wires_mm=(3.0, 3.5, 4.0, 4.5, 5.0, 6.0),
    elastic_modulus_mpa=206_000.0,
    radial_clearance_mm=3.0,
    shaft_diameter_mm=12.0,
    end_fittings_mm=90.0,
)
ELECTRICS = Electrics(strip_light_w_per_m=7.2, lock_current_a=1.5)
SUPPLY_V = 12.0
CABLE_RUN_M = 4.0
LIMIT_N = 100.0
WIDE = samples.job({"width_mm": 2590.0, "height_mm": 2440.0, "headroom_mm": 420.0}, slat=samples.STOUT, tubes=(samples.T70,))
"""A wide, heavy shutter that needs two springs."""
NARROW = samples.job({"width_mm": 300.0, "height_mm": 1900.0})
"""A narrow, tall shutter whose tube is too short for any spring of its torque."""


def tube_of(job: Job, answer: Answer) -> Tube:
    """The tube that an answer chose."""
    return next(tube for tube in job.tubes if tube.id == answer.curtain.tube)


def centres_of(job: Job, answer: Answer) -> path.Centres:
    """Wheel and bracket of an answer."""
    radius = job.slat.wheel_radius_mm + job.slat.thickness_mm / 2
    return path.Centres(answer.wheel.x_mm, answer.wheel.z_mm, answer.bracket.x_mm, answer.bracket.z_mm, radius)


def profile_of(job: Job, answer: Answer) -> dict[str, float]:
    """The slat on the chosen tube."""
    return {
        "tube_radius_mm": tube_of(job, answer).radius_mm,
        "pitch_mm": job.slat.pitch_mm,
        "thickness_mm": job.slat.thickness_mm,
        "nesting": job.slat.nesting,
    }


def lift_of(job: Job) -> dict[str, float]:
    """Heights of the bottom bar's top, closed and open."""
    bar = job.hardware.bar
    return {
        "bar_top_closed_z_mm": curtain.bar_top_closed_z_mm(
            opening_height_mm=job.opening.height_mm, seal_free_mm=bar.seal_free_mm, bar_height_mm=bar.height_mm
        ),
        "bar_top_open_z_mm": curtain.bar_top_open_z_mm(
            mouth_z_mm=job.mount.mouth_z_mm, stop_gap_mm=job.hardware.running.stop_gap_mm
        ),
    }


def balanced(job: Job, **changes: object) -> Balanced:
    """The balance of a job at its chosen place, with its curve."""
    answer = fit(job)
    given = {
        "centres": centres_of(job, answer),
        "tube": tube_of(job, answer),
        "slat": job.slat,
        "bar": job.hardware.bar,
        "springs": SPRINGS,
        "slat_count": answer.curtain.slat_count,
        "slat_length_mm": answer.curtain.slat_length_mm,
        **lift_of(job),
        "track_drag_n": job.hardware.track.drag_n,
        "hand_force_limit_n": LIMIT_N,
        "with_curve": True,
    }
    return balance_of(**{**given, **changes})


def figures_of(job: Job, *, options: frozenset[str] = frozenset(), fitted_from: str = "outside") -> Figures:
    """What parcel and order of work speak of, for a job with options."""
    answer = fit(job._replace(options=options))
    tube, found = tube_of(job, answer), balanced(job)
    return Figures(
        mount=job.mount.id,
        fitted_from=fitted_from,
        options=options,
        slat=answer.curtain.slat,
        tube=answer.curtain.tube,
        slat_count=answer.curtain.slat_count,
        slat_length_mm=answer.curtain.slat_length_mm,
        curtain_mass_kg=answer.curtain.mass_kg,
        shutter_mass_kg=answer.curtain.mass_kg
        + tube_mass_kg(
            tube_radius_mm=tube.radius_mm, tube_wall_mm=tube.wall_mm, slat_length_mm=answer.curtain.slat_length_mm
        )
        + springs_mass_kg(
            spring_count=found.balance.spring_count,
            mean_diameter_mm=found.balance.mean_diameter_mm,
            coils=found.balance.coils,
            wire_mm=found.balance.wire_mm,
        ),
        coil_radius_mm=answer.coil.radius_mm,
        side_plate=answer.side_plate.id,
        plate_high_mm=answer.side_plate.high_mm,
        plate_setback_mm=job.mount.plate_setback_mm,
        plate_offset_mm=job.opening.plate_offset_mm,
        curtain_plane_x_mm=answer.wheel.x_mm - job.slat.wheel_radius_mm - job.slat.thickness_mm / 2,
        plate_base_z_mm=answer.side_plate.base_z_mm,
        bracket_hole=answer.bracket.hole,
        bracket_from_front_mm=answer.bracket.from_plate_front_mm,
        bracket_from_base_mm=answer.bracket.from_plate_base_mm,
        wheel_hole=answer.wheel.hole,
        wheel_from_front_mm=answer.wheel.from_plate_front_mm,
        wheel_from_base_mm=answer.wheel.from_plate_base_mm,
        track_length_mm=answer.tracks.length_mm,
        track_beyond_mm=job.mount.track_beyond_mm,
        outer_width_mm=answer.tracks.outer_width_mm,
        daylight_width_mm=answer.daylight.width_mm,
        top_cut_length_mm=answer.seals.top_cut_length_mm,
        top_short_edge_mm=answer.seals.top_short_edge_mm,
        top_end_angle_deg=answer.seals.top_end_angle_deg,
        bottom_seal_free_mm=job.hardware.bar.seal_free_mm,
        bottom_compressed_mm=answer.seals.bottom_compressed_mm,
        drip_rail_length_mm=answer.drip_rail.length_mm if answer.drip_rail else None,
        striker_height_mm=answer.striker.height_above_sill_mm,
        wall_gap_left_mm=job.opening.wall_gap_left_mm,
        wall_gap_right_mm=job.opening.wall_gap_right_mm,
        strap_length_mm=job.hardware.running.strap_length_mm,
        cable_run_m=CABLE_RUN_M,
        cycles_per_day=10.0,
        balance=found.balance,
        spring_fits=found.needed is None,
        wiring=wiring_of(
            options=options,
            electrics=ELECTRICS,
            track_length_mm=answer.tracks.length_mm,
            supply_v=SUPPLY_V,
            cable_run_m=CABLE_RUN_M,
        ).wiring,
    )

"""One fitting from opening to verdict, in the order in which a fitter would work it out."""

from dataclasses import replace
from typing import Final, final

from . import (
    answer,
    balance,
    checks,
    coil,
    curtain,
    geometry,
    lifting,
    parts,
    place,
    seals,
    spring,
    strength,
    survey,
    tracks,
    warnings,
    wheel,
    wiring,
)
from .balance import Balanced, Moved
from .checks import Check
from .job import BracketHole, Job, SidePlate, Tube, WheelHole
from .spring_choice import Choice, Demand
from .trial import Coiled, Position, Trial

VERSION: Final = "2.1.0"
"""Version of the calculation: it changes whenever a figure may change for the same request and catalogue."""


@final
class Calculated:
    """A fitting with all that was worked out for it: what the wire sends and documents draw, nobody calculates again.

    `job` is the job with its opening as sized by the survey.
    """

    def __init__(self, *, job: Job, trial: Trial, moved: Moved, choice: Choice, answer: answer.Answer) -> None:
        self.job = job
        self.trial = trial
        self.moved = moved
        self.choice = choice
        self.answer = answer

    def section(self) -> geometry.Geometry:
        """The side section, closed and open."""
        return geometry.section(
            job=self.job,
            trial=self.trial,
            bar_top_open_z_mm=self.moved.bar_top_open_z_mm,
            wound_closed=self.moved.wound_slats[0],
            wound_open=self.moved.wound_slats[-1],
        )


@final
class Across:
    """What the opening's width decides, wherever the coil comes to lie."""

    def __init__(self, job: Job) -> None:
        track, plate, slat, duty = job.hardware.track, job.hardware.plate, job.slat, job.duty
        outer = tracks.outer_width_mm(opening_width_mm=job.opening.width_mm, track_beyond_mm=job.mount.track_beyond_mm)
        lips = tracks.lips_mm(outer_width_mm=outer, track_wall_mm=track.wall_mm)
        expansion = curtain.body_expansion_per_k(body=job.opening.body)
        length = curtain.slat_length_mm(
            lips_mm=lips,
            slot_depth_mm=track.slot_depth_mm,
            end_gap_mm=track.end_gap_mm,
            body_expansion_per_k=expansion,
            temperature_max_c=duty.temperature_max_c,
        )
        engagement = curtain.engagement_mm(
            slat_length_cold_mm=curtain.slat_length_cold_mm(slat_length_mm=length, temperature_min_c=duty.temperature_min_c),
            lips_cold_mm=curtain.lips_cold_mm(
                lips_mm=lips, body_expansion_per_k=expansion, temperature_min_c=duty.temperature_min_c
            ),
            slot_depth_mm=track.slot_depth_mm,
        )
        self.outer_width_mm = outer
        self.lips_mm = lips
        self.slat_length_mm = length
        self.engagement_mm = engagement
        self.side_gap_mm = curtain.side_gap_mm(outer_width_mm=outer, plate_inset_mm=plate.inset_mm, slat_length_mm=length)
        self.tube_length_mm = curtain.tube_length_mm(
            outer_width_mm=outer, plate_inset_mm=plate.inset_mm, bracket_thickness_mm=plate.bracket_thickness_mm
        )
        self.bar_mass_kg = curtain.bar_mass_kg(bar_mass_kg_per_m=job.hardware.bar.mass_kg_per_m, slat_length_mm=length)
        self.top_seal_length_mm = seals.top_seal_cut_length_mm(lips_mm=lips)
        self.bent = strength.bent(
            slat=slat, slat_length_mm=length, engagement_mm=engagement, road_speed_km_h=duty.road_speed_km_h
        )
        self.checks = _checks_across(job, self)


@final
class Settled:
    """A place with the springs that were chosen for it."""

    def __init__(self, *, trial: Trial, moved: Moved, demand: Demand, choice: Choice) -> None:
        self.trial = trial
        self.moved = moved
        self.demand = demand
        self.choice = choice


def fit(job: Job) -> Calculated:
    """Calculate one fitting.

    Returns:
        The fitting; with the verdict `does_not_fit` the candidate that comes nearest to one.

    Raises:
        ValueError: the job has no candidate at all.
        IndexError: more slats than a coil table covers.
        OverflowError: no figure can be told.
    """
    sized = survey.size(job.opening, job.mount)
    job = _with_size(job, sized)
    across = Across(job)
    return _worked_out(job, sized, across, _settle(job, across))


def fit_at(
    job: Job, *, tube: Tube, side_plate: SidePlate, wheel_hole: WheelHole, bracket_hole: BracketHole, choice: Choice
) -> Calculated:
    """Calculate one fitting at a place and with springs that are already chosen: every rule once, nothing searched."""
    sized = survey.size(job.opening, job.mount)
    job = _with_size(job, sized)
    across = Across(job)
    position = Position(job=job, tube=tube, side_plate=side_plate, wheel_hole=wheel_hole)
    trial = Trial(job=job, coiled=Coiled(job=job, position=position, bracket_hole=bracket_hole))
    moved, demand = _moved(job, across, trial)
    return _worked_out(job, sized, across, Settled(trial=trial, moved=moved, demand=demand, choice=choice))


def can_be_built(job: Job) -> bool:
    """Whether no must fails: a place passes, springs can be made for it, and the width is not too much."""
    job = _with_size(job, survey.size(job.opening, job.mount))
    across = Across(job)
    if _fails_across(across):
        return False
    for tube in job.tubes:
        trial = place.first_that_passes(job, tube)
        if trial is not None:
            moved, demand = _moved(job, across, trial, positions=balance.ENDS)
            if balance.springs_can_be_made(job=job, tube=tube, moved=moved, demand=demand):
                return True
    return False


def verdict(job: Job) -> checks.Verdict:
    """The verdict alone, without looking for the nearest candidate where none fits."""
    sized = survey.size(job.opening, job.mount)
    job = _with_size(job, sized)
    across = Across(job)
    if _fails_across(across):
        return "does_not_fit"
    _, settled = _first_that_works(job, across)
    if settled is None:
        return "does_not_fit"
    return _worked_out(job, sized, across, settled).answer.verdict


def _fails_across(across: Across) -> bool:
    """Whether a must fails that the width decides."""
    return any(check.rules_out for check in across.checks)


def _with_size(job: Job, sized: survey.Sized) -> Job:
    """The job with the width and height that count."""
    if job.opening.survey is None:
        return job
    return replace(job, opening=replace(job.opening, width_mm=sized.width_mm, height_mm=sized.height_mm))


def _settle(job: Job, across: Across) -> Settled:
    """The place and the springs: the first that fit, or what comes nearest."""
    trial, settled = _first_that_works(job, across)
    if settled is not None:
        return settled
    without_springs = trial is not None  # a place that passes was not taken, since no spring can be made for it
    trial = trial or place.nearest(job)
    moved, demand = _moved(job, across, trial)
    tube = trial.position.tube
    choice = None if without_springs else balance.best_springs(job=job, tube=tube, moved=moved, demand=demand)
    choice = choice or balance.nearest_springs(job=job, tube=tube, moved=moved, demand=demand)
    return Settled(trial=trial, moved=moved, demand=demand, choice=choice)


def _first_that_works(job: Job, across: Across) -> tuple[Trial | None, Settled | None]:
    """The first place that a tube has, and the first that has springs too."""
    first: Trial | None = None
    for tube in job.tubes:
        trial = place.first_that_passes(job, tube)
        if trial is None:
            continue
        moved, demand = _moved(job, across, trial)
        choice = balance.best_springs(job=job, tube=tube, moved=moved, demand=demand)
        if choice is not None:
            return trial, Settled(trial=trial, moved=moved, demand=demand, choice=choice)
        first = first or trial
    return first, None


def _moved(job: Job, across: Across, trial: Trial, *, positions: int = balance.POSITIONS) -> tuple[Moved, Demand]:
    """The lift at a place, and what bounds its springs."""
    moved = Moved(
        job=job,
        trial=trial,
        slat_length_mm=across.slat_length_mm,
        bar_mass_kg=across.bar_mass_kg,
        top_seal_length_mm=across.top_seal_length_mm,
        positions=positions,
    )
    return moved, balance.demand_of(job=job, moved=moved, tube_length_mm=across.tube_length_mm)


def _worked_out(job: Job, sized: survey.Sized, across: Across, settled: Settled) -> Calculated:
    """Everything that follows once place and springs are settled."""
    trial, moved, choice = settled.trial, settled.moved, settled.choice
    position, opening = trial.position, job.opening
    balanced = balance.balanced(job=job, tube=position.tube, moved=moved, demand=settled.demand, choice=choice)
    wound = _coil(job, trial, moved)
    made = _curtain(job, across, trial)
    seal = seals.choose_top_seal(job.hardware.header, position.top_gap_mm)
    sealed = seals.outside_reach_mm(
        top_gap_mm=position.top_gap_mm,
        reach_min_mm=seal.reach_min_mm,
        reach_max_mm=seal.reach_max_mm,
    )
    track = answer.Tracks(
        length_mm=tracks.track_length_mm(
            opening_height_mm=opening.height_mm,
            mouth_z_mm=job.mount.mouth_z_mm,
            sill_gap_mm=job.hardware.track.sill_gap_mm,
        ),
        outer_width_mm=across.outer_width_mm,
        lips_mm=across.lips_mm,
    )
    tube_mass = strength.tube_mass_kg(
        tube_radius_mm=position.tube.radius_mm,
        tube_wall_mm=position.tube.wall_mm,
        tube_length_mm=across.tube_length_mm,
    )
    strong = strength.Strength(
        wind_pressure_pa=across.bent.wind_pressure_pa,
        slat_stress_mpa=across.bent.stress_mpa,
        slat_bow_mm=across.bent.bow_mm,
        engagement_left_mm=across.bent.engagement_left_mm,
        tube_sag_mm=strength.tube_sag_mm(
            curtain_mass_kg=made.mass_kg,
            tube_mass_kg=tube_mass,
            tube_length_mm=across.tube_length_mm,
            tube_second_moment_mm4=strength.tube_second_moment_mm4(
                tube_radius_mm=position.tube.radius_mm, tube_wall_mm=position.tube.wall_mm
            ),
        ),
    )
    rail = None
    if "drip_rail" in job.options:
        rail = answer.DripRail(
            length_mm=seals.drip_rail_length_mm(
                opening_width_mm=opening.width_mm, drip_rail_shorter_mm=job.hardware.header.drip_rail_shorter_mm
            )
        )
    pressed = tracks.bottom_seal_compressed_mm(seal_free_mm=job.hardware.bar.seal_free_mm)
    pulled = _pull_strap(job, moved)
    wired = wiring.wired(job=job, track_length_mm=track.length_mm, outer_width_mm=across.outer_width_mm)
    compared = _compared(job, sized, across, settled, balanced, strong, sealed, pulled, wired)
    daylight = _daylight(job, across, trial, moved)
    messages = _warnings(job, sized, across, wound, daylight, balanced, compared, made=choice.made)
    return Calculated(
        job=job,
        trial=trial,
        moved=moved,
        choice=choice,
        answer=answer.Answer(
            verdict=checks.verdict_of(compared, cautions="caution" in [one.severity for one in messages]),
            opening=sized,
            coil=wound,
            bracket=_bracket(job, trial),
            wheel=answer.Wheel(
                hole=position.wheel_hole.name,
                x_mm=position.wheel_x_mm,
                z_mm=position.wheel_z_mm,
                from_plate_front_mm=position.wheel_hole.from_front_mm,
                from_plate_base_mm=position.wheel_hole.from_base_mm,
                entry_shift_mm=position.entry_shift_mm,
            ),
            side_plate=answer.SidePlate(
                id=position.side_plate.id,
                deep_mm=position.side_plate.deep_mm,
                high_mm=position.side_plate.high_mm,
                front_x_mm=position.front_x_mm,
                base_z_mm=position.base_z_mm,
            ),
            curtain=made,
            tracks=track,
            seals=answer.Seals(
                top_profile=seal.id,
                top_gap_mm=position.top_gap_mm,
                top_cut_length_mm=across.top_seal_length_mm,
                top_short_edge_mm=seals.top_seal_short_edge_mm(
                    cut_length_mm=across.top_seal_length_mm,
                    seal_deep_mm=seal.deep_mm,
                    end_angle_deg=job.hardware.header.end_angle_deg,
                ),
                top_end_angle_deg=job.hardware.header.end_angle_deg,
                bottom_compressed_mm=pressed,
            ),
            drip_rail=rail,
            striker=answer.Striker(
                height_above_sill_mm=tracks.striker_height_mm(
                    bottom_seal_compressed_mm=pressed, bolt_axis_mm=job.hardware.bar.bolt_axis_mm
                )
            ),
            daylight=daylight,
            balance=balanced.balance,
            strength=strong,
            lifting=lifting.lifting_of(
                lifted_kg=lifting.lifted_kg(
                    curtain_mass_kg=made.mass_kg, tube_mass_kg=tube_mass, springs_mass_kg=balanced.springs_mass_kg
                )
            ),
            pull_strap=pulled,
            wiring=None if wired is None else wired.wiring,
            parts=parts.parts_of(
                job,
                parts.Cut(
                    tube=position.tube,
                    side_plate=position.side_plate,
                    slat_count=trial.slat_count,
                    slat_length_mm=across.slat_length_mm,
                    tube_length_mm=across.tube_length_mm,
                    bottom_seal_length_mm=made.bottom_seal_length_mm,
                    track_length_mm=track.length_mm,
                    outer_width_mm=across.outer_width_mm,
                    header_width_mm=sized.header_width_mm,
                    jamb_height_mm=sized.jamb_height_mm,
                    top_profile=seal,
                    top_seal_length_mm=across.top_seal_length_mm,
                    drip_rail_length_mm=None if rail is None else rail.length_mm,
                    pull_strap_length_mm=None if pulled is None else pulled.length_mm,
                    packing=sized.packing,
                    balance=balanced.balance,
                    spring_made=choice.made,
                    wiring=None if wired is None else wired.wiring,
                ),
            ),
            checks=compared,
            warnings=messages,
        ),
    )


def _checks_across(job: Job, across: Across) -> list[Check]:
    """The checks that the width decides."""
    tolerance, track, bent = job.duty.measuring_tolerance_mm, job.hardware.track, across.bent
    compared = [
        Check(
            checks.HINGE_ON_WHEEL,
            value=wheel.hinge_bend_on_wheel_deg(
                pitch_mm=job.slat.pitch_mm,
                wheel_radius_mm=job.slat.wheel_radius_mm,
                thickness_mm=job.slat.thickness_mm,
            ),
            limit=job.slat.hinge_limit_deg,
            tolerance_mm=tolerance,
            length_of_one_mm=checks.bend_as_arc_mm(job.slat.pitch_mm),
        ),
        Check(checks.SLAT_WIDTH, value=job.opening.width_mm, limit=job.slat.width_max_mm, tolerance_mm=tolerance),
        Check(
            checks.SIDE_GAP,
            value=across.side_gap_mm,
            limit=job.hardware.running.side_gap_min_mm,
            tolerance_mm=tolerance,
        ),
        Check(checks.ENGAGEMENT, value=across.engagement_mm, limit=track.engagement_min_mm, tolerance_mm=tolerance),
        Check(checks.HELD_IN_TRACK, value=bent.engagement_left_mm, limit=track.held_min_mm, tolerance_mm=tolerance),
        Check(
            checks.ENGAGEMENT_BOWED,
            value=bent.engagement_left_mm,
            limit=track.engagement_min_mm,
            tolerance_mm=tolerance,
        ),
        Check(checks.SLAT_YIELD, value=bent.stress_mpa, limit=strength.ALUMINIUM_YIELD_MPA, tolerance_mm=tolerance),
        Check(
            checks.SLAT_STRESS,
            value=bent.stress_mpa,
            limit=strength.slat_stress_limit_mpa(),
            tolerance_mm=tolerance,
        ),
        Check(
            checks.SLAT_BOW,
            value=bent.bow_mm,
            limit=strength.slat_bow_limit_mm(slat_length_mm=across.slat_length_mm),
            tolerance_mm=tolerance,
        ),
    ]
    if job.opening.load_gap_mm is not None:
        compared.append(Check(checks.LOAD_GAP, value=bent.bow_mm, limit=job.opening.load_gap_mm, tolerance_mm=tolerance))
    return compared


def _coil(job: Job, trial: Trial, moved: Moved) -> answer.Coil:
    """The curtain wound on its tube."""
    slat, tube, count = job.slat, trial.position.tube, trial.slat_count
    thickest = slat.thickness_mm + slat.thickness_tolerance_mm
    return answer.Coil(
        radius_mm=trial.coil_radius_mm,
        radius_open_mm=coil.outer_radius_mm(
            hinge_radius_mm=coil.hinge_radius_mm(
                tube_radius_mm=tube.radius_mm,
                pitch_mm=slat.pitch_mm,
                thickness_mm=slat.thickness_mm,
                nesting=slat.nesting,
                slats_wound=moved.wound_slats[-1],
            ),
            thickness_mm=slat.thickness_mm,
        ),
        radius_ideal_mm=coil.ideal_radius_mm(
            tube_radius_mm=tube.radius_mm, pitch_mm=slat.pitch_mm, thickness_mm=slat.thickness_mm, slat_count=count
        ),
        radius_thick_mm=coil.outer_radius_mm(
            hinge_radius_mm=coil.hinge_radius_mm(
                tube_radius_mm=tube.radius_mm,
                pitch_mm=slat.pitch_mm,
                thickness_mm=thickest,
                nesting=slat.nesting,
                slats_wound=float(count),
            ),
            thickness_mm=thickest,
        ),
        turns=coil.turns(
            angle_rad=coil.hinge_angle_rad(
                tube_radius_mm=tube.radius_mm,
                pitch_mm=slat.pitch_mm,
                thickness_mm=slat.thickness_mm,
                nesting=slat.nesting,
                slats_wound=float(count),
            )
        ),
        measured_radius_mm=job.measured_coil_radius_mm,
    )


def _curtain(job: Job, across: Across, trial: Trial) -> answer.Curtain:
    """How the curtain is made."""
    slat, bar, count = job.slat, job.hardware.bar, trial.slat_count
    return answer.Curtain(
        slat=slat.id,
        tube=trial.position.tube.id,
        slat_count=count,
        slat_length_mm=across.slat_length_mm,
        tube_length_mm=across.tube_length_mm,
        bottom_seal_length_mm=curtain.bottom_seal_length_mm(lips_mm=across.lips_mm, seal_shorter_mm=bar.seal_shorter_mm),
        length_mm=curtain.curtain_length_mm(slat_count=count, pitch_mm=slat.pitch_mm, bar_height_mm=bar.height_mm),
        mass_kg=curtain.curtain_mass_kg(
            slat_count=count,
            slat_length_mm=across.slat_length_mm,
            slat_mass_kg_per_m=slat.mass_kg_per_m,
            bar_mass_kg=across.bar_mass_kg,
        ),
        engagement_mm=across.engagement_mm,
        header_gap_mm=trial.position.top_gap_mm,
    )


def _pull_strap(job: Job, moved: Moved) -> answer.PullStrap | None:
    """The pull strap, where one is wanted and the sill's height is known."""
    sill = job.opening.sill_above_ground_mm
    if "pull_strap" not in job.options or sill is None:
        return None
    return answer.PullStrap(
        length_mm=curtain.pull_strap_length_mm(
            sill_above_ground_mm=sill,
            opening_height_mm=job.opening.height_mm,
            bar_top_open_z_mm=moved.bar_top_open_z_mm,
            bar_height_mm=job.hardware.bar.height_mm,
        )
    )


def _bracket(job: Job, trial: Trial) -> answer.Bracket:
    """Where the tube's bracket goes."""
    hole = trial.bracket_hole
    return answer.Bracket(
        hole=hole.name,
        row=hole.row,
        column=hole.column,
        x_mm=trial.centres.bracket_x_mm,
        z_mm=trial.centres.bracket_z_mm,
        from_plate_front_mm=hole.from_front_mm,
        from_plate_base_mm=hole.from_base_mm,
        below_roof_mm=wheel.below_roof_mm(headroom_mm=job.opening.headroom_mm, hole_z_mm=trial.centres.bracket_z_mm),
        to_wheel_mm=trial.centre_distance_mm,
    )


def _daylight(job: Job, across: Across, trial: Trial, moved: Moved) -> answer.Daylight:
    """What is left of the opening."""
    bar = job.hardware.bar
    return answer.Daylight(
        width_mm=tracks.daylight_width_mm(lips_mm=across.lips_mm, opening_width_mm=job.opening.width_mm),
        height_mm=tracks.daylight_height_mm(
            opening_height_mm=job.opening.height_mm,
            bar_top_open_z_mm=moved.bar_top_open_z_mm,
            bar_height_mm=bar.height_mm,
            seal_free_mm=bar.seal_free_mm,
        ),
        coil_intrusion_mm=tracks.coil_intrusion_mm(
            coil_radius_mm=trial.radius_checked_mm, bracket_z_mm=trial.centres.bracket_z_mm
        ),
    )


def _compared(
    job: Job,
    sized: survey.Sized,
    across: Across,
    settled: Settled,
    balanced: Balanced,
    strong: strength.Strength,
    outside_reach_mm: float,
    pulled: answer.PullStrap | None,
    wired: wiring.Wired | None,
) -> list[Check]:
    """Every check, in the order in which answers list them."""
    tolerance, limits, springs = job.duty.measuring_tolerance_mm, job.hardware.limits, balanced.balance
    made = float(settled.choice.spring_count) if settled.choice.made else 0.0
    compared = [
        *settled.trial.checks,
        *across.checks,
        Check(checks.SPRING_MADE, value=made, limit=1.0, tolerance_mm=tolerance),
        Check(checks.SEAL_REACH, value=outside_reach_mm, limit=0.0, tolerance_mm=tolerance),
        Check(
            checks.TUBE_SAG,
            value=strong.tube_sag_mm,
            limit=strength.tube_sag_limit_mm(tube_length_mm=across.tube_length_mm),
            tolerance_mm=tolerance,
        ),
        Check(checks.SPRING_STRESS, value=springs.stress_mpa, limit=springs.stress_limit_mpa, tolerance_mm=tolerance),
        Check(
            checks.SPRING_FATIGUE,
            value=springs.fatigue_safety,
            limit=spring.STRESS_IN_HAND,
            tolerance_mm=tolerance,
        ),
        Check(checks.SPRING_LENGTH, value=balanced.body_mm, limit=settled.demand.room_mm, tolerance_mm=tolerance),
        Check(checks.SPRING_BORE, value=balanced.bore_mm, limit=balanced.bore_min_mm, tolerance_mm=tolerance),
        Check(
            checks.HAND_FORCE,
            value=springs.hand_force_max_n,
            limit=job.duty.hand_force_limit_n,
            tolerance_mm=tolerance,
        ),
        Check(checks.HOLDS_OPEN, value=balanced.lift_left_n, limit=balance.LIFT_LEFT_MIN_N, tolerance_mm=tolerance),
    ]
    if sized.taper_mm is not None:
        compared.append(
            Check(checks.OPENING_TAPER, value=sized.taper_mm, limit=limits.out_of_true_mm, tolerance_mm=tolerance)
        )
    if sized.out_of_square_mm is not None:
        compared.append(
            Check(
                checks.OPENING_SQUARE,
                value=abs(sized.out_of_square_mm),
                limit=limits.out_of_true_mm,
                tolerance_mm=tolerance,
            )
        )
    if sized.lap_mm is not None:
        compared.append(Check(checks.TRACK_LAP, value=sized.lap_mm, limit=limits.track_lap_min_mm, tolerance_mm=tolerance))
    if wired is not None:
        compared.append(
            Check(
                checks.VOLTAGE_DROP,
                value=wired.voltage_drop_percent,
                limit=wiring.DROP_PERCENT_MAX,
                tolerance_mm=tolerance,
            )
        )
    if pulled is not None:
        compared.append(
            Check(
                checks.PULL_STRAP_REACH,
                value=pulled.length_mm,
                limit=curtain.pull_strap_length_max_mm(opening_height_mm=job.opening.height_mm),
                tolerance_mm=tolerance,
            )
        )
    return checks.in_order(compared)


def _warnings(
    job: Job,
    sized: survey.Sized,
    across: Across,
    wound: answer.Coil,
    daylight: answer.Daylight,
    balanced: Balanced,
    compared: list[Check],
    *,
    made: bool,
) -> list[warnings.Warning]:
    """What a person must be told: checks that are not in order first."""
    limits = job.hardware.limits
    messages = [
        warnings.of_check(check, job=job, slat_length_mm=across.slat_length_mm, draw_in_mm=across.bent.draw_in_mm)
        for check in compared
        if check.state != "ok"
    ]
    if sized.disagreement_mm is not None and sized.disagreement_mm > limits.diagonals_mm:
        messages.append(warnings.other("diagonals_inconsistent", value=sized.disagreement_mm, limit=limits.diagonals_mm))
    coiled = _warning_of_coil(job, wound, compared)
    if coiled is not None:
        messages.append(coiled)
    if daylight.coil_intrusion_mm > checks.RESOLUTION:
        messages.append(warnings.other("coil_hangs_into_opening", value=daylight.coil_intrusion_mm, limit=0.0))
    if made:
        closed = balanced.balance.hand_force_closed_n
        if checks.fails(closed):
            messages.append(warnings.other("starts_by_itself", value=closed, limit=0.0))
        if checks.fails(balanced.hand_down_least_n):
            messages.append(warnings.other("sinks_by_itself", value=balanced.hand_down_least_n, limit=0.0))
    return messages


def _warning_of_coil(job: Job, wound: answer.Coil, compared: list[Check]) -> warnings.Warning | None:
    """A computed coil may grow with thick slats; a measured one may not be the computed one."""
    measured, limit = job.measured_coil_radius_mm, job.hardware.limits.measured_coil_share
    if measured is None:
        return warnings.thick_coil(compared, coil_radius_mm=wound.radius_mm, radius_thick_mm=wound.radius_thick_mm)
    percent = coil.measured_difference_percent(measured_radius_mm=measured, coil_radius_mm=wound.radius_mm)
    if percent > 100 * limit:
        return warnings.other("measured_coil_differs", value=percent, limit=100 * limit)
    return None

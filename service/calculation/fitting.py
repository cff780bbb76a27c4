"""One fitting from opening to verdict, in the order in which a fitter would work it out."""

from typing import NamedTuple

from service.audit.recorder import Use, plain
from service.calculation import (
    answer,
    balance,
    checks,
    clearance,
    coil,
    curtain,
    geometry,
    parts,
    path,
    place,
    spring,
    strength,
    survey,
    tracks,
    warnings,
    wheel,
    wiring,
    work,
)
from service.calculation.checks import Check, check
from service.calculation.job import Job

VERSION = "1.1.0"
"""Version of the calculation: it changes whenever a figure may change for the same request and catalogue."""


class _Wound(NamedTuple):
    """The path and the coil at the chosen place."""

    coil: answer.Coil
    slat_count: int
    slats_needed: int
    radius_checked_mm: float
    rise_deg: float


class _Forces(NamedTuple):
    """What the curtain's weight, the wind and the supply ask for."""

    balanced: balance.Balanced
    stressed: strength.Stressed
    wired: wiring.Wired


class _Standing(NamedTuple):
    """Wheel and bracket at the chosen place."""

    side_plate: answer.SidePlate
    wheel: answer.Wheel
    bracket: answer.Bracket
    centres: path.Centres


class _Made(NamedTuple):
    """What is cut, set and fitted, in the order of the answer."""

    bracket: answer.Bracket
    wheel: answer.Wheel
    side_plate: answer.SidePlate
    curtain: answer.Curtain
    tracks: answer.Tracks
    seals: answer.Seals
    drip_rail: answer.DripRail | None
    striker: answer.Striker
    daylight: answer.Daylight


def fit(job: Job, *, use: Use = plain, with_geometry: bool = False, with_curve: bool = False) -> answer.Answer:
    """Calculate one fitting.

    Args:
        job: the opening, the candidates and the duty
        use: how rules are applied; a `Recorder` notes each one
        with_geometry: whether the answer carries the section's points
        with_curve: whether the balance carries its positions over the lift

    Returns:
        The fitting; with the verdict `does_not_fit` the candidate that comes nearest to one.

    Raises:
        ValueError: the job has no candidate at all.
        IndexError: more slats than a coil table covers.
    """
    job = job._replace(opening=survey.sized(job.opening, use))
    chosen = place.choose(job).candidate
    standing = _stand(job, chosen, use)
    wound = _wind(job, chosen, standing, use)
    outer_width = use(tracks.outer_track_width_mm)(
        opening_width_mm=job.opening.width_mm, track_beyond_mm=job.mount.track_beyond_mm
    )
    daylight = _daylight(job, outer_width, standing, wound, use)
    made = _curtain(job, chosen, daylight, wound, use)
    made_of = _Made(
        bracket=standing.bracket,
        wheel=standing.wheel,
        side_plate=standing.side_plate,
        curtain=made,
        tracks=_tracks(job, outer_width, use),
        seals=_seals(job, outer_width, use),
        drip_rail=_drip_rail(job, outer_width, use),
        striker=_striker(job, use),
        daylight=daylight,
    )
    forces = _forces(job, chosen, standing, made_of, use, with_curve=with_curve)
    compared = _compare(job, chosen, standing, wound, made, forces, use)
    told = _warn(job, chosen, wound, made_of, forces, compared, use)
    listed = _figures(job, chosen, standing, wound, made_of, forces, use)
    return answer.Answer(
        verdict=checks.verdict(checks=compared, cautions="caution" in [one.severity for one in told]),
        coil=wound.coil,
        **made_of._asdict(),
        balance=forces.balanced.balance,
        strength=forces.stressed.strength,
        wiring=forces.wired.wiring,
        parts=parts.parts_of(listed, use=use),
        work=work.work_of(listed, use=use),
        checks=compared,
        warnings=told,
        geometry=_section(job, chosen, standing, wound) if with_geometry else None,
    )


def _stand(job: Job, chosen: place.Candidate, use: Use) -> _Standing:
    """Where plate, wheel and bracket stand."""
    opening, slat, plate = job.opening, job.slat, chosen.side_plate
    wheel_hole, bracket_hole = chosen.wheel_hole, chosen.bracket_hole
    front = use(wheel.plate_front_x_mm)(
        header_thickness_mm=opening.header_thickness_mm, setback_mm=job.mount.plate_setback_mm
    )
    base = use(wheel.plate_base_z_mm)(mouth_z_mm=job.mount.mouth_z_mm, plate_offset_mm=opening.plate_offset_mm)
    wheel_x = use(wheel.hole_x_mm)(plate_front_x_mm=front, from_front_mm=wheel_hole.from_front_mm)
    wheel_z = use(wheel.hole_z_mm)(plate_base_z_mm=base, from_base_mm=wheel_hole.from_base_mm)
    path_radius = use(wheel.wheel_path_radius_mm)(wheel_radius_mm=slat.wheel_radius_mm, thickness_mm=slat.thickness_mm)
    shift = use(wheel.entry_shift_mm)(
        above_mouth_mm=wheel_z - job.mount.mouth_z_mm, wheel_path_radius_mm=path_radius, pitch_mm=slat.pitch_mm
    )
    bracket_x = use(wheel.hole_x_mm)(plate_front_x_mm=front, from_front_mm=bracket_hole.from_front_mm)
    bracket_z = use(wheel.hole_z_mm)(plate_base_z_mm=base, from_base_mm=bracket_hole.from_base_mm)
    distance = use(path.centre_distance_mm)(
        wheel_x_mm=wheel_x, wheel_z_mm=wheel_z, bracket_x_mm=bracket_x, bracket_z_mm=bracket_z
    )
    return _Standing(
        side_plate=answer.SidePlate(plate.id, plate.deep_mm, plate.high_mm, front, base),
        wheel=answer.Wheel(wheel_hole.name, wheel_x, wheel_z, wheel_hole.from_front_mm, wheel_hole.from_base_mm, shift),
        bracket=answer.Bracket(
            hole=f"row {bracket_hole.row}, column {bracket_hole.column}",
            row=bracket_hole.row,
            column=bracket_hole.column,
            x_mm=bracket_x,
            z_mm=bracket_z,
            from_plate_front_mm=bracket_hole.from_front_mm,
            from_plate_base_mm=bracket_hole.from_base_mm,
            below_roof_mm=opening.headroom_mm - bracket_z,
            to_wheel_mm=distance,
        ),
        centres=path.Centres(wheel_x, wheel_z, bracket_x, bracket_z, path_radius),
    )


def _wind(job: Job, chosen: place.Candidate, standing: _Standing, use: Use) -> _Wound:
    """How many slats the path needs, and the coil they make."""
    slat, running, bar = job.slat, job.hardware.running, job.hardware.bar
    profile = {
        "tube_radius_mm": chosen.tube.radius_mm,
        "pitch_mm": slat.pitch_mm,
        "thickness_mm": slat.thickness_mm,
        "nesting": slat.nesting,
    }
    centres = standing.centres._asdict()
    path_radius = standing.centres.wheel_path_radius_mm
    first = use(coil.first_hinge_radius_mm)(
        tube_radius_mm=chosen.tube.radius_mm, pitch_mm=slat.pitch_mm, thickness_mm=slat.thickness_mm
    )
    bar_top = use(curtain.bar_top_closed_z_mm)(
        opening_height_mm=job.opening.height_mm, seal_free_mm=bar.seal_free_mm, bar_height_mm=bar.height_mm
    )
    rise_bare = use(path.rise_rad)(**centres, hinge_radius_mm=first)
    length = use(path.path_length_mm)(
        wheel_z_mm=standing.wheel.z_mm,
        bar_top_z_mm=bar_top,
        arc_on_wheel_mm=use(path.arc_on_wheel_mm)(wheel_path_radius_mm=path_radius, rise_rad=rise_bare),
        free_length_mm=use(path.free_length_mm)(
            centre_distance_mm=standing.bracket.to_wheel_mm, wheel_path_radius_mm=path_radius, hinge_radius_mm=first
        ),
    )
    needed = use(curtain.slats_needed)(
        path_length_mm=length,
        first_hinge_radius_mm=first,
        reserve_turns=running.reserve_turns,
        strap_length_mm=running.strap_length_mm,
        pitch_mm=slat.pitch_mm,
    )
    count = job.slat_count or needed
    radius = use(coil.outer_radius_mm)(
        hinge_radius_mm=use(coil.hinge_radius_mm)(**profile, slats_wound=count), thickness_mm=slat.thickness_mm
    )
    thickest = slat.thickness_mm + slat.thickness_tolerance_mm
    radius_thick = use(coil.outer_radius_mm)(
        hinge_radius_mm=use(coil.hinge_radius_mm)(**{**profile, "thickness_mm": thickest}, slats_wound=count),
        thickness_mm=thickest,
    )
    wound_open = use(curtain.slats_wound)(
        slat_count=count,
        bar_top_z_mm=use(curtain.bar_top_open_z_mm)(mouth_z_mm=job.mount.mouth_z_mm, stop_gap_mm=running.stop_gap_mm),
        **centres,
        **profile,
    )
    radius_open = use(coil.outer_radius_mm)(
        hinge_radius_mm=use(coil.hinge_radius_mm)(**profile, slats_wound=wound_open), thickness_mm=slat.thickness_mm
    )
    radius_checked = job.measured_coil_radius_mm or radius
    rise_full = use(path.rise_rad)(**centres, hinge_radius_mm=radius_checked - slat.thickness_mm / 2)
    return _Wound(
        coil=answer.Coil(
            radius_mm=radius,
            radius_open_mm=radius_open,
            radius_ideal_mm=use(coil.ideal_radius_mm)(
                tube_radius_mm=chosen.tube.radius_mm,
                pitch_mm=slat.pitch_mm,
                thickness_mm=slat.thickness_mm,
                slat_count=count,
            ),
            radius_thick_mm=radius_thick,
            turns=use(coil.turns)(angle_rad=use(coil.hinge_angle_rad)(**profile, slats_wound=count)),
            measured_radius_mm=job.measured_coil_radius_mm,
        ),
        slat_count=count,
        slats_needed=needed,
        radius_checked_mm=radius_checked,
        rise_deg=use(path.greatest_rise_deg)(rise_bare_rad=rise_bare, rise_full_rad=rise_full),
    )


def _daylight(job: Job, outer_width_mm: float, standing: _Standing, wound: _Wound, use: Use) -> answer.Daylight:
    """What is left of the opening."""
    bar = job.hardware.bar
    return answer.Daylight(
        width_mm=use(tracks.daylight_width_mm)(
            outer_track_width_mm=outer_width_mm, track_wall_mm=job.hardware.track.wall_mm
        ),
        height_mm=use(tracks.daylight_height_mm)(
            opening_height_mm=job.opening.height_mm,
            bar_top_open_z_mm=use(curtain.bar_top_open_z_mm)(
                mouth_z_mm=job.mount.mouth_z_mm, stop_gap_mm=job.hardware.running.stop_gap_mm
            ),
            bar_height_mm=bar.height_mm,
            seal_free_mm=bar.seal_free_mm,
        ),
        coil_intrusion_mm=use(tracks.coil_intrusion_mm)(
            coil_radius_mm=wound.radius_checked_mm, bracket_z_mm=standing.bracket.z_mm
        ),
    )


def _curtain(job: Job, chosen: place.Candidate, daylight: answer.Daylight, wound: _Wound, use: Use) -> answer.Curtain:
    """How the curtain is made."""
    slat, track, bar, duty = job.slat, job.hardware.track, job.hardware.bar, job.duty
    length = use(curtain.slat_length_mm)(
        daylight_width_mm=daylight.width_mm,
        slot_depth_mm=track.slot_depth_mm,
        end_gap_mm=track.end_gap_mm,
        temperature_max_c=duty.temperature_max_c,
    )
    cold = use(curtain.slat_length_cold_mm)(slat_length_mm=length, temperature_min_c=duty.temperature_min_c)
    return answer.Curtain(
        slat=slat.id,
        tube=chosen.tube.id,
        slat_count=wound.slat_count,
        slat_length_mm=length,
        length_mm=use(curtain.curtain_length_mm)(
            slat_count=wound.slat_count, pitch_mm=slat.pitch_mm, bar_height_mm=bar.height_mm
        ),
        mass_kg=use(curtain.curtain_mass_kg)(
            slat_count=wound.slat_count,
            slat_length_mm=length,
            slat_mass_kg_per_m=slat.mass_kg_per_m,
            bar_mass_kg_per_m=bar.mass_kg_per_m,
        ),
        engagement_mm=use(curtain.engagement_mm)(
            slat_length_cold_mm=cold, daylight_width_mm=daylight.width_mm, slot_depth_mm=track.slot_depth_mm
        ),
    )


def _tracks(job: Job, outer_width_mm: float, use: Use) -> answer.Tracks:
    """How the tracks are cut."""
    length = use(tracks.track_length_mm)(
        opening_height_mm=job.opening.height_mm,
        mouth_z_mm=job.mount.mouth_z_mm,
        sill_gap_mm=job.hardware.track.sill_gap_mm,
    )
    return answer.Tracks(length_mm=length, outer_width_mm=outer_width_mm)


def _seals(job: Job, outer_width_mm: float, use: Use) -> answer.Seals:
    """How the seals are cut."""
    seal = job.hardware.top_seal
    cut = use(tracks.top_seal_cut_length_mm)(outer_track_width_mm=outer_width_mm, track_wall_mm=job.hardware.track.wall_mm)
    return answer.Seals(
        top_cut_length_mm=cut,
        top_short_edge_mm=use(tracks.top_seal_short_edge_mm)(
            cut_length_mm=cut, depth_mm=seal.depth_mm, end_angle_deg=seal.end_angle_deg
        ),
        top_end_angle_deg=seal.end_angle_deg,
        bottom_compressed_mm=use(tracks.bottom_seal_compressed_mm)(seal_free_mm=job.hardware.bar.seal_free_mm),
    )


def _drip_rail(job: Job, outer_width_mm: float, use: Use) -> answer.DripRail | None:
    """The drip rail, where one is wanted."""
    if "drip_rail" not in job.options:
        return None
    return answer.DripRail(
        length_mm=use(tracks.drip_rail_length_mm)(
            outer_track_width_mm=outer_width_mm, drip_rail_beyond_mm=job.hardware.top_seal.drip_rail_beyond_mm
        )
    )


def _striker(job: Job, use: Use) -> answer.Striker:
    """Where the strikers are set."""
    bar = job.hardware.bar
    pressed = use(tracks.bottom_seal_compressed_mm)(seal_free_mm=bar.seal_free_mm)
    return answer.Striker(
        height_above_sill_mm=use(tracks.striker_height_mm)(bottom_seal_compressed_mm=pressed, bolt_axis_mm=bar.bolt_axis_mm)
    )


def _room(job: Job, standing: _Standing, radius_mm: float, use: Use) -> dict[str, float]:
    """Clearance of a coil to all its surroundings [mm], by check."""
    opening, bracket = job.opening, standing.bracket
    return {
        "roof_clearance": use(clearance.roof_clearance_mm)(
            headroom_mm=opening.headroom_mm, bracket_z_mm=bracket.z_mm, coil_radius_mm=radius_mm
        ),
        "wheel_clearance": use(clearance.wheel_clearance_mm)(
            centre_distance_mm=bracket.to_wheel_mm,
            coil_radius_mm=radius_mm,
            wheel_allowance_mm=job.slat.wheel_allowance_mm,
        ),
        "rear_clearance": use(clearance.rear_clearance_mm)(
            header_thickness_mm=opening.header_thickness_mm,
            depth_mm=opening.depth_mm,
            bracket_x_mm=bracket.x_mm,
            coil_radius_mm=radius_mm,
        ),
        "header_clearance": use(clearance.header_clearance_mm)(
            header_thickness_mm=opening.header_thickness_mm,
            bracket_x_mm=bracket.x_mm,
            bracket_z_mm=bracket.z_mm,
            coil_radius_mm=radius_mm,
        ),
    }


def _forces(job: Job, chosen: place.Candidate, standing: _Standing, made: _Made, use: Use, *, with_curve: bool) -> _Forces:
    """Springs, strength and supply."""
    bar, running, duty = job.hardware.bar, job.hardware.running, job.duty
    return _Forces(
        balanced=balance.balance_of(
            centres=standing.centres,
            tube=chosen.tube,
            slat=job.slat,
            bar=bar,
            springs=job.hardware.springs,
            slat_count=made.curtain.slat_count,
            slat_length_mm=made.curtain.slat_length_mm,
            bar_top_closed_z_mm=use(curtain.bar_top_closed_z_mm)(
                opening_height_mm=job.opening.height_mm, seal_free_mm=bar.seal_free_mm, bar_height_mm=bar.height_mm
            ),
            bar_top_open_z_mm=use(curtain.bar_top_open_z_mm)(
                mouth_z_mm=job.mount.mouth_z_mm, stop_gap_mm=running.stop_gap_mm
            ),
            track_drag_n=job.hardware.track.drag_n,
            hand_force_limit_n=duty.hand_force_limit_n,
            with_curve=with_curve,
            use=use,
        ),
        stressed=strength.strength_of(
            slat=job.slat,
            tube=chosen.tube,
            slat_length_mm=made.curtain.slat_length_mm,
            engagement_mm=made.curtain.engagement_mm,
            engagement_min_mm=job.hardware.track.engagement_min_mm,
            curtain_mass_kg=made.curtain.mass_kg,
            road_speed_km_h=duty.road_speed_km_h,
            use=use,
        ),
        wired=wiring.wiring_of(
            options=job.options,
            electrics=job.hardware.electrics,
            track_length_mm=made.tracks.length_mm,
            supply_v=duty.supply_v,
            cable_run_m=duty.cable_run_m,
            use=use,
        ),
    )


def _figures(
    job: Job, chosen: place.Candidate, standing: _Standing, wound: _Wound, made: _Made, forces: _Forces, use: Use
) -> parts.Figures:
    """The figures that the parcel's list and the order of work speak of."""
    opening, springs = job.opening, forces.balanced.balance
    tube_kg = use(strength.tube_mass_kg)(
        tube_radius_mm=chosen.tube.radius_mm,
        tube_wall_mm=chosen.tube.wall_mm,
        slat_length_mm=made.curtain.slat_length_mm,
    )
    springs_kg = use(spring.springs_mass_kg)(
        spring_count=springs.spring_count,
        mean_diameter_mm=springs.mean_diameter_mm,
        coils=springs.coils,
        wire_mm=springs.wire_mm,
    )
    return parts.Figures(
        mount=job.mount.id,
        fitted_from=job.fitted_from,
        options=job.options,
        slat=made.curtain.slat,
        tube=made.curtain.tube,
        slat_count=made.curtain.slat_count,
        slat_length_mm=made.curtain.slat_length_mm,
        curtain_mass_kg=made.curtain.mass_kg,
        shutter_mass_kg=made.curtain.mass_kg + tube_kg + springs_kg,
        coil_radius_mm=wound.radius_checked_mm,
        side_plate=made.side_plate.id,
        plate_high_mm=made.side_plate.high_mm,
        plate_setback_mm=job.mount.plate_setback_mm,
        plate_offset_mm=opening.plate_offset_mm,
        plate_base_z_mm=made.side_plate.base_z_mm,
        curtain_plane_x_mm=use(wheel.curtain_plane_x_mm)(
            wheel_x_mm=made.wheel.x_mm, wheel_path_radius_mm=standing.centres.wheel_path_radius_mm
        ),
        bracket_hole=made.bracket.hole,
        bracket_from_front_mm=made.bracket.from_plate_front_mm,
        bracket_from_base_mm=made.bracket.from_plate_base_mm,
        wheel_hole=made.wheel.hole,
        wheel_from_front_mm=made.wheel.from_plate_front_mm,
        wheel_from_base_mm=made.wheel.from_plate_base_mm,
        track_length_mm=made.tracks.length_mm,
        track_beyond_mm=job.mount.track_beyond_mm,
        outer_width_mm=made.tracks.outer_width_mm,
        daylight_width_mm=made.daylight.width_mm,
        top_cut_length_mm=made.seals.top_cut_length_mm,
        top_short_edge_mm=made.seals.top_short_edge_mm,
        top_end_angle_deg=made.seals.top_end_angle_deg,
        bottom_seal_free_mm=job.hardware.bar.seal_free_mm,
        bottom_compressed_mm=made.seals.bottom_compressed_mm,
        drip_rail_length_mm=made.drip_rail.length_mm if made.drip_rail else None,
        striker_height_mm=made.striker.height_above_sill_mm,
        wall_gap_left_mm=opening.wall_gap_left_mm,
        wall_gap_right_mm=opening.wall_gap_right_mm,
        strap_length_mm=job.hardware.running.strap_length_mm,
        cable_run_m=job.duty.cable_run_m,
        cycles_per_day=job.duty.cycles_per_day,
        balance=springs,
        spring_fits=forces.balanced.needed is None,
        wiring=forces.wired.wiring,
    )


def _compare(
    job: Job,
    chosen: place.Candidate,
    standing: _Standing,
    wound: _Wound,
    made: answer.Curtain,
    forces: _Forces,
    use: Use,
) -> tuple[Check, ...]:
    """Every check, in the order in which answers list them."""
    opening, slat, plate = job.opening, job.slat, standing.side_plate
    need = job.hardware.running.clearance_mm
    profile = {"pitch_mm": slat.pitch_mm, "thickness_mm": slat.thickness_mm}
    bend_on_tube = use(coil.hinge_bend_on_tube_deg)(tube_radius_mm=chosen.tube.radius_mm, **profile)
    bend_on_wheel = use(wheel.hinge_bend_on_wheel_deg)(
        pitch_mm=slat.pitch_mm, wheel_path_radius_mm=standing.centres.wheel_path_radius_mm
    )
    entry_max = use(wheel.entry_shift_max_mm)(slot_width_mm=slat.slot_width_mm, thickness_mm=slat.thickness_mm)
    compared = [
        ("plate_height", plate.base_z_mm + plate.high_mm, opening.headroom_mm),
        ("plate_depth", plate.front_x_mm + plate.deep_mm, opening.header_thickness_mm + opening.depth_mm),
        ("wheel_above_header", standing.wheel.z_mm, 0.0),
        ("track_entry", standing.wheel.entry_shift_mm, entry_max),
        *((id, value, need) for id, value in _room(job, standing, wound.radius_checked_mm, use).items()),
        ("path_over_wheel", wound.rise_deg, 90.0),
        ("hinge_on_tube", bend_on_tube, slat.hinge_limit_deg),
        ("hinge_on_wheel", bend_on_wheel, slat.hinge_limit_deg),
        *([] if job.slat_count is None else [("curtain_covers", float(job.slat_count), float(wound.slats_needed))]),
        ("slat_width", opening.width_mm, slat.width_max_mm),
        ("engagement", made.engagement_mm, job.hardware.track.engagement_min_mm),
        *_out_of_true(job, use),
        *forces.stressed.checks,
        *forces.balanced.checks,
        *forces.wired.checks,
    ]
    tolerance = job.duty.measuring_tolerance_mm
    return tuple(check(id=id, value=value, limit=limit, measuring_tolerance_mm=tolerance) for id, value, limit in compared)


def _out_of_true(job: Job, use: Use) -> list[tuple[str, float, float]]:
    """Taper and squareness, where a survey tells them."""
    measured, limit = job.opening.survey, job.hardware.limits.out_of_true_mm
    if measured is None:
        return []
    taper = max(use(survey.taper_mm)(readings_mm=measured.widths_mm), use(survey.taper_mm)(readings_mm=measured.heights_mm))
    sine = use(survey.out_of_square_sine)(**measured._asdict())
    return [
        ("opening_taper", taper, limit),
        ("opening_square", use(survey.out_of_square_mm)(heights_mm=measured.heights_mm, sine=sine), limit),
    ]


def _warn(
    job: Job,
    chosen: place.Candidate,
    wound: _Wound,
    made: _Made,
    forces: _Forces,
    compared: tuple[Check, ...],
    use: Use,
) -> tuple[warnings.Warning, ...]:
    """What a person must be told."""
    context = warnings.Chosen(
        slat=job.slat,
        tube=chosen.tube,
        hardware=job.hardware,
        duty=job.duty,
        coil_radius_mm=wound.radius_checked_mm,
        measured=job.measured_coil_radius_mm is not None,
        slats_needed=wound.slats_needed,
        slat_length_mm=made.curtain.slat_length_mm,
        slat_bow_mm=forces.stressed.strength.slat_bow_mm,
    )
    told = [warnings.of_check(one, context) for one in compared if one.state != "ok"]
    if job.opening.survey is not None:
        disagreement = use(survey.diagonals_disagreement_mm)(**job.opening.survey._asdict())
        if disagreement > job.hardware.limits.diagonals_mm:
            told.append(
                warnings.diagonals_inconsistent(disagreement_mm=disagreement, limit_mm=job.hardware.limits.diagonals_mm)
            )
    if job.measured_coil_radius_mm is None:
        told += _warn_of_thick_slats(wound, compared)
    else:
        share = abs(job.measured_coil_radius_mm - wound.coil.radius_mm) / wound.coil.radius_mm
        if share > job.hardware.limits.measured_coil_share:
            told.append(
                warnings.measured_coil_differs(
                    measured_mm=job.measured_coil_radius_mm,
                    computed_mm=wound.coil.radius_mm,
                    share=share,
                    limit_share=job.hardware.limits.measured_coil_share,
                )
            )
    intrusion = made.daylight.coil_intrusion_mm
    if intrusion > checks.RESOLUTION:
        told.append(warnings.coil_hangs_into_opening(intrusion_mm=intrusion, raised_mm=place.plate_raise_mm(job, intrusion)))
    if forces.balanced.needed is not None:
        told.append(warnings.no_spring_fits(forces.balanced.needed))
    elif forces.balanced.balance.hand_force_closed_n < -checks.RESOLUTION:
        told.append(
            warnings.starts_by_itself(
                hand_force_closed_n=forces.balanced.balance.hand_force_closed_n,
                hand_force_limit_n=job.duty.hand_force_limit_n,
            )
        )
    return tuple(told)


def _warn_of_thick_slats(wound: _Wound, compared: tuple[Check, ...]) -> list[warnings.Warning]:
    """The clearance that is lost worst when slats are at their upper thickness tolerance, if one is."""
    growth = wound.coil.radius_thick_mm - wound.coil.radius_mm
    lost = [
        (one.margin - growth, one)
        for one in compared
        if one.id in place.ROOM_CHECKS and one.state != "fails" and checks.fails(one.margin - growth)
    ]
    if not lost:
        return []
    margin, worst = min(lost, key=lambda pair: pair[0])
    return [warnings.thick_coil(check=worst, thick_radius_mm=wound.coil.radius_thick_mm, short_mm=-margin)]


def _section(job: Job, chosen: place.Candidate, standing: _Standing, wound: _Wound) -> geometry.Geometry:
    """The side section, closed and open."""
    opening, slat, bar = job.opening, job.slat, job.hardware.bar
    plate, centres = standing.side_plate, standing.centres
    plane = wheel.curtain_plane_x_mm(wheel_x_mm=centres.wheel_x_mm, wheel_path_radius_mm=centres.wheel_path_radius_mm)
    closed_at = curtain.bar_top_closed_z_mm(
        opening_height_mm=opening.height_mm, seal_free_mm=bar.seal_free_mm, bar_height_mm=bar.height_mm
    )
    open_at = curtain.bar_top_open_z_mm(mouth_z_mm=job.mount.mouth_z_mm, stop_gap_mm=job.hardware.running.stop_gap_mm)
    closed, opened = (
        geometry.pose(
            centres=centres, slat=slat, tube=chosen.tube, bar=bar, slat_count=wound.slat_count, bar_top_z_mm=bar_top
        )
        for bar_top in (closed_at, open_at)
    )
    return geometry.Geometry(
        closed=closed,
        open=opened,
        wheel=(centres.wheel_x_mm, centres.wheel_z_mm),
        bracket=(centres.bracket_x_mm, centres.bracket_z_mm),
        wheel_radius_mm=slat.wheel_radius_mm,
        tube_radius_mm=chosen.tube.radius_mm,
        slat_thickness_mm=slat.thickness_mm,
        header=geometry.rectangle(
            x_from_mm=0.0, x_to_mm=opening.header_thickness_mm, z_from_mm=0.0, z_to_mm=opening.headroom_mm
        ),
        plate=geometry.rectangle(
            x_from_mm=plate.front_x_mm,
            x_to_mm=plate.front_x_mm + plate.deep_mm,
            z_from_mm=plate.base_z_mm,
            z_to_mm=plate.base_z_mm + plate.high_mm,
        ),
        track=geometry.rectangle(
            x_from_mm=plane - slat.slot_width_mm / 2,
            x_to_mm=plane + slat.slot_width_mm / 2,
            z_from_mm=job.hardware.track.sill_gap_mm - opening.height_mm,
            z_to_mm=job.mount.mouth_z_mm,
        ),
        roof_z_mm=opening.headroom_mm,
        rear_x_mm=opening.header_thickness_mm + opening.depth_mm,
        sill_z_mm=-opening.height_mm,
    )

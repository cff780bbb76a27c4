"""Every warning can be reached by a job, carries its figures, and following its remedy's figure helps."""

from dataclasses import replace

import pytest
import samples
from samples import check_of

from service.calculation import coil
from service.calculation.checks import ROWS
from service.calculation.fitting import fit
from service.calculation.job import Survey
from service.calculation.warnings import CODES, OTHER_ROWS, severities_of, slats_at_most, tenth_down, tenth_up

ONE_HOLE = samples.side_plate("one hole", deep_mm=240.0, high_mm=180.0, rows_mm=[100.0], columns_mm=[190.0])
NEAR = samples.side_plate("near", deep_mm=400.0, high_mm=400.0, rows_mm=[390.0], columns_mm=[70.0])
LOW = samples.side_plate("low", deep_mm=400.0, high_mm=100.0, rows_mm=[20.0], columns_mm=[250.0])
TO_HEADER = samples.side_plate("to header", deep_mm=400.0, high_mm=400.0, rows_mm=[250.0], columns_mm=[85.0])
TRUE = {"widths_mm": (1180.0, 1180.0), "heights_mm": (1420.0, 1420.0), "diagonals_mm": (1846.25, 1846.25)}
HEAVY = replace(samples.SLIM, mass_kg_per_m=3.0)
FAST = samples.duty(road_speed_km_h=160.0)
SHORT_AND_TALL = samples.job({"width_mm": 300.0, "height_mm": 1900.0})


def surveyed(mount=samples.REVEAL, **changes):
    """A job with a survey that is true but for what is changed."""
    return samples.job({"survey": Survey(**{**TRUE, **changes})}, mount=mount)


def sprung(**changes):
    """The sample hardware with other springs on offer."""
    return samples.hardware(springs=changes)


def thick_job():
    """A job whose roof clearance is all used up by slats of the nominal thickness."""
    roomy = samples.fixed(samples.job({"headroom_mm": 400.0}))
    answer = fit(roomy).answer
    return samples.reopened(roomy, headroom_mm=answer.bracket.z_mm + answer.coil.radius_mm + 20.1)


REACHED = {
    "plate_height": samples.job({"headroom_mm": 185.0}),
    "plate_depth": samples.job({"depth_mm": 235.0}),
    "wheel_above_header": samples.job({"plate_offset_mm": -60.0}),
    "track_entry": samples.job(
        {"plate_offset_mm": -60.0},
        slat=replace(samples.SLIM, slot_width_mm=8.0),
        side_plates=(samples.P240,),
        mount=samples.FACE,
    ),
    "header_gap": samples.job(slat=replace(samples.SLIM, wheel_radius_mm=40.0, wheel_allowance_mm=53.0)),
    "side_gap": samples.job(hardware=samples.hardware(plate={"inset_mm": 8.0})),
    "roof_clearance": samples.job({"headroom_mm": 190.0, "height_mm": 2200.0}, side_plates=(ONE_HOLE,)),
    "wheel_clearance": samples.job({"height_mm": 2900.0}, side_plates=(ONE_HOLE,)),
    "rear_clearance": samples.job({"depth_mm": 285.0}, side_plates=(ONE_HOLE,)),
    "header_clearance": samples.job({"headroom_mm": 900.0, "height_mm": 2200.0}, side_plates=(TO_HEADER,)),
    "obstacle_clearance": samples.job({"obstacles": (samples.box(200.0, 60.0, 40.0, 40.0),)}),
    "curtain_obstacle": samples.job({"obstacles": (samples.box(58.0, -700.0, 20.0, 20.0),)}),
    "plate_obstacle": samples.job({"obstacles": (samples.box(150.0, -30.0, 20.0, 25.0),)}),
    "load_gap": samples.job({"load_gap_mm": 5.0}),
    "path_over_wheel": samples.job({"headroom_mm": 900.0, "height_mm": 2400.0}, side_plates=(NEAR,)),
    "hinge_on_tube": samples.job(slat=samples.STOUT, tubes=(samples.T50,)),
    "hinge_on_wheel": samples.job(slat=replace(samples.SLIM, wheel_radius_mm=20.0)),
    "curtain_covers": samples.job(slat_count=50),
    "slat_width": samples.job({"width_mm": 1650.0}),
    "engagement": samples.job(
        {"width_mm": 2550.0, "body": "composite"},
        slat=samples.STOUT,
        tubes=(samples.T70,),
        duty=samples.duty(temperature_min_c=-50.0, temperature_max_c=90.0, road_speed_km_h=0.0),
    ),
    "held_in_track": samples.job({"width_mm": 1600.0}, duty=FAST),
    "slat_yield": samples.job(slat=replace(samples.SLIM, section_modulus_mm3=14.0), duty=FAST),
    "spring_made": SHORT_AND_TALL,
    "opening_taper": surveyed(widths_mm=(1180.0, 1184.0)),
    "opening_square": surveyed(diagonals_mm=(1850.0, 1842.0)),
    "track_lap": surveyed(samples.FACE, diagonals_mm=(1861.569, 1830.89)),
    "seal_reach": samples.job(hardware=samples.hardware(header={"top_seals": samples.HARDWARE.header.top_seals[:1]})),
    "slat_stress": samples.job(slat=replace(samples.SLIM, section_modulus_mm3=28.0)),
    "slat_bow": samples.job({"width_mm": 1600.0}, duty=FAST),
    "engagement_bowed": samples.job({"width_mm": 1350.0}, duty=samples.duty(road_speed_km_h=140.0)),
    "tube_sag": samples.job({"width_mm": 1500.0}, slat=HEAVY, tubes=(replace(samples.T50, wall_mm=0.4),)),
    "spring_stress": samples.job(
        {"width_mm": 300.0, "height_mm": 400.0}, slat=HEAVY, tubes=(samples.T50,), hardware=sprung(wires_mm=(2.0,))
    ),
    "spring_fatigue": samples.job(
        {"width_mm": 500.0, "height_mm": 400.0},
        tubes=(samples.T70,),
        hardware=sprung(wires_mm=(6.0,), end_fittings_mm=200.0),
        duty=samples.duty(cycles_per_day=200.0),
    ),
    "spring_length": SHORT_AND_TALL,
    "spring_bore": samples.job(
        {"width_mm": 300.0, "height_mm": 1000.0},
        tubes=(samples.T50,),
        hardware=sprung(wires_mm=(6.0,), shaft_diameter_mm=24.0, end_fittings_mm=200.0),
    ),
    "hand_force": samples.job(duty=samples.duty(hand_force_limit_n=10.0)),
    "holds_open": samples.job(
        {"width_mm": 1500.0, "height_mm": 250.0, "headroom_mm": 400.0},
        slat=HEAVY,
        tubes=(samples.T70,),
        hardware=sprung(wires_mm=(3.0,), shaft_diameter_mm=24.0),
    ),
    "voltage_drop": samples.job(duty=samples.duty(cable_run_m=500.0), options=frozenset({"strip_light"})),
    "pull_strap_reach": samples.job({"sill_above_ground_mm": 1700.0}, options=frozenset({"pull_strap"})),
    "diagonals_inconsistent": surveyed(diagonals_mm=(1860.0, 1860.0)),
    "measured_coil_differs": samples.job(measured_coil_radius_mm=90.0),
    "coil_hangs_into_opening": samples.job({"headroom_mm": 400.0}, side_plates=(LOW,)),
    "thick_coil": thick_job(),
    "starts_by_itself": samples.job({"height_mm": 250.0}),
    "sinks_by_itself": samples.JOB,
}
"""A job for every warning code."""


def warning_of(job, code):
    """The warning with a code that a job's answer carries."""
    return next(one for one in fit(job).answer.warnings if one.code == code)


def test_there_is_a_job_for_every_code():
    assert set(REACHED) == set(CODES)


@pytest.mark.parametrize("code", REACHED)
def test_every_code_is_reached(code):
    answer = fit(REACHED[code]).answer
    warning = next(one for one in answer.warnings if one.code == code)
    if code in ROWS:
        check = check_of(answer, code)
        assert check.state == "fails"
        assert (warning.check, warning.value, warning.limit, warning.unit) == (code, check.value, check.limit, check.unit)
        assert warning.severity == ("stop" if check.kind == "must" else "caution")
    else:
        row = OTHER_ROWS[code]
        assert (warning.severity, warning.pointer, warning.unit) == (row.severity, row.pointer, row.unit)
    assert warning.pointer.startswith("/")


@pytest.mark.parametrize("code", [code for code, row in ROWS.items() if row.on_tape])
def test_every_check_that_rests_on_the_tape_can_be_tight(code):
    # with a tolerance as wide as the opening every one that holds is tight, and a note
    job = samples.job(
        {"survey": Survey(**TRUE), "obstacles": (samples.box(500.0, -900.0, 20.0, 20.0),)},
        duty=samples.duty(measuring_tolerance_mm=3000.0),
    )
    job = replace(job, mount=samples.FACE) if code == "track_lap" else job
    warning = warning_of(job, code)
    assert warning.severity == "note"
    assert warning.severity in severities_of(code)


def test_a_tight_must_is_a_caution_of_the_verdict_and_a_tight_should_is_not():
    roomy = samples.fixed(samples.job({"headroom_mm": 400.0}))
    answer = fit(roomy).answer
    job = samples.reopened(roomy, headroom_mm=answer.bracket.z_mm + answer.coil.radius_mm + 21.0)
    tight = fit(job).answer
    # hand: 21 mm left of 20, at a tolerance of 2 mm
    assert check_of(tight, "roof_clearance").state == "tight"
    assert tight.verdict == "fits_with_cautions"
    assert warning_of(job, "roof_clearance").remedy_value == pytest.approx(1.0)
    taper = fit(surveyed(widths_mm=(1180.0, 1182.0))).answer
    assert check_of(taper, "opening_taper").state == "tight"
    assert taper.verdict == "fits"


def opened(**fields):
    """A remedy that changes a field of the opening by its figure."""
    return lambda job, figure: samples.reopened(
        job, **{name: change(job.opening, figure) for name, change in fields.items()}
    )


def slat_of(name):
    """A remedy that gives a figure of the slat."""
    return lambda job, figure: replace(job, slat=replace(job.slat, **{name: figure}))


def slot_depth(job, figure):
    """A remedy that gives the depth of the track's slot."""
    return replace(job, hardware=replace(job.hardware, track=replace(job.hardware.track, slot_depth_mm=figure)))


def slower(job, figure):
    """A remedy that gives the road speed."""
    return replace(job, duty=replace(job.duty, road_speed_km_h=figure))


def narrower(job, figure):
    """A remedy that makes the opening narrower."""
    return samples.reopened(job, width_mm=job.opening.width_mm - figure)


def allowed(job, figure):
    """A remedy that allows more hand force."""
    return replace(job, duty=replace(job.duty, hand_force_limit_n=figure))


REMEDIES = {
    "plate_height": opened(headroom_mm=lambda opening, more: opening.headroom_mm + more),
    "plate_depth": opened(depth_mm=lambda opening, more: opening.depth_mm + more),
    "wheel_above_header": opened(plate_offset_mm=lambda opening, more: opening.plate_offset_mm + more),
    "track_entry": slat_of("slot_width_mm"),
    "roof_clearance": opened(headroom_mm=lambda opening, more: opening.headroom_mm + more),
    "rear_clearance": opened(depth_mm=lambda opening, more: opening.depth_mm + more),
    "hinge_on_tube": lambda job, radius: replace(job, tubes=(replace(job.tubes[0], radius_mm=radius),)),
    "hinge_on_wheel": slat_of("wheel_radius_mm"),
    "curtain_covers": lambda job, count: replace(job, slat_count=int(count)),
    "slat_width": narrower,
    "engagement": slot_depth,
    "held_in_track": slot_depth,
    "engagement_bowed": slot_depth,
    "slat_yield": slower,
    "slat_stress": slower,
    "slat_bow": slower,
    "load_gap": slower,
    "tube_sag": narrower,
    "hand_force": allowed,
}
"""How to follow a remedy's figure, by code."""

WINDY = [
    samples.job({"width_mm": width}, slat=slat, tubes=(samples.T70,), mount=mount, duty=FAST)
    for slat, mount in ((samples.SLIM, samples.REVEAL), (samples.STOUT, samples.FACE))
    for width in (1150.0, 1250.0, 1480.0, 1730.0, 2050.0, 2590.0)
]


@pytest.mark.parametrize("code", REMEDIES)
def test_following_the_remedy_cures_that_check(code):
    cured = 0
    for job in map(samples.fixed, (REACHED[code], *WINDY)):
        answer = fit(job).answer
        if code not in {check.id for check in answer.checks if check.state == "fails"}:
            continue
        figure = warning_of(job, code).remedy_value
        if figure is not None:
            changed = fit(REMEDIES[code](job, figure)).answer
            assert check_of(changed, code).state != "fails", figure
            cured += 1
    # where no slot of the track's wall would do, none is told
    assert cured or code == "held_in_track"


@pytest.mark.parametrize("code", ["slat_yield", "slat_stress", "slat_bow", "load_gap"])
def test_no_faster_road_would_do(code):
    job = samples.fixed(REACHED[code])
    figure = warning_of(job, code).remedy_value
    assert check_of(fit(slower(job, figure + 0.2)).answer, code).state == "fails"


@pytest.mark.parametrize("code", ["spring_made", "spring_stress", "spring_fatigue", "seal_reach", "track_lap"])
def test_no_figure_is_told_where_none_cures(code):
    assert warning_of(REACHED[code], code).remedy_value is None


def test_no_slot_is_offered_that_would_guide_nothing():
    job = samples.fixed(REACHED["track_entry"])
    far = samples.reopened(job, plate_offset_mm=-200.0)
    assert warning_of(job, "track_entry").remedy_value is not None
    assert warning_of(far, "track_entry").value > job.slat.pitch_mm
    assert warning_of(far, "track_entry").remedy_value is None


def test_no_slot_is_deeper_than_the_track_s_wall():
    job = samples.fixed(REACHED["held_in_track"])
    figure = warning_of(job, "held_in_track").remedy_value
    assert figure is None or figure <= job.hardware.track.wall_mm


@pytest.mark.parametrize(("value", "up", "down"), [(12.0, 12.0, 12.0), (12.01, 12.1, 12.0), (0.1 + 0.2, 0.3, 0.3)])
def test_figures_of_remedies_are_rounded_to_the_side_that_cures(value, up, down):
    assert (tenth_up(value), tenth_down(value)) == (up, down)  # hand


@pytest.mark.parametrize("code", ["roof_clearance", "rear_clearance", "header_clearance"])
def test_as_many_slats_at_most_and_no_more_would_fit(code):
    job = samples.fixed(REACHED[code])
    made = fit(job)
    short = -check_of(made.answer, code).margin
    most = slats_at_most(job=job, trial=made.trial, short_mm=short)
    assert check_of(fit(replace(job, slat_count=most)).answer, code).state != "fails"
    assert check_of(fit(replace(job, slat_count=most + 1)).answer, code).state == "fails"
    measured = replace(job, measured_coil_radius_mm=150.0)
    assert slats_at_most(job=measured, trial=fit(measured).trial, short_mm=short) is None


def test_slats_at_most_agree_with_the_coil():
    job = samples.fixed(REACHED["roof_clearance"])
    made = fit(job)
    most = slats_at_most(job=job, trial=made.trial, short_mm=-check_of(made.answer, "roof_clearance").margin)
    room = job.opening.headroom_mm - made.answer.bracket.z_mm - 20
    profile = {"tube_radius_mm": job.tubes[0].radius_mm, "pitch_mm": 28.0, "thickness_mm": 8.0, "nesting": 1.0}
    assert coil.hinge_radius_mm(**profile, slats_wound=most) + 4 <= room
    assert coil.hinge_radius_mm(**profile, slats_wound=most + 1) + 4 > room


def test_a_measured_coil_within_5_percent_is_believed_silently():
    job = samples.fixed(samples.JOB)
    computed = fit(job).answer.coil.radius_mm
    for share, told in ((0.049, False), (-0.049, False), (0.051, True), (-0.051, True)):
        answer = fit(replace(job, measured_coil_radius_mm=computed * (1 + share))).answer
        assert ("measured_coil_differs" in {one.code for one in answer.warnings}) == told


def test_what_thick_slats_leave():
    warning = warning_of(REACHED["thick_coil"], "thick_coil")
    made = fit(REACHED["thick_coil"]).answer
    # hand: 20.1 less what thick slats add
    assert warning.value == pytest.approx(20.1 - (made.coil.radius_thick_mm - made.coil.radius_mm), abs=1e-9)
    assert (warning.check, warning.limit) == ("roof_clearance", 20.0)
    assert made.verdict == "fits_with_cautions"  # for the roof is tight, not for the note
    measured = replace(REACHED["thick_coil"], measured_coil_radius_mm=made.coil.radius_mm)
    assert "thick_coil" not in {one.code for one in fit(measured).answer.warnings}


def test_what_moves_by_itself_is_told_by_its_force():
    starts = fit(REACHED["starts_by_itself"]).answer
    assert warning_of(REACHED["starts_by_itself"], "starts_by_itself").value == starts.balance.hand_force_closed_n < 0
    sinks = fit(REACHED["sinks_by_itself"]).answer
    least = min(point.hand_down_n for point in sinks.balance.curve[1:-1])
    assert warning_of(REACHED["sinks_by_itself"], "sinks_by_itself").value == least < 0

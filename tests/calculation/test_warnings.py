"""Every warning can be reached by a job, says its figures, and its remedy helps."""

import re
from collections.abc import Callable

import pytest
import samples
from samples import check_of

from service.calculation import coil
from service.calculation.checks import KINDS
from service.calculation.fitting import fit
from service.calculation.job import Hardware, Job, Survey
from service.calculation.warnings import WARNING_KINDS, Warning, at_least, at_most, figure

ONE_HOLE = samples.side_plate("one hole", deep_mm=240.0, high_mm=180.0, rows_mm=[100.0], columns_mm=[190.0])
NEAR = samples.side_plate("near", deep_mm=400.0, high_mm=400.0, rows_mm=[390.0], columns_mm=[70.0])
LOW = samples.side_plate("low", deep_mm=400.0, high_mm=100.0, rows_mm=[20.0], columns_mm=[250.0])
TO_HEADER = samples.side_plate("to header", deep_mm=400.0, high_mm=400.0, rows_mm=[250.0], columns_mm=[85.0])
TRUE = Survey((1180.0, 1180.0), (1420.0, 1420.0), (1846.25, 1846.25))


def thick_job() -> Job:
    """A job whose roof clearance is all used up by slats of the nominal thickness."""
    roomy = samples.fixed(samples.job({"headroom_mm": 400.0}))
    answer = fit(roomy)
    return roomy._replace(opening=roomy.opening._replace(headroom_mm=answer.bracket.z_mm + answer.coil.radius_mm + 20.1))


def sprung(**changes: object) -> Hardware:
    """The sample hardware with other springs on offer."""
    return samples.HARDWARE._replace(springs=samples.HARDWARE.springs._replace(**changes))


HEAVY = samples.SLIM._replace(mass_kg_per_m=3.0)
SHORT_AND_TALL = samples.job({"width_mm": 300.0, "height_mm": 1900.0})
FAST = samples.DUTY._replace(road_speed_km_h=160.0)

REACHED = {
    "plate_height": samples.job({"headroom_mm": 185.0}),
    "plate_depth": samples.job({"depth_mm": 235.0}),
    "wheel_above_header": samples.job({"plate_offset_mm": -60.0}),
    "track_entry": samples.job(
        slat=samples.SLIM._replace(slot_width_mm=8.0), side_plates=(samples.P240,), mount=samples.FACE
    )._replace(opening=samples.OPENING._replace(plate_offset_mm=-60.0)),
    "roof_clearance": samples.job({"headroom_mm": 190.0, "height_mm": 2200.0}, side_plates=(ONE_HOLE,)),
    "wheel_clearance": samples.job({"height_mm": 2900.0}, side_plates=(ONE_HOLE,)),
    "rear_clearance": samples.job({"depth_mm": 285.0}, side_plates=(ONE_HOLE,)),
    "header_clearance": samples.job({"headroom_mm": 900.0, "height_mm": 2200.0}, side_plates=(TO_HEADER,)),
    "path_over_wheel": samples.job({"headroom_mm": 900.0, "height_mm": 2400.0}, side_plates=(NEAR,)),
    "hinge_on_tube": samples.job(slat=samples.STOUT, tubes=(samples.T50,)),
    "hinge_on_wheel": samples.job(slat=samples.SLIM._replace(wheel_radius_mm=20.0)),
    "curtain_covers": samples.job(slat_count=50),
    "slat_width": samples.job({"width_mm": 1650.0}),
    "engagement": samples.job(
        {"width_mm": 1500.0}, duty=samples.DUTY._replace(temperature_min_c=-50.0, temperature_max_c=90.0)
    ),
    "opening_taper": samples.job({"survey": TRUE._replace(widths_mm=(1180.0, 1184.0))}),
    "opening_square": samples.job({"survey": TRUE._replace(diagonals_mm=(1850.0, 1842.0))}),
    "slat_stress": samples.job(slat=samples.SLIM._replace(section_modulus_mm3=14.0), duty=FAST),
    "engagement_bowed": samples.job({"width_mm": 1600.0}, duty=FAST),
    "tube_sag": samples.job({"width_mm": 1500.0}, slat=HEAVY, tubes=(samples.T50._replace(wall_mm=0.4),)),
    "spring_stress": samples.job(hardware=sprung(wires_mm=(2.0,))),
    "spring_length": SHORT_AND_TALL,
    "spring_bore": samples.job(
        {"width_mm": 500.0, "height_mm": 400.0, "headroom_mm": 400.0},
        slat=HEAVY,
        tubes=(samples.T50,),
        hardware=sprung(wires_mm=(3.0, 5.0), shaft_diameter_mm=28.0, end_fittings_mm=200.0),
    ),
    "hand_force": samples.job(slat=HEAVY, duty=samples.DUTY._replace(hand_force_limit_n=10.0)),
    "holds_open": samples.job(
        {"width_mm": 1500.0, "height_mm": 250.0, "headroom_mm": 400.0},
        slat=HEAVY,
        tubes=(samples.T70,),
        hardware=sprung(wires_mm=(3.0,), shaft_diameter_mm=24.0),
    ),
    "voltage_drop": samples.job(duty=samples.DUTY._replace(cable_run_m=500.0), options=frozenset({"strip_light"})),
    "no_spring_fits": SHORT_AND_TALL,
    "starts_by_itself": samples.JOB,
    "diagonals_inconsistent": samples.job({"survey": TRUE._replace(diagonals_mm=(1860.0, 1860.0))}),
    "measured_coil_differs": samples.job(measured_coil_radius_mm=90.0),
    "coil_hangs_into_opening": samples.job({"headroom_mm": 400.0}, side_plates=(LOW,)),
    "thick_coil": thick_job(),
}
"""A job for every warning code."""


def warning_of(job: Job, code: str) -> Warning:
    """The warning with a code that a job's answer carries."""
    return next(one for one in fit(job).warnings if one.code == code)


def test_there_is_a_job_for_every_code() -> None:
    assert set(REACHED) == set(WARNING_KINDS)


@pytest.mark.parametrize("code", REACHED)
def test_every_code_is_reached(code: str) -> None:
    warning = warning_of(REACHED[code], code)
    assert warning.severity in WARNING_KINDS[code].severities
    assert warning.message.endswith(".")
    assert figure(abs(warning.value)) in warning.message or figure(warning.limit) in warning.message
    assert warning.remedy
    if code in KINDS:
        assert (warning.check, warning.unit) == (code, KINDS[code].unit)


@pytest.mark.parametrize("code", [code for code in REACHED if code in KINDS])
def test_a_check_that_fails_is_a_stop_or_a_caution(code: str) -> None:
    answer = fit(REACHED[code])
    assert check_of(answer, code).state == "fails"
    assert warning_of(REACHED[code], code).severity == ("stop" if KINDS[code].role == "fit" else "caution")


@pytest.mark.parametrize("code", [code for code, kind in KINDS.items() if kind.rests_on == "tape"])
def test_every_check_that_rests_on_the_tape_can_be_tight(code: str) -> None:
    # with a tolerance as wide as the opening every one that holds is tight
    job = samples.job({"survey": TRUE}, duty=samples.DUTY._replace(measuring_tolerance_mm=3000.0))
    warning = warning_of(job, code)
    assert warning.severity == ("caution" if KINDS[code].role == "fit" else "note")
    assert warning.severity in WARNING_KINDS[code].severities


def opened(**fields: Callable[[Job, float], float]) -> Callable[[Job, list[float]], Job]:
    """A remedy that changes fields of the opening by the figures named."""

    def apply(job: Job, named: list[float]) -> Job:
        return job._replace(opening=job.opening._replace(**{name: change(job, named[0]) for name, change in fields.items()}))

    return apply


def slat_of(name: str) -> Callable[[Job, list[float]], Job]:
    """A remedy that gives a figure of the slat."""
    return lambda job, named: job._replace(slat=job.slat._replace(**{name: named[0]}))


def tube_of(job: Job, named: list[float]) -> Job:
    """A remedy that gives the tube's radius."""
    return job._replace(tubes=(job.tubes[0]._replace(radius_mm=named[0]),))


def slot_depth(job: Job, named: list[float]) -> Job:
    """A remedy that gives the depth of the track's slot."""
    track = job.hardware.track._replace(slot_depth_mm=named[0])
    return job._replace(hardware=job.hardware._replace(track=track))


def bracket_inwards(job: Job, named: list[float]) -> Job:
    """A remedy that moves the bracket inwards."""
    plate = job.side_plates[0]
    (hole,) = plate.bracket_holes
    moved = hole._replace(from_front_mm=hole.from_front_mm + named[0])
    return job._replace(side_plates=(plate._replace(bracket_holes=(moved,)),))


def narrower(job: Job, less: float) -> Job:
    """A remedy that makes the opening narrower."""
    return job._replace(opening=job.opening._replace(width_mm=job.opening.width_mm - less))


def slower(job: Job, speed: float) -> Job:
    """A remedy that gives the road speed."""
    return job._replace(duty=job.duty._replace(road_speed_km_h=speed))


def stouter(job: Job, modulus: float) -> Job:
    """A remedy that gives the slat's section modulus."""
    return job._replace(slat=job.slat._replace(section_modulus_mm3=modulus))


REMEDIES = {
    "plate_height": opened(headroom_mm=lambda job, more: job.opening.headroom_mm + more),
    "plate_depth": opened(depth_mm=lambda job, more: job.opening.depth_mm + more),
    "wheel_above_header": opened(plate_offset_mm=lambda job, more: job.opening.plate_offset_mm + more),
    "track_entry": slat_of("slot_width_mm"),
    "roof_clearance": opened(headroom_mm=lambda job, more: job.opening.headroom_mm + more),
    "rear_clearance": opened(depth_mm=lambda job, more: job.opening.depth_mm + more),
    "header_clearance": bracket_inwards,
    "hinge_on_tube": tube_of,
    "hinge_on_wheel": slat_of("wheel_radius_mm"),
    "curtain_covers": lambda job, named: job._replace(slat_count=int(named[1])),
    "slat_width": opened(width_mm=lambda job, less: job.opening.width_mm - less),
    "engagement": slot_depth,
    "coil_hangs_into_opening": opened(plate_offset_mm=lambda job, more: job.opening.plate_offset_mm + more),
}
"""How to follow a remedy that names a figure, by code."""


@pytest.mark.parametrize("code", REMEDIES)
def test_following_the_remedy_cures_the_failure(code: str) -> None:
    job = samples.fixed(REACHED[code])
    named = [float(number) for number in re.findall(r"\d+(?:\.\d+)?", warning_of(job, code).remedy)]
    cured = fit(REMEDIES[code](job, named))
    assert code not in {
        one.code for one in cured.warnings if one.code not in KINDS or check_of(cured, code).state == "fails"
    }


WINDY = [
    *(
        samples.job({"width_mm": width}, slat=slat, tubes=(samples.T70,), mount=mount, duty=FAST)
        for slat, mount in ((samples.SLIM, samples.REVEAL), (samples.STOUT, samples.FACE))
        for width in (1150.0, 1480.0, 1730.0, 2050.0, 2110.0, 2590.0)
    ),
    *(REACHED["tube_sag"]._replace(mount=mount) for mount in (samples.REVEAL, samples.FACE)),
]


@pytest.mark.parametrize("job", WINDY)
def test_every_lever_of_the_wind_cures(job: Job) -> None:
    answer = fit(job)
    told = {one.code: one.remedy for one in answer.warnings}
    cures = {"slat_stress": (stouter, narrower, slower), "tube_sag": (None, narrower)}
    for code, levers in cures.items():
        if check_of(answer, code).state == "fails":
            figures = [float(number) for number in re.findall(r"\d+(?:\.\d+)?", told[code])]
            for lever, number in zip(levers, figures, strict=True):
                if lever:
                    assert check_of(fit(lever(job, number)), code).state == "ok", (code, lever)
    if check_of(answer, "engagement_bowed").state == "fails":
        offered = re.search(r"slot (\d+(?:\.\d+)?) mm deep", told["engagement_bowed"])
        wall = slot_depth(job, [job.hardware.track.wall_mm])
        if offered:
            assert check_of(fit(slot_depth(job, [float(offered[1])])), "engagement_bowed").state == "ok"
        else:  # and where none is offered, the deepest would hardly do
            assert check_of(fit(wall), "engagement_bowed").margin < 0.1


def test_the_wind_reaches_every_case_of_its_remedies() -> None:
    failing = [{one.id for one in fit(job).checks if one.state == "fails"} for job in WINDY]
    assert {"slat_stress", "tube_sag", "engagement_bowed"} <= set().union(*failing)
    told = [one.remedy for job in WINDY for one in fit(job).warnings if one.code == "engagement_bowed"]
    assert len({"slot" in remedy for remedy in told}) == 2


def test_slats_out_of_their_track_are_named_so() -> None:
    for job in WINDY:
        for warning in fit(job).warnings:
            if warning.code == "engagement_bowed":
                assert ("come out of the track" in warning.message) == (warning.value < 0)


def test_fewer_slats_are_told_with_the_lower_opening_that_they_cover() -> None:
    job = samples.fixed(REACHED["roof_clearance"])
    most, lower = re.search(
        r"or (\d+) slats at most, as for an opening ([\d.]+) mm lower", warning_of(job, "roof_clearance").remedy
    ).groups()
    cured = fit(job._replace(opening=job.opening._replace(height_mm=job.opening.height_mm - float(lower))))
    assert cured.curtain.slat_count == int(most)
    assert check_of(cured, "roof_clearance").state != "fails"
    spare = job._replace(slat_count=fit(job).curtain.slat_count + 40, opening=job.opening._replace(height_mm=400.0))
    assert "lower" not in warning_of(spare, "roof_clearance").remedy


def test_a_tight_check_says_how_exactly_to_measure_and_what_else_helps() -> None:
    # hand: 21 mm left of 20, at a tolerance of 2 mm
    roomy = samples.fixed(samples.job({"headroom_mm": 400.0}))
    answer = fit(roomy)
    job = roomy._replace(opening=roomy.opening._replace(headroom_mm=answer.bracket.z_mm + answer.coil.radius_mm + 21.0))
    assert check_of(fit(job), "roof_clearance").state == "tight"
    assert warning_of(job, "roof_clearance").remedy.startswith(
        "measure again to within 1 mm, or allow for it: 1 mm more headroom"
    )


def test_a_shutter_that_rises_harder_than_a_hand_should_hold_is_a_caution() -> None:
    force = -warning_of(samples.JOB, "starts_by_itself").value
    for limit, severity in ((force + 0.1, "note"), (force - 0.1, "caution")):
        job = samples.job(duty=samples.DUTY._replace(hand_force_limit_n=limit))
        assert warning_of(job, "starts_by_itself").severity == severity


def test_a_coil_that_no_higher_plate_lifts_is_guarded() -> None:
    job = samples.job({"headroom_mm": 125.0}, side_plates=(LOW,))
    warning = warning_of(job, "coil_hangs_into_opening")
    assert warning.remedy.startswith("guard the coil")


@pytest.mark.parametrize(("value", "up", "down"), [(12.0, "12", "12"), (12.01, "12.1", "12"), (0.1 + 0.2, "0.3", "0.3")])
def test_figures_of_remedies_are_rounded_to_the_side_that_cures(value: float, up: str, down: str) -> None:
    assert (at_least(value), at_most(value)) == (up, down)  # hand


@pytest.mark.parametrize("code", ["roof_clearance", "rear_clearance", "header_clearance"])
def test_as_many_slats_as_the_remedy_allows_and_no_more_would_fit(code: str) -> None:
    job = samples.fixed(REACHED[code])
    most = int(re.search(r"or (\d+) slats at most", warning_of(job, code).remedy)[1])
    assert check_of(fit(job._replace(slat_count=most)), code).state != "fails"
    assert check_of(fit(job._replace(slat_count=most + 1)), code).state == "fails"


def test_a_measured_coil_gets_no_advice_on_slats() -> None:
    job = samples.job({"headroom_mm": 190.0}, side_plates=(samples.P240,), measured_coil_radius_mm=150.0)
    assert "slats" not in warning_of(job, "roof_clearance").remedy


def test_a_measured_coil_within_5_percent_is_believed_silently() -> None:
    job = samples.fixed(samples.JOB)
    computed = fit(job).coil.radius_mm
    for share, told in ((0.049, False), (-0.049, False), (0.051, True), (-0.051, True)):
        answer = fit(job._replace(measured_coil_radius_mm=computed * (1 + share)))
        assert ("measured_coil_differs" in {one.code for one in answer.warnings}) == told


def test_figures_are_written_without_noise() -> None:
    assert [figure(value) for value in (12.0, 0.1 + 0.2, 1234.5678, -0.0001, 0.0)] == ["12", "0.3", "1234.568", "0", "0"]


def test_slats_at_most_agree_with_the_coil() -> None:
    job = samples.fixed(REACHED["roof_clearance"])
    warning, answer = warning_of(job, "roof_clearance"), fit(job)
    most = int(re.search(r"or (\d+) slats at most", warning.remedy)[1])
    room = job.opening.headroom_mm - answer.bracket.z_mm - 20
    profile = {"tube_radius_mm": job.tubes[0].radius_mm, "pitch_mm": 28.0, "thickness_mm": 8.0, "nesting": 1.0}
    assert coil.hinge_radius_mm(**profile, slats_wound=most) + 4 <= room
    assert coil.hinge_radius_mm(**profile, slats_wound=most + 1) + 4 > room


def test_no_slot_is_offered_that_would_guide_nothing() -> None:
    job = samples.fixed(REACHED["track_entry"])
    far = job._replace(opening=job.opening._replace(plate_offset_mm=-200.0))
    assert "slot" in warning_of(job, "track_entry").remedy
    assert warning_of(far, "track_entry").value > job.slat.pitch_mm
    assert warning_of(far, "track_entry").remedy == "a higher wheel hole or side plate"

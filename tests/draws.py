"""What hypothesis draws for the property tests: made-up slats, tubes, openings and jobs."""

from dataclasses import replace
from math import atan, degrees

import samples
from hypothesis import assume
from hypothesis import strategies as st

from service.calculation.job import Job, Opening, Slat, Survey, Tube

HINGE_LIMIT_DEG = 60.0


def tenths(low, high):
    """Numbers with one decimal, as a tape or a drawing gives them."""
    return st.integers(low * 10, high * 10).map(lambda tenth: tenth / 10)


@st.composite
def profiles(draw):
    """A slat on a tube.

    Pitch 15–60, thickness 5–15 and at most half the pitch, tube radius 20–60, hinges bent by 60° at most.
    """
    pitch = draw(tenths(15, 60))
    thickness = draw(tenths(5, 15).filter(lambda thickness: 2 * thickness <= pitch))
    radius = draw(tenths(20, 60))
    assume(2 * degrees(atan(pitch / 2 / (radius + thickness / 2))) <= HINGE_LIMIT_DEG)
    return {"tube_radius_mm": radius, "pitch_mm": pitch, "thickness_mm": thickness, "nesting": 1.0}


def boxes():
    """Obstacles anywhere in and around the side section."""
    return st.builds(
        samples.box, x_mm=tenths(-50, 700), z_mm=tenths(-1500, 500), deep_mm=tenths(5, 120), high_mm=tenths(5, 120)
    )


def openings():
    """Openings from cramped to roomy, most of them near the size at which a shutter just fits."""
    return st.builds(
        Opening,
        width_mm=tenths(250, 3000),
        height_mm=tenths(250, 3000),
        headroom_mm=st.one_of(tenths(60, 1500), tenths(180, 380)),
        depth_mm=st.one_of(tenths(60, 3000), tenths(200, 420)),
        header_thickness_mm=tenths(0, 200),
        plate_offset_mm=st.one_of(st.just(0.0), tenths(-40, 60)),
        wall_gap_left_mm=tenths(0, 80),
        wall_gap_right_mm=tenths(0, 80),
        survey=st.none(),
        body=st.sampled_from(["steel", "aluminium", "composite"]),
        obstacles=st.one_of(
            st.just(()), st.lists(boxes(), max_size=3, unique_by=lambda box: (box.x_mm, box.z_mm)).map(tuple)
        ),
        sill_above_ground_mm=st.one_of(st.none(), tenths(0, 1800)),
        load_gap_mm=st.one_of(st.none(), tenths(0, 80)),
    )


def usual_openings():
    """Openings in which most shutters fit."""
    return st.builds(
        Opening,
        width_mm=tenths(500, 1500),
        height_mm=tenths(500, 2200),
        headroom_mm=tenths(260, 600),
        depth_mm=tenths(400, 900),
        header_thickness_mm=tenths(0, 120),
        plate_offset_mm=st.one_of(st.just(0.0), tenths(-10, 40)),
        body=st.sampled_from(["steel", "aluminium", "composite"]),
    )


@st.composite
def jobs(draw, opening=None, *, existing=True):
    """Jobs over the sample rows: both slats and mounts, tubes and plates free or given, at times a shutter that exists."""
    slat = draw(st.sampled_from([samples.SLIM, samples.STOUT]))
    tubes = (samples.T50, samples.T70) if slat is samples.SLIM else (samples.T70,)
    plate = draw(st.sampled_from([None, *samples.PLATES]))
    tube = draw(st.sampled_from([None, *tubes]))
    return Job(
        opening=draw(openings() if opening is None else opening),
        slat=slat,
        tubes=(tube,) if tube else tubes,
        side_plates=(plate,) if plate else samples.PLATES,
        mount=draw(st.sampled_from([samples.REVEAL, samples.FACE])),
        hardware=samples.HARDWARE,
        duty=draw(st.sampled_from([samples.DUTY, samples.duty(road_speed_km_h=60.0)])),
        options=draw(st.sampled_from([frozenset(), frozenset({"drip_rail"}), samples.OPTIONS])),
        slat_count=draw(st.one_of(st.none(), st.none(), st.integers(5, 110))) if existing else None,
        measured_coil_radius_mm=draw(st.one_of(st.none(), st.none(), tenths(40, 180))) if existing else None,
    )


def usual_jobs():
    """Jobs of which most fit."""
    return jobs(usual_openings(), existing=False)


@st.composite
def surveyed_jobs(draw):
    """Jobs whose openings were measured more than once, more or less true."""
    job = draw(usual_jobs())
    opening = job.opening
    off = tenths(0, 12)
    lean = draw(tenths(-8, 8))
    high = max(opening.height_mm, abs(lean) + 1)
    longer, shorter = ((opening.width_mm + sign * lean) ** 2 + high**2 - lean**2 for sign in (1, -1))
    survey = Survey(
        widths_mm=tuple(opening.width_mm + one for one in draw(st.lists(off, min_size=2, max_size=5))),
        heights_mm=tuple(high + one for one in draw(st.lists(off, min_size=2, max_size=5))),
        diagonals_mm=draw(st.sampled_from([(), (longer**0.5, shorter**0.5)])),
    )
    return samples.reopened(job, survey=survey, width_mm=0.0, height_mm=0.0)


@st.composite
def odd_jobs(draw):
    """Jobs with made-up slats, tubes and plates as well, where every check can be the worst."""
    profile = draw(profiles())
    pitch, thickness = profile["pitch_mm"], profile["thickness_mm"]
    wheel_radius = draw(tenths(10, 50))
    slat = Slat(
        id="odd",
        pitch_mm=pitch,
        thickness_mm=thickness,
        thickness_tolerance_mm=0.2,
        nesting=draw(st.sampled_from([1.0, 0.9, 0.6, 0.0])),
        hinge_limit_deg=draw(tenths(30, 70)),
        mass_kg_per_m=0.3,
        second_moment_mm4=900.0,
        section_modulus_mm3=200.0,
        wheel_radius_mm=wheel_radius,
        wheel_allowance_mm=wheel_radius + thickness + draw(tenths(0, 8)),
        slot_width_mm=thickness + draw(tenths(0, 6)),
        width_max_mm=1500.0,
    )
    tubes = draw(
        st.lists(
            st.builds(Tube, id=st.uuids().map(str), radius_mm=tenths(20, 60), wall_mm=st.just(2.0)), min_size=1, max_size=2
        )
    )
    plates = draw(
        st.lists(
            st.builds(
                samples.side_plate,
                st.uuids().map(str),
                deep_mm=st.sampled_from([200.0, 260.0, 330.0]),
                high_mm=st.sampled_from([150.0, 220.0, 400.0]),
                rows_mm=st.lists(tenths(10, 390), min_size=1, max_size=3, unique=True),
                columns_mm=st.lists(tenths(60, 320), min_size=1, max_size=4, unique=True),
            ),
            min_size=1,
            max_size=2,
        )
    )
    return replace(draw(jobs()), slat=slat, tubes=tuple(tubes), side_plates=tuple(plates))

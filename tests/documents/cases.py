"""Subjects to draw; all numbers and the references are invented for the tests."""

from functools import cache

import pytest
from samples import FACE, OPTIONS, STOUT, T70, box, job, side_plate

from service.calculation.fitting import fit
from service.calculation.job import Survey
from service.documents.subject import Subject, Title
from service.words import LANGUAGES, words_of

DIGEST = "0123456789abcdef" * 4
LINK = "https://fittings.example/desk#c=" + "eNpVkMtqwzAQRX-b" * 25 + "&d=" + DIGEST
TITLE = Title("lock-gate truck, nearside 2", "invented rows", "2.0.0", DIGEST, LINK)

JOBS = {
    "usual": job(options=frozenset({"drip_rail", "strip_light"})),
    "small": job({"width_mm": 320.0, "height_mm": 300.0}),
    "large": job(
        {"width_mm": 2500.0, "height_mm": 2800.0, "headroom_mm": 700.0, "depth_mm": 1200.0, "header_thickness_mm": 60.0},
        slat=STOUT,
        tubes=(T70,),
        mount=FACE,
    ),
    "all options": job(
        {"wall_gap_left_mm": 12.0, "wall_gap_right_mm": 30.0, "sill_above_ground_mm": 900.0}, options=OPTIONS, mount=FACE
    ),
    "too shallow": job({"headroom_mm": 215.0, "depth_mm": 270.0}),
    "coil larger than the room": job(
        {"width_mm": 2700.0, "height_mm": 2900.0, "headroom_mm": 150.0, "depth_mm": 200.0},
        slat=STOUT,
        tubes=(T70,),
        options=OPTIONS,
    ),
    "measured": job(measured_coil_radius_mm=95.0, slat_count=56),
    "everything fails": job(
        {"width_mm": 2900.0, "height_mm": 2900.0, "headroom_mm": 60.0, "depth_mm": 60.0, "header_thickness_mm": 200.0},
        mount=FACE,
        options=OPTIONS,
    ),
    "no spring": job({"width_mm": 260.0, "height_mm": 2300.0, "headroom_mm": 420.0, "depth_mm": 700.0}),
    "no header": job({"header_thickness_mm": 0.0}, fitted_from="inside"),
    "narrow rows of holes": job(
        {"header_thickness_mm": 200.0}, mount=FACE, side_plates=(side_plate("P360", deep_mm=360.0, high_mm=320.0),)
    ),
    "surveyed": job(
        {"survey": Survey(widths_mm=(1180.0, 1186.0, 1178.0), heights_mm=(1420.0, 1427.0), diagonals_mm=(1846.5, 1858.0))}
    ),
    "obstacles": job({"obstacles": (box(300.0, 250.0, 60.0, 40.0), box(260.0, -600.0, 300.0, 30.0))}),
    "obstacle at the curtain": job({"obstacles": (box(20.0, -900.0, 80.0, 60.0),)}),
    "obstacle in the way": job({"obstacles": (box(230.0, 120.0, 90.0, 80.0),), "plate_offset_mm": 20.0}),
}
CALCULATED = {name: fit(one) for name, one in JOBS.items()}
FITTING = tuple(name for name, one in CALCULATED.items() if one.answer.verdict != "does_not_fit")
FAILING = tuple(name for name in CALCULATED if name not in FITTING)


@cache
def spoken(name, language):
    """A case in a language."""
    calculated = CALCULATED[name]
    return Subject(calculated, TITLE, words_of(calculated, language=language))


def subject(one):
    """A job with its answer, in English."""
    calculated = fit(one)
    return Subject(calculated, TITLE, words_of(calculated))


def referred(reference):
    """The usual job under another reference."""
    usual = SUBJECTS["usual"]
    return Subject(usual.calculated, TITLE._replace(reference=reference), usual.words)


SUBJECTS = {name: spoken(name, "en") for name in JOBS}
TELLING = ("all options", "everything fails")
SPOKEN = tuple(
    pytest.param(name, language, marks=[] if language == "en" or name in TELLING else pytest.mark.slow)
    for name in JOBS
    for language in LANGUAGES
)
"""Every case in every language; what says the most is tried always, the rest where there is time."""

"""Subjects to draw; all numbers and the references are invented for the tests."""

from samples import FACE, STOUT, T70, job, side_plate

from service.calculation.fitting import fit
from service.calculation.job import Job, Survey
from service.documents.subject import Subject, Title

DIGEST = "0123456789abcdef" * 4
TITLE = Title("lock-gate truck, nearside 2", "invented rows", "1.0.0", DIGEST)
OPTIONS = frozenset(
    ("perimeter_seal", "drip_rail", "pull_strap", "inside_release", "door_switch", "electric_lock", "strip_light")
)


def subject(job: Job, title: Title = TITLE) -> Subject:
    """A job with its answer."""
    return Subject(job, fit(job, with_geometry=True), title)


def referred(reference: str) -> Subject:
    """The usual job under another reference."""
    return SUBJECTS["usual"]._replace(title=TITLE._replace(reference=reference))


JOBS = {
    "usual": job(),
    "small": job({"width_mm": 300.0, "height_mm": 300.0}),
    "large": job(
        {"width_mm": 2500.0, "height_mm": 2800.0, "headroom_mm": 700.0, "depth_mm": 1200.0, "header_thickness_mm": 60.0},
        slat=STOUT,
        tubes=(T70,),
        mount=FACE,
    ),
    "all options": job({"wall_gap_left_mm": 12.0, "wall_gap_right_mm": 30.0}, options=OPTIONS, mount=FACE),
    "too shallow": job({"headroom_mm": 215.0, "depth_mm": 270.0}),
    "coil larger than the room": job(
        {"width_mm": 2700.0, "height_mm": 2900.0, "headroom_mm": 150.0, "depth_mm": 200.0},
        slat=STOUT,
        tubes=(T70,),
        options=OPTIONS,
    ),
    "measured": job(measured_coil_radius_mm=150.0, slat_count=50),
    "everything fails": job(
        {"width_mm": 2900.0, "height_mm": 2900.0, "headroom_mm": 60.0, "depth_mm": 60.0, "header_thickness_mm": 200.0},
        mount=FACE,
        options=OPTIONS,
    ),
    "no clearance": job(
        {"width_mm": 1400.0, "height_mm": 2200.0, "headroom_mm": 190.0, "depth_mm": 230.0, "header_thickness_mm": 50.0}
    ),
    "no spring fits": job({"width_mm": 420.0, "height_mm": 2300.0, "headroom_mm": 420.0, "depth_mm": 700.0}),
    "narrow rows of holes": job(
        {"header_thickness_mm": 200.0}, mount=FACE, side_plates=(side_plate("P360", deep_mm=360.0, high_mm=320.0),)
    ),
    "surveyed": job({"survey": Survey((1180.0, 1186.0, 1178.0), (1420.0, 1427.0), (1846.5, 1858.0))}),
}
SUBJECTS = {name: subject(one) for name, one in JOBS.items()}
FITTING = tuple(name for name, one in SUBJECTS.items() if one.answer.verdict != "does_not_fit")
FAILING = tuple(name for name in SUBJECTS if name not in FITTING)

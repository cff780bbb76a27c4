"""The fitter's sheet: figures to set and cut, drawings, parcel, order of work, cautions, room for what was measured."""

from importlib.resources import files

import segno

from service.calculation.warnings import Warning, figure
from service.documents import svg, typesetting
from service.documents.head import not_in_order
from service.documents.plate import plates_svg
from service.documents.section import heads_svg
from service.documents.subject import Subject
from service.documents.wording import VERDICTS, clean, lines_at_most, lines_of, shown

TEMPLATE = files("service.documents").joinpath("sheet.typ").read_bytes()

CAUTIONS = (
    (
        "Local codes and a competent person come first",
        "Where this sheet says otherwise than local codes or the competent person on the spot, they are right.",
    ),
    (
        "Stored spring energy",
        "Hold the tube with a bar before any pin, strap or bracket is loosened; stand clear of the bar's swing.",
    ),
    ("Pinch", "Fingers stay off curtain, wheel and mouth while the curtain moves. Nobody else works the shutter."),
    ("Load overhead", "Two people lift curtain and tube. Nobody stands below until the brackets are secured."),
    ("Sharp edges", "Cut ends of tracks, rails and plates are deburred. Wear gloves and eye protection."),
    ("Supply off", "Disconnect and secure the supply before any wire is touched."),
)
"""What holds for every fitting, heading and text."""

WIDE_MM = 150.0
"""Width that the reference may take beside the QR code."""

LARGE_MM, SMALL_MM = 5.2, 3.2
LARGE_LINES = 2
"""A reference that takes more lines in large letters is set in small ones, and never cut."""

Figure = tuple[str, str, str]
"""Label, value, note."""


def fitting_pdf(subject: Subject) -> bytes:
    """The fitter's sheet as PDF."""
    title, answer = subject.title, subject.answer
    reference = clean(title.reference) or "(no reference)"
    large = len(lines_of(reference, size=LARGE_MM, width=WIDE_MM)) <= LARGE_LINES
    return typesetting.pdf(
        TEMPLATE,
        title=f"Fitting sheet, {reference}",
        reference=lines_of(reference, size=LARGE_MM if large else SMALL_MM, width=WIDE_MM),
        reference_mm=LARGE_MM if large else SMALL_MM,
        short=lines_at_most(reference, 1, size=2.6, width=70)[0],
        catalogue=clean(title.catalogue),
        version=title.calculation_version,
        digest=title.digest,
        qr=_qr(title.digest),
        verdict=VERDICTS[answer.verdict],
        stop=answer.verdict == "does_not_fit",
        opening=_opening(subject),
        shutter=_shutter(subject),
        figures=[*_to_set(subject), *_to_cut(subject), *_to_know(subject)],
        warnings=_warnings(subject),
        section=heads_svg(subject),
        plates=plates_svg(subject),
        parts=[(figure(one.quantity), one.part, _cut(one.cut_length_mm)) for one in answer.parts],
        work=[(f"{one.step[:1].upper()}{one.step[1:]}", one.text, one.caution or "") for one in answer.work],
        cautions=CAUTIONS,
        measured=_measured(subject),
    )


def _qr(digest: str) -> str:
    """The digest as a QR code, with the four modules of quiet zone that readers ask for."""
    modules = [list(row) for row in segno.make(digest, error="m", micro=False).matrix_iter(border=4)]
    dark = [(x, y) for y, row in enumerate(modules) for x, module in enumerate(row) if module]
    return svg.document(
        svg.element("path", d="".join(f"M{x} {y}h1v1h-1z" for x, y in dark), fill="#000", stroke="none"),
        width=len(modules),
        height=len(modules),
        title="QR code",
        description=digest,
        name="qr",
    )


def _cut(length_mm: float | None) -> str:
    return "" if length_mm is None else shown(length_mm)


def _opening(subject: Subject) -> list[tuple[str, str]]:
    """What the caller said of the opening."""
    opening = subject.job.opening
    height = -subject.geometry.sill_z_mm
    rows = [
        ("width × height", f"{shown(_width(subject))} × {shown(height)} mm"),
        ("headroom", f"{shown(opening.headroom_mm)} mm"),
        ("depth behind the header", f"{shown(opening.depth_mm)} mm"),
        ("header thickness", f"{shown(opening.header_thickness_mm)} mm"),
        ("plate offset", f"{shown(opening.plate_offset_mm)} mm"),
    ]
    if opening.wall_gap_left_mm or opening.wall_gap_right_mm:
        gaps = f"{shown(opening.wall_gap_left_mm)} / {shown(opening.wall_gap_right_mm)} mm"
        rows.append(("packers left / right", gaps))
    return rows


def _width(subject: Subject) -> float:
    """The opening's width that counts [mm]."""
    return subject.answer.tracks.outer_width_mm - 2 * subject.job.mount.track_beyond_mm


def _shutter(subject: Subject) -> list[tuple[str, str]]:
    """What was chosen."""
    answer, job = subject.answer, subject.job
    return [
        ("slat / tube", f"{answer.curtain.slat} / {answer.curtain.tube}"),
        ("side plate", answer.side_plate.id),
        ("mount", f"{job.mount.id}, fitted from {job.fitted_from}"),
        ("options", ", ".join(one.replace("_", " ") for one in sorted(job.options)) or "none"),
        ("curtain's mass", f"{shown(answer.curtain.mass_kg)} kg"),
    ]


def _to_set(subject: Subject) -> list[Figure]:
    """Where things go."""
    answer = subject.answer
    plate, wheel, bracket = answer.side_plate, answer.wheel, answer.bracket
    balance = answer.balance
    springs = (
        f"{balance.spring_count} × wire {figure(balance.wire_mm)}, mean diameter "
        f"{figure(balance.mean_diameter_mm)}, {balance.coils} coils"
    )
    below = plate.base_z_mm < 0
    return [
        (
            f"Side plate {plate.id}, lower edge",
            shown(abs(plate.base_z_mm)),
            f"{'below' if below else 'above'} the header's base; front edge {shown(plate.front_x_mm)} behind the outer face",
        ),
        (
            f"Wheel, hole {wheel.hole}",
            f"{shown(wheel.from_plate_front_mm)} / {shown(wheel.from_plate_base_mm)}",
            "from the plate's front / lower edge",
        ),
        (
            f"Bracket, {bracket.hole}",
            f"{shown(bracket.from_plate_front_mm)} / {shown(bracket.from_plate_base_mm)}",
            f"from the plate's front / lower edge; {shown(bracket.below_roof_mm)} below the roof",
        ),
        ("Striker's catch", shown(answer.striker.height_above_sill_mm), "above the sill, bottom seal pressed by a third"),
        ("Pretension, turns", figure(balance.pretension_turns), f"shutter open; {springs}"),
    ]


def _to_cut(subject: Subject) -> list[Figure]:
    """Lengths."""
    answer = subject.answer
    seals = answer.seals
    figures = [
        (
            "Slats",
            f"{answer.curtain.slat_count} × {shown(answer.curtain.slat_length_mm)}",
            f"engagement cold {shown(answer.curtain.engagement_mm)}",
        ),
        ("Tracks", f"2 × {shown(answer.tracks.length_mm)}", f"{shown(answer.tracks.outer_width_mm)} over both tracks"),
        (
            "Top seal",
            shown(seals.top_cut_length_mm),
            f"long edge; short edge {shown(seals.top_short_edge_mm)}, ends at {figure(seals.top_end_angle_deg)}°",
        ),
    ]
    if answer.drip_rail is not None:
        figures.append(("Drip rail", shown(answer.drip_rail.length_mm), "centred on the tracks"))
    return figures


def _to_know(subject: Subject) -> list[Figure]:
    """What to check against."""
    answer = subject.answer
    coil, daylight = answer.coil, answer.daylight
    measured = "" if coil.measured_radius_mm is None else f"; measured {shown(coil.measured_radius_mm)}"
    figures = [
        (
            "Coil's radius, rolled up",
            shown(coil.radius_mm),
            f"all slats wound{measured}",
        ),
        ("Daylight", f"{shown(daylight.width_mm)} × {shown(daylight.height_mm)}", "width × height, shutter open"),
        ("Hand force, N", f"≤ {shown(answer.balance.hand_force_max_n)}", "up or down over the lift"),
    ]
    if answer.wiring is not None:
        wire = f"conductor {figure(answer.wiring.conductor_mm2)} mm²; current {shown(answer.wiring.current_a)} A"
        figures.append(("Fuse, A", figure(answer.wiring.fuse_a), wire))
    return figures


def _warnings(subject: Subject) -> list[tuple[str, str, str, str]]:
    """Number of the mark in the drawing, severity, message, remedy."""
    numbers = {check.id: str(number) for number, check in not_in_order(subject.answer.checks)}

    def number_of(warning: Warning) -> str:
        return numbers.get(warning.code, "")

    return [(number_of(one), one.severity, one.message, one.remedy) for one in subject.answer.warnings]


def _measured(subject: Subject) -> list[tuple[str, str]]:
    """What the fitter measures, with the figure that it should be."""
    answer, opening = subject.answer, subject.job.opening
    return [
        ("opening, width", shown(_width(subject))),
        ("opening, height", shown(-subject.geometry.sill_z_mm)),
        ("headroom", shown(opening.headroom_mm)),
        ("depth", shown(opening.depth_mm)),
        ("coil's radius, rolled up", shown(answer.coil.radius_mm)),
        ("bracket below the roof", shown(answer.bracket.below_roof_mm)),
        ("over both tracks", shown(answer.tracks.outer_width_mm)),
        ("pretension, turns", figure(answer.balance.pretension_turns)),
        ("hand force, N", f"≤ {shown(answer.balance.hand_force_max_n)}"),
    ]

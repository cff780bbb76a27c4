"""The fitter's sheet: figures to set and cut, drawings, parcel, order of work, cautions, room for what was measured."""

from importlib.resources import files
from itertools import accumulate
from typing import TypeVar

import segno

from service.calculation.warnings import Warning, figure
from service.documents import svg, typesetting
from service.documents.head import not_in_order
from service.documents.plate import plates_svg
from service.documents.section import heads_svg
from service.documents.subject import Subject
from service.documents.wording import HANDS_SEEN, STOP, VERDICTS, lines_at_most, lines_of, shown

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
    ("Load overhead", "Never one alone lifts curtain or tube. Nobody stands below until the brackets are secured."),
    ("Sharp edges", "Cut ends of tracks, rails and plates are deburred. Wear gloves and eye protection."),
    ("Supply off", "Disconnect and secure the supply before any wire is touched."),
    ("Driving", "Nobody drives with the shutter open or not latched."),
)
"""What holds for every fitting, heading and text."""

WIDE_MM = 150.0
"""Width that the reference may take beside the QR code."""

LARGE_MM, SMALL_MM = 5.2, 3.2
LARGE_LINES = 2
"""A reference that takes more lines in large letters is set in small ones, and never cut."""

LIST_MM = 7.5 * 25.4 / 72
"""Letters of the parcel and the order of work."""

PART_MM, STEP_MM = 41.0, 84.0
"""Widths in which a part's name and a step are set."""

LINES_A_PAGE = 60
"""Lines of a list that a page holds with all their rules between; about 70 would fit."""
NONE_FITS = "none fits"
"""What stands in place of figures that rest on a spring, where the catalogue has none that will do."""

Figure = tuple[str, str, str]
"""Label, value, note."""

Row = TypeVar("Row")


def fitting_pdf(subject: Subject) -> bytes:
    """The fitter's sheet as PDF."""
    return typesetting.pdf(TEMPLATE, lambda write: _inputs(subject.written(write)))


def _inputs(subject: Subject) -> dict[str, object]:
    """What the sheet is set from."""
    title, answer = subject.title, subject.answer
    reference = title.reference or "(no reference)"
    large = lines_of(reference, size=LARGE_MM, width=WIDE_MM, bold=True)
    small = lines_of(reference, size=SMALL_MM, width=WIDE_MM, bold=True)
    is_large = len(large) <= LARGE_LINES
    return {
        "title": f"Fitting sheet, {reference}",
        "reference": large if is_large else small,
        "reference_mm": LARGE_MM if is_large else SMALL_MM,
        "short": lines_at_most(reference, 1, size=2.6, width=70)[0],
        "catalogue": title.catalogue,
        "version": title.calculation_version,
        "digest": title.digest,
        "qr": _qr(title.digest),
        "verdict": VERDICTS[answer.verdict],
        "stop": STOP if subject.stopped else "",
        "seen": f"seen from the middle of the opening, {HANDS_SEEN}; target: hole to use",
        "opening": _opening(subject),
        "shutter": _shutter(subject),
        "duty": _duty(subject),
        "figures": [*_to_set(subject), *_to_cut(subject), *_to_know(subject)],
        "warnings": _warnings(subject),
        "section": heads_svg(subject),
        "plates": plates_svg(subject),
        "parts": _parcel(subject),
        "work": _work(subject),
        "cautions": CAUTIONS,
        "measured": _measured(subject),
    }


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
    if opening.survey is not None:
        rows += [
            (f"{what} measured", " / ".join(map(shown, readings)))
            for what, readings in (
                ("widths", opening.survey.widths_mm),
                ("heights", opening.survey.heights_mm),
                ("diagonals", opening.survey.diagonals_mm),
            )
        ]
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


def _duty(subject: Subject) -> list[tuple[str, str]]:
    """What the shutter must stand, and how exactly the opening is known."""
    duty = subject.job.duty
    return [
        ("supply", f"{figure(duty.supply_v)} V"),
        ("road speed", f"{figure(duty.road_speed_km_h)} km/h"),
        ("temperature", f"{figure(duty.temperature_min_c)} to {figure(duty.temperature_max_c)} °C".replace("-", "−")),
        ("measuring tolerance", f"{figure(duty.measuring_tolerance_mm)} mm"),
        ("hand-force limit", f"{figure(duty.hand_force_limit_n)} N"),
    ]


def _sprung(subject: Subject, value: str, instead: str = NONE_FITS) -> str:
    """What rests on the spring, unless none fits."""
    return value if subject.spring_fits else instead


def _to_roof(subject: Subject) -> tuple[str, str]:
    """How far the bracket is from the roof, and on which side of it."""
    below = subject.answer.bracket.below_roof_mm
    return shown(abs(below)), "below the roof" if below >= 0 else "above the roof"


def _to_set(subject: Subject) -> list[Figure]:
    """Where things go."""
    answer = subject.answer
    plate, wheel, bracket = answer.side_plate, answer.wheel, answer.bracket
    balance = answer.balance
    springs = (
        f"{balance.spring_count}\u00a0×\u00a0wire\u00a0{figure(balance.wire_mm)}, mean diameter "
        f"{figure(balance.mean_diameter_mm)}, {balance.coils} coils"
    )
    below = plate.base_z_mm < 0
    to_roof, side = _to_roof(subject)
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
            f"from the plate's front / lower edge; {to_roof} {side}",
        ),
        ("Striker's catch", shown(answer.striker.height_above_sill_mm), "above the sill, bottom seal pressed by a third"),
        (
            "Pretension, turns",
            _sprung(subject, figure(balance.pretension_turns)),
            _sprung(subject, f"shutter open; {shown(balance.turns_closed)} closed; {springs}", "see the warnings"),
        ),
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
            "Top seal, long edge",
            shown(seals.top_cut_length_mm),
            f"short edge {shown(seals.top_short_edge_mm)}, ends at {figure(seals.top_end_angle_deg)}°",
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
        (
            "Hand force, N",
            _sprung(subject, f"≤ {shown(answer.balance.hand_force_max_n)}"),
            _sprung(subject, "up or down over the lift", "see the warnings"),
        ),
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


def _parcel(subject: Subject) -> dict[str, object]:
    """Quantity, part and cut length, in three columns."""
    rows = [(figure(one.quantity), one.part, _cut(one.cut_length_mm)) for one in subject.answer.parts]
    return _in_columns(3, rows, [len(lines_of(part, size=LIST_MM, width=PART_MM)) for _, part, _ in rows])


def _work(subject: Subject) -> dict[str, object]:
    """Number, step, text and caution, in two columns."""
    rows = [
        (str(number), f"{one.step[:1].upper()}{one.step[1:]}", one.text, one.caution or "")
        for number, one in enumerate(subject.answer.work, start=1)
    ]
    return _in_columns(2, rows, [len(lines_of(" ".join(row), size=LIST_MM, width=STEP_MM)) for row in rows])


def _in_columns(count: int, rows: list[Row], heights: list[int]) -> dict[str, object]:
    """Rows in columns of about the same height, in order, each where its middle lies; whether they flow over pages.

    Heights are lines. That they fit on a page is told here, since the typesetter would have to set them twice to know.
    """
    total = sum(heights)
    columns: list[list[Row]] = [[] for _ in range(count)]
    for row, height, end in zip(rows, heights, accumulate(heights), strict=True):
        columns[int(count * (end - height / 2) / total)].append(row)
    return {"columns": [column for column in columns if column], "flow": total > count * LINES_A_PAGE}


def _measured(subject: Subject) -> list[tuple[str, str]]:
    """What the fitter measures, with the figure that it should be."""
    answer, opening = subject.answer, subject.job.opening
    to_roof, side = _to_roof(subject)
    surveyed = opening.survey
    one_diagonal, other_diagonal = ("", "alike") if surveyed is None else map(shown, surveyed.diagonals_mm)
    return [
        ("opening, width", shown(_width(subject))),
        ("opening, height", shown(-subject.geometry.sill_z_mm)),
        ("opening, one diagonal", one_diagonal),
        ("opening, other diagonal", other_diagonal),
        ("headroom", shown(opening.headroom_mm)),
        ("depth", shown(opening.depth_mm)),
        ("coil's radius, rolled up", shown(answer.coil.radius_mm)),
        (f"bracket {side}", to_roof),
        ("over both tracks", shown(answer.tracks.outer_width_mm)),
        ("daylight, width", shown(answer.daylight.width_mm)),
        ("daylight, height", shown(answer.daylight.height_mm)),
        ("striker above the sill", shown(answer.striker.height_above_sill_mm)),
        ("pretension, turns", _sprung(subject, figure(answer.balance.pretension_turns))),
        ("hand force up, N", _sprung(subject, f"≤ {shown(answer.balance.hand_force_max_n)}")),
        ("hand force down, N", _sprung(subject, f"≤ {shown(answer.balance.hand_force_max_n)}")),
    ]

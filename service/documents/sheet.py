"""The fitter's sheet: figures to set and cut, drawings, parcel, order of work, cautions, room for what was measured."""

import re
from importlib.resources import files

import segno

from service.calculation.job import Survey
from service.documents import steps, svg, typesetting
from service.documents.plate import SEEN, plates_svg
from service.documents.section import heads_svg
from service.documents.subject import Subject
from service.documents.title_block import NO_REFERENCE
from service.documents.wording import STOP, lines_at_most, lines_of
from service.words import severity_label
from service.words.languages import marked

TEMPLATE = files("service.documents").joinpath("sheet.typ").read_bytes()

HEADS_HIGH, PLATES_HIGH = 128.0, 104.0
"""Paper that the drawings may take [mm]."""

WIDE_MM = 140.0
"""Width that the reference may take beside the QR code."""

LARGE_MM, SMALL_MM = 5.6, 3.6
LARGE_LINES = 2
"""A reference that takes more lines in large letters is set in small ones, and never cut."""

QR_MASK = 3
_DARK = re.compile(b"\x01+")

LABELS = {
    "sheet": marked("Fitting sheet"),
    "catalogue": marked("catalogue"),
    "calculation": marked("calculation"),
    "result": marked("result SHA-256"),
    "page": marked("sheet"),
    "of": marked("of"),
    "opening": marked("Opening"),
    "shutter": marked("Shutter"),
    "duty": marked("Duty"),
    "figures": marked("Set and cut"),
    "mm": marked("mm unless said otherwise"),
    "warnings": marked("Warnings"),
    "section": marked("Head in section"),
    "plates": marked("Side plates"),
    "parcel": marked("Check the parcel"),
    "cut": marked("cut lengths in mm"),
    "work": marked("Order of work"),
    "caution": marked("Caution"),
    "measured": marked("Measured after fitting"),
    "should": marked("should be"),
    "is": marked("is"),
    "fitted_by": marked("Fitted by"),
    "date": marked("Date"),
    "signature": marked("Signature"),
    "notes": marked("Notes"),
    "information": marked("for information only"),
    "nearest": marked("The figures are those of the candidate that comes nearest."),
}
"""What stands on every sheet, by its name in the template."""

OPTIONS = {
    "perimeter_seal": marked("perimeter seal"),
    "drip_rail": marked("drip rail"),
    "pull_strap": marked("pull strap"),
    "inside_release": marked("inside release"),
    "door_switch": marked("door switch"),
    "electric_lock": marked("electric lock"),
    "strip_light": marked("strip light"),
}
MOUNTS = {"reveal": marked("in the reveal"), "face": marked("on the inner faces of the jambs")}
FITTED_FROM = {"outside": marked("fitted from outside"), "inside": marked("fitted from inside")}
BODIES = {"steel": marked("steel"), "aluminium": marked("aluminium"), "composite": marked("composite")}
NONE = marked("none")
SEE_WARNINGS = marked("see the warnings")

Figure = tuple[str, str, str]
"""Label, value, note."""


def fitting_pdf(subject: Subject) -> bytes:
    """The fitter's sheet as PDF."""
    return typesetting.pdf(TEMPLATE, lambda write: _inputs(subject.written(write)))


def _inputs(subject: Subject) -> dict[str, object]:
    """What the sheet is set from."""
    title = subject.title
    reference = subject.write(title.reference) or subject.say(NO_REFERENCE)
    large = lines_of(reference, size=LARGE_MM, width=WIDE_MM, bold=True)
    small = lines_of(reference, size=SMALL_MM, width=WIDE_MM, bold=True)
    is_large = len(large) <= LARGE_LINES
    return {
        "labels": {name: subject.say(text) for name, text in LABELS.items()},
        "language": subject.language.code,
        "title": f"{subject.say(LABELS['sheet'])}, {reference}",
        "reference": large if is_large else small,
        "spelling": subject.spelling,
        "reference_mm": LARGE_MM if is_large else SMALL_MM,
        "short": lines_at_most(reference, 1, size=2.8, width=80)[0],
        "catalogue": subject.write(title.catalogue),
        "version": title.calculation_version,
        "digest": title.digest,
        "qr": _qr(title.link or title.digest),
        "verdict": subject.verdict,
        "headline": subject.words.headline,
        "stop": subject.say(STOP) if subject.stopped else "",
        "seen": subject.say(SEEN),
        "opening": _opening(subject),
        "shutter": _shutter(subject),
        "duty": _duty(subject),
        "figures": [*_to_set(subject), *_to_cut(subject), *_to_know(subject)],
        "warnings": _warnings(subject),
        "section": heads_svg(subject, HEADS_HIGH),
        "plates": plates_svg(subject, PLATES_HIGH),
        "parts": _parcel(subject),
        "work": _work(subject),
        "measured": _measured(subject),
    }


def _qr(content: str) -> str:
    """A QR code with the four modules of quiet zone that readers ask for.

    The mask is a fixed one: to look for the best of eight would take longer than the rest of the page.
    """
    code = segno.make(content, error="l", boost_error=False, micro=False, mask=QR_MASK)
    rows = [bytes(row) for row in code.matrix_iter(border=4)]
    dark = (
        f"M{run.start()} {y}h{run.end() - run.start()}v1h{run.start() - run.end()}z"
        for y, row in enumerate(rows)
        for run in _DARK.finditer(row)
    )
    return svg.document(
        svg.element("path", d="".join(dark), fill="#000", stroke="none"),
        width=len(rows),
        height=len(rows),
        title="QR code",
        description=content,
        name="qr",
    )


def _opening(subject: Subject) -> list[tuple[str, str]]:
    """What the caller said of the opening."""
    opening, sized, mm = subject.job.opening, subject.answer.opening, subject.mm
    rows = [
        (
            marked("width × height") if opening.survey is None else marked("usable width × height"),
            f"{mm(sized.width_mm)} × {mm(sized.height_mm)} mm",
        ),
        (marked("headroom"), f"{mm(opening.headroom_mm)} mm"),
        (marked("depth behind the header"), f"{mm(opening.depth_mm)} mm"),
        (marked("header thickness"), f"{mm(opening.header_thickness_mm)} mm"),
        (marked("plate offset"), f"{mm(opening.plate_offset_mm)} mm"),
        (marked("body"), subject.say(BODIES[opening.body])),
    ]
    if opening.wall_gap_left_mm or opening.wall_gap_right_mm:
        rows.append(
            (marked("wall gap left / right"), f"{mm(opening.wall_gap_left_mm)} / {mm(opening.wall_gap_right_mm)} mm")
        )
    if opening.survey is not None:
        rows += [
            (text, " / ".join(map(mm, readings)))
            for text, readings in (
                (marked("widths measured"), opening.survey.widths_mm),
                (marked("heights measured"), opening.survey.heights_mm),
                (marked("diagonals measured"), opening.survey.diagonals_mm),
            )
            if readings
        ]
    return [(subject.say(name), value) for name, value in rows]


def _shutter(subject: Subject) -> list[tuple[str, str]]:
    """What was chosen."""
    answer, job = subject.answer, subject.job
    chosen = ", ".join(subject.say(text) for id, text in OPTIONS.items() if id in job.options)
    rows = [
        (marked("slat / tube"), f"{answer.curtain.slat} / {answer.curtain.tube}"),
        (marked("side plate"), answer.side_plate.id),
        (marked("tracks"), subject.say(MOUNTS[job.mount.id])),
        (marked("work"), subject.say(FITTED_FROM[job.fitted_from])),
        (marked("options"), chosen or subject.say(NONE)),
        (marked("curtain's mass"), f"{subject.mm(answer.curtain.mass_kg)} kg"),
    ]
    return [(subject.say(name), value) for name, value in rows]


def _duty(subject: Subject) -> list[tuple[str, str]]:
    """What the shutter must stand, and how exactly the opening is known."""
    duty, given = subject.job.duty, subject.language.numbers.given
    temperatures = subject.say(
        marked("{least} to {most} °C"), least=given(duty.temperature_min_c), most=given(duty.temperature_max_c)
    )
    rows = [
        (marked("road speed"), f"{given(duty.road_speed_km_h)} km/h"),
        (marked("temperature"), temperatures),
        (marked("supply"), f"{given(duty.supply_v)} V"),
        (marked("cycles a day"), given(duty.cycles_per_day)),
        (marked("hand-force limit"), f"{given(duty.hand_force_limit_n)} N"),
        (marked("measuring tolerance"), f"{given(duty.measuring_tolerance_mm)} mm"),
    ]
    return [(subject.say(name), value) for name, value in rows]


def _sprung(subject: Subject, value: str, instead: str) -> str:
    """What rests on the spring, unless none can be made."""
    return value if subject.spring_made else subject.say(instead)


def _plate_height(subject: Subject) -> Figure:
    """Where the side plates' lower edges are against the header's base."""
    plate, mm = subject.answer.side_plate, subject.mm
    if plate.base_z_mm < 0:
        text, sign = marked("BELOW the header's base; front edge {front} behind the opening's outer face"), "↓"
    elif plate.base_z_mm > 0:
        text, sign = marked("ABOVE the header's base; front edge {front} behind the opening's outer face"), "↑"
    else:
        text, sign = marked("level with the header's base; front edge {front} behind the opening's outer face"), ""
    return (
        subject.say(marked("Side plate {id}, lower edge"), id=plate.id),
        f"{mm(abs(plate.base_z_mm))} {sign}".rstrip(),
        subject.say(text, front=mm(plate.front_x_mm)),
    )


def _to_set(subject: Subject) -> list[Figure]:
    """Where things go."""
    answer, mm, say = subject.answer, subject.mm, subject.say
    wheel, bracket, balance = answer.wheel, answer.bracket, answer.balance
    roof = (
        marked("from the plate's front / lower edge; {mm} below the roof")
        if bracket.below_roof_mm >= 0
        else marked("from the plate's front / lower edge; {mm} above the roof")
    )
    springs = say(
        marked("shutter open; {closed} closed; {count} × wire {wire}, mean diameter {diameter}, {coils} coils"),
        closed=mm(balance.turns_closed),
        count=balance.spring_count,
        wire=mm(balance.wire_mm),
        diameter=mm(balance.mean_diameter_mm),
        coils=balance.coils,
    )
    return [
        _plate_height(subject),
        (
            say(marked("Wheel, hole {hole}"), hole=subject.wheel_hole.name),
            f"{mm(wheel.from_plate_front_mm)} / {mm(wheel.from_plate_base_mm)}",
            say(marked("from the plate's front / lower edge")),
        ),
        (
            say(marked("Bracket, {hole}"), hole=subject.bracket_hole.name),
            f"{mm(bracket.from_plate_front_mm)} / {mm(bracket.from_plate_base_mm)}",
            say(roof, mm=mm(abs(bracket.below_roof_mm))),
        ),
        (
            say(marked("Striker's catch")),
            mm(answer.striker.height_above_sill_mm),
            say(marked("above the sill, bottom seal pressed by a third")),
        ),
        (
            say(marked("Pretension, turns")),
            _sprung(subject, mm(balance.pretension_turns), NONE),
            _sprung(subject, springs, SEE_WARNINGS),
        ),
    ]


def _to_cut(subject: Subject) -> list[Figure]:
    """Lengths."""
    answer, mm, say = subject.answer, subject.mm, subject.say
    seals = answer.seals
    figures = [
        (
            say(marked("Slats")),
            f"{answer.curtain.slat_count} × {mm(answer.curtain.slat_length_mm)}",
            say(marked("engagement cold {mm}"), mm=mm(answer.curtain.engagement_mm)),
        ),
        (
            say(marked("Tracks")),
            f"2 × {mm(answer.tracks.length_mm)}",
            say(marked("{mm} over both tracks"), mm=mm(answer.tracks.outer_width_mm)),
        ),
        (
            say(marked("Top seal {id}, long edge"), id=seals.top_profile),
            mm(seals.top_cut_length_mm),
            say(
                marked("short edge {short}, ends at {angle}° to its length"),
                short=mm(seals.top_short_edge_mm),
                angle=mm(seals.top_end_angle_deg),
            ),
        ),
        (
            say(marked("Tube {id}"), id=answer.curtain.tube),
            mm(answer.curtain.tube_length_mm),
            say(marked("between the brackets")),
        ),
    ]
    if answer.drip_rail is not None:
        figures.append((say(marked("Drip rail")), mm(answer.drip_rail.length_mm), say(marked("between the jambs"))))
    return figures


def _to_know(subject: Subject) -> list[Figure]:
    """What to check against."""
    answer, mm, say = subject.answer, subject.mm, subject.say
    coil, daylight, numbers = answer.coil, answer.daylight, subject.language.numbers
    if coil.measured_radius_mm is None:
        wound = say(marked("all slats wound"))
    else:
        wound = say(marked("all slats wound; measured {mm}"), mm=mm(coil.measured_radius_mm))
    figures = [
        (say(marked("Coil's radius, rolled up")), mm(coil.radius_mm), wound),
        (
            say(marked("Daylight")),
            f"{mm(daylight.width_mm)} × {mm(daylight.height_mm)}",
            say(marked("width × height, shutter open")),
        ),
        (
            say(marked("Hand force, N")),
            _sprung(subject, f"≤ {numbers.whole(answer.balance.hand_force_max_n)}", NONE),
            _sprung(subject, say(marked("up or down over the lift")), SEE_WARNINGS),
        ),
    ]
    if answer.wiring is not None:
        area, current = numbers.given(answer.wiring.conductor_mm2), mm(answer.wiring.current_a)
        wire = (
            say(marked("conductor {area} mm²; current less than 0.1 A"), area=area)
            if current == "0"
            else say(marked("conductor {area} mm²; current {current} A"), area=area, current=current)
        )
        figures.append((say(marked("Fuse, A")), numbers.given(answer.wiring.fuse_a), wire))
    return figures


def _warnings(subject: Subject) -> list[tuple[str, str, str, str, str]]:
    """Number in the drawing, severity, its name, message, remedy."""
    code = subject.language.code
    return [
        (
            str(subject.check_numbers[warning.check]) if warning.check else "",
            warning.severity,
            severity_label(warning.severity, language=code),
            said.message,
            said.remedy,
        )
        for warning, said in zip(subject.answer.warnings, subject.words.warnings, strict=True)
    ]


def _parcel(subject: Subject) -> list[tuple[str, str, str]]:
    """Quantity, part and cut length."""
    return [
        (str(part.quantity), said.label, "" if part.cut_length_mm is None else subject.mm(part.cut_length_mm))
        for part, said in zip(subject.answer.parts, subject.words.parts, strict=True)
    ]


def _work(subject: Subject) -> list[dict[str, object]]:
    """Every step with its cautions and pictures."""
    cautions = {one.code: one.text for one in subject.words.cautions}
    return [
        {
            "number": str(number),
            "title": one.title,
            "text": one.text,
            "cautions": [cautions[code] for code in one.cautions],
            "pictures": steps.pictures_of(subject, one.key),
        }
        for number, one in enumerate(subject.words.work, start=1)
    ]


def _measured(subject: Subject) -> list[tuple[str, str]]:
    """What the fitter measures, with the figure that it should be."""
    answer, opening, mm = subject.answer, subject.job.opening, subject.mm
    below = answer.bracket.below_roof_mm
    force = f"≤ {subject.language.numbers.whole(answer.balance.hand_force_max_n)}"
    once = Survey(widths_mm=(opening.width_mm,), heights_mm=(opening.height_mm,))
    readings = opening.survey or once
    one_diagonal, other_diagonal = map(mm, readings.diagonals_mm) if readings.diagonals_mm else ("", "")
    rows = [
        (marked("opening, width"), " / ".join(map(mm, readings.widths_mm))),
        (marked("opening, height"), " / ".join(map(mm, readings.heights_mm))),
        (marked("opening, one diagonal"), one_diagonal),
        (marked("opening, other diagonal"), other_diagonal),
        (marked("headroom"), mm(opening.headroom_mm)),
        (marked("depth"), mm(opening.depth_mm)),
        (marked("coil's radius, rolled up"), mm(subject.coil_radius_mm)),
        (marked("bracket below the roof") if below >= 0 else marked("bracket above the roof"), mm(abs(below))),
        (marked("over both tracks"), mm(answer.tracks.outer_width_mm)),
        (marked("daylight, width"), mm(answer.daylight.width_mm)),
        (marked("daylight, height"), mm(answer.daylight.height_mm)),
        (marked("striker above the sill"), mm(answer.striker.height_above_sill_mm)),
        (marked("pretension, turns"), _sprung(subject, mm(answer.balance.pretension_turns), NONE)),
        (marked("hand force up, N"), _sprung(subject, force, NONE)),
        (marked("hand force down, N"), _sprung(subject, force, NONE)),
        (marked("half turns counted"), ""),
    ]
    return [(subject.say(name), value) for name, value in rows]

"""The side section: the head closed and open with its clearances, the whole opening closed and open, every check."""

from service.calculation.checks import KINDS, Check
from service.documents import frame, head, svg, view
from service.documents.faces import width_of
from service.documents.frame import Position
from service.documents.subject import Subject
from service.documents.svg import Box
from service.documents.view import View, Window
from service.documents.wording import STOP, VERDICTS, clean, limit_of, lines_at_most, shown, state_of, value_of

WIDTH, HEIGHT = 190.0, 277.0
"""The printed area of an A4 page with 10 mm of margin."""

HEADS = Box(0, 0, WIDTH, 98)
HEADS_ALONE = Box(0, 0, WIDTH, 83)
"""For a page that has more to carry."""

WHOLES = Box(0, 98, WIDTH, 99)
CHECKS = Box(0, 199, WIDTH, 50)
TITLE_BLOCK = Box(0, 250, WIDTH, 27)


def section_svg(subject: Subject) -> str:
    """The side section on one A4 page: heads, whole opening, checks and title block."""
    return svg.document(
        frame.definitions(subject),
        *head.heads(subject, HEADS),
        *_wholes(subject, WHOLES),
        _check_table(subject.answer.checks, CHECKS),
        title_block(subject, TITLE_BLOCK, drawing="Side section", note=NOTE),
        width=WIDTH,
        height=HEIGHT,
        title=f"Side section, {subject.title.reference}",
        description=_description(subject),
        name="section",
    )


def heads_svg(subject: Subject) -> str:
    """Only the head, closed and open, for a page that has its own title and tables."""
    return svg.document(
        frame.definitions(subject),
        *head.heads(subject, HEADS_ALONE),
        width=HEADS_ALONE.width,
        height=head.foot_of(subject, HEADS_ALONE),
        title=f"Head in section, {subject.title.reference}",
        description=_description(subject),
        name="section",
    )


def _description(subject: Subject) -> str:
    """The picture in words."""
    answer = subject.answer
    named = [f"{KINDS[one.id].title}, {state_of(one)}" for one in answer.checks if one.state != "ok"]
    return (
        f"{VERDICTS[answer.verdict]}. Coil radius {shown(answer.coil.radius_mm)} mm with {answer.curtain.slat_count} "
        f"slats on tube {answer.curtain.tube}; side plate {answer.side_plate.id}, wheel hole {answer.wheel.hole}, "
        f"bracket hole {answer.bracket.hole}, {shown(answer.bracket.from_plate_front_mm)} mm from the plate's front and "
        f"{shown(answer.bracket.from_plate_base_mm)} mm from its lower edge. "
        f"Straps of {shown(subject.job.hardware.running.strap_length_mm)} mm tie the first slat to the tube: a thin line "
        "from its hinge to the tube where the shutter is closed. "
        f"Not in order: {'; '.join(named) or 'nothing'}."
    )


NOTE = (
    "Lengths in mm. Seen from the side, outside of the vehicle on the left. Dash-dotted: the coil with all slats wound; "
    "its clearances are counted from there. Target: chosen hole."
)


def _wholes(subject: Subject, box: Box) -> tuple[str, ...]:
    """The whole opening closed and open beside each other, at one scale."""
    half = box.width / 2
    return (
        _whole(subject, "closed", Box(box.left, box.top, half - 2, box.height)),
        _whole(subject, "open", Box(box.left + half, box.top, half - 2, box.height)),
    )


def _whole(subject: Subject, position: Position, box: Box) -> str:
    """One view of the whole opening with its main dimensions."""
    geometry = subject.geometry
    window = Window(min(0.0, *(x for x, _ in geometry.track)), geometry.rear_x_mm, geometry.sill_z_mm, geometry.roof_z_mm)
    area = Box(box.left + 27, box.top + 17, box.width - 27 - 20, box.height - 17 - 10)
    ratio = view.ratio_for(width=window.x_to - window.x_from, height=window.z_to - window.z_from, box=area)
    seen = View(window, area, ratio)
    return svg.group(
        svg.text((box.left, box.top + 4), f"Whole opening, {position}", size=svg.HEADING, bold=True),
        svg.text((box.right - 3, box.top + 4), f"1 : {ratio:g}", size=svg.HEADING, anchor="end"),
        frame.solids(subject, seen, area._replace(left=area.left - 3)),
        frame.in_frame(subject, seen, position, holes=False),
        *(_closed_dimensions(subject, seen) if position == "closed" else _open_dimensions(subject, seen)),
        view.scale_bar((box.left + 1, box.bottom - 5), ratio=ratio, width=20),
    )


def _closed_dimensions(subject: Subject, seen: View) -> tuple[str, ...]:
    """Opening, headroom, depth and the track's length."""
    opening, geometry = subject.job.opening, subject.geometry
    edge, roof = seen.at(0, geometry.roof_z_mm)
    left = seen.box.left
    base, sill = seen.at(0, 0)[1], seen.at(0, geometry.sill_z_mm)[1]
    inner, rear = seen.at(opening.header_thickness_mm, 0)[0], seen.at(geometry.rear_x_mm, 0)[0]
    height = -geometry.sill_z_mm
    return (
        view.upright(left - 6, base, sill, f"opening {shown(height)}", edge=edge),
        view.upright(left - 6, roof, base, f"headroom {shown(opening.headroom_mm)}", edge=edge),
        view.level(roof - 7, inner, rear, f"depth {shown(opening.depth_mm)}", edge=roof),
    )


def _open_dimensions(subject: Subject, seen: View) -> tuple[str, ...]:
    """Daylight and the track's length."""
    answer, geometry = subject.answer, subject.geometry
    edge, sill = seen.at(0, geometry.sill_z_mm)
    daylight = seen.at(0, geometry.sill_z_mm + answer.daylight.height_mm)[1]
    lower, upper = geometry.track[0][1], geometry.track[2][1]
    rear = seen.at(geometry.rear_x_mm, 0)[0] + view.HATCH_DEPTH
    return (
        view.upright(seen.box.left - 6, daylight, sill, f"daylight {shown(answer.daylight.height_mm)}", edge=edge),
        view.upright(
            rear + 5,
            seen.at(0, upper)[1],
            seen.at(0, lower)[1],
            f"track {shown(answer.tracks.length_mm)}",
            edge=rear,
        ),
    )


def _check_table(checks: tuple[Check, ...], box: Box) -> str:
    """Every check with value, limit and state, in two columns; those not in order carry the number of their mark."""
    numbers = {check.id: number for number, check in head.not_in_order(checks)}
    rows = -(-len(checks) // 2)
    pitch = min(4.2, (box.height - 7) / rows)
    size = min(2.5, 0.7 * pitch)
    half = box.width / 2
    value_right, limit_left, state_left = 58, 59, 76.8
    written = [
        svg.text((box.left, box.top + 3), "Checks", size=svg.HEADING, bold=True),
        svg.line((box.left, box.top + 4.5), (box.right, box.top + 4.5), stroke_width=svg.THIN),
    ]
    for index, check in enumerate(checks):
        left = box.left + half * (index // rows)
        base = box.top + 4.5 + pitch * (index % rows + 0.8)
        failing = check.state == "fails"
        unit = "" if check.unit == "slats" else f" {check.unit}"
        title, value = KINDS[check.id].title, value_of(check)
        written += [
            *([head.badge((left + 2, base - 0.35 * size), numbers[check.id], check)] if check.id in numbers else []),
            svg.text((left + 5, base), title, size=size, most=value_right - 6 - width_of(value, size=size, bold=failing)),
            svg.text((left + value_right, base), value, size=size, anchor="end", bold=failing),
            svg.text(
                (left + limit_left, base),
                f"{limit_of(check)}{unit}",
                size=size,
                bold=failing,
                most=state_left - limit_left - 0.7,
            ),
            svg.text((left + state_left, base), state_of(check), size=size, bold=failing, most=half - state_left - 0.7),
        ]
    return svg.group(*written, data_part="checks")


def title_block(subject: Subject, box: Box, *, drawing: str, note: str) -> str:
    """Whose drawing it is: reference, verdict, catalogue, version, digest."""
    title, right = subject.title, box.left + 0.68 * box.width
    room = right - box.left - 4
    reference = lines_at_most(clean(title.reference) or "(no reference)", 2, size=svg.HEADING, width=room, bold=True)
    stop = svg.label((right - 2.5, box.top + 4), STOP, anchor="end", framed=True)
    notes = lines_at_most(note, 2, size=svg.SMALL, width=room)
    lines = (
        ("verdict", VERDICTS[subject.answer.verdict]),
        ("catalogue", lines_at_most(clean(title.catalogue), 1, size=svg.TEXT, width=38, bold=True)[0]),
        ("calculation", title.calculation_version),
    )
    return svg.group(
        svg.rectangle((box.left + 0.25, box.top), box.width - 0.5, box.height - 0.25, stroke_width=svg.THICK),
        svg.line((right, box.top), (right, box.bottom - 6)),
        svg.line((box.left, box.bottom - 6), (box.right, box.bottom - 6)),
        svg.text((box.left + 2, box.top + 4), drawing, size=svg.SMALL, fill=svg.GREY),
        stop if subject.stopped else "",
        *(
            svg.text((box.left + 2, box.top + 8 + 4 * index), one, size=svg.HEADING, bold=True, most=room)
            for index, one in enumerate(reference)
        ),
        *(svg.text((box.left + 2, box.bottom - 10.5 + 3.2 * index), one, size=svg.SMALL) for index, one in enumerate(notes)),
        *(
            svg.group(
                svg.text((right + 2, box.top + 5 + 5.5 * index), name, size=svg.SMALL, fill=svg.GREY),
                svg.text((right + 19, box.top + 5 + 5.5 * index), value, bold=True),
            )
            for index, (name, value) in enumerate(lines)
        ),
        svg.text((box.left + 2, box.bottom - 2), f"result SHA-256 {title.digest}", size=svg.SMALL),
        data_part="title-block",
    )

"""The side section: the head closed and open with its clearances, the whole opening closed and open, every check."""

from service.documents import balloon, detail, frame, head, svg, view
from service.documents.faces import width_of
from service.documents.frame import Position
from service.documents.subject import Subject
from service.documents.svg import Box
from service.documents.title_block import HEIGHT as TITLE_HEIGHT
from service.documents.title_block import stopped, title_block
from service.documents.view import View, Window
from service.documents.wording import compared
from service.words.languages import marked

WIDTH, HEIGHT = 190.0, 277.0
"""The printed area of an A4 page with 10 mm of margin."""

HEADS = Box(0, 0, WIDTH, 112)
WHOLES = Box(0, 114, 126, 76)
DETAIL = Box(130, 114, 60, 76)
CHECKS = Box(0, 190, WIDTH, 57)
TITLE_BLOCK = Box(0, HEIGHT - TITLE_HEIGHT, WIDTH, TITLE_HEIGHT)

TITLE = marked("Side section")
HEAD_TITLE = marked("Head in section")
WHOLE_TITLES: dict[Position, str] = {
    "closed": marked("Whole opening, closed"),
    "open": marked("Whole opening, open"),
}
NOTE = marked(
    "Lengths in mm. Seen from the side, outside of the vehicle on the left. Dashed level line: the header's base. "
    "Dash-dotted circle: the coil with all slats wound; its clearances are counted from there."
)


def section_svg(subject: Subject, *, title: bool = True) -> str:
    """The side section on one A4 page: heads, whole opening, checks and title block; without title the pictures alone."""
    pictures = (
        frame.definitions(subject),
        *head.heads(subject, HEADS),
        *_wholes(subject, WHOLES),
        detail.at_header(subject, DETAIL),
    )
    below = (
        (
            _check_table(subject, CHECKS),
            title_block(subject, TITLE_BLOCK, drawing=subject.say(TITLE), note=subject.say(NOTE)),
        )
        if title
        else (stopped(subject, (WIDTH - 1, WHOLES.bottom - 1)),)
    )
    return svg.document(
        *pictures,
        *below,
        width=WIDTH,
        height=HEIGHT if title else WHOLES.bottom,
        title=f"{subject.say(TITLE)}, {subject.title.reference}",
        description=_description(subject),
        name="section",
    )


def heads_svg(subject: Subject, height: float) -> str:
    """Only the head, closed and open, at most so high: for a page that has its own title and tables."""
    box = Box(0, 0, WIDTH, height)
    return svg.document(
        frame.definitions(subject),
        *head.heads(subject, box),
        width=WIDTH,
        height=head.foot_of(subject, box),
        title=f"{subject.say(HEAD_TITLE)}, {subject.title.reference}",
        description=_description(subject),
        name="section",
    )


def _description(subject: Subject) -> str:
    """The picture in words."""
    answer, bracket = subject.answer, subject.answer.bracket
    faulty = [
        f"{subject.check_labels[one.id]}, {compared(one, subject.language).state}"
        for one in answer.checks
        if one.state != "ok"
    ]
    not_in_order = subject.say(marked("Not in order: {list}."), list="; ".join(faulty)) if faulty else ""
    said = subject.say(
        marked(
            "Coil radius {coil} mm with {slats} slats on tube {tube}; side plate {plate}, wheel hole {wheel}, bracket hole "
            "{bracket}, {front} mm from the plate's front and {base} mm from its lower edge."
        ),
        coil=subject.mm(subject.coil_radius_mm),
        slats=answer.curtain.slat_count,
        tube=answer.curtain.tube,
        plate=answer.side_plate.id,
        wheel=subject.wheel_hole.name,
        bracket=subject.bracket_hole.name,
        front=subject.mm(bracket.from_plate_front_mm),
        base=subject.mm(bracket.from_plate_base_mm),
    )
    return f"{subject.verdict}. {said} {not_in_order}"


def _wholes(subject: Subject, box: Box) -> tuple[str, ...]:
    """The whole opening closed and open beside each other, at one scale."""
    return tuple(_whole(subject, position, box.part(index, 2, gap=4)) for index, position in enumerate(frame.POSITIONS))


def _whole(subject: Subject, position: Position, box: Box) -> str:
    """One view of the whole opening with its main dimensions."""
    geometry, bar = subject.geometry, subject.job.hardware.bar
    pose = frame.pose_of(subject, "closed")
    lip = min(x for x, _ in pose.bar) - bar.lip_deep_mm
    boxes = subject.job.opening.obstacles
    window = Window(
        min(0.0, lip, *(x for x, _ in geometry.track), *(one.x_mm for one in boxes)),
        geometry.rear_x_mm,
        geometry.sill_z_mm,
        geometry.roof_z_mm,
    )
    area = Box(box.left + 26, box.top + 15, box.width - 26 - 13, box.height - 15 - 12)
    ratio = view.ratio_for(width=window.x_to - window.x_from, height=window.z_to - window.z_from, box=area)
    seen = View(window, area, ratio)
    return svg.group(
        svg.text(
            (box.left, box.top + 4), subject.say(WHOLE_TITLES[position]), size=svg.HEADING, bold=True, most=box.width - 14
        ),
        view.scale_bar((box.left + 1, box.bottom - 8), ratio=ratio, width=14),
        svg.text((box.right, box.top + 4), f"1 : {ratio:g}", size=svg.HEADING, anchor="end"),
        frame.solids(subject, seen, area._replace(left=area.left - 3)),
        frame.in_frame(subject, seen, position, head=False),
        *(_closed_dimensions(subject, seen) if position == "closed" else _open_dimensions(subject, seen)),
    )


def _closed_dimensions(subject: Subject, seen: View) -> tuple[str, ...]:
    """Opening, headroom, depth, and the striker's height."""
    opening, geometry = subject.job.opening, subject.geometry
    edge, roof = seen.at(0, geometry.roof_z_mm)
    left = seen.box.left
    base, sill = seen.at(0, 0)[1], seen.at(0, geometry.sill_z_mm)[1]
    inner, rear = seen.at(opening.header_thickness_mm, 0)[0], seen.at(geometry.rear_x_mm, 0)[0]
    height = subject.say(marked("opening {mm}"), mm=subject.mm(opening.height_mm))
    headroom = subject.say(marked("headroom {mm}"), mm=subject.mm(opening.headroom_mm))
    return (
        view.upright(left - 6, base, sill, height, edge=edge),
        view.upright(left - 6, roof, base, headroom, edge=edge),
        view.level(roof - 7, inner, rear, subject.say(marked("depth {mm}"), mm=subject.mm(opening.depth_mm)), edge=roof),
    )


def _open_dimensions(subject: Subject, seen: View) -> tuple[str, ...]:
    """Daylight and the track's length."""
    answer, geometry = subject.answer, subject.geometry
    edge, sill = seen.at(0, geometry.sill_z_mm)
    daylight = seen.at(0, geometry.sill_z_mm + answer.daylight.height_mm)[1]
    lower, upper = geometry.track[0][1], geometry.track[2][1]
    rear = seen.at(geometry.rear_x_mm, 0)[0] + view.HATCH_DEPTH
    clear = subject.say(marked("daylight {mm}"), mm=subject.mm(answer.daylight.height_mm))
    track = subject.say(marked("track {mm}"), mm=subject.mm(answer.tracks.length_mm))
    return (
        view.upright(seen.box.left - 6, daylight, sill, clear, edge=edge),
        view.upright(rear + 5, seen.at(0, upper)[1], seen.at(0, lower)[1], track, edge=rear),
    )


def _check_table(subject: Subject, box: Box) -> str:
    """Every check with its number, value, limit and state, in two columns."""
    checks = subject.answer.checks
    rows = -(-len(checks) // 2)
    pitch = min(4.2, (box.height - 7) / rows)
    size = min(2.4, 0.72 * pitch)
    column = (box.width - 4) / 2
    value_right, limit_left, state_left = 0.66 * column, 0.68 * column, 0.83 * column
    written = [
        svg.text((box.left, box.top + 3), subject.say(marked("Checks")), size=svg.HEADING, bold=True),
        svg.line((box.left, box.top + 4.5), (box.right, box.top + 4.5), stroke_width=svg.THIN),
    ]
    for index, check in enumerate(checks):
        left = box.left + (column + 4) * (index // rows)
        base = box.top + 4.5 + pitch * (index % rows + 0.8)
        failing = check.state == "fails"
        figures = compared(check, subject.language)
        number = str(subject.check_numbers[check.id])
        room = value_right - 6 - width_of(figures.value, size=size, bold=failing)
        written += [
            svg.text((left + 2, base), number, size=size, anchor="middle", fill=svg.GREY)
            if check.state == "ok"
            else balloon.drawn((left + 2, base - 0.35 * size), number, state=check.state, radius=0.47 * pitch),
            svg.text((left + 5, base), subject.check_labels[check.id], size=size, most=room, bold=failing),
            svg.text((left + value_right, base), figures.value, size=size, anchor="end", bold=failing),
            svg.text((left + limit_left, base), figures.limit, size=size, most=state_left - limit_left - 0.7),
            svg.text((left + state_left, base), figures.state, size=size, bold=failing, most=column - state_left),
        ]
    return svg.group(*written, data_part="checks")

"""The head of the section: once closed with names and set-out sizes, once open with the coil's clearances."""

from math import hypot
from typing import NamedTuple

from service.calculation.checks import Check
from service.calculation.job import Obstacle
from service.documents import balloon, frame, svg, view
from service.documents.balloon import Disc, Taken
from service.documents.faces import width_of
from service.documents.frame import Position
from service.documents.subject import Subject
from service.documents.svg import Box, Point
from service.documents.view import View, Window
from service.documents.wording import compared, lines_at_most
from service.words.languages import marked

ABOVE = 10.0
"""Paper for the heading over a head."""

SET_OUT = 11.5
"""Paper for the set-out sizes under and behind a head."""

LEGEND, LEGEND_LEAST = 2.9, 2.4
"""Size of a legend's letters, and how small a long name may be set."""

TITLES: dict[Position, str] = {"closed": marked("Head, closed"), "open": marked("Head, open")}
CLEARANCES = ("roof_clearance", "wheel_clearance", "rear_clearance", "header_clearance", "obstacle_clearance")
"""What is drawn as a dimension of the open head, where it was compared."""


class _Extent(NamedTuple):
    """What must be seen of the head [mm]."""

    window: Window
    roof: bool
    rear: bool


def _extent(subject: Subject) -> _Extent:
    """The head: plate, coil and mouth, with roof, rear and obstacles where they are near."""
    geometry, plate, radius = subject.geometry, subject.answer.side_plate, subject.coil_radius_mm
    x_b, z_b = geometry.bracket
    right = max(plate.front_x_mm + plate.deep_mm, x_b + radius)
    top = max(plate.base_z_mm + plate.high_mm, z_b + radius)
    base = min(plate.base_z_mm, z_b - radius, subject.job.mount.mouth_z_mm) - 0.16 * plate.high_mm
    left = min(-0.1 * plate.deep_mm, min(x for x, _ in geometry.track) - 10)
    near = 0.55 * max(plate.deep_mm, plate.high_mm)
    roof, rear = geometry.roof_z_mm <= top + near, geometry.rear_x_mm <= right + near
    widest = Window(left, right + near, base, top + near)
    boxes = [one for one in map(_outline, subject.job.opening.obstacles) if _shared(one, widest)]
    # an obstacle in reach is seen whole; one that is longer than the reach itself is cut off
    return _Extent(
        Window(
            left,
            max(right, geometry.rear_x_mm)
            if rear
            else min(max([right + near / 2, *(one.x_to for one in boxes)]), widest.x_to + near),
            max(min([base, *(one.z_from for one in boxes)]), base - near),
            max(top, geometry.roof_z_mm)
            if roof
            else min(max([top + near / 2, *(one.z_to for one in boxes)]), widest.z_to + near),
        ),
        roof,
        rear,
    )


def _outline(box: Obstacle) -> Window:
    """The part of the frame that an obstacle takes."""
    return Window(box.x_mm, box.x_mm + box.deep_mm, box.z_mm, box.z_mm + box.high_mm)


def _shared(one: Window, other: Window) -> Window | None:
    """What two parts of the frame share; none where they lie apart."""
    left, right = max(one.x_from, other.x_from), min(one.x_to, other.x_to)
    base, top = max(one.z_from, other.z_from), min(one.z_to, other.z_to)
    return Window(left, right, base, top) if left < right and base < top else None


def heads(subject: Subject, box: Box) -> tuple[str, ...]:
    """The head closed and open beside each other, at one scale."""
    return tuple(_head(subject, position, box.part(index, 2, gap=4)) for index, position in enumerate(frame.POSITIONS))


def foot_of(subject: Subject, box: Box) -> float:
    """Where the heads in a box end: their scale is a round one, so that some of the box is left over."""
    return _foot(_seen(subject, box.part(0, 2, gap=4))) + _legend_height(subject)


def _legend_height(subject: Subject) -> float:
    """Paper for the longer of both legends."""
    return balloon.ROW * max(-(-len(_names(subject)) // 2), len(_compared(subject))) + 1


def _compared(subject: Subject) -> dict[str, Check]:
    """The clearances that were compared, by id."""
    return {one.id: one for one in subject.answer.checks if one.id in CLEARANCES}


def _seen(subject: Subject, box: Box) -> View:
    """How a head lies in its place, set-out sizes and legend below it."""
    window = _extent(subject).window
    low = SET_OUT + _legend_height(subject)
    area = Box(box.left + 4, box.top + ABOVE + 3, box.width - 4 - SET_OUT - 4, box.height - ABOVE - 3 - low)
    ratio = view.ratio_for(width=window.x_to - window.x_from, height=window.z_to - window.z_from, box=area)
    return View(window, area, ratio)


def _foot(seen: View) -> float:
    """Where the set-out sizes below a head end."""
    return seen.at(0, seen.window.z_from)[1] + SET_OUT


def _head(subject: Subject, position: Position, box: Box) -> str:
    """One view of the head."""
    seen = _seen(subject, box)
    area = seen.box
    right, base = seen.at(seen.window.x_to, seen.window.z_from)
    clip = Box(
        area.left,
        area.top - view.HATCH_DEPTH - 0.5,
        right + view.HATCH_DEPTH - area.left,
        base - area.top + view.HATCH_DEPTH + 0.5,
    )
    name = f"clip-head-{position}"
    return svg.group(
        svg.text((box.left, box.top + 4), subject.say(TITLES[position]), size=svg.HEADING, bold=True, most=34),
        view.scale_bar((box.left + 38, box.top + 1.4), ratio=seen.ratio, width=26),
        svg.text((box.right, box.top + 4), f"1 : {seen.ratio:g}", size=svg.HEADING, anchor="end"),
        frame.clip_path(name, clip),
        svg.group(
            frame.solids(subject, seen, clip),
            frame.in_frame(subject, seen, position, head=True),
            clip_path=f"url(#{name})",
        ),
        *(_named(subject, seen, box) if position == "closed" else _clearances(subject, seen, box)),
    )


class _Name(NamedTuple):
    """A thing's name and the point in the frame that its balloon leads to."""

    target: Point
    name: str


def _names(subject: Subject) -> list[_Name]:
    """What is what in the closed head, in the order of the legend: no more than is in the picture."""
    geometry, answer, job = subject.geometry, subject.answer, subject.job
    plate, seals, window = answer.side_plate, answer.seals, _extent(subject).window
    low, high = frame.top_seal_z(subject)
    inner = job.opening.header_thickness_mm
    strap = frame.strap_points(subject)
    x_b, z_b = geometry.bracket
    names = [
        _Name(
            (plate.front_x_mm + 0.8 * plate.deep_mm, plate.base_z_mm + 0.88 * plate.high_mm),
            subject.say(marked("side plate {id}"), id=plate.id),
        ),
        _Name(
            (geometry.wheel[0] + 0.6 * geometry.wheel_radius_mm, geometry.wheel[1] - 0.6 * geometry.wheel_radius_mm),
            subject.say(marked("wheel, hole {hole}"), hole=subject.wheel_hole.name),
        ),
        _Name(
            (x_b + 0.6 * geometry.tube_radius_mm, z_b - 0.6 * geometry.tube_radius_mm),
            subject.say(marked("tube {id}"), id=answer.curtain.tube),
        ),
        _Name(strap[-1], subject.say(marked("strap"))),
        _Name((geometry.track[1][0], geometry.track[2][1] - 8), subject.say(marked("track"))),
        _Name((inner + seals.top_gap_mm / 2, (low + high) / 2), subject.say(marked("top seal {id}"), id=seals.top_profile)),
    ]
    if answer.drip_rail is not None:
        names.append(_Name((max(0.0, inner - 11), low), subject.say(marked("drip rail"))))
    if inner > 0:
        upper = min(geometry.roof_z_mm, window.z_to)
        names.append(_Name((0.0, 0.6 * upper), subject.say(marked("header"))))
    names += [
        _Name(((shown.x_from + shown.x_to) / 2, (shown.z_from + shown.z_to) / 2), _obstacle_name(subject, one))
        for one in job.opening.obstacles
        for shown in (_shared(_outline(one), window),)
        if shown
    ]
    return names


def _obstacle_name(subject: Subject, obstacle: Obstacle) -> str:
    """What the caller calls an obstacle."""
    return subject.say(marked("obstacle: {name}"), name=subject.write(obstacle.name))


def _named(subject: Subject, seen: View, box: Box) -> tuple[str, ...]:
    """Set-out sizes, and letters for the names in the legend."""
    holes = [balloon.around(seen.at(*one)) for one in (subject.geometry.wheel, subject.geometry.bracket)]
    taken: Taken = [*holes]
    page = Box(box.left, box.top + ABOVE - 3, box.width, _foot(seen) - SET_OUT - box.top - ABOVE + 3)
    drawn, rows = [], []
    for index, one in enumerate(_names(subject)):
        letter = chr(ord("a") + index)
        rows.append((letter, one.name))
        target = seen.at(*one.target)
        drawn.append(balloon.led(balloon.place(target, taken, page), target, letter))
    half = -(-len(rows) // 2)
    top, width = _foot(seen) + 1, box.width / 2
    return (
        *_set_out(subject, seen),
        *drawn,
        *(
            _legend_row((box.left + width * (index // half), top + balloon.ROW * (index % half)), letter, name, width)
            for index, (letter, name) in enumerate(rows)
        ),
    )


def _legend_row(at: Point, mark: str, name: str, width: float) -> str:
    """A balloon and what it means."""
    return balloon.drawn((at[0] + 2, at[1] + 2), mark) + svg.text(
        (at[0] + 5, at[1] + 3),
        lines_at_most(name, 1, size=LEGEND, width=width - 6)[0],
        size=LEGEND,
    )


def _set_out(subject: Subject, seen: View) -> tuple[str, ...]:
    """Wheel and bracket from the plate's front and lower edges, and the plate from the header's base."""
    plate, window = subject.answer.side_plate, seen.window
    front, base = seen.at(plate.front_x_mm, plate.base_z_mm)
    rear = seen.at(plate.front_x_mm + plate.deep_mm, 0)[0]
    foot, side = seen.at(0, window.z_from)[1], seen.at(window.x_to, 0)[0] + view.HATCH_DEPTH
    zero = seen.at(0, 0)[1]
    drawn = []
    for tier, centre, hole in (
        (1, subject.geometry.bracket, subject.bracket_hole),
        (0, subject.geometry.wheel, subject.wheel_hole),
    ):
        x, y = seen.at(*centre)
        drawn += [
            _extension((x, y + 1.7), (x, foot + 3)),
            _extension((x + 1.7, y), (rear, y)),
            view.level(foot + 3.5 + 5 * tier, front, x, subject.mm(hole.from_front_mm), edge=foot + 0.5),
            view.upright(side + 3.5 + 5 * tier, y, base, subject.mm(hole.from_base_mm), edge=rear, beyond=True),
        ]
    below = plate.base_z_mm < 0
    text = (
        marked("plate's lower edge {mm} below the header's base ↓")
        if below
        else marked("plate's lower edge {mm} above the header's base ↑")
    )
    said = subject.say(text, mm=subject.mm(abs(plate.base_z_mm)))
    return (
        _extension((front, base), (front, foot + 3)),
        svg.line(
            (seen.at(window.x_from, 0)[0], zero),
            (side, zero),
            stroke=svg.MEASURE,
            stroke_width=svg.THIN,
            stroke_dasharray="2 1",
        ),
        *drawn,
        svg.text((seen.box.left, seen.box.top - view.HATCH_DEPTH - 1.4), said, size=svg.SMALL, fill=svg.MEASURE),
    )


def _extension(start: Point, end: Point) -> str:
    """A dimension's extension line within the drawing."""
    return svg.line(start, end, stroke=svg.MEASURE, stroke_width=svg.THIN, stroke_dasharray="1 0.8")


def _between(subject: Subject, extent: _Extent) -> dict[str, tuple[Point, Point]]:
    """Both ends of each clearance in the frame [mm], from what the coil must keep clear of to the coil."""
    geometry, radius, window = subject.geometry, subject.coil_radius_mm, extent.window
    (x_b, z_b), (x_w, z_w) = geometry.bracket, geometry.wheel
    to_wheel = subject.answer.bracket.to_wheel_mm
    ux, uz = (x_b - x_w) / to_wheel, (z_b - z_w) / to_wheel
    allowance = subject.job.slat.wheel_allowance_mm
    found = {
        "roof_clearance": ((x_b, geometry.roof_z_mm if extent.roof else window.z_to), (x_b, z_b + radius)),
        "rear_clearance": ((geometry.rear_x_mm if extent.rear else window.x_to, z_b), (x_b + radius, z_b)),
        "wheel_clearance": (
            (x_w + allowance * ux, z_w + allowance * uz),
            (x_b - radius * ux, z_b - radius * uz),
        ),
        "header_clearance": _to_coil(
            (subject.job.opening.header_thickness_mm, min(max(0.0, z_b), geometry.roof_z_mm)), geometry.bracket, radius
        ),
    }
    if subject.job.opening.obstacles:
        corners = [
            (min(max(x_b, one.x_mm), one.x_mm + one.deep_mm), min(max(z_b, one.z_mm), one.z_mm + one.high_mm))
            for one in subject.job.opening.obstacles
        ]
        nearest = min(corners, key=lambda corner: hypot(corner[0] - x_b, corner[1] - z_b))
        found["obstacle_clearance"] = _to_coil(nearest, geometry.bracket, radius)
    return found


def _to_coil(point: Point, axis: Point, radius: float) -> tuple[Point, Point]:
    """A point and the coil's nearest."""
    away = hypot(point[0] - axis[0], point[1] - axis[1]) or 1.0
    share = radius / away
    return point, (axis[0] + (point[0] - axis[0]) * share, axis[1] + (point[1] - axis[1]) * share)


def _clearances(subject: Subject, seen: View, box: Box) -> tuple[str, ...]:
    """The coil's clearances as dimension lines with their numbers, the marks of what is not in order, and the legend."""
    geometry, window = subject.geometry, seen.window
    checks, ends = _compared(subject), _between(subject, _extent(subject))
    taken: Taken = [
        Disc(seen.at(*geometry.bracket), subject.coil_radius_mm / seen.ratio + svg.MEDIUM),
        balloon.around(seen.at(*geometry.wheel)),
    ]
    page = Box(box.left, box.top + ABOVE - 3, box.width, _foot(seen) - box.top - ABOVE + 3)
    lines, marks = [], []
    for id, check in checks.items():
        start, end = (seen.at(*point) for point in ends[id])
        failing = check.state == "fails"
        if window.shows(ends[id][0]):
            color, width = (svg.INK, svg.THICK) if failing else (svg.MEASURE, svg.MEDIUM)
            lines.append(view.within(start, end, width=width, color=color))
            middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
            marks.append(_marked(subject, check, middle, taken, page))
    places = _places(subject)
    marks += [
        _marked(subject, check, seen.at(*places[check.id]), taken, page)
        for check in subject.answer.checks
        if check.state != "ok" and check.id in places and window.shows(places[check.id])
    ]
    top = _foot(seen) + 1
    return (
        svg.circle(
            seen.at(*geometry.wheel),
            subject.job.slat.wheel_allowance_mm / seen.ratio,
            stroke=svg.MEASURE,
            stroke_width=svg.THIN,
            stroke_dasharray="0.8 0.8",
        ),
        *lines,
        *marks,
        *(
            _legend_of_check(subject, check, Box(box.left, top + balloon.ROW * row, box.width, balloon.ROW))
            for row, check in enumerate(checks.values())
        ),
    )


def _marked(subject: Subject, check: Check, target: Point, taken: Taken, page: Box) -> str:
    """A check's number beside its place."""
    centre = balloon.place(target, taken, page)
    return balloon.led(centre, target, str(subject.check_numbers[check.id]), state=check.state, check=check.id)


def _legend_of_check(subject: Subject, check: Check, box: Box) -> str:
    """A check's number, name, value, limit and state."""
    figures = compared(check, subject.language)
    bold, base = check.state == "fails", box.top + 3
    right = 0.5 * box.width + 17
    room = right - 7 - width_of(figures.value, size=LEGEND, bold=True)
    name = subject.check_labels[check.id]
    # a long name is set smaller before it is set narrower
    size = max(LEGEND_LEAST, LEGEND * min(1.0, room / width_of(name, size=LEGEND)))
    return svg.group(
        balloon.drawn((box.left + 2, box.top + 2), str(subject.check_numbers[check.id]), state=check.state),
        svg.text((box.left + 5, base), name, size=size, most=room),
        svg.text((box.left + right, base), figures.value, size=LEGEND, anchor="end", bold=True),
        svg.text((box.left + right + 2, base), figures.limit, size=LEGEND),
        svg.text((box.right, base), figures.state, size=LEGEND, anchor="end", bold=bold, most=0.17 * box.width),
    )


def _places(subject: Subject) -> dict[str, Point]:
    """Where in the frame a check that is not in order is marked; clearances have their own lines."""
    geometry, plate = subject.geometry, subject.answer.side_plate
    (x_w, z_w), (x_b, z_b) = geometry.wheel, geometry.bracket
    radius = geometry.wheel_radius_mm
    edge, top = plate.front_x_mm + plate.deep_mm, plate.base_z_mm + plate.high_mm
    places = {
        "plate_height": (edge - 0.2 * plate.deep_mm, top),
        "plate_depth": (edge, top - 0.2 * plate.high_mm),
        "wheel_above_header": (x_w, z_w - radius),
        "track_entry": geometry.track[3],
        "header_gap": (subject.job.opening.header_thickness_mm, 0.0),
        "path_over_wheel": (x_w, z_w + radius),
        "hinge_on_tube": (x_b, z_b + geometry.tube_radius_mm),
        "hinge_on_wheel": (x_w - radius, z_w),
    }
    if subject.job.opening.obstacles:
        first = subject.job.opening.obstacles[0]
        places |= dict.fromkeys(("curtain_obstacle", "plate_obstacle"), (first.x_mm, first.z_mm + first.high_mm))
    return places

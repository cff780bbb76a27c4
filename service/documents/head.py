"""The head of the section: once closed with the names of things, once open with the coil's clearances."""

from math import hypot
from typing import NamedTuple

from service.calculation.checks import Check
from service.documents import frame, svg, view
from service.documents.frame import Position
from service.documents.subject import Subject
from service.documents.svg import Point
from service.documents.view import Box, View, Window
from service.documents.wording import limit_of, value_of

ROW = 3.7
LABEL_ROWS = 4
BADGE = 1.9


class _Extent(NamedTuple):
    """What must be seen of the head [mm]."""

    window: Window
    roof: bool
    rear: bool


def _extent(subject: Subject) -> _Extent:
    """The head: plate, coil and mouth, with roof and rear where they are near."""
    geometry, plate, radius = subject.geometry, subject.answer.side_plate, subject.coil_radius_mm
    x_b, z_b = geometry.bracket
    right = max(plate.front_x_mm + plate.deep_mm, x_b + radius)
    top = max(plate.base_z_mm + plate.high_mm, z_b + radius)
    base = min(plate.base_z_mm, z_b - radius, subject.job.mount.mouth_z_mm - 0.2 * plate.high_mm)
    left = min(-0.12 * plate.deep_mm, min(x for x, _ in geometry.track) - 10)
    near = 0.55 * max(plate.deep_mm, plate.high_mm)
    roof, rear = geometry.roof_z_mm <= top + near, geometry.rear_x_mm <= right + near
    return _Extent(
        Window(
            left,
            max(right, geometry.rear_x_mm) if rear else right + near / 2,
            base,
            max(top, geometry.roof_z_mm) if roof else top + near / 2,
        ),
        roof,
        rear,
    )


def heads(subject: Subject, box: Box) -> tuple[str, ...]:
    """The head closed and open beside each other, at one scale."""
    half = box.width / 2
    return (
        _head(subject, "closed", Box(box.left, box.top, half - 2, box.height)),
        _head(subject, "open", Box(box.left + half, box.top, half - 2, box.height)),
    )


def _head(subject: Subject, position: Position, box: Box) -> str:
    """One view of the head with its labels."""
    extent = _extent(subject)
    window = extent.window
    area = Box(box.left + 5, box.top + 12, box.width - 13, box.height - 12 - 8)
    below = LABEL_ROWS * ROW + 2
    ratio = view.ratio_for(
        width=window.x_to - window.x_from,
        height=window.z_to - window.z_from,
        box=area._replace(height=area.height - below),
    )
    seen = View(window, area, ratio)
    right = seen.at(window.x_to, 0)[0] + view.HATCH_DEPTH
    base = seen.at(0, window.z_from)[1] + below
    clip = Box(area.left, area.top - view.HATCH_DEPTH - 0.5, right - area.left, base - area.top + view.HATCH_DEPTH)
    name = f"clip-head-{position}"
    labels = _names(subject, seen) if position == "closed" else _clearances(subject, seen, extent, right)
    return svg.group(
        svg.text((box.left, box.top + 4), f"Head, {position}", size=svg.HEADING, bold=True),
        svg.text((box.right - 3, box.top + 4), f"1 : {ratio:g}", size=svg.HEADING, anchor="end"),
        frame.clip_path(name, clip),
        svg.group(
            frame.solids(subject, seen, clip),
            frame.in_frame(subject, seen, position, holes=True),
            clip_path=f"url(#{name})",
        ),
        *labels,
        *(_badges(subject, seen) if position == "open" else ()),
        view.scale_bar((area.left + 2, box.bottom - 7), ratio=ratio, width=50),
    )


def _stacked(targets: list[tuple[Point, str, bool]], top: float) -> tuple[str, ...]:
    """Labels under the head with leaders straight up to their targets: the leftmost lowest, so that none cross."""
    written = []
    ordered = sorted(targets, key=lambda one: one[0][0], reverse=True)
    for row, ((x, y), label, failing) in enumerate(ordered):
        base = top + (row + 1) * ROW
        written += [
            svg.line((x, y), (x, base - 1), stroke=svg.MEASURE, stroke_width=svg.THIN),
            svg.circle((x, y), 0.35, fill=svg.MEASURE, stroke="none"),
            svg.label((x + 0.8, base), label, framed=failing, fill=svg.INK if failing else svg.MEASURE),
        ]
    return tuple(written)


def _names(subject: Subject, seen: View) -> tuple[str, ...]:
    """What is what."""
    geometry, answer = subject.geometry, subject.answer
    mouth_x, mouth_z = geometry.track[2]
    wheel_x, wheel_z = geometry.wheel
    plate = answer.side_plate
    top = seen.at(0, seen.window.z_from)[1]
    header = seen.at(0, min(geometry.roof_z_mm, seen.window.z_to) / 2)
    names = [
        (seen.at(mouth_x, mouth_z), "mouth of the track", False),
        (seen.at(wheel_x, wheel_z - 0.6 * geometry.wheel_radius_mm), f"wheel, hole {answer.wheel.hole}", False),
        (
            seen.at(geometry.bracket[0], geometry.bracket[1] - 0.8 * geometry.tube_radius_mm),
            f"tube {answer.curtain.tube}",
            False,
        ),
        (seen.at(plate.front_x_mm + plate.deep_mm, plate.base_z_mm), f"plate {plate.id}", False),
    ]
    roof_y = seen.at(0, geometry.roof_z_mm)[1]
    near = geometry.roof_z_mm <= seen.window.z_to
    return (
        *_stacked(names, top),
        svg.label((header[0] - 1.2, header[1]), "header", anchor="middle", turned=True),
        *((svg.text((seen.box.left + 1, roof_y - view.HATCH_DEPTH - 1), "roof"),) if near else ()),
    )


def _clearances(subject: Subject, seen: View, extent: _Extent, right: float) -> tuple[str, ...]:
    """The coil's clearances as dimension lines with value and limit."""
    geometry, radius = subject.geometry, subject.coil_radius_mm
    found = {one.id: one for one in subject.answer.checks}
    (x_b, z_b), (x_w, z_w) = geometry.bracket, geometry.wheel
    roof, rear, wheel, header = (
        found[id] for id in ("roof_clearance", "rear_clearance", "wheel_clearance", "header_clearance")
    )
    to_wheel = hypot(x_b - x_w, z_b - z_w)
    ux, uz = (x_b - x_w) / to_wheel, (z_b - z_w) / to_wheel
    allowance = subject.job.slat.wheel_allowance_mm
    near_wheel = (x_w + allowance * ux, z_w + allowance * uz)
    near_coil = (x_b - radius * ux, z_b - radius * uz)
    corner = (subject.job.opening.header_thickness_mm, max(0.0, z_b))
    to_header = hypot(x_b - corner[0], z_b - corner[1])
    from_header = tuple(corner[i] + (geometry.bracket[i] - corner[i]) / to_header * (to_header - radius) for i in (0, 1))
    roof_z = geometry.roof_z_mm if extent.roof else seen.window.z_to
    rear_x = geometry.rear_x_mm if extent.rear else seen.window.x_to
    top, base = seen.box.top - view.HATCH_DEPTH - 1.6, seen.at(0, seen.window.z_from)[1]
    lines = (
        (roof, (x_b, z_b + radius), (x_b, roof_z)),
        (rear, (x_b + radius, z_b), (rear_x, z_b)),
        (wheel, near_wheel, near_coil),
        (header, corner, (from_header[0], from_header[1])),
    )
    middle = {one.id: seen.at((start[0] + end[0]) / 2, (start[1] + end[1]) / 2) for one, start, end in lines}
    return (
        svg.circle(
            seen.at(x_w, z_w), allowance / seen.ratio, stroke=svg.MEASURE, stroke_width=svg.THIN, stroke_dasharray="0.8 0.8"
        ),
        *(
            view.dimension(
                seen.at(*start),
                seen.at(*end),
                width=svg.THICK if one.state == "fails" else svg.MEDIUM,
                color=svg.INK if one.state == "fails" else svg.MEASURE,
            )
            for one, start, end in lines
        ),
        _told_at((seen.at(x_b, 0)[0], top), "coil to roof", roof),
        _told_at((right + 3.4, seen.at(0, z_b)[1]), "coil to rear", rear, turned=True),
        *_stacked(
            [
                (middle[wheel.id], _told("coil to wheel", wheel), wheel.state == "fails"),
                (middle[header.id], _told("coil to header", header), header.state == "fails"),
            ],
            base,
        ),
    )


def _told_at(at: Point, name: str, check: Check, *, turned: bool = False) -> str:
    """A clearance's label at a place."""
    failing = check.state == "fails"
    ink = svg.INK if failing else svg.MEASURE
    return svg.label(at, _told(name, check), anchor="middle", turned=turned, framed=failing, fill=ink)


def _told(name: str, check: Check) -> str:
    state = "" if check.state == "ok" else f" {'FAILS' if check.state == 'fails' else 'tight'}"
    return f"{name} {value_of(check)} ({limit_of(check)}){state}"


def _badges(subject: Subject, seen: View) -> tuple[str, ...]:
    """A numbered mark at the place of every check that is not in order and has one."""
    geometry, plate = subject.geometry, subject.answer.side_plate
    (x_w, z_w), (x_b, z_b) = geometry.wheel, geometry.bracket
    radius = geometry.wheel_radius_mm
    edge, top = plate.front_x_mm + plate.deep_mm, plate.base_z_mm + plate.high_mm
    places = {
        "plate_height": (edge - 0.2 * plate.deep_mm, top),
        "plate_depth": (edge, top - 0.2 * plate.high_mm),
        "wheel_above_header": (x_w, z_w - radius),
        "track_entry": geometry.track[3],
        "roof_clearance": (x_b, z_b + subject.coil_radius_mm),
        "wheel_clearance": (x_w + radius, z_w),
        "rear_clearance": (x_b + subject.coil_radius_mm, z_b),
        "header_clearance": (subject.job.opening.header_thickness_mm, max(0.0, z_b)),
        "path_over_wheel": (x_w, z_w + radius),
        "hinge_on_tube": (x_b, z_b + geometry.tube_radius_mm),
        "hinge_on_wheel": (x_w - radius, z_w),
    }
    taken: list[Point] = []
    drawn = []
    for number, check in not_in_order(subject.answer.checks):
        if check.id not in places:
            continue
        x, y = seen.at(*places[check.id])
        x += -2 * BADGE if check.id == "rear_clearance" else 1.5 * BADGE
        while any(hypot(x - other[0], y - other[1]) < 2 * BADGE for other in taken):
            x += BADGE
        taken.append((x, y))
        drawn.append(badge((x, y), number, check))
    return tuple(drawn)


def not_in_order(checks: tuple[Check, ...]) -> list[tuple[int, Check]]:
    """The checks that are tight or fail, numbered from 1."""
    return list(enumerate((one for one in checks if one.state != "ok"), start=1))


def badge(centre: Point, number: int, check: Check) -> str:
    """Black where a check fails, a ring where it is tight."""
    failing = check.state == "fails"
    return svg.group(
        svg.circle(centre, BADGE, fill=svg.INK if failing else svg.PAPER, stroke_width=svg.MEDIUM),
        svg.text(
            (centre[0], centre[1] + 0.9),
            str(number),
            anchor="middle",
            bold=True,
            fill=svg.PAPER if failing else svg.INK,
        ),
        data_check=check.id,
    )

"""The head of the section: once closed with the names of things, once open with the coil's clearances."""

from collections.abc import Iterable, Iterator
from itertools import permutations, product
from math import cos, hypot, pi, sin
from typing import NamedTuple

from service.calculation.checks import Check
from service.documents import frame, svg, view
from service.documents.frame import Position
from service.documents.subject import Subject
from service.documents.svg import Box, Point
from service.documents.view import View, Window
from service.documents.wording import limit_of, value_of

ROW = 3.9
BELOW = 4 * ROW + 2
"""Paper for the labels below a head: as many rows as there are names."""

BADGE = 1.9
RINGS = (1.5, 3, 4.5, 6, 7.5, 9)
"""How far from what it marks a badge is tried, in its own radius."""

SIDES: tuple[svg.Anchor, svg.Anchor] = ("start", "end")


class _Label(NamedTuple):
    """A label on paper; framed where its check fails."""

    at: Point
    content: str
    anchor: svg.Anchor
    failing: bool

    @property
    def ground(self) -> Box:
        """The paper that it takes."""
        return svg.ground_of(self.at, self.content, anchor=self.anchor, bold=self.failing)

    @property
    def drawn(self) -> str:
        """The label itself."""
        ink = svg.INK if self.failing else svg.MEASURE
        return svg.label(self.at, self.content, anchor=self.anchor, framed=self.failing, fill=ink)


class _Pointer(NamedTuple):
    """What a label under the head says, and the point on paper that it is led to."""

    target: Point
    content: str
    failing: bool

    def label(self, side: svg.Anchor, base: float) -> _Label:
        """The label on one side of the leader that goes straight up to the target."""
        return _Label((self.target[0] + (0.8 if side == "start" else -0.8), base), self.content, side, self.failing)

    def leader(self, base: float) -> str:
        """The leader and the dot at its end."""
        x, y = self.target
        return svg.group(
            svg.line((x, y), (x, base - 1), stroke=svg.MEASURE, stroke_width=svg.THIN),
            svg.circle((x, y), 0.35, fill=svg.MEASURE, stroke="none"),
        )


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
    return (_head(subject, "closed", box.half(0)), _head(subject, "open", box.half(1)))


def foot_of(subject: Subject, box: Box) -> float:
    """Where the heads in a box end: their scale is a round one, so that some of the box is left over."""
    return _foot(_seen(subject, box.half(0))) + 1


def _seen(subject: Subject, box: Box) -> View:
    """How a head lies in its place, labels below it."""
    window = _extent(subject).window
    area = Box(box.left + 5, box.top + 13.5, box.width - 13, box.height - 13.5 - 1)
    ratio = view.ratio_for(
        width=window.x_to - window.x_from, height=window.z_to - window.z_from, box=area._replace(height=area.height - BELOW)
    )
    return View(window, area, ratio)


def _foot(seen: View) -> float:
    """Where the labels below a head end."""
    return seen.at(0, seen.window.z_from)[1] + BELOW


def _head(subject: Subject, position: Position, box: Box) -> str:
    """One view of the head with its labels."""
    seen = _seen(subject, box)
    area = seen.box
    right = seen.at(seen.window.x_to, 0)[0] + view.HATCH_DEPTH
    clip = Box(area.left, area.top - view.HATCH_DEPTH - 0.5, right - area.left, _foot(seen) - area.top + view.HATCH_DEPTH)
    name = f"clip-head-{position}"
    return svg.group(
        svg.text((box.left, box.top + 4), f"Head, {position}", size=svg.HEADING, bold=True),
        view.scale_bar((box.left + 28, box.top + 1.4), ratio=seen.ratio, width=34),
        svg.text((box.right - 3, box.top + 4), f"1 : {seen.ratio:g}", size=svg.HEADING, anchor="end"),
        frame.clip_path(name, clip),
        svg.group(
            frame.solids(subject, seen, clip),
            frame.in_frame(subject, seen, position, holes=True),
            clip_path=f"url(#{name})",
        ),
        *(_names(subject, seen, box) if position == "closed" else _clearances(subject, seen, box)),
    )


def _stacked(pointers: Iterable[_Pointer], top: float, box: Box) -> list[tuple[_Pointer, _Label]]:
    """Labels under the head, one a row: the first arrangement in which none leaves the box or lies on a leader.

    It begins with the one that looks best: each right of its leader, the leftmost lowest.
    """
    ordered = sorted(pointers, key=lambda one: one.target[0], reverse=True)
    bases = [top + row * ROW for row in range(1, len(ordered) + 1)]

    def arrangements() -> Iterator[list[tuple[_Pointer, _Label]]]:
        for order, sides in product(permutations(ordered), product(SIDES, repeat=len(ordered))):
            yield [(one, one.label(side, base)) for one, side, base in zip(order, sides, bases, strict=True)]

    faultless = next((one for one in arrangements() if _faults(one, box) == 0), None)
    return faultless or min(arrangements(), key=lambda one: _faults(one, box))


def _faults(arrangement: list[tuple[_Pointer, _Label]], box: Box) -> int:
    """How many labels leave the box, which is worst, or lie on a leader of a label further down."""
    faults = 0
    for row, (_, label) in enumerate(arrangement):
        ground = label.ground
        if ground.left < box.left or ground.right > box.right:
            faults += len(arrangement) ** 2
        faults += sum(ground.left + 0.1 < lower.target[0] < ground.right - 0.1 for lower, _ in arrangement[row + 1 :])
    return faults


def _with_leaders(stacked: list[tuple[_Pointer, _Label]]) -> tuple[str, ...]:
    """The labels over their leaders."""
    return (*(one.leader(label.at[1]) for one, label in stacked), *(label.drawn for _, label in stacked))


def _names(subject: Subject, seen: View, box: Box) -> tuple[str, ...]:
    """What is what."""
    geometry, answer = subject.geometry, subject.answer
    mouth_x, mouth_z = geometry.track[2]
    wheel_x, wheel_z = geometry.wheel
    plate = answer.side_plate
    top = seen.at(0, seen.window.z_from)[1]
    header = seen.at(0, min(geometry.roof_z_mm, seen.window.z_to) / 2)
    tube = (geometry.bracket[0], geometry.bracket[1] - 0.8 * geometry.tube_radius_mm)
    names = (
        _Pointer(seen.at(mouth_x, mouth_z), "mouth of the track", failing=False),
        _Pointer(
            seen.at(wheel_x, wheel_z - 0.6 * geometry.wheel_radius_mm), f"wheel, hole {answer.wheel.hole}", failing=False
        ),
        _Pointer(seen.at(*tube), f"tube {answer.curtain.tube}", failing=False),
        _Pointer(seen.at(plate.front_x_mm + plate.deep_mm, plate.base_z_mm), f"plate {plate.id}", failing=False),
    )
    roof_y = seen.at(0, geometry.roof_z_mm)[1]
    near = geometry.roof_z_mm <= seen.window.z_to
    there = subject.job.opening.header_thickness_mm > 0
    return (
        *_with_leaders(_stacked(names, top, box)),
        *((svg.label((header[0] - 1.2, header[1]), "header", anchor="middle", turned=True),) if there else ()),
        *((svg.text((seen.box.left + 1, roof_y - view.HATCH_DEPTH - 1), "roof"),) if near else ()),
    )


def _clearances(subject: Subject, seen: View, box: Box) -> tuple[str, ...]:
    """The coil's clearances as dimension lines with value and limit, and the numbers of what is not in order."""
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
    extent = _extent(subject)
    roof_z = geometry.roof_z_mm if extent.roof else seen.window.z_to
    rear_x = geometry.rear_x_mm if extent.rear else seen.window.x_to
    lines = (
        (roof, (x_b, z_b + radius), (x_b, roof_z)),
        (rear, (x_b + radius, z_b), (rear_x, z_b)),
        (wheel, near_wheel, near_coil),
        (header, corner, (from_header[0], from_header[1])),
    )
    middle = {one.id: seen.at((start[0] + end[0]) / 2, (start[1] + end[1]) / 2) for one, start, end in lines}
    over = _over(seen, x_b, _told("coil to roof", roof), box, failing=roof.state == "fails")
    stacked = _stacked(
        [
            _Pointer(middle[one.id], _told(name, one), one.state == "fails")
            for name, one in (("coil to rear", rear), ("coil to wheel", wheel), ("coil to header", header))
        ],
        seen.at(0, seen.window.z_from)[1],
        box,
    )
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
        over.drawn,
        *_with_leaders(stacked),
        *_badges(subject, seen, [over.ground, *(label.ground for _, label in stacked)]),
    )


def _over(seen: View, x_mm: float, content: str, box: Box, *, failing: bool) -> _Label:
    """A label over the head, in the middle over a place as far as the box lets it."""
    y = seen.box.top - view.HATCH_DEPTH - 1.6
    half = svg.ground_of((0, 0), content, bold=failing).width / 2
    x = min(max(seen.at(x_mm, 0)[0], box.left + half), box.right - half)
    return _Label((x, y), content, "middle", failing)


def _told(name: str, check: Check) -> str:
    state = "" if check.state == "ok" else f" {'FAILS' if check.state == 'fails' else 'tight'}"
    return f"{name} {value_of(check)} ({limit_of(check)}){state}"


def _badges(subject: Subject, seen: View, taken: list[Box]) -> tuple[str, ...]:
    """A numbered mark at the place of every check that is not in order and has one, where the paper is free."""
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
    taken = [*taken, _around(seen.at(x_w, z_w)), _around(seen.at(x_b, z_b))]
    drawn = []
    for number, check in not_in_order(subject.answer.checks):
        if check.id not in places:
            continue
        centre = _free_place(seen.at(*places[check.id]), taken)
        taken.append(_around(centre))
        drawn.append(badge(centre, number, check))
    return tuple(drawn)


def _around(centre: Point) -> Box:
    """The paper that a badge or a target takes."""
    reach = BADGE + svg.MEDIUM
    return Box(centre[0] - reach, centre[1] - reach, 2 * reach, 2 * reach)


def _free_place(wanted: Point, taken: list[Box]) -> Point:
    """Where a badge's paper is free, as near to the wanted place as a look around it finds."""
    x, y = wanted
    around = (
        (x + ring * BADGE * cos(step * pi / 4), y - ring * BADGE * sin(step * pi / 4)) for ring in RINGS for step in range(8)
    )
    return next((place for place in around if not any(_around(place).meets(other) for other in taken)), wanted)


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

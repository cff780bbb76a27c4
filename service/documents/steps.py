"""A small picture beside each step of the work that one helps with."""

from collections.abc import Callable
from math import cos, pi, radians, sin, tan
from typing import Final

from service.documents import detail, frame, plan, svg, view
from service.documents.frame import Position
from service.documents.subject import Hole, Subject
from service.documents.svg import Box, Point
from service.documents.view import View, Window
from service.words.languages import marked

WIDTH = 50.0


def pictures_of(subject: Subject, key: str) -> list[str]:
    """The pictures of a step, by its key; none where the words do."""
    return [make(subject) for make in PICTURES.get(key, ())]


def _picture(subject: Subject, height: float, *content: str, name: str) -> str:
    """A picture for a step; the step's own words describe it."""
    title = next((one.title for one in subject.words.work if one.key == name), name)
    return svg.document(*content, width=WIDTH, height=height, title=title, description=title, name=name)


def _place(subject: Subject) -> str:
    """The plates' height against the header's base."""
    box = Box(0, 0, WIDTH, 46)
    return _picture(
        subject,
        box.height,
        svg.element("defs", view.hatch_pattern(frame.HATCH), frame.curtain(subject, "closed")),
        detail.at_header(subject, box, titled=False),
        name="offer_up",
    )


def _hole(subject: Subject, hole: Hole, name: str) -> str:
    """A plate with one hole to find."""
    plate, box = subject.plate, Box(11, 2, WIDTH - 13, 26)
    ratio = view.ratio_for(width=plate.deep_mm, height=plate.high_mm, box=box)
    base, front = box.top + plate.high_mm / ratio, box.left
    x, y = front + hole.from_front_mm / ratio, base - hole.from_base_mm / ratio
    return _picture(
        subject,
        base + 9,
        svg.rectangle((front, box.top), plate.deep_mm / ratio, plate.high_mm / ratio, fill=frame.PLATE),
        svg.line((x - 3, y), (x + 3, y)),
        svg.line((x, y - 3), (x, y + 3)),
        svg.circle((x, y), 1.5, fill=svg.PAPER, stroke_width=svg.THICK),
        view.level(base + 5, front, x, subject.mm(hole.from_front_mm), edge=base),
        view.upright(front - 5, y, base, subject.mm(hole.from_base_mm), edge=front, beyond=True),
        name=name,
    )


def _bracket(subject: Subject) -> str:
    return _hole(subject, subject.bracket_hole, "bracket")


def _wheel(subject: Subject) -> str:
    return _hole(subject, subject.wheel_hole, "wheel")


def _windowed(subject: Subject, seen: View, position: Position, height: float, *over: str, name: str) -> str:
    """A part of the section in one position, with what is drawn over it."""
    right, base = seen.at(seen.window.x_to, seen.window.z_from)
    clip = Box(seen.box.left, seen.box.top, right - seen.box.left, base - seen.box.top)
    return _picture(
        subject,
        height,
        svg.element("defs", view.hatch_pattern(frame.HATCH), frame.curtain(subject, position)),
        frame.clip_path(f"clip-{name}", clip),
        svg.group(
            frame.solids(subject, seen, clip),
            frame.in_frame(subject, seen, position, head=False, name=name),
            clip_path=f"url(#clip-{name})",
        ),
        *over,
        name=name,
    )


def _arrow(tip: Point, along: Point) -> str:
    """A bold arrow's head."""
    x, y = along
    back = (tip[0] - 2.6 * x, tip[1] - 2.6 * y)
    return svg.polygon((tip, (back[0] - 1.3 * y, back[1] + 1.3 * x), (back[0] + 1.3 * y, back[1] - 1.3 * x)), fill=svg.INK)


def _fed(subject: Subject) -> str:
    """The curtain from below up against the wheel, over it, and hanging inwards in a lap."""
    geometry, job = subject.geometry, subject.job
    (x_w, z_w), thickness = geometry.wheel, geometry.slat_thickness_mm
    around = geometry.wheel_radius_mm + thickness / 2
    plane, bar = x_w - around, job.hardware.bar
    lip = -frame.LIP_THICK_MM
    base = lip - bar.lip_above_underside_mm
    window = Window(plane - bar.lip_deep_mm - 30, x_w + around + 60, base - 30, z_w + around + 26)
    area = Box(1, 1, WIDTH - 2, 46)
    ratio = view.ratio_for(width=window.x_to - window.x_from, height=window.z_to - window.z_from, box=area)
    seen = View(window, area, ratio)
    steps = [pi - index * pi / 12 for index in range(13)]
    way = [
        (plane, base),
        *((x_w + around * cos(turn), z_w + around * sin(turn)) for turn in steps),
        (x_w + around, base - 10),
    ]
    foot = seen.at(0, window.z_from)[1]
    header = seen.at(max(0.0, window.x_from), 0), seen.at(job.opening.header_thickness_mm, window.z_to)
    end = seen.at(*way[-1])
    return _picture(
        subject,
        foot + 5,
        svg.element("defs", view.hatch_pattern(frame.HATCH)),
        svg.rectangle(
            (header[0][0], header[1][1]),
            header[1][0] - header[0][0],
            header[0][1] - header[1][1],
            fill=f"url(#{frame.HATCH})",
            stroke_width=svg.THICK,
        ),
        svg.circle(seen.at(x_w, z_w), geometry.wheel_radius_mm / ratio, fill=svg.PAPER),
        svg.element(
            "polyline", points=svg.points_of(seen.at(*one) for one in way), stroke_width=thickness / ratio, stroke=svg.GREY
        ),
        svg.polygon(
            [
                seen.at(*one)
                for one in (
                    (plane - thickness / 2 - bar.lip_deep_mm, lip),
                    (plane, lip),
                    (plane, 0),
                    (plane - thickness / 2 - bar.lip_deep_mm, 0),
                )
            ],
            fill=frame.METAL,
        ),
        _arrow((end[0], end[1] + 2.5), (0, 1)),
        _arrow(seen.at(plane, z_w - 2), (0, -1)),
        *_sides(subject, foot + 3.5),
        name="curtain",
    )


def _sides(subject: Subject, y: float) -> tuple[str, str]:
    """Which side is which."""
    return (
        svg.text((1, y), subject.say(marked("← outside")), size=svg.TEXT, bold=True),
        svg.text((WIDTH - 1, y), subject.say(marked("inside →")), size=svg.TEXT, bold=True, anchor="end"),
    )


def _turned(subject: Subject, *inside: str, name: str) -> str:
    """A tube from its end with the way that its top goes when the shutter is lifted."""
    centre, radius = (16.0, 17.0), 9.0
    arc = [
        (centre[0] + 12.5 * cos(turn), centre[1] - 12.5 * sin(turn))
        for turn in (radians(140 - 10 * step) for step in range(11))
    ]
    tip = arc[-1]
    return _picture(
        subject,
        33,
        svg.circle(centre, radius, fill=frame.PLATE, stroke_width=svg.THICK),
        svg.circle(centre, 2.2, fill=svg.PAPER, stroke_width=svg.MEDIUM),
        svg.element("polyline", points=svg.points_of(arc), stroke_width=0.8),
        _arrow((tip[0] + 0.8, tip[1] + 1.2), (sin(radians(40)), cos(radians(40)))),
        *inside,
        *_sides(subject, 31.5),
        name=name,
    )


def _hand(subject: Subject) -> str:
    """Which way the tube turns when the shutter is lifted; the strap leads over its top to the wheels."""
    said = subject.say(marked("lifting"))
    return _turned(
        subject,
        svg.line((1, 11.5), (14, 8.2), stroke=svg.GREY, stroke_width=1.2),
        svg.text((30, 10), said, size=3, most=19),
        name="strap_on",
    )


def _wound(subject: Subject) -> str:
    """How many half turns are wound."""
    if not subject.spring_made:
        return _turned(subject, name="pretension")
    turns = subject.language.numbers.whole(2 * subject.answer.balance.pretension_turns)
    return _turned(
        subject,
        svg.text((30, 20), f"{turns} × ½", size=5.6, bold=True, most=19),
        name="pretension",
    )


def _laid(subject: Subject) -> str:
    """The curtain on the tube, the bottom bar at its open place."""
    geometry, radius = subject.geometry, subject.coil_radius_mm
    (x_b, z_b), bar = geometry.bracket, geometry.open.bar
    window = Window(
        bar[0][0] - subject.job.hardware.bar.lip_deep_mm - 20,
        x_b + radius + 12,
        min(bar[0][1] - 40, z_b - radius - 8),
        z_b + radius + 12,
    )
    area = Box(1, 1, WIDTH - 2, 44)
    ratio = view.ratio_for(width=window.x_to - window.x_from, height=window.z_to - window.z_from, box=area)
    seen = View(window, area, ratio)
    foot = seen.at(0, window.z_from)[1]
    return _windowed(subject, seen, "open", foot + 5, *_sides(subject, foot + 3.5), name="lay_on")


def _slid(subject: Subject) -> str:
    """A track on its way up at a slant, and where it stands in the end."""
    geometry, lapping = subject.geometry, subject.job.mount.id == "face"
    front, back = geometry.track[0][0], geometry.track[1][0]
    length, mouth = subject.answer.tracks.length_mm, subject.job.mount.mouth_z_mm
    lean = length * (0.28 if lapping else -0.28)
    window = Window(min(0.0, front + lean) - 40, max(back, back + lean) + 60, geometry.sill_z_mm - 30, mouth + 0.22 * length)
    area = Box(8, 1, WIDTH - 9, 44)
    ratio = view.ratio_for(width=window.x_to - window.x_from, height=window.z_to - window.z_from, box=area)
    seen = View(window, area, ratio)
    lower, upper = geometry.track[0][1] + 0.04 * length, mouth - 0.04 * length
    leaning = ((front + lean, lower), (back + lean, lower), (back, upper), (front, upper))
    sill = seen.at(window.x_from, geometry.sill_z_mm), seen.at(window.x_to, geometry.sill_z_mm)
    header = seen.at(0, window.z_to), seen.at(subject.job.opening.header_thickness_mm, 0)
    bar = geometry.open.bar
    foot = seen.at(front + lean, lower)
    reach = 6.0 if lean < 0 else -6.0
    return _picture(
        subject,
        sill[0][1] + 7,
        svg.element("defs", view.hatch_pattern(frame.HATCH)),
        svg.line(*sill, stroke_width=svg.THICK),
        svg.rectangle(
            header[0],
            header[1][0] - header[0][0],
            header[1][1] - header[0][1],
            fill=f"url(#{frame.HATCH})",
            stroke_width=svg.THICK,
        ),
        svg.polygon([seen.at(*one) for one in geometry.track], stroke_dasharray="1.2 0.8"),
        svg.polygon([seen.at(*one) for one in leaning], fill=frame.METAL),
        svg.polygon(
            [
                seen.at(*one)
                for one in (
                    (bar[0][0], bar[0][1]),
                    (bar[1][0], bar[1][1]),
                    (bar[2][0], window.z_to),
                    (bar[3][0], window.z_to),
                )
            ],
            fill=svg.GREY,
        ),
        svg.line((foot[0], foot[1] - 2), (foot[0] + reach, foot[1] - 2), stroke_width=0.8),
        _arrow((foot[0] + reach + (1.6 if reach > 0 else -1.6), foot[1] - 2), (1.0 if reach > 0 else -1.0, 0)),
        *_sides(subject, sill[0][1] + 4.5),
        name="tracks",
    )


def _cut_through(subject: Subject) -> str:
    """The track's end in plan."""
    return plan.track_end_svg(subject, WIDTH, 46)


def _struck(subject: Subject) -> str:
    """The closed bottom bar with its pressed seal, and the height of the bolts over the sill."""
    geometry, answer, bar = subject.geometry, subject.answer, subject.job.hardware.bar
    left, right = geometry.closed.bar[0][0], geometry.closed.bar[1][0]
    sill = geometry.sill_z_mm
    window = Window(left - bar.lip_deep_mm - 12, right + 24, sill - 8, geometry.closed.bar[2][1] + 22)
    area = Box(1, 1, WIDTH - 20, 40)
    ratio = view.ratio_for(width=window.x_to - window.x_from, height=window.z_to - window.z_from, box=area)
    seen = View(window, area, ratio)
    axis = sill + answer.striker.height_above_sill_mm
    bolt, edge = seen.at(right, axis), seen.at(window.x_to, sill)[0]
    foot, lower = seen.at(0, window.z_from)[1], seen.at(0, geometry.closed.bar[0][1])[1]
    return _windowed(
        subject,
        seen,
        "closed",
        foot + 5,
        svg.rectangle((bolt[0], bolt[1] - 1.2), 3, 2.4, fill=svg.INK),
        svg.line((bolt[0] - 3, bolt[1]), (edge, bolt[1]), stroke=svg.MEASURE, stroke_width=svg.THIN),
        view.upright(edge + 11, bolt[1], seen.at(0, sill)[1], subject.mm(answer.striker.height_above_sill_mm), edge=edge),
        view.upright(
            edge + 5, lower, seen.at(0, sill)[1], subject.mm(answer.seals.bottom_compressed_mm), edge=edge, beyond=True
        ),
        *_sides(subject, foot + 3.5),
        name="strikers",
    )


def _cut_at_angle(subject: Subject) -> str:
    """The top seal with both ends cut, its middle left out; the angle lies between the cut and the seal's length."""
    seals = subject.answer.seals
    left, right, top, deep = 3.0, WIDTH - 3, 8.0, 11.0
    angle = radians(seals.top_end_angle_deg)
    inset = deep / tan(angle)
    base = top + deep
    arc = [(left + 6 * cos(turn), base - 6 * sin(turn)) for turn in (angle * step / 8 for step in range(9))]
    middle = (left + right) / 2
    return _picture(
        subject,
        base + 11,
        svg.polygon(((left, base), (right, base), (right - inset, top), (left + inset, top)), fill="#d9d9d9"),
        svg.polygon(
            ((middle - 2, base + 1), (middle + 1, base + 1), (middle + 2, top - 1), (middle - 1, top - 1)),
            fill=svg.PAPER,
            stroke="none",
        ),
        svg.element("polyline", points=svg.points_of(arc), stroke=svg.MEASURE),
        svg.text((left + 7, base - 1.8), f"{subject.mm(seals.top_end_angle_deg)}°", size=3, bold=True),
        view.level(top - 3, left + inset, right - inset, subject.mm(seals.top_short_edge_mm), edge=top),
        view.level(base + 6, left, right, subject.mm(seals.top_cut_length_mm), edge=base),
        name="top_seal",
    )


def _around(subject: Subject) -> str:
    """The perimeter seal along jambs and header."""
    opening = subject.answer.opening
    ratio = max(opening.header_width_mm / 30, opening.jamb_height_mm / 26)
    width, height = opening.header_width_mm / ratio, opening.jamb_height_mm / ratio
    left, top = (WIDTH - width) / 2, 6.0
    return _picture(
        subject,
        top + height + 3,
        svg.rectangle((left, top), width, height, stroke_width=svg.THIN),
        svg.element(
            "polyline",
            points=svg.points_of(((left, top + height), (left, top), (left + width, top), (left + width, top + height))),
            stroke_width=1.4,
        ),
        svg.text((WIDTH / 2, top - 1.8), subject.mm(opening.header_width_mm), anchor="middle"),
        svg.text((left - 2, top + height / 2), subject.mm(opening.jamb_height_mm), anchor="middle", turned=True),
        name="perimeter_seal",
    )


PICTURES: Final[dict[str, tuple[Callable[[Subject], str], ...]]] = {
    "perimeter_seal": (_around,),
    "offer_up": (_place,),
    "bracket": (_bracket,),
    "wheel": (_wheel,),
    "top_seal": (_cut_at_angle,),
    "curtain": (_fed,),
    "strap_on": (_hand,),
    "lay_on": (_laid,),
    "pretension": (_wound,),
    "tracks": (_slid, _cut_through),
    "strikers": (_struck,),
    "drip_rail": (_cut_at_angle,),
}
"""What is drawn beside a step, by its key."""

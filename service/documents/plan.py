"""The plan cut at both ends of the opening: through the tracks at half the height, and through the tube over the header."""

from typing import NamedTuple

from service.documents import balloon, svg, view
from service.documents.balloon import Taken
from service.documents.frame import CURTAIN, METAL, PLATE
from service.documents.plate import HANDS, Hand
from service.documents.subject import Subject
from service.documents.svg import Box, Point
from service.documents.title_block import HEIGHT as TITLE_HEIGHT
from service.documents.title_block import stopped, title_block
from service.documents.wording import lines_at_most
from service.words.languages import marked

WIDTH, HEIGHT = 190.0, 277.0
TUBES = Box(0, 0, WIDTH, 98)
TRACKS = Box(0, 98, WIDTH, 102)
FIGURES = Box(0, 202, WIDTH, 44)
TITLE_BLOCK = Box(0, HEIGHT - TITLE_HEIGHT, WIDTH, TITLE_HEIGHT)
HATCH = "plan-hatch"
PACKING = "#e9c46a"
"""What packers and packing are filled with."""

TITLE = marked("Plan cut")
NOTE = marked("Lengths in mm. Seen from above, outside of the vehicle below. The middle of the opening is left out.")
TUBE_TITLES: dict[Hand, str] = {"left": marked("Through the tube, left"), "right": marked("Through the tube, right")}
TRACK_TITLES: dict[Hand, str] = {
    "left": marked("At half the height, left"),
    "right": marked("At half the height, right"),
}
SURROUND_MM = 12.0
"""How much of jamb and wall is drawn."""


class End(NamedTuple):
    """One end of the opening on paper: across from the track's outer edge to the middle, inwards up the page."""

    hand: Hand
    area: Box
    ratio: float
    across_from: float
    inwards_from: float

    def at(self, across: float, inwards: float) -> Point:
        """A point on paper [mm]."""
        along = (across - self.across_from) / self.ratio
        x = self.area.left + along if self.hand == "left" else self.area.right - along
        return x, self.area.bottom - (inwards - self.inwards_from) / self.ratio

    @property
    def across_to(self) -> float:
        """Where the drawing breaks off towards the middle [mm]."""
        return self.across_from + self.area.width * self.ratio

    def rectangle(self, across: tuple[float, float], inwards: tuple[float, float], **attributes: str | float) -> str:
        """A rectangle of the plan."""
        (x1, y1), (x2, y2) = self.at(across[0], inwards[0]), self.at(across[1], inwards[1])
        return svg.rectangle((min(x1, x2), min(y1, y2)), abs(x2 - x1), abs(y2 - y1), **attributes)


class Named(NamedTuple):
    """What a letter stands for, and where it points."""

    across: float
    inwards: float
    name: str


class Lettered(NamedTuple):
    """A drawing with its legend, and where the legend ends on paper [mm]."""

    drawn: str
    foot: float


def plan_svg(subject: Subject, *, title: bool = True) -> str:
    """The plan cut on one A4 page; without title the pictures alone."""
    pictures = [
        *(_end_at_tube(subject, hand, TUBES.part(index, 2, gap=4)) for index, hand in enumerate(HANDS)),
        *(_end_at_track(subject, hand, TRACKS.part(index, 2, gap=4)).drawn for index, hand in enumerate(HANDS)),
        _figures(subject, FIGURES),
    ]
    block = (
        title_block(subject, TITLE_BLOCK, drawing=subject.say(TITLE), note=subject.say(NOTE))
        if title
        else stopped(subject, (WIDTH - 1, FIGURES.bottom - 1))
    )
    return svg.document(
        svg.element("defs", view.hatch_pattern(HATCH)),
        *pictures,
        block,
        width=WIDTH,
        height=HEIGHT if title else FIGURES.bottom,
        title=f"{subject.say(TITLE)}, {subject.title.reference}",
        description=". ".join(f"{name}: {value}" for name, value in _lengths(subject)),
        name="plan",
    )


def track_end_svg(subject: Subject, width: float, height: float) -> str:
    """The left track with its slat alone, so high over its legend, for a step of the sheet."""
    seen = _end_at_track(subject, "left", Box(0, 0, width, height), small=True)
    return svg.document(
        svg.element("defs", view.hatch_pattern(HATCH)),
        seen.drawn,
        width=width,
        height=seen.foot,
        title=subject.say(TITLE),
        description=subject.say(TRACK_TITLES["left"]),
        name="track",
    )


def _gap(subject: Subject, hand: Hand) -> float:
    """From the track's outer edge to the compartment's wall [mm]."""
    opening = subject.job.opening
    return opening.wall_gap_left_mm if hand == "left" else opening.wall_gap_right_mm


def _packing(subject: Subject, hand: Hand) -> float:
    """What packs a track at half the height [mm]; 0 where nothing does."""
    middle = subject.answer.opening.height_mm / 2
    return sum(
        one.thickness_mm for one in subject.answer.opening.packing if one.side == hand and abs(one.at_mm - middle) < 1
    )


def _hatched(end: End, across: tuple[float, float], inwards: tuple[float, float]) -> str:
    """Something solid of the vehicle."""
    return end.rectangle(across, inwards, fill=svg.PAPER, stroke="none") + end.rectangle(
        across, inwards, fill=f"url(#{HATCH})", stroke_width=svg.THICK
    )


def _heading(subject: Subject, box: Box, text: str, ratio: float) -> str:
    """What is cut, and its scale."""
    return svg.text((box.left, box.top + 4), subject.say(text), size=svg.HEADING, bold=True, most=box.width - 16) + svg.text(
        (box.right, box.top + 4), f"1 : {ratio:g}", size=svg.HEADING, anchor="end"
    )


def _break(end: End, inwards: tuple[float, float]) -> str:
    """Where the drawing breaks off."""
    (x, y1), (_, y2) = end.at(end.across_to, inwards[0]), end.at(end.across_to, inwards[1])
    return svg.line((x, y1), (x, y2), stroke=svg.GREY, stroke_width=svg.THIN, stroke_dasharray="3 1 0.5 1")


def _end_at_tube(subject: Subject, hand: Hand, box: Box) -> str:
    """Header, plate with its packer, bracket, wheel and tube."""
    job, answer, geometry = subject.job, subject.answer, subject.geometry
    fixing, plate, gap = job.hardware.plate, answer.side_plate, _gap(subject, hand)
    (x_w, _), (x_b, _) = geometry.wheel, geometry.bracket
    back = max(plate.front_x_mm + plate.deep_mm, x_b + subject.coil_radius_mm) + 12
    area = Box(box.left + (4 if hand == "left" else 14), box.top + 8, box.width - 18, box.height - 8 - 28)
    ratio = max(
        view.ratio_for(width=gap + 2 * SURROUND_MM + 90, height=back + 6, box=area),
        2.5,
    )
    end = End(hand, area, ratio, -gap - SURROUND_MM - 4, -6)
    inset, bracket = fixing.inset_mm, fixing.inset_mm + fixing.bracket_thickness_mm
    inner = inset - fixing.thickness_mm
    slat_end = (answer.tracks.outer_width_mm - answer.curtain.slat_length_mm) / 2
    front, rear = plate.front_x_mm, plate.front_x_mm + plate.deep_mm
    far, radius = end.across_to, subject.coil_radius_mm
    held = geometry.tube_radius_mm - 2
    track = geometry.track
    names = [
        Named((inner + inset) / 2, rear - 12, subject.say(marked("side plate {id}"), id=plate.id)),
        Named(bracket, x_b - held + 4, subject.say(marked("bracket"))),
        Named(bracket - 2, x_w - 6, subject.say(marked("wheel"))),
        Named(
            bracket + 40,
            x_b,
            subject.say(
                marked("tube {id}, {mm} long"), id=answer.curtain.tube, mm=subject.mm(answer.curtain.tube_length_mm)
            ),
        ),
        Named(bracket + 30, x_b + radius, subject.say(marked("coil, all slats wound"))),
    ]
    drawn = [
        _hatched(end, (end.across_from, far), (0, job.opening.header_thickness_mm)),
        _hatched(end, (-gap - SURROUND_MM, -gap), (job.opening.header_thickness_mm, back)),
    ]
    if gap > 0:
        drawn.append(end.rectangle((-gap, inner), (front, rear), fill=PACKING, stroke_width=svg.MEDIUM))
        thickness = next(
            one.thickness_mm for one in answer.parts if one.key == f"packer_{hand}" and one.thickness_mm is not None
        )
        names.append(Named(-gap / 2, front + 20, subject.say(marked("packer, {mm} thick"), mm=subject.mm(thickness))))
    drawn += [
        end.rectangle(
            (0, job.hardware.track.wall_mm), (track[0][0], track[1][0]), stroke_width=svg.THIN, stroke_dasharray="1 0.8"
        ),
        end.rectangle((inner, inset), (front, rear), fill=PLATE, stroke_width=svg.MEDIUM, data_part="plate"),
        end.rectangle(
            (bracket, far), (x_b - geometry.tube_radius_mm, x_b + geometry.tube_radius_mm), fill=svg.PAPER, data_part="tube"
        ),
        end.rectangle((inset, bracket), (x_b - held, x_b + held), fill=METAL, data_part="bracket"),
        end.rectangle(
            (inset, bracket),
            (x_w - geometry.wheel_radius_mm, x_w + geometry.wheel_radius_mm),
            fill=svg.PAPER,
            data_part="wheel",
        ),
        end.rectangle(
            (slat_end, far),
            (x_b - radius, x_b + radius),
            stroke=svg.MEASURE,
            stroke_width=svg.THIN,
            stroke_dasharray="2 0.6 0.4 0.6",
        ),
        *(
            svg.line(end.at(-2 * inset, x), end.at(bracket + 14, x), stroke_width=svg.THIN, stroke_dasharray="3 0.8 0.6 0.8")
            for x in (x_w, x_b)
        ),
        _break(end, (-6, back)),
    ]
    edge = end.at(far, 0)[0]
    outwards = 1 if hand == "left" else -1
    upright = [
        view.upright(
            edge + outwards * (3 + 5 * tier), end.at(0, front)[1], end.at(0, x)[1], subject.mm(x - front), edge=edge
        )
        for tier, x in enumerate((x_w, x_b))
    ]
    return svg.group(_heading(subject, box, TUBE_TITLES[hand], ratio), *drawn, *upright, _lettered(end, names, box).drawn)


def _end_at_track(subject: Subject, hand: Hand, box: Box, *, small: bool = False) -> Lettered:
    """Jamb, packing, track with web, slot and lips, and the slat's end in it; a small one's legend stands below the box."""
    job, answer, geometry = subject.job, subject.answer, subject.geometry
    track, lapping = job.hardware.track, job.mount.id == "face"
    front, back = geometry.track[0][0], geometry.track[1][0]
    bar = geometry.closed.bar
    slat = (bar[0][0], bar[1][0])
    plane = (slat[0] + slat[1]) / 2
    slot = (plane - job.slat.slot_width_mm / 2, plane + job.slat.slot_width_mm / 2)
    packing, gap = _packing(subject, hand), _gap(subject, hand)
    jamb = job.mount.track_beyond_mm if lapping else -packing
    reach = job.opening.header_thickness_mm if lapping else back + 6
    below = 0 if small else 24
    area = Box(box.left + 2, box.top + 14, box.width - 4, box.height - 14 - below)
    # a deep jamb is cut off outside of the track
    outside = max(-2.0, front - (14 if small else 50))
    ratio = view.ratio_for(width=gap + SURROUND_MM + (24 if small else 46), height=back + 14 - outside, box=area)
    end = End(hand, area, ratio, -gap - SURROUND_MM - 2, outside)
    slat_end = (answer.tracks.outer_width_mm - answer.curtain.slat_length_mm) / 2
    wall, web, far = track.wall_mm, track.web_mm, end.across_to
    outline = [
        (0, front), (wall, front), (wall, slot[0]), (web, slot[0]), (web, slot[1]), (wall, slot[1]), (wall, back), (0, back),
    ]  # fmt: skip
    names = [
        Named(jamb - 4, max(0.4 * reach, outside + 5), subject.say(marked("jamb"))),
        Named(
            web / 2,
            back - 2,
            subject.say(
                marked("track: web {web}, slot {slot} deep"), web=subject.mm(web), slot=subject.mm(track.slot_depth_mm)
            ),
        ),
        Named(far - 8, plane, subject.say(marked("slat {id}"), id=answer.curtain.slat)),
    ]
    drawn = [
        _hatched(end, (end.across_from, jamb), (max(0.0, outside), reach)),
        _hatched(end, (end.across_from, -gap), (reach, back + 14)),
    ]
    if packing > 0:
        drawn.append(end.rectangle((-packing, 0), (front, back), fill=PACKING, stroke_width=svg.MEDIUM, data_part="packing"))
        names.append(Named(-packing / 2, front + 3, subject.say(marked("packing, {mm} thick here"), mm=subject.mm(packing))))
    drawn += [
        svg.polygon([end.at(*one) for one in outline], fill=METAL, data_part="track"),
        end.rectangle((slat_end, far), slat, fill=CURTAIN, data_part="slat"),
        _break(end, (outside, back + 14)),
    ]
    top = end.at(0, back + 14)[1]
    edge = end.at(0, back)[1]
    engaged = sorted((end.at(slat_end, 0)[0], end.at(wall, 0)[0]))
    whole = sorted((end.at(0, 0)[0], end.at(wall, 0)[0]))
    drawn += [
        view.level(top - 3.5, engaged[0], engaged[1], subject.mm(wall - slat_end), edge=edge),
        view.level(top + 2.5, whole[0], whole[1], subject.mm(wall), edge=edge),
    ]
    sizes = Box(whole[0] - 4, top - 8, whole[1] - whole[0] + 8, edge - top + 8)
    legend = _lettered(end, names, box, _slot(end, wall, slot), sizes, columns=1 if small else 2)
    return Lettered(svg.group(_heading(subject, box, TRACK_TITLES[hand], ratio), *drawn, legend.drawn), legend.foot)


def _slot(end: End, wall: float, slot: tuple[float, float]) -> Box:
    """The paper where the slat goes into the track: nothing may cover it."""
    (x1, y1), (x2, y2) = end.at(0, slot[0] - 3), end.at(wall + 3, slot[1] + 3)
    return Box(min(x1, x2), min(y1, y2), abs(x2 - x1), abs(y2 - y1))


def _lettered(end: End, names: list[Named], box: Box, *kept_free: Box, columns: int = 2) -> Lettered:
    """Letters at what they name, and the legend under the drawing."""
    taken: Taken = [*kept_free]
    page = Box(box.left, box.top + 6, box.width, end.area.bottom - box.top - 6)
    drawn = []
    top = end.area.bottom + 3
    width = box.width / columns
    half = -(-len(names) // columns)
    for index, one in enumerate(names):
        letter = chr(ord("a") + index)
        target = end.at(one.across, one.inwards)
        at = (box.left + width * (index // half) + 2, top + balloon.ROW * (index % half) + 2)
        drawn += [
            balloon.led(balloon.place(target, taken, page), target, letter),
            balloon.drawn(at, letter),
            svg.text((at[0] + 3, at[1] + 1), lines_at_most(one.name, 1, size=svg.TEXT, width=width - 6)[0]),
        ]
    return Lettered("".join(drawn), top + balloon.ROW * half)


def _lengths(subject: Subject) -> list[tuple[str, str]]:
    """What stands across the opening, named, with its unit."""
    answer = subject.answer
    rows = [
        (_width_told(subject), answer.opening.width_mm),
        (marked("over both tracks"), answer.tracks.outer_width_mm),
        (marked("between the lips"), answer.tracks.lips_mm),
        (marked("slat"), answer.curtain.slat_length_mm),
        (marked("tube"), answer.curtain.tube_length_mm),
        (marked("engagement, cold and pushed to one side"), answer.curtain.engagement_mm),
        (marked("slat end to side plate"), next(one.value for one in answer.checks if one.id == "side_gap")),
    ]
    if answer.opening.lap_mm is not None:
        rows.append((marked("least lap of a track over the opening's edge"), answer.opening.lap_mm))
    return [(subject.say(name), f"{subject.mm(value)} mm") for name, value in rows]


def _width_told(subject: Subject) -> str:
    """What the width is called that counts: of an opening that is not true it is none that a tape finds."""
    return marked("opening, width") if subject.job.opening.survey is None else marked("opening, usable width")


def packing_rows(subject: Subject) -> list[tuple[str, str]]:
    """What packs the tracks, from the top down."""
    sides: dict[str, str] = {
        "left": marked("packing left, {at} below the header"),
        "right": marked("packing right, {at} below the header"),
    }
    return [
        (subject.say(sides[one.side], at=subject.mm(one.at_mm)), f"{subject.mm(one.thickness_mm)} mm")
        for one in subject.answer.opening.packing
    ]


def _figures(subject: Subject, box: Box) -> str:
    """The lengths across the opening in two columns."""
    rows = [*_lengths(subject), *packing_rows(subject)]
    half = -(-len(rows) // 2)
    pitch = min(5.0, box.height / half)
    return svg.group(
        *(
            svg.text((left, base), name, size=svg.TEXT, most=70)
            + svg.text((left + 90, base), value, size=svg.TEXT, anchor="end", bold=True)
            + svg.line((left, base + 1.2), (left + 90, base + 1.2), stroke=svg.GREY, stroke_width=svg.THIN)
            for index, (name, value) in enumerate(rows)
            for left, base in ((box.left + 97 * (index // half), box.top + pitch * (index % half + 0.8)),)
        ),
        data_part="lengths",
    )

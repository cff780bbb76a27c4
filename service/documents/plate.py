"""The drilling picture of the side plates, left and right, with the chosen holes measured from the plate's edges."""

from typing import Literal, NamedTuple

from service.calculation.job import SidePlate
from service.documents import svg, view
from service.documents.faces import width_of
from service.documents.subject import WHEEL_HOLES, Hole, Subject
from service.documents.svg import Box, Point
from service.documents.title_block import HEIGHT as TITLE_HEIGHT
from service.documents.title_block import stopped, title_block
from service.words.languages import marked

Hand = Literal["left", "right"]
HANDS: tuple[Hand, Hand] = ("left", "right")

WIDTH = 190.0
PLATES = Box(0, 0, WIDTH, 92)
TITLE_BLOCK = Box(0, 94, WIDTH, TITLE_HEIGHT)
TITLE = marked("Drilling of the side plates")
HAND_TITLES: dict[Hand, str] = {"left": marked("Left plate {id}"), "right": marked("Right plate {id}")}
HAND_STOPPED: dict[Hand, str] = {
    "left": marked("Left plate {id}: do not drill"),
    "right": marked("Right plate {id}: do not drill"),
}
SEEN = marked("Plates seen from the middle of the opening. Left and right as seen from outside.")
NOTE = marked("Lengths in mm from front and lower edge. Crosses: spare places, nothing is drilled there.")

ABOVE, BELOW = 12.5, 24.0
"""Paper for the heading and the dimensions over a plate, and for dimensions and diameters under it."""

COLUMN_LABELS = 5
"""Every so many columns carry their number, where it is not too near to the chosen one's."""

NAME = 2.2
APART = 1.98
"""Size of names, and how near to each other they may stand one over the other."""

TARGET = 1.3


class Laid(NamedTuple):
    """A plate laid on paper: the corner at its front and lower edge, the scale 1 : `ratio`, the hand."""

    corner: Point
    ratio: float
    hand: Hand

    def at(self, from_front: float, from_base: float) -> Point:
        """A point of the plate on paper [mm]; the right plate is the left one mirrored."""
        inwards = from_front / self.ratio
        return self.corner[0] + (inwards if self.hand == "left" else -inwards), self.corner[1] - from_base / self.ratio


def plate_svg(subject: Subject, *, title: bool = True) -> str:
    """The drilling picture with its title block; without title the plates alone."""
    block = (
        title_block(subject, TITLE_BLOCK, drawing=subject.say(TITLE), note=f"{subject.say(SEEN)} {subject.say(NOTE)}")
        if title
        else stopped(subject, (WIDTH - 1, PLATES.bottom))
    )
    return svg.document(
        *_plates(subject, PLATES),
        block,
        width=WIDTH,
        height=TITLE_BLOCK.bottom if title else PLATES.bottom + 2,
        title=f"{subject.say(TITLE)}, {subject.title.reference}",
        description=_description(subject),
        name="plate",
    )


def plates_svg(subject: Subject, height: float) -> str:
    """Only the plates, at most so high: for a page that has its own title."""
    box = Box(0, 0, WIDTH, height)
    return svg.document(
        *_plates(subject, box),
        width=WIDTH,
        height=_laid(subject, "left", box.half(0)).corner[1] + BELOW,
        title=f"{subject.say(TITLE)}, {subject.title.reference}",
        description=_description(subject),
        name="plate",
    )


def _description(subject: Subject) -> str:
    """The picture in words."""
    wheel, bracket, plate = subject.wheel_hole, subject.bracket_hole, subject.plate
    return subject.say(
        marked(
            "Side plate {id}, {deep} mm deep and {high} mm high, left and right. From the front edge and from the lower "
            "edge: wheel hole {wheel} at {wheel_front} and {wheel_base} mm; bracket hole {bracket} at {bracket_front} and "
            "{bracket_base} mm."
        ),
        id=plate.id,
        deep=subject.mm(plate.deep_mm),
        high=subject.mm(plate.high_mm),
        wheel=wheel.name,
        wheel_front=subject.mm(wheel.from_front_mm),
        wheel_base=subject.mm(wheel.from_base_mm),
        bracket=bracket.name,
        bracket_front=subject.mm(bracket.from_front_mm),
        bracket_base=subject.mm(bracket.from_base_mm),
    )


def outline(laid: Laid, plate: SidePlate) -> tuple[Point, ...]:
    """The plate's corners on paper."""
    return tuple(
        laid.at(*corner) for corner in ((0, 0), (plate.deep_mm, 0), (plate.deep_mm, plate.high_mm), (0, plate.high_mm))
    )


def _plates(subject: Subject, box: Box) -> tuple[str, ...]:
    """Both plates beside each other, the left one on the left."""
    return tuple(_plate(subject, hand, box.half(index)) for index, hand in enumerate(HANDS))


def _laid(subject: Subject, hand: Hand, box: Box) -> Laid:
    """How a plate lies in its place, its front edge on the outer side of the picture."""
    plate = subject.plate
    area = Box(box.left + (16 if hand == "left" else 9), box.top + ABOVE, box.width - 25, box.height - ABOVE - BELOW)
    ratio = view.ratio_for(width=plate.deep_mm, height=plate.high_mm, box=area)
    return Laid((area.left if hand == "left" else area.right, area.top + plate.high_mm / ratio), ratio, hand)


def _plate(subject: Subject, hand: Hand, box: Box) -> str:
    """One plate with its holes and dimensions."""
    plate, laid = subject.plate, _laid(subject, hand, box)
    heading = subject.say((HAND_STOPPED if subject.stopped else HAND_TITLES)[hand], id=plate.id)
    return svg.group(
        svg.text((box.left, box.top + 4), heading, size=svg.HEADING, bold=True, most=box.width - 20),
        svg.text((box.right - 3, box.top + 4), f"1 : {laid.ratio:g}", size=svg.HEADING, anchor="end"),
        svg.polygon(outline(laid, plate), fill=svg.PAPER, stroke_width=svg.THICK, data_part="plate"),
        *_spare_holes(subject, laid),
        *_dimensions(subject, laid),
        *(_made(laid, hole, "fixing") for hole in subject.fixing_holes),
        *(target(laid.at(hole.from_front_mm, hole.from_base_mm)) for hole in subject.chosen_holes),
        *_names(subject, laid),
        *_diameters(subject, laid, box),
        data_plate=hand,
    )


def target(centre: Point, *, radius: float = TARGET) -> str:
    """A hole to use: a ring with a cross and a dot."""
    x, y = centre
    reach = 2 * radius
    return svg.group(
        svg.circle(centre, radius, fill=svg.PAPER, data_hole="chosen"),
        svg.line((x - reach, y), (x + reach, y)),
        svg.line((x, y - reach), (x, y + reach)),
        stroke_width=0.35,
    )


def _made(laid: Laid, hole: Hole, kind: str) -> str:
    """A hole at its size."""
    x, y = laid.at(hole.from_front_mm, hole.from_base_mm)
    radius = (hole.diameter_mm or 0) / 2 / laid.ratio
    reach = radius + 1
    return svg.group(
        svg.circle((x, y), radius, fill=svg.PAPER, data_hole=kind),
        svg.line((x - reach, y), (x + reach, y), stroke_width=svg.THIN),
        svg.line((x, y - reach), (x, y + reach), stroke_width=svg.THIN),
    )


def _diameters(subject: Subject, laid: Laid, box: Box) -> tuple[str, ...]:
    """What is drilled, under the plate."""
    fixing, wheel, bracket = subject.fixing_holes[0], subject.wheel_hole, subject.bracket_hole
    said = (
        subject.say(
            marked("wheel {name} Ø {wheel}, bracket {hole} Ø {bracket}"),
            name=wheel.name,
            wheel=subject.mm(wheel.diameter_mm or 0),
            hole=bracket.name,
            bracket=subject.mm(bracket.diameter_mm or 0),
        ),
        subject.say(
            marked("4 countersunk Ø {diameter}, {edge} from the edges"),
            diameter=subject.mm(fixing.diameter_mm or 0),
            edge=subject.mm(fixing.from_front_mm),
        ),
    )
    top = laid.corner[1] + BELOW - 5.5
    return tuple(
        svg.text((box.left, top + 3.8 * row), one, size=svg.TEXT, bold=row == 0, most=box.width)
        for row, one in enumerate(said)
    )


def _spare_holes(subject: Subject, laid: Laid) -> tuple[str, ...]:
    """Every place that is not used."""
    return tuple(
        svg.element(
            "path",
            d=f"M{svg.number(x - 0.5)} {svg.number(y)}h1M{svg.number(x)} {svg.number(y - 0.5)}v1",
            stroke=svg.GREY,
            stroke_width=svg.THIN,
            data_hole="spare",
        )
        for hole in subject.spare_holes
        for x, y in (laid.at(hole.from_front_mm, hole.from_base_mm),)
    )


def _names(subject: Subject, laid: Laid) -> tuple[str, ...]:
    """Names of wheel holes, rows and columns as the answer calls them."""
    plate, chosen = subject.plate, subject.answer.bracket
    before: svg.Anchor = "end" if laid.hand == "left" else "start"
    behind: svg.Anchor = "start" if laid.hand == "left" else "end"
    outwards = -1 if laid.hand == "left" else 1
    rows = {one.row: one for one in reversed(plate.bracket_holes)}
    written = []
    for wheel in plate.wheel_holes:
        x, y = laid.at(wheel.from_front_mm, wheel.from_base_mm)
        chosen_here = wheel.name == subject.answer.wheel.hole
        aside = (3.4 if chosen_here else 1.8) * -outwards
        written.append(_small((x + aside, y + 0.8), subject.say(WHEEL_HOLES[wheel.name]), behind, bold=chosen_here))
    kept = [chosen.row]
    for number, first in rows.items():
        x, y = laid.at(first.from_front_mm, first.from_base_mm)
        if number not in kept and any(abs(first.from_base_mm - rows[one].from_base_mm) < APART * laid.ratio for one in kept):
            continue
        kept.append(number)
        chosen_here = number == chosen.row
        # the target's cross reaches over the row's first hole where that is the chosen one
        aside = 2 * TARGET + svg.PADDING if chosen_here and first.column == chosen.column else 1.8
        label = subject.say(marked("row {number}"), number=number) if number == 0 else str(number)
        written.append(_small((x + outwards * aside, y + 0.8), label, before, bold=chosen_here))
    return (*written, *_column_names(subject, laid))


def _column_names(subject: Subject, laid: Laid) -> tuple[str, ...]:
    """The chosen column's name, and the numbers of others that stand clear of it."""
    plate, chosen = subject.plate, subject.answer.bracket
    columns = {one.column: one for one in plate.bracket_holes if one.row == 0}
    top = max(one.from_base_mm for one in plate.bracket_holes)
    place = {number: laid.at(hole.from_front_mm, top) for number, hole in columns.items()}
    named = subject.say(marked("column {number}"), number=chosen.column)
    reach = width_of(named, size=NAME, bold=True) / 2

    def clear(number: int) -> bool:
        room = reach + width_of(str(number), size=NAME) / 2 + 2 * svg.PADDING
        return abs(place[number][0] - place[chosen.column][0]) >= room

    others = [number for number in columns if number % COLUMN_LABELS == 0 and clear(number)]
    labels = {**{number: str(number) for number in others}, chosen.column: named}
    return tuple(
        _small((place[number][0], place[number][1] - 3.2), label, "middle", bold=number == chosen.column)
        for number, label in labels.items()
    )


def _small(at: Point, label: str, anchor: svg.Anchor, *, bold: bool) -> str:
    return svg.label(at, label, size=NAME, anchor=anchor, bold=bold)


def _dimensions(subject: Subject, laid: Laid) -> tuple[str, ...]:
    """The chosen holes from the front and lower edges, and the plate's size."""
    plate, wheel, bracket = subject.plate, subject.wheel_hole, subject.bracket_hole
    outwards = -1 if laid.hand == "left" else 1
    front, base = laid.corner
    back, top = laid.at(plate.deep_mm, plate.high_mm)
    written = [
        view.level(top - 5, front, back, subject.say(marked("{mm} deep"), mm=subject.mm(plate.deep_mm)), edge=top),
        view.upright(
            back - outwards * 5, top, base, subject.say(marked("{mm} high"), mm=subject.mm(plate.high_mm)), edge=back
        ),
    ]
    # the wheel's, nearer to the plate, come last: their labels' ground interrupts the bracket's extension lines
    for tier, hole, text in ((1, bracket, marked("bracket {mm}")), (0, wheel, marked("wheel {mm}"))):
        x, y = laid.at(hole.from_front_mm, hole.from_base_mm)
        written += [
            svg.line((x, y), (x, base), stroke=svg.MEASURE, stroke_width=svg.THIN, stroke_dasharray="1 0.8"),
            svg.line((x, y), (front, y), stroke=svg.MEASURE, stroke_width=svg.THIN, stroke_dasharray="1 0.8"),
            view.level(base + 6 + 6 * tier, front, x, subject.say(text, mm=subject.mm(hole.from_front_mm)), edge=base),
            view.upright(
                front + outwards * (5 + 6 * tier),
                y,
                base,
                subject.say(text, mm=subject.mm(hole.from_base_mm)),
                edge=front,
                beyond=True,
            ),
        ]
    return tuple(written)

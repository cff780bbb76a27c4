"""The drilling picture of the side plates, left and right, with the chosen holes measured from the plate's edges."""

from typing import Literal, NamedTuple

from service.calculation.job import SidePlate
from service.documents import svg, view
from service.documents.faces import width_of
from service.documents.section import title_block
from service.documents.subject import Subject
from service.documents.svg import Box, Point
from service.documents.wording import HANDS_SEEN, shown

Hand = Literal["left", "right"]
HANDS: tuple[Hand, Hand] = ("left", "right")

WIDTH = 190.0
PLATES = Box(0, 0, WIDTH, 82)
PLATES_ALONE = Box(0, 0, WIDTH, 69)
"""For a page that has more to carry."""

TITLE_BLOCK = Box(0, 84, WIDTH, 27)
NOTE = (
    f"Lengths in mm from front and lower edge. Plates seen from the middle of the opening, {HANDS_SEEN}. "
    "Target: hole to use. Circles mark places, not drill sizes."
)

ABOVE, BELOW = 12.5, 13.5
"""Paper for the heading and the dimensions over a plate, and for the dimensions under it."""

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


def plate_svg(subject: Subject) -> str:
    """The drilling picture with its title block."""
    return svg.document(
        *_plates(subject, PLATES),
        title_block(subject, TITLE_BLOCK, drawing="Drilling of the side plates", note=NOTE),
        width=WIDTH,
        height=TITLE_BLOCK.bottom,
        title=f"Drilling of the side plates, {subject.title.reference}",
        description=_description(subject),
        name="plate",
    )


def plates_svg(subject: Subject) -> str:
    """Only the plates, for a page that has its own title."""
    return svg.document(
        *_plates(subject, PLATES_ALONE),
        width=WIDTH,
        height=_laid(subject, "left", PLATES_ALONE.half(0)).corner[1] + BELOW,
        title=f"Drilling of the side plates, {subject.title.reference}",
        description=_description(subject),
        name="plate",
    )


def _description(subject: Subject) -> str:
    """The picture in words."""
    wheel, bracket, plate = subject.wheel_hole, subject.bracket_hole, subject.plate
    return (
        f"Side plate {plate.id}, {shown(plate.deep_mm)} mm deep and {shown(plate.high_mm)} mm high, left and right. "
        f"From the front edge and from the lower edge: wheel hole {wheel.name} at {shown(wheel.from_front_mm)} and "
        f"{shown(wheel.from_base_mm)} mm; bracket hole {subject.answer.bracket.hole} at "
        f"{shown(bracket.from_front_mm)} and {shown(bracket.from_base_mm)} mm."
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
    heading = f"{hand.capitalize()} plate {plate.id}" + (": do not drill" if subject.stopped else "")
    return svg.group(
        svg.text((box.left, box.top + 4), heading, size=svg.HEADING, bold=True, most=box.width - 20),
        svg.text((box.right - 3, box.top + 4), f"1 : {laid.ratio:g}", size=svg.HEADING, anchor="end"),
        svg.polygon(outline(laid, plate), fill=svg.PAPER, stroke_width=svg.THICK, data_part="plate"),
        *_free_holes(subject, laid),
        *_dimensions(subject, laid),
        *(target(laid.at(hole.from_front_mm, hole.from_base_mm)) for hole in subject.chosen_holes),
        *_names(subject, laid),
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


def _free_holes(subject: Subject, laid: Laid) -> tuple[str, ...]:
    """Every other hole."""
    return tuple(
        svg.circle(
            laid.at(hole.from_front_mm, hole.from_base_mm),
            0.5,
            fill=svg.PAPER,
            stroke_width=svg.THIN,
            data_hole="free",
        )
        for hole in subject.free_holes
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
        chosen_here = wheel.name == subject.wheel_hole.name
        aside = (3.4 if chosen_here else 1.8) * -outwards
        written.append(_small((x + aside, y + 0.8), wheel.name, behind, bold=chosen_here))
    kept = [chosen.row]
    for number, first in rows.items():
        x, y = laid.at(first.from_front_mm, first.from_base_mm)
        if number not in kept and any(abs(first.from_base_mm - rows[one].from_base_mm) < APART * laid.ratio for one in kept):
            continue
        kept.append(number)
        chosen_here = number == chosen.row
        # the target's cross reaches over the row's first hole where that is the chosen one
        aside = 2 * TARGET + svg.PADDING if chosen_here and first.column == chosen.column else 1.8
        label = f"row {number}" if number == 0 else str(number)
        written.append(_small((x + outwards * aside, y + 0.8), label, before, bold=chosen_here))
    return (*written, *_column_names(subject, laid))


def _column_names(subject: Subject, laid: Laid) -> tuple[str, ...]:
    """The chosen column's name, and the numbers of others that stand clear of it."""
    plate, chosen = subject.plate, subject.answer.bracket
    columns = {one.column: one for one in plate.bracket_holes if one.row == 0}
    top = max(one.from_base_mm for one in plate.bracket_holes)
    place = {number: laid.at(hole.from_front_mm, top) for number, hole in columns.items()}
    named = f"column {chosen.column}"
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
        view.level(top - 5, front, back, f"{shown(plate.deep_mm)} deep", edge=top),
        view.upright(back - outwards * 5, top, base, f"{shown(plate.high_mm)} high", edge=back),
    ]
    # the wheel's, nearer to the plate, come last: their labels' ground interrupts the bracket's extension lines
    for tier, hole, name in ((1, bracket, "bracket"), (0, wheel, "wheel")):
        x, y = laid.at(hole.from_front_mm, hole.from_base_mm)
        written += [
            svg.line((x, y), (x, base), stroke=svg.MEASURE, stroke_width=svg.THIN, stroke_dasharray="1 0.8"),
            svg.line((x, y), (front, y), stroke=svg.MEASURE, stroke_width=svg.THIN, stroke_dasharray="1 0.8"),
            view.level(base + 6 + 6 * tier, front, x, f"{name} {shown(hole.from_front_mm)}", edge=base),
            view.upright(
                front + outwards * (5 + 6 * tier), y, base, f"{name} {shown(hole.from_base_mm)}", edge=front, beyond=True
            ),
        ]
    return tuple(written)

"""The drilling picture of the side plates, left and right, with the chosen holes measured from the plate's edges."""

from typing import Literal, NamedTuple

from service.calculation.job import SidePlate
from service.documents import svg, view
from service.documents.section import title_block
from service.documents.subject import Subject
from service.documents.svg import Point
from service.documents.view import Box
from service.documents.wording import shown

Hand = Literal["left", "right"]
HANDS: tuple[Hand, Hand] = ("left", "right")

WIDTH = 190.0
PLATES = Box(0, 0, WIDTH, 82)
TITLE_BLOCK = Box(0, 84, WIDTH, 27)
NOTE = (
    "Lengths in mm from front and lower edge. Plates seen from the middle of the opening, hands as seen from "
    "outside. Target: hole to use. Circles mark places, not drill sizes."
)

COLUMN_LABELS = 5
"""Every so many columns carry their number."""


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
        *_plates(subject),
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
        *_plates(subject),
        width=WIDTH,
        height=PLATES.height,
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


def _plates(subject: Subject) -> tuple[str, ...]:
    """Both plates beside each other, the left one on the left."""
    half = WIDTH / 2
    return tuple(
        _plate(subject, hand, Box(PLATES.left + index * half, PLATES.top, half - 2, PLATES.height))
        for index, hand in enumerate(HANDS)
    )


def _plate(subject: Subject, hand: Hand, box: Box) -> str:
    """One plate with its holes and dimensions; its front edge is on the outer side of the picture."""
    plate = subject.plate
    area = Box(box.left + (16 if hand == "left" else 9), box.top + 16, box.width - 25, box.height - 16 - 16)
    ratio = view.ratio_for(width=plate.deep_mm, height=plate.high_mm, box=area)
    front = area.left if hand == "left" else area.right
    laid = Laid((front, area.top + plate.high_mm / ratio), ratio, hand)
    return svg.group(
        svg.text((box.left, box.top + 4), f"{hand.capitalize()} plate {plate.id}", size=svg.HEADING, bold=True),
        svg.text((box.right - 3, box.top + 4), f"1 : {ratio:g}", size=svg.HEADING, anchor="end"),
        svg.polygon(outline(laid, plate), fill=svg.PAPER, stroke_width=svg.THICK, data_part="plate"),
        *_free_holes(subject, laid),
        *_names(subject, laid),
        *_dimensions(subject, laid),
        *(target(laid.at(hole.from_front_mm, hole.from_base_mm)) for hole in subject.chosen_holes),
        data_plate=hand,
    )


def target(centre: Point, *, radius: float = 1.3) -> str:
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
    columns = {one.column: one for one in plate.bracket_holes if one.row == 0}
    top = max(one.from_base_mm for one in plate.bracket_holes)
    written = []
    for wheel in plate.wheel_holes:
        x, y = laid.at(wheel.from_front_mm, wheel.from_base_mm)
        chosen_here = wheel.name == subject.wheel_hole.name
        aside = (3.4 if chosen_here else 1.8) * -outwards
        written.append(_small((x + aside, y + 0.8), wheel.name, behind, bold=chosen_here))
    for number, first in rows.items():
        x, y = laid.at(first.from_front_mm, first.from_base_mm)
        written.append(
            _small(
                (x + outwards * 1.8, y + 0.8),
                f"row {number}" if number == 0 else str(number),
                before,
                bold=number == chosen.row,
            )
        )
    for number, hole in columns.items():
        if number == chosen.column or (number % COLUMN_LABELS == 0 and abs(number - chosen.column) > 1):
            x, y = laid.at(hole.from_front_mm, top)
            label = f"column {number}" if number == chosen.column else str(number)
            written.append(_small((x, y - 3.2), label, "middle", bold=number == chosen.column))
    return tuple(written)


def _small(at: Point, label: str, anchor: svg.Anchor, *, bold: bool) -> str:
    return svg.label(at, label, size=2.2, anchor=anchor, bold=bold)


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
    for tier, (hole, name) in enumerate(((wheel, "wheel"), (bracket, "bracket"))):
        x, y = laid.at(hole.from_front_mm, hole.from_base_mm)
        written += [
            view.level(base + 6 + 6 * tier, front, x, f"{name} {shown(hole.from_front_mm)}", edge=base),
            view.upright(
                front + outwards * (5 + 6 * tier), y, base, f"{name} {shown(hole.from_base_mm)}", edge=front, beyond=True
            ),
            svg.line((x, y), (x, base), stroke=svg.MEASURE, stroke_width=svg.THIN, stroke_dasharray="1 0.8"),
            svg.line((x, y), (front, y), stroke=svg.MEASURE, stroke_width=svg.THIN, stroke_dasharray="1 0.8"),
        ]
    return tuple(written)

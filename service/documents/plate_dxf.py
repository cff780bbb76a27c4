"""The side plates as DXF for a drawing program or a machine: millimetres, one layer for each kind of thing."""

from collections.abc import Iterable
from io import StringIO

from ezdxf import options, units  # type: ignore[attr-defined] # the library exports its options without saying so
from ezdxf.document import Drawing
from ezdxf.filemanagement import new
from ezdxf.layouts.layout import Modelspace

from service.documents.plate import HAND_TITLES, HANDS, Hand
from service.documents.subject import Subject
from service.documents.wording import HANDS_SEEN, STOP, lines_of
from service.words.languages import marked

VERSION = "R2010"
LAYERS = {"OUTLINE": 7, "HOLES": 8, "CHOSEN": 1, "TEXT": 5}
"""Layers with their colours."""

GAP_MM = 60.0
POINT_STYLE, POINT_MM = 2, 3.0
"""How points are shown: a cross of this size."""

CROSS_MM = 6.0
TEXT_MM = 5.0
"""Height of capitals; the faces of drawing programs differ, so a line of a caller's text leaves them room."""

EM_MM = 8.0

SEEN = marked("Seen from the middle of the opening.")
WHEEL = marked("wheel {name}: diameter {diameter}, {front} / {base}")
BRACKET = marked("bracket {name}: diameter {diameter}, {front} / {base}")
FIXING = marked("4 countersunk: diameter {diameter}, {edge} from the edges")
MEASURED = marked("mm from front edge / lower edge; points are spare places, nothing is drilled there")
CALCULATION = marked("calculation {version}")

# Without this the file carries the time at which it was written, and no two are alike.
options.write_fixed_meta_data_for_testing = True


def empty() -> Drawing:
    """A drawing with its layers and nothing on them."""
    drawing = new(VERSION, units=units.MM)
    drawing.header["$MEASUREMENT"] = 1
    drawing.header["$PDMODE"], drawing.header["$PDSIZE"] = POINT_STYLE, POINT_MM
    for name, color in LAYERS.items():
        drawing.layers.add(name, color=color)
    return drawing


def plate_dxf(subject: Subject) -> bytes:
    """Both plates: the left one with its front and lower edge on the axes, the right one mirrored beside it."""
    drawing = empty()
    for hand in HANDS:
        _draw(drawing.modelspace(), subject, hand)
    return _written(drawing)


def placed(subject: Subject, hand: Hand, from_front_mm: float, from_base_mm: float) -> tuple[float, float]:
    """Where a point of a plate lies in the drawing [mm]."""
    across = from_front_mm if hand == "left" else 2 * subject.plate.deep_mm + GAP_MM - from_front_mm
    return across, from_base_mm


def _draw(space: Modelspace, subject: Subject, hand: Hand) -> None:
    """One plate."""
    plate = subject.plate
    corners = ((0.0, 0.0), (plate.deep_mm, 0.0), (plate.deep_mm, plate.high_mm), (0.0, plate.high_mm))
    space.add_lwpolyline([placed(subject, hand, *corner) for corner in corners], close=True, dxfattribs={"layer": "OUTLINE"})
    for hole in subject.spare_holes:
        space.add_point(placed(subject, hand, hole.from_front_mm, hole.from_base_mm), dxfattribs={"layer": "HOLES"})
    for hole in subject.fixing_holes:
        centre = placed(subject, hand, hole.from_front_mm, hole.from_base_mm)
        space.add_circle(centre, (hole.diameter_mm or 0) / 2, dxfattribs={"layer": "HOLES"})
    for hole in subject.chosen_holes:
        x, y = placed(subject, hand, hole.from_front_mm, hole.from_base_mm)
        space.add_circle((x, y), (hole.diameter_mm or 0) / 2, dxfattribs={"layer": "CHOSEN"})
        space.add_line((x - CROSS_MM, y), (x + CROSS_MM, y), dxfattribs={"layer": "TEXT"})
        space.add_line((x, y - CROSS_MM), (x, y + CROSS_MM), dxfattribs={"layer": "TEXT"})
    left = min(placed(subject, hand, u, 0)[0] for u in (0.0, plate.deep_mm))
    for row, told in enumerate(_texts(subject, hand)):
        at = (left, -12 - 1.6 * TEXT_MM * row)
        space.add_text(told, height=TEXT_MM, dxfattribs={"layer": "TEXT", "insert": at})


def _texts(subject: Subject, hand: Hand) -> Iterable[str]:
    """What is written under a plate."""
    title, wheel, bracket, fixing = subject.title, subject.wheel_hole, subject.bracket_hole, subject.fixing_holes[0]
    yield subject.say(HAND_TITLES[hand], id=subject.plate.id)
    yield subject.say(SEEN)
    yield subject.say(HANDS_SEEN)
    for text, hole in ((WHEEL, wheel), (BRACKET, bracket)):
        yield subject.say(
            text,
            name=hole.name,
            diameter=subject.mm(hole.diameter_mm or 0),
            front=subject.mm(hole.from_front_mm),
            base=subject.mm(hole.from_base_mm),
        )
    yield subject.say(FIXING, diameter=subject.mm(fixing.diameter_mm or 0), edge=subject.mm(fixing.from_front_mm))
    yield subject.say(MEASURED)
    yield subject.say(STOP) if subject.stopped else subject.verdict
    reference = lines_of(subject.write(title.reference), size=EM_MM, width=subject.plate.deep_mm + GAP_MM / 2)
    yield from map(_plain, reference)
    yield _plain(f"{subject.write(title.catalogue)}, {subject.say(CALCULATION, version=title.calculation_version)}")
    yield title.digest[:32]
    yield title.digest[32:]


def _plain(text: str) -> str:
    """Without the characters that DXF reads as commands."""
    return text.replace("\\", "/").replace("^", "ˆ").replace("%%", "%")


def _written(drawing: Drawing) -> bytes:
    """The drawing as bytes."""
    stream = StringIO(newline="\n")
    drawing.write(stream)
    return drawing.encode(stream.getvalue())

"""The side plates as DXF for a drawing program or a machine: millimetres, one layer for each kind of thing."""

from collections.abc import Iterable
from io import StringIO

from ezdxf import units
from ezdxf._options import options
from ezdxf.document import Drawing
from ezdxf.filemanagement import new
from ezdxf.layouts.layout import Modelspace

from service.documents.plate import HANDS, Hand
from service.documents.subject import Subject
from service.documents.wording import HANDS_SEEN, STOP, VERDICTS, clean, lines_of, shown

VERSION = "R2010"
LAYERS = {"OUTLINE": 7, "HOLES": 8, "CHOSEN": 1, "TEXT": 5}
"""Layers with their colours."""

GAP_MM = 60.0
MARK_RADIUS_MM = 2.0
"""A mark's radius: it shows where a hole is, not how large it is drilled."""

CROSS_MM = 6.0
TEXT_MM = 5.0
"""Height of capitals; the faces of drawing programs differ, so a line of a caller's text leaves them room."""

EM_MM = 8.0

# Without this the file carries the time at which it was written, and no two are alike.
options.write_fixed_meta_data_for_testing = True


def plate_dxf(subject: Subject) -> bytes:
    """Both plates: the left one with its front and lower edge on the axes, the right one mirrored beside it."""
    drawing = new(VERSION, units=units.MM)
    drawing.header["$MEASUREMENT"] = 1
    for name, color in LAYERS.items():
        drawing.layers.add(name, color=color)
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
    for hole in subject.free_holes:
        centre = placed(subject, hand, hole.from_front_mm, hole.from_base_mm)
        space.add_circle(centre, MARK_RADIUS_MM, dxfattribs={"layer": "HOLES"})
    for hole in subject.chosen_holes:
        x, y = placed(subject, hand, hole.from_front_mm, hole.from_base_mm)
        space.add_circle((x, y), MARK_RADIUS_MM, dxfattribs={"layer": "CHOSEN"})
        space.add_line((x - CROSS_MM, y), (x + CROSS_MM, y), dxfattribs={"layer": "CHOSEN"})
        space.add_line((x, y - CROSS_MM), (x, y + CROSS_MM), dxfattribs={"layer": "CHOSEN"})
    left = min(placed(subject, hand, u, 0)[0] for u in (0.0, plate.deep_mm))
    for row, told in enumerate(_texts(subject, hand)):
        at = (left, -12 - 1.6 * TEXT_MM * row)
        space.add_text(told, height=TEXT_MM, dxfattribs={"layer": "TEXT", "insert": at})


def _texts(subject: Subject, hand: Hand) -> Iterable[str]:
    """What is written under a plate."""
    title, wheel, bracket = subject.title, subject.wheel_hole, subject.bracket_hole
    yield f"{hand} plate {subject.plate.id}, seen from the middle of the opening"
    yield HANDS_SEEN
    yield f"wheel {wheel.name}: {shown(wheel.from_front_mm)} / {shown(wheel.from_base_mm)}"
    yield f"bracket {subject.answer.bracket.hole}: {shown(bracket.from_front_mm)} / {shown(bracket.from_base_mm)}"
    yield "mm from front edge / lower edge; circles mark places, not drill sizes"
    yield STOP if subject.stopped else VERDICTS[subject.answer.verdict]
    yield from map(_plain, lines_of(clean(title.reference), size=EM_MM, width=subject.plate.deep_mm + GAP_MM / 2))
    yield _plain(f"{clean(title.catalogue)}, calculation {title.calculation_version}")
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

"""Writing SVG: elements as text, in millimetres of paper, with presentation attributes only."""

from collections.abc import Iterable
from html import escape
from math import inf
from typing import Literal, NamedTuple

from service.documents.faces import has, width_of
from service.documents.wording import clean

Point = tuple[float, float]
Anchor = Literal["start", "middle", "end"]

FONTS = "IBM Plex Sans, Noto Sans, Helvetica, Arial, sans-serif"
INK = "#111"
MEASURE = "#0b5345"
GREY = "#6b6b6b"
PAPER = "#fff"

THIN = 0.13
MEDIUM = 0.25
THICK = 0.5

PADDING = 0.8
TEXT = 2.8
SMALL = 2.6
HEADING = 3.2


class Box(NamedTuple):
    """An upright rectangle of paper [mm], from its upper left corner."""

    left: float
    top: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """Right edge [mm]."""
        return self.left + self.width

    @property
    def bottom(self) -> float:
        """Lower edge [mm]."""
        return self.top + self.height

    def half(self, index: int) -> "Box":
        """The left or the right half, for one of two pictures beside each other."""
        return Box(self.left + index * self.width / 2, self.top, self.width / 2 - 2, self.height)

    def part(self, index: int, count: int, *, gap: float) -> "Box":
        """One of so many equal parts beside each other, with a gap between them."""
        width = (self.width - gap * (count - 1)) / count
        return Box(self.left + index * (width + gap), self.top, width, self.height)

    def meets(self, other: "Box") -> bool:
        """Whether they have some paper in common."""
        return self.left < other.right and other.left < self.right and self.top < other.bottom and other.top < self.bottom


def number(value: float) -> str:
    """A coordinate to 0.001, without idle zeros."""
    return f"{round(value, 3) + 0.0:.3f}".rstrip("0").rstrip(".")


def element(tag: str, *content: str, **attributes: str | float) -> str:
    """One element. Attribute names take `_` for `-`; numbers are written as coordinates, texts are escaped."""
    written = "".join(
        f' {name.rstrip("_").replace("_", "-")}="{escape(value) if isinstance(value, str) else number(value)}"'
        for name, value in attributes.items()
    )
    inside = "".join(content)
    return f"<{tag}{written}>{inside}</{tag}>" if inside else f"<{tag}{written}/>"


def points_of(points: Iterable[Point]) -> str:
    """Points as an attribute's text."""
    return " ".join(f"{number(x)},{number(y)}" for x, y in points)


def line(start: Point, end: Point, **attributes: str | float) -> str:
    """A straight line."""
    (x1, y1), (x2, y2) = start, end
    return element("line", x1=x1, y1=y1, x2=x2, y2=y2, **attributes)


def polygon(points: Iterable[Point], **attributes: str | float) -> str:
    """A closed outline."""
    return element("polygon", points=points_of(points), **attributes)


def circle(centre: Point, radius: float, **attributes: str | float) -> str:
    """A circle."""
    return element("circle", cx=centre[0], cy=centre[1], r=radius, **attributes)


def rectangle(corner: Point, width: float, height: float, **attributes: str | float) -> str:
    """An upright rectangle from its upper left corner."""
    return element("rect", x=corner[0], y=corner[1], width=width, height=height, **attributes)


def group(*content: str, **attributes: str | float) -> str:
    """Elements under common attributes."""
    return element("g", *content, **attributes)


def text(
    at: Point,
    content: str,
    *,
    size: float = TEXT,
    anchor: Anchor = "start",
    turned: bool = False,
    bold: bool = False,
    fill: str = INK,
    most: float = inf,
) -> str:
    """A line of text; `turned` reads from below.

    It says how wide it is, at `most` so much: where the reader's program has other faces, they are stretched to this.
    """
    given: dict[str, str | float] = {"x": at[0], "y": at[1], "font_size": size, "stroke": "none", "fill": fill}
    width = width_of(content, size=size, bold=bold)
    if content and (has(content) or width > most):
        given |= {"textLength": min(width, most), "lengthAdjust": "spacingAndGlyphs"}
    if anchor != "start":
        given["text_anchor"] = anchor
    if bold:
        given["font_weight"] = "bold"
    if turned:
        given["transform"] = _turn(at)
    return element("text", escape(content), **given)


def _turn(at: Point) -> str:
    return f"rotate(-90 {number(at[0])} {number(at[1])})"


def label(
    at: Point,
    content: str,
    *,
    size: float = TEXT,
    anchor: Anchor = "start",
    turned: bool = False,
    bold: bool = False,
    fill: str = INK,
    framed: bool = False,
) -> str:
    """A line of text on a white ground, so that what is drawn behind does not disturb it; framed where it must stand out."""
    bold = bold or framed
    box = ground_of(at, content, size=size, anchor=anchor, bold=bold)
    ground: dict[str, str | float] = {"fill": PAPER, "stroke_width": THICK} if framed else {"fill": PAPER, "stroke": "none"}
    turn: dict[str, str | float] = {"transform": _turn(at)} if turned else {}
    return group(
        rectangle((box.left, box.top), box.width, box.height, **ground),
        text(at, content, size=size, anchor=anchor, bold=bold, fill=fill),
        **turn,
    )


def ground_of(at: Point, content: str, *, size: float = TEXT, anchor: Anchor = "start", bold: bool = False) -> Box:
    """The ground that a label takes, before it is turned."""
    width = width_of(content, size=size, bold=bold) + 2 * PADDING
    left = at[0] + {"start": -PADDING, "middle": -width / 2, "end": PADDING - width}[anchor]
    return Box(left, at[1] - size, width, 1.2 * size)


def document(*content: str, width: float, height: float, title: str, description: str, name: str) -> str:
    """A whole picture with its title and description for those who cannot see it; ids start with the name."""
    return element(
        "svg",
        element("title", escape(clean(title)), id=f"{name}-title"),
        element("desc", escape(clean(description)), id=f"{name}-desc"),
        rectangle((0, 0), width, height, fill=PAPER, stroke="none"),
        *content,
        xmlns="http://www.w3.org/2000/svg",
        width=f"{number(width)}mm",
        height=f"{number(height)}mm",
        viewBox=f"0 0 {number(width)} {number(height)}",
        role="img",
        aria_labelledby=f"{name}-title",
        aria_describedby=f"{name}-desc",
        font_family=FONTS,
        fill="none",
        stroke=INK,
        stroke_width=MEDIUM,
    )

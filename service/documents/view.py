"""A view: where the section's frame lies on paper and at which scale; dimension lines, hatching and scale bar on it."""

from math import hypot
from typing import NamedTuple

from service.documents import svg
from service.documents.faces import width_of
from service.documents.svg import Box, Point

SCALES = (1, 1.5, 2, 2.5, 3, 4, 5, 6, 7.5, 10, 12.5, 15, 20, 25, 30, 40, 50, 75, 100)
"""A view is drawn 1 : n with the first n that fits."""

BARS_MM = (2000, 1000, 800, 400, 200, 100, 80, 40, 20, 8, 4)
"""Lengths of scale bars, longest first."""

ARROW_LENGTH = 1.8
ARROW_WIDTH = 0.8
HATCH_DEPTH = 3.0


class Window(NamedTuple):
    """The part of the section's frame that a view shows [mm]."""

    x_from: float
    x_to: float
    z_from: float
    z_to: float

    def shows(self, point: Point) -> bool:
        """Whether a point of the frame lies in it."""
        return self.x_from <= point[0] <= self.x_to and self.z_from <= point[1] <= self.z_to


class View(NamedTuple):
    """A window of the frame laid into a box, 1 : `ratio`, its upper left corner in the box's."""

    window: Window
    box: Box
    ratio: float

    def at(self, x: float, z: float) -> Point:
        """A point of the frame on paper [mm]."""
        return self.box.left + (x - self.window.x_from) / self.ratio, self.box.top + (self.window.z_to - z) / self.ratio

    @property
    def transform(self) -> str:
        """The same as an SVG transform."""
        scale, (left, top) = 1 / self.ratio, self.at(0, 0)
        return f"matrix({scale:.9g} 0 0 {-scale:.9g} {svg.number(left)} {svg.number(top)})"

    def stroke(self, width: float) -> float:
        """A stroke in the frame that is so wide on paper [mm]."""
        return width * self.ratio


def ratio_for(*, width: float, height: float, box: Box) -> float:
    """The first scale at which so much of the frame goes into a box."""
    needed = max(width / box.width, height / box.height)
    return next((ratio for ratio in SCALES if ratio >= needed), needed)


def _arrowhead(tip: Point, along: Point, *, line_width: float, head: float = ARROW_LENGTH) -> str:
    """An arrow's head at its tip, pointing along a direction; broader on a broad line."""
    length = hypot(*along) or 1.0
    x, y = along[0] / length, along[1] / length
    back = (tip[0] - head * x, tip[1] - head * y)
    half = ARROW_WIDTH / 2 + line_width
    side = (-half * y, half * x)
    return svg.polygon(
        (tip, (back[0] + side[0], back[1] + side[1]), (back[0] - side[0], back[1] - side[1])),
        fill="currentColor",
        stroke="none",
    )


def dimension(start: Point, end: Point, *, width: float = svg.THIN, color: str = svg.MEASURE) -> str:
    """A dimension line with a head at both ends; on a short one the heads point inwards from outside."""
    along = (end[0] - start[0], end[1] - start[1])
    back = (-along[0], -along[1])
    first, last, at_start, at_end = start, end, back, along
    if hypot(*along) < 2.2 * ARROW_LENGTH:
        length = hypot(*along)
        x, y = (along[0] / length, along[1] / length) if length else (1.0, 0.0)
        reach = (2 * ARROW_LENGTH * x, 2 * ARROW_LENGTH * y)
        first, last = (start[0] - reach[0], start[1] - reach[1]), (end[0] + reach[0], end[1] + reach[1])
        at_start, at_end = reach, (-reach[0], -reach[1])
    return svg.group(
        svg.line(first, last),
        _arrowhead(start, at_start, line_width=width),
        _arrowhead(end, at_end, line_width=width),
        stroke=color,
        color=color,
        stroke_width=width,
    )


def upright(x: float, y_from: float, y_to: float, label: str, *, edge: float, beyond: bool = False) -> str:
    """A vertical dimension with extension lines to an edge of the drawing and its label along it.

    A label longer than the dimension stands beside it, away from the edge, or `beyond` its upper end.
    """
    size, outwards = svg.SMALL, -1 if x < edge else 1
    lines = [svg.line((edge, y), (x + outwards, y), stroke=svg.MEASURE, stroke_width=svg.THIN) for y in (y_from, y_to)]
    if abs(y_to - y_from) >= width_of(label, size=size):
        written = svg.label((x - 0.8, (y_from + y_to) / 2), label, size=size, anchor="middle", turned=True, fill=svg.MEASURE)
    elif beyond:
        at = (x + 0.8, min(y_from, y_to) - 2 * ARROW_LENGTH - 1)
        written = svg.label(at, label, size=size, turned=True, fill=svg.MEASURE)
    else:
        at = (x + 1.6 * outwards, (y_from + y_to) / 2 + 0.8)
        anchor: svg.Anchor = "end" if outwards < 0 else "start"
        written = svg.label(at, label, size=size, anchor=anchor, fill=svg.MEASURE)
    return svg.group(*lines, dimension((x, y_from), (x, y_to)), written)


def within(start: Point, end: Point, *, width: float, color: str) -> str:
    """A dimension line that stays between its ends, however short: its heads shrink with it."""
    along = (end[0] - start[0], end[1] - start[1])
    head = min(ARROW_LENGTH, 0.4 * hypot(*along))
    return svg.group(
        svg.line(start, end),
        _arrowhead(start, (-along[0], -along[1]), line_width=width, head=head),
        _arrowhead(end, along, line_width=width, head=head),
        stroke=color,
        color=color,
        stroke_width=width,
    )


def level(y: float, x_from: float, x_to: float, label: str, *, edge: float) -> str:
    """A horizontal dimension with extension lines to an edge of the drawing; its label over it, or behind a short one."""
    outwards, size = -1 if y < edge else 1, svg.SMALL
    if abs(x_to - x_from) >= width_of(label, size=size):
        written = svg.label(((x_from + x_to) / 2, y - 0.8), label, size=size, anchor="middle", fill=svg.MEASURE)
    else:
        written = svg.label((max(x_from, x_to) + 2 * ARROW_LENGTH + 1, y + 0.8), label, size=size, fill=svg.MEASURE)
    return svg.group(
        *(svg.line((x, edge), (x, y + outwards), stroke=svg.MEASURE, stroke_width=svg.THIN) for x in (x_from, x_to)),
        dimension((x_from, y), (x_to, y)),
        written,
    )


def hatch_pattern(name: str) -> str:
    """Hatching for what is solid and stays where it is."""
    return svg.element(
        "pattern",
        svg.line((0, 1.2), (1.2, 0), stroke=svg.GREY, stroke_width=svg.THIN),
        id=name,
        width=1.2,
        height=1.2,
        patternUnits="userSpaceOnUse",
    )


def scale_bar(corner: Point, *, ratio: float, width: float) -> str:
    """A bar of four equal fields, as long as a round number of millimetres that goes into a width."""
    whole = next((length for length in BARS_MM if length / ratio <= width), BARS_MM[-1])
    left, top = corner
    field = whole / ratio / 4
    return svg.group(
        *(
            svg.rectangle(
                (left + index * field, top), field, 1.2, fill=svg.INK if index % 2 else svg.PAPER, stroke_width=svg.THIN
            )
            for index in range(4)
        ),
        svg.text((left, top + 4), "0", size=svg.SMALL, anchor="middle"),
        svg.text((left + 2 * field, top + 4), str(whole // 2), size=svg.SMALL, anchor="middle"),
        svg.text((left + 4 * field + 1, top + 1.6), f"{whole} mm", size=svg.SMALL),
        data_part="scale-bar",
    )

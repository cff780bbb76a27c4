"""Balloons: a number or letter in a circle beside what it marks, where the paper is free, with its meaning in a legend."""

from math import cos, hypot, pi, sin
from typing import NamedTuple

from service.calculation.checks import State
from service.documents import svg
from service.documents.svg import Box, Point

RADIUS = 1.9
ROW = 4.4
"""Paper for a row of a legend, as high as its balloon and the space to the next."""

RINGS = (1.6, 2.4, 3.4, 4.6, 6, 7.5, 9)
"""How far from what it marks a balloon is tried, in its own radius."""

DIRECTIONS = 12


class Disc(NamedTuple):
    """Round paper that is taken: the coil, say."""

    centre: Point
    radius: float

    def meets(self, box: Box) -> bool:
        """Whether an upright rectangle reaches into it."""
        x = min(max(self.centre[0], box.left), box.right) - self.centre[0]
        y = min(max(self.centre[1], box.top), box.bottom) - self.centre[1]
        return hypot(x, y) < self.radius

    def crossed(self, start: Point, end: Point) -> bool:
        """Whether the way from a point outside to another leads through it."""
        along = (end[0] - start[0], end[1] - start[1])
        length = hypot(*along) or 1.0
        to_centre = (self.centre[0] - start[0], self.centre[1] - start[1])
        share = min(max((to_centre[0] * along[0] + to_centre[1] * along[1]) / length**2, 0.0), 1.0)
        nearest = hypot(to_centre[0] - share * along[0], to_centre[1] - share * along[1])
        return nearest < self.radius <= hypot(self.centre[0] - end[0], self.centre[1] - end[1])


Taken = list[Box | Disc]


def around(centre: Point) -> Box:
    """The paper that a balloon takes."""
    reach = RADIUS + svg.MEDIUM
    return Box(centre[0] - reach, centre[1] - reach, 2 * reach, 2 * reach)


def place(target: Point, taken: Taken, page: Box) -> Point:
    """Where a balloon's paper is free, as near to its target as a look around it finds; it is taken from then on."""
    x, y = target
    spots = (
        (x + ring * RADIUS * cos(2 * pi * step / DIRECTIONS), y - ring * RADIUS * sin(2 * pi * step / DIRECTIONS))
        for ring in RINGS
        for step in range(DIRECTIONS)
    )
    for spot in spots:
        paper = around(spot)
        inside = (
            page.left <= paper.left and paper.right <= page.right and page.top <= paper.top and paper.bottom <= page.bottom
        )
        if inside and not any(
            other.meets(paper) or (isinstance(other, Disc) and other.crossed(spot, target)) for other in taken
        ):
            taken.append(paper)
            return spot
    taken.append(around(target))
    return target


def led(centre: Point, target: Point, mark: str, *, state: State = "ok", check: str = "") -> str:
    """A balloon with its leader to the target."""
    away = hypot(target[0] - centre[0], target[1] - centre[1])
    if away <= RADIUS:
        return drawn(centre, mark, state=state, check=check)
    edge = (centre[0] + (target[0] - centre[0]) / away * RADIUS, centre[1] + (target[1] - centre[1]) / away * RADIUS)
    return svg.group(
        svg.line(edge, target, stroke=svg.INK, stroke_width=svg.THIN),
        svg.circle(target, 0.35, fill=svg.INK, stroke="none"),
    ) + drawn(centre, mark, state=state, check=check)


def drawn(centre: Point, mark: str, *, state: State = "ok", radius: float = RADIUS, check: str = "") -> str:
    """A mark in its circle: black where its check fails, with a double ring where it is tight."""
    failing = state == "fails"
    ring = (svg.circle(centre, radius - 0.4, stroke_width=svg.THIN),) if state == "tight" else ()
    return svg.group(
        svg.circle(centre, radius, fill=svg.INK if failing else svg.PAPER, stroke_width=svg.MEDIUM),
        *ring,
        svg.text(
            (centre[0], centre[1] + 0.45 * radius),
            mark,
            size=1.2 * radius,
            anchor="middle",
            bold=True,
            fill=svg.PAPER if failing else svg.INK,
        ),
        **({"data_check": check} if check else {}),
    )

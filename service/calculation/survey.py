"""An opening measured more than once: which size counts, how the jambs stand, and what packs or laps them.

Seen from outside, x runs to the right from the middle of the opening's upper edge. Tracks stand plumb and parallel, so
that in a reveal only the width between the foremost points of both jambs is of use.
"""

from math import hypot, sqrt
from typing import Final, final

from ..audit.rules import rule
from .job import Mount, Opening, Survey

PRACTICE: Final = "common practice"
PLUMB: Final = "jambs of a sheared rectangle, tracks plumb and parallel"
PACKED_AT: Final[tuple[float, ...]] = (0.0, 0.5, 1.0)
"""Where tracks are packed: at the top, in the middle and at the bottom, as shares of the height."""
PACKING_MIN_MM: Final = 0.05
"""Thickness [mm] below which nothing is packed. Source: practice of this project."""


@final
class Packing:
    """What fills the gap between a track and its jamb at a depth below the header's base."""

    def __init__(self, *, side: str, at_mm: float, thickness_mm: float) -> None:
        self.side = side
        self.at_mm = at_mm
        self.thickness_mm = thickness_mm


@final
class Sized:
    """The opening's width and height that count; the rest only where there was a survey.

    `out_of_square_mm` is signed: positive where the opening leans to the right on its way down, as seen from outside.
    `header_width_mm` is the width at the header, `jamb_height_mm` that of the longer jamb. `lap_mm` is the least lap of a
    lapping track.
    """

    def __init__(
        self,
        *,
        width_mm: float,
        height_mm: float,
        header_width_mm: float,
        jamb_height_mm: float,
        taper_mm: float | None,
        out_of_square_mm: float | None,
        disagreement_mm: float | None,
        lap_mm: float | None,
        packing: list[Packing],
    ) -> None:
        self.width_mm = width_mm
        self.height_mm = height_mm
        self.header_width_mm = header_width_mm
        self.jamb_height_mm = jamb_height_mm
        self.taper_mm = taper_mm
        self.out_of_square_mm = out_of_square_mm
        self.disagreement_mm = disagreement_mm
        self.lap_mm = lap_mm
        self.packing = packing


def least_width_mm(*, widths_mm: tuple[float, ...]) -> float:
    """The least of the widths [mm]."""
    return min(widths_mm)


rule(least_width_mm, symbol="w", unit="mm", formula="w = least of the widths", basis="practice", source=PRACTICE)


def opening_height_mm(*, heights_mm: tuple[float, ...]) -> float:
    """Height that counts [mm]: the least of the readings."""
    return min(heights_mm)


rule(opening_height_mm, symbol="h", unit="mm", formula="h = least of the heights", basis="practice", source=PRACTICE)


def taper_mm(*, widths_mm: tuple[float, ...], heights_mm: tuple[float, ...]) -> float:
    """Taper [mm]: how much the readings of one dimension differ, of widths and heights the greater."""
    return max(max(widths_mm) - min(widths_mm), max(heights_mm) - min(heights_mm))


rule(
    taper_mm,
    symbol="taper",
    unit="mm",
    formula="taper = greatest - least, of widths and heights the greater",
    basis="geometry",
    source="difference of the readings",
)


def out_of_square_sine(
    *, widths_mm: tuple[float, ...], heights_mm: tuple[float, ...], diagonals_mm: tuple[float, ...]
) -> float:
    """Sine of the angle [1] by which the opening's corners miss the right angle, positive where it leans to the right."""
    first, second = diagonals_mm
    width = sum(widths_mm) / len(widths_mm)
    height = sum(heights_mm) / len(heights_mm)
    return (first * first - second * second) / (4 * width * height)


rule(
    out_of_square_sine,
    symbol="sin ε",
    unit="1",
    formula="sin ε = (d1² - d2²)/(4·w·h), w and h the means",
    basis="geometry",
    source="law of cosines on both diagonals of a parallelogram",
)


def lean_mm(*, heights_mm: tuple[float, ...], sine: float) -> float:
    """How far the opening leans to the right over its mean height [mm]."""
    return sum(heights_mm) / len(heights_mm) * sine


rule(
    lean_mm,
    symbol="S",
    unit="mm",
    formula="S = h·sin ε, h the mean height",
    basis="geometry",
    source="definition of the sine",
)


def diagonals_disagreement_mm(
    *, widths_mm: tuple[float, ...], heights_mm: tuple[float, ...], diagonals_mm: tuple[float, ...]
) -> float:
    """How far the diagonals contradict the mean width and height [mm]."""
    first, second = diagonals_mm
    width = sum(widths_mm) / len(widths_mm)
    height = sum(heights_mm) / len(heights_mm)
    return abs(sqrt((first * first + second * second) / 2) - hypot(width, height))


rule(
    diagonals_disagreement_mm,
    symbol="Δd",
    unit="mm",
    formula="Δd = |√((d1² + d2²)/2) - √(w² + h²)|, w and h the means",
    basis="geometry",
    source="parallelogram law: d1² + d2² = 2·(w² + h²)",
)


def left_edges_mm(*, widths_mm: tuple[float, ...], lean_mm: float) -> list[float]:
    """Where the left jamb stands at each width, from the top [mm]; shape (widths,)."""
    last = len(widths_mm) - 1
    return [index / last * lean_mm - width / 2 for index, width in enumerate(widths_mm)]


rule(left_edges_mm, symbol="l", unit="mm", formula="l = f·S - w/2", basis="geometry", source=PLUMB)


def right_edges_mm(*, widths_mm: tuple[float, ...], lean_mm: float) -> list[float]:
    """Where the right jamb stands at each width, from the top [mm]; shape (widths,)."""
    last = len(widths_mm) - 1
    return [index / last * lean_mm + width / 2 for index, width in enumerate(widths_mm)]


rule(right_edges_mm, symbol="r", unit="mm", formula="r = f·S + w/2", basis="geometry", source=PLUMB)


def usable_width_mm(*, left_edges_mm: list[float], right_edges_mm: list[float]) -> float:
    """Width between plumb tracks that stand between the jambs [mm]."""
    return min(right_edges_mm) - max(left_edges_mm)


rule(usable_width_mm, symbol="w", unit="mm", formula="w = min r - max l", basis="geometry", source=PLUMB)


def packing_left_mm(*, left_edges_mm: list[float], depth_share: float) -> float:
    """What packs the left track at a share of the height from the top [mm]."""
    return max(left_edges_mm) - _between(left_edges_mm, depth_share)


rule(
    packing_left_mm,
    symbol="k_l",
    unit="mm",
    formula="k_l = max l - l, linear between the readings",
    basis="geometry",
    source=PLUMB,
)


def packing_right_mm(*, right_edges_mm: list[float], depth_share: float) -> float:
    """What packs the right track at a share of the height from the top [mm]."""
    return _between(right_edges_mm, depth_share) - min(right_edges_mm)


rule(
    packing_right_mm,
    symbol="k_r",
    unit="mm",
    formula="k_r = r - min r, linear between the readings",
    basis="geometry",
    source=PLUMB,
)


def packed_at_mm(*, opening_height_mm: float, depth_share: float) -> float:
    """How far below the header's base a track is packed [mm]."""
    return depth_share * opening_height_mm


rule(
    packed_at_mm,
    symbol="z_k",
    unit="mm",
    formula="z_k = share·h",
    basis="practice",
    source=f"{PRACTICE}: at the top, in the middle and at the bottom",
)


def least_lap_mm(
    *, left_edges_mm: list[float], right_edges_mm: list[float], width_mm: float, track_beyond_mm: float
) -> float:
    """The least lap of a track over an edge of the opening [mm]; negative where the edge lies open."""
    left, right = _laps_mm(left_edges_mm, right_edges_mm, width_mm, track_beyond_mm)
    return min(left + right)


rule(
    least_lap_mm,
    symbol="lap",
    unit="mm",
    formula="lap = least of l - c + w/2 + beyond and c + w/2 + beyond - r, c = (max l + min r)/2",
    basis="geometry",
    source=f"{PLUMB}, centred between the foremost points of both jambs",
)


def _between(values: list[float], share: float) -> float:
    """The value at a share of an evenly spaced list, linear between neighbours."""
    position = share * (len(values) - 1)
    index = min(int(position), len(values) - 2)
    return values[index] + (position - index) * (values[index + 1] - values[index])


def plumb_width_mm(survey: Survey) -> float:
    """The width between plumb tracks that a survey leaves [mm], without a trace: for those who check a request."""
    left, right = _edges_mm(survey, _lean_mm(survey))
    return usable_width_mm(left_edges_mm=left, right_edges_mm=right)


def laps_mm(survey: Survey, *, track_beyond_mm: float) -> tuple[list[float], list[float]]:
    """The left and the right track's laps over the opening's edges at each width, from the top [mm], without a trace.

    For those who tell where tracks stand. Shapes (widths,); negative where an edge lies open.
    """
    left, right = _edges_mm(survey, _lean_mm(survey))
    return _laps_mm(left, right, least_width_mm(widths_mm=survey.widths_mm), track_beyond_mm)


def _lean_mm(survey: Survey) -> float:
    """How far an opening leans to the right [mm]; one whose diagonals nobody measured counts as square."""
    if not survey.diagonals_mm:
        return 0.0
    sine = out_of_square_sine(widths_mm=survey.widths_mm, heights_mm=survey.heights_mm, diagonals_mm=survey.diagonals_mm)
    return lean_mm(heights_mm=survey.heights_mm, sine=sine)


def _edges_mm(survey: Survey, lean: float) -> tuple[list[float], list[float]]:
    """Where the left and the right jamb stand at each width, from the top [mm]."""
    left = left_edges_mm(widths_mm=survey.widths_mm, lean_mm=lean)
    return left, right_edges_mm(widths_mm=survey.widths_mm, lean_mm=lean)


def _laps_mm(left: list[float], right: list[float], width: float, beyond: float) -> tuple[list[float], list[float]]:
    """The laps over edges that stand there of tracks that are centred between the foremost points [mm]."""
    middle = (max(left) + min(right)) / 2
    reach = width / 2 + beyond
    return [edge - middle + reach for edge in left], [middle + reach - edge for edge in right]


def size(opening: Opening, mount: Mount) -> Sized:
    """The width and height that count for a mount, and what a survey says beside them."""
    measured = opening.survey
    lapping = mount.id == "face"
    if measured is None:
        return Sized(
            width_mm=opening.width_mm,
            height_mm=opening.height_mm,
            header_width_mm=opening.width_mm,
            jamb_height_mm=opening.height_mm,
            taper_mm=None,
            out_of_square_mm=None,
            disagreement_mm=None,
            lap_mm=mount.track_beyond_mm if lapping else None,
            packing=[],
        )
    widths, heights, diagonals = measured.widths_mm, measured.heights_mm, measured.diagonals_mm
    lean, disagreement = _lean_mm(measured), None
    if diagonals:
        disagreement = diagonals_disagreement_mm(widths_mm=widths, heights_mm=heights, diagonals_mm=diagonals)
    left, right = _edges_mm(measured, lean)
    height = opening_height_mm(heights_mm=heights)
    lap: float | None = None
    packing: list[Packing] = []
    if lapping:
        width = least_width_mm(widths_mm=widths)
        lap = least_lap_mm(left_edges_mm=left, right_edges_mm=right, width_mm=width, track_beyond_mm=mount.track_beyond_mm)
    else:
        width = usable_width_mm(left_edges_mm=left, right_edges_mm=right)
        packing = _packing(left, right, height)
    return Sized(
        width_mm=width,
        height_mm=height,
        header_width_mm=widths[0],
        jamb_height_mm=max(heights),  # what is too long can still be cut
        taper_mm=taper_mm(widths_mm=widths, heights_mm=heights),
        out_of_square_mm=lean if diagonals else None,
        disagreement_mm=disagreement,
        lap_mm=lap,
        packing=packing,
    )


def _packing(left_edges: list[float], right_edges: list[float], height_mm: float) -> list[Packing]:
    """What packs both tracks at the top, in the middle and at the bottom."""
    packed = []
    for share in PACKED_AT:
        left = packing_left_mm(left_edges_mm=left_edges, depth_share=share)
        right = packing_right_mm(right_edges_mm=right_edges, depth_share=share)
        at = packed_at_mm(opening_height_mm=height_mm, depth_share=share)
        for side, thickness in (("left", left), ("right", right)):
            if thickness >= PACKING_MIN_MM:
                packed.append(Packing(side=side, at_mm=at, thickness_mm=thickness))
    return packed

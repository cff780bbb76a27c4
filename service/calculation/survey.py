"""An opening measured more than once: which size counts, and how far from a true rectangle it is."""

from math import hypot, sqrt

from service.audit.recorder import Use, plain
from service.audit.rules import rule
from service.calculation.job import Opening

PRACTICE = "common practice"


@rule(symbol="w", unit="mm", formula="w = least of the widths", basis="practice", source=PRACTICE)
def opening_width_mm(*, widths_mm: tuple[float, ...]) -> float:
    """Width that counts [mm]: the least of the readings."""
    return min(widths_mm)


@rule(symbol="h", unit="mm", formula="h = least of the heights", basis="practice", source=PRACTICE)
def opening_height_mm(*, heights_mm: tuple[float, ...]) -> float:
    """Height that counts [mm]: the least of the readings."""
    return min(heights_mm)


@rule(symbol="taper", unit="mm", formula="taper = greatest - least", basis="geometry", source="difference of the readings")
def taper_mm(*, readings_mm: tuple[float, ...]) -> float:
    """Taper [mm]: how much the readings of one dimension differ."""
    return max(readings_mm) - min(readings_mm)


@rule(
    symbol="sin ε",
    unit="1",
    formula="sin ε = |d1² - d2²|/(4·w·h), w and h the means",
    basis="geometry",
    source="law of cosines on both diagonals of a parallelogram",
)
def out_of_square_sine(
    *, widths_mm: tuple[float, ...], heights_mm: tuple[float, ...], diagonals_mm: tuple[float, float]
) -> float:
    """Sine of the angle [1] by which the opening's corners miss the right angle."""
    first, second = diagonals_mm
    width = sum(widths_mm) / len(widths_mm)
    height = sum(heights_mm) / len(heights_mm)
    return abs(first * first - second * second) / (4 * width * height)


@rule(symbol="e", unit="mm", formula="e = h·sin ε, h the mean height", basis="geometry", source="definition of the sine")
def out_of_square_mm(*, heights_mm: tuple[float, ...], sine: float) -> float:
    """How far the opening leans over its mean height [mm]."""
    return sum(heights_mm) / len(heights_mm) * sine


@rule(
    symbol="Δd",
    unit="mm",
    formula="Δd = |√((d1² + d2²)/2) - √(w² + h²)|, w and h the means",
    basis="geometry",
    source="parallelogram law: d1² + d2² = 2·(w² + h²)",
)
def diagonals_disagreement_mm(
    *, widths_mm: tuple[float, ...], heights_mm: tuple[float, ...], diagonals_mm: tuple[float, float]
) -> float:
    """How far the diagonals contradict the mean width and height [mm]."""
    first, second = diagonals_mm
    width = sum(widths_mm) / len(widths_mm)
    height = sum(heights_mm) / len(heights_mm)
    return abs(sqrt((first * first + second * second) / 2) - hypot(width, height))


def sized(opening: Opening, use: Use = plain) -> Opening:
    """The opening with the width and height that count: its own, or the least readings of its survey."""
    if opening.survey is None:
        return opening
    return opening._replace(
        width_mm=use(opening_width_mm)(widths_mm=opening.survey.widths_mm),
        height_mm=use(opening_height_mm)(heights_mm=opening.survey.heights_mm),
    )

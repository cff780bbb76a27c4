"""What one would say on the phone: the headline and a few lines, figures rounded so."""

from typing import Final

from service.calculation.fitting import Calculated

from .findings import BEYOND_SMALL_BOW, beyond_small_bow
from .languages import Language, marked

HEADLINES: Final = {
    "fits": marked("Fits: slat count {slats}, slat {slat}, tube {tube}, side plate {plate}."),
    "fits_with_cautions": marked("Fits, with cautions: slat count {slats}, slat {slat}, tube {tube}, side plate {plate}."),
    "does_not_fit": marked("Does not fit. The nearest: slat count {slats}, slat {slat}, tube {tube}, side plate {plate}."),
}

VERDICTS: Final = {
    "fits": marked("Fits"),
    "fits_with_cautions": marked("Fits, with cautions"),
    "does_not_fit": marked("Does not fit"),
}
"""The verdicts by themselves."""


def headline_of(calculated: Calculated, language: Language) -> str:
    """The verdict with the shutter that it is of."""
    made = calculated.answer.curtain
    return language.say(
        HEADLINES[calculated.answer.verdict],
        slats=made.slat_count,
        slat=made.slat,
        tube=made.tube,
        plate=calculated.answer.side_plate.id,
    )


def lines_of(calculated: Calculated, language: Language) -> tuple[str, ...]:
    """The figures that one asks for first."""
    lines: list[str] = []
    if beyond_small_bow(calculated):
        lines.append(language.name(BEYOND_SMALL_BOW))
    return tuple(lines)

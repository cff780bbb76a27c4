"""What one would say on the phone: the headline and a few lines, figures rounded so."""

from typing import Final

from service.calculation.alternatives import worst_must
from service.calculation.fitting import Calculated

from .findings import LABELS, beyond_small_bow
from .languages import marked
from .page import Page

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


WORST: Final = marked("What stands most against it: {check}.")
COIL: Final = marked("Rolled up, the curtain is {coil} mm across; open, {wide} × {high} mm of the opening are clear.")
PLACE: Final = marked(
    "The bracket is {bracket_front} mm from the side plate's front edge and {bracket_base} mm above its lower edge, the "
    "wheel {wheel_front} mm and {wheel_base} mm."
)
CUT: Final = marked(
    "Cut lengths: slats {slat_length} mm, tube {tube_length} mm, tracks {track_length} mm, top seal {seal} {cut} mm along "
    "its long edge."
)
ONE_SPRING: Final = marked(
    "One spring of {wire} mm wire with {coils} coils; turns in it: {open} with the shutter open, {closed} closed."
)
TWO_SPRINGS: Final = marked(
    "Two springs alike, of {wire} mm wire with {coils} coils; turns in each: {open} with the shutter open, {closed} closed."
)
HAND: Final = marked("Moving the shutter takes up to {force} N by hand.")
BEYOND_SMALL_BOW_LINE: Final = marked(
    "In the wind the slats bow by more than a tenth of their length: the figures of bow, stress and engagement suppose "
    "small deflections and are not valid here."
)
NO_SPRING: Final = marked("No spring that the catalogue offers balances this curtain in this tube.")
MASS_FOR_ONE: Final = marked("The curtain weighs {mass} kg; one person can lift it with its tube.")
MASS_FOR_TWO: Final = marked("The curtain weighs {mass} kg; two people lift it with its tube.")
MASS_FOR_MORE: Final = marked("The curtain weighs {mass} kg; two people lift it with its tube, with a trestle or lift.")


def headline_of(calculated: Calculated, page: Page) -> None:
    """Write the verdict with the shutter that it is of."""
    page.put(page.language.sentence(HEADLINES[calculated.answer.verdict]))


def lines_of(calculated: Calculated, page: Page) -> None:
    """Write the figures that one asks for first."""
    answer, lifting, language = calculated.answer, calculated.answer.lifting, page.language
    if answer.verdict == "does_not_fit":
        page.figures["check"] = language.name(LABELS[worst_must(answer.checks).row.id]).encode()
        page.put(language.line(WORST))
    page.put(language.line(COIL))
    page.put(language.line(PLACE))
    page.put(language.line(CUT))
    if calculated.choice.made:
        page.put(language.line(TWO_SPRINGS if answer.balance.spring_count > 1 else ONE_SPRING))
        page.put(language.line(HAND))
    else:
        page.put(language.line(NO_SPRING))
    page.put(language.line(MASS_FOR_MORE if lifting.lift_needed else MASS_FOR_TWO if lifting.persons > 1 else MASS_FOR_ONE))
    if beyond_small_bow(calculated):
        page.put(language.line(BEYOND_SMALL_BOW_LINE))

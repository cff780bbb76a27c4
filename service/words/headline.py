"""What one would say on the phone: the headline and a few lines, figures rounded so."""

from typing import Final

from service.calculation.alternatives import worst_must
from service.calculation.fitting import Calculated

from .findings import LABELS, beyond_small_bow
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


WORST: Final = marked("What stands most against it: {check}.")
COIL: Final = marked("Rolled up, the curtain is {diameter} mm across; open, {wide} × {high} mm of the opening are clear.")
PLACE: Final = marked(
    "The bracket is {bracket_front} mm from the side plate's front edge and {bracket_base} mm above its lower edge, the "
    "wheel {wheel_front} mm and {wheel_base} mm."
)
CUT: Final = marked(
    "Cut lengths: slats {slat} mm, tube {tube} mm, tracks {track} mm, top seal {profile} {seal} mm along its long edge."
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


def headline_of(calculated: Calculated, language: Language) -> bytes:
    """The verdict with the shutter that it is of, as an answer has it."""
    made = calculated.answer.curtain
    figures = {
        "slats": str(made.slat_count),
        "slat": made.slat,
        "tube": made.tube,
        "plate": calculated.answer.side_plate.id,
    }
    return language.line(HEADLINES[calculated.answer.verdict], figures)


def lines_of(calculated: Calculated, language: Language) -> list[bytes]:
    """The figures that one asks for first, as an answer has them."""
    answer, numbers = calculated.answer, language.numbers
    made, seals, balance, lifting = answer.curtain, answer.seals, answer.balance, answer.lifting
    figures = {
        "diameter": numbers.tenths(2 * calculated.trial.radius_checked_mm),
        "wide": numbers.whole(answer.daylight.width_mm),
        "high": numbers.whole(answer.daylight.height_mm),
        "bracket_front": numbers.tenths(answer.bracket.from_plate_front_mm),
        "bracket_base": numbers.tenths(answer.bracket.from_plate_base_mm),
        "wheel_front": numbers.tenths(answer.wheel.from_plate_front_mm),
        "wheel_base": numbers.tenths(answer.wheel.from_plate_base_mm),
        "slat": numbers.tenths(made.slat_length_mm),
        "tube": numbers.tenths(made.tube_length_mm),
        "track": numbers.tenths(answer.tracks.length_mm),
        "profile": seals.top_profile,
        "seal": numbers.tenths(seals.top_cut_length_mm),
        "wire": numbers.given(balance.wire_mm),
        "coils": str(balance.coils),
        "open": numbers.tenths(balance.pretension_turns),
        "closed": numbers.tenths(balance.turns_closed),
        "force": numbers.whole(balance.hand_force_max_n),
        "mass": numbers.tenths(made.mass_kg),
    }
    lines = [COIL, PLACE, CUT]
    if answer.verdict == "does_not_fit":
        figures["check"] = language.name(LABELS[worst_must(answer.checks).row.id])
        lines.insert(0, WORST)
    if calculated.choice.made:
        lines += [TWO_SPRINGS if balance.spring_count > 1 else ONE_SPRING, HAND]
    else:
        lines.append(NO_SPRING)
    lines.append(MASS_FOR_MORE if lifting.lift_needed else MASS_FOR_TWO if lifting.persons > 1 else MASS_FOR_ONE)
    if beyond_small_bow(calculated):
        lines.append(BEYOND_SMALL_BOW_LINE)
    return [language.line(text, figures) for text in lines]

"""What other questions are answered with: cures, limits and alternatives."""

from collections.abc import Sequence
from typing import Final

from service.calculation.alternatives import Alternative
from service.calculation.checks import Check
from service.calculation.cures import Change, Cure
from service.calculation.limits import Limits

from .findings import LABELS
from .languages import Language, marked
from .model import Label

CHANGES: Final = {
    "/shutter/tube": marked("Take the tube {value}."),
    "/shutter/side_plate": marked("Take the side plate {value}."),
    "/shutter/slat": marked("Take the slat {value}."),
    "/shutter/slat_count": marked("Make the slat count {value}."),
    "/shutter/measured_coil_radius_mm": marked("Leave the measured coil radius out: the computed coil has room."),
    "/opening/headroom_mm": marked("Make the headroom {value} mm."),
    "/opening/depth_mm": marked("Make the depth {value} mm."),
    "/opening/survey": marked("State the usable size in place of the survey."),
    "/opening/width_mm": marked("Make the opening {value} mm wide."),
    "/opening/height_mm": marked("Make the opening {value} mm high."),
    "/duty/road_speed_km_h": marked("Keep the road speed down to {value} km/h."),
}
"""What is changed, by the member of the request."""

PLATE_RAISED: Final = marked("Set the side plates {value} mm above the mount's normal place.")
PLATE_LOWERED: Final = marked("Set the side plates {value} mm below the mount's normal place.")
PLATE_NORMAL: Final = marked("Set the side plates at the mount's normal place.")
MOUNTS: Final = {
    "reveal": marked("Mount the tracks in the reveal, between the jambs."),
    "face": marked("Mount the tracks on the inner face, lapping over the opening's edges."),
}
NO_CURE: Final = marked("No single change and no pair of changes that was tried makes this shutter fit.")

ENDS_GREATER: Final = marked("What ends the height: {height}. What ends the width: {width}.")
ENDS_LESS: Final = marked("What ends a lesser width: {width}; a lesser headroom: {headroom}; a lesser depth: {depth}.")
END_OF_RANGE: Final = marked("the end of what is calculated")
NOTHING_FITS: Final = marked("Near what was asked nothing can be built with this slat and mount. What fails worst: {check}.")

NONE_FITS: Final = marked(
    "None of the combinations fits. The nearest is slat {slat}, tube {tube}, side plate {plate}, mount {mount}; what fails "
    "worst there: {check}."
)
ONLY_ONE: Final = marked(
    "The only combination: slat {slat}, tube {tube}, side plate {plate}, mount {mount}, with {margin} mm to spare where "
    "there is least room ({check})."
)
BEST_BY_VERDICT: Final = marked(
    "The best: slat {slat}, tube {tube}, side plate {plate}, mount {mount}, with {margin} mm to spare where there is least "
    "room ({check}); no other combination has as good a verdict."
)
BEST_BY_MARGIN: Final = marked(
    "The best: slat {slat}, tube {tube}, side plate {plate}, mount {mount}, with {margin} mm to spare where there is least "
    "room ({check}); the next has {next_margin} mm."
)
BEST_BY_MASS: Final = marked(
    "The best: slat {slat}, tube {tube}, side plate {plate}, mount {mount}, with {margin} mm to spare where there is least "
    "room ({check}); the next has as much, but its curtain weighs {next_mass} kg against {mass} kg."
)
BEST_BY_ORDER: Final = marked(
    "The best: slat {slat}, tube {tube}, side plate {plate}, mount {mount}, with {margin} mm to spare where there is least "
    "room ({check}); the next is equal and stands after it in the catalogue."
)
MOUNT_NAMES: Final = {"reveal": marked("in the reveal"), "face": marked("on the inner face")}


def cures_of(cures: Sequence[Cure], language: Language) -> tuple[Label, ...]:
    """What each cure changes."""
    return tuple(
        [
            Label(f"c{number}", " ".join([_change(one, language) for one in cure.changes]))
            for number, cure in enumerate(cures, 1)
        ]
    )


def _change(change: Change, language: Language) -> str:
    """One change."""
    pointer, value = change.pointer, change.value
    if pointer == "/shutter/mount":
        return language.name(MOUNTS[str(value)])
    if not isinstance(value, float):
        return language.say(CHANGES[pointer], value=str(value))
    shown = language.numbers.tenths(abs(value))
    if pointer == "/opening/plate_offset_mm":
        return language.say(PLATE_RAISED if value > 0 else PLATE_LOWERED if value < 0 else PLATE_NORMAL, value=shown)
    return language.say(CHANGES[pointer], value=shown)


def limits_reason_of(limits: Limits, language: Language) -> str:
    """What ends the limits of what can be built, or what fails where nothing can."""
    if limits.built.height_max_mm is None:
        check = limits.ended_by.get("height_max_mm")
        return language.say(NOTHING_FITS, check=_named(check, language))
    ended = limits.ended_by.get
    greater = language.say(
        ENDS_GREATER, height=_named(ended("height_max_mm"), language), width=_named(ended("width_max_mm"), language)
    )
    less = language.say(
        ENDS_LESS,
        width=_named(ended("width_min_mm"), language),
        headroom=_named(ended("headroom_min_mm"), language),
        depth=_named(ended("depth_min_mm"), language),
    )
    return f"{greater} {less}"


def _named(check: Check | None, language: Language) -> str:
    """A check's name, or that there is none."""
    return language.name(END_OF_RANGE if check is None else LABELS[check.row.id])


def best_reason_of(ranked: Sequence[Alternative], language: Language) -> str:
    """Why the first of ranked alternatives is the best."""
    best, following = ranked[0], ranked[min(1, len(ranked) - 1)]
    text = ONLY_ONE if len(ranked) == 1 else BEST_BY_ORDER
    for mine, other, why in zip(best.merit, following.merit, (BEST_BY_VERDICT, BEST_BY_MARGIN, BEST_BY_MASS), strict=True):
        if mine != other:
            text = why
            break
    if best.verdict == "does_not_fit":
        text = NONE_FITS
    made = best.combination
    margin, next_margin = language.numbers.apart(best.worst.margin_mm, following.worst.margin_mm)
    if text != BEST_BY_MARGIN:
        margin = language.numbers.tenths(best.worst.margin_mm)
    mass, next_mass = language.numbers.apart(best.answer.curtain.mass_kg, following.answer.curtain.mass_kg)
    return language.say(
        text,
        slat=made.slat.id,
        tube=made.tube.id,
        plate=made.side_plate.id,
        mount=language.name(MOUNT_NAMES[made.mount.id]),
        check=language.name(LABELS[best.worst.row.id]),
        margin=margin,
        mass=mass,
        next_margin=next_margin,
        next_mass=next_mass,
    )

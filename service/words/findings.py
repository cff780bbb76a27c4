"""What checks and warnings say: the name of each check, the message of each finding, and what would remedy it."""

from typing import Final

from service.calculation import strength, warnings
from service.calculation.checks import Check
from service.calculation.fitting import Calculated
from service.calculation.warnings import Warning

from .languages import Language, marked
from .numbers import TENTHS
from .page import Page

LABELS: Final = {
    "plate_height": marked("Top of the side plate below the roof"),
    "plate_depth": marked("Rear edge of the side plate before the rear obstruction"),
    "wheel_above_header": marked("Wheel hole above the header's base"),
    "track_entry": marked("Offset of the slat at the track's mouth"),
    "header_gap": marked("Gap between header and curtain"),
    "side_gap": marked("Gap between slat end and side plate"),
    "roof_clearance": marked("Clearance between coil and roof"),
    "wheel_clearance": marked("Clearance between coil and wheel"),
    "rear_clearance": marked("Clearance between coil and rear obstruction"),
    "header_clearance": marked("Clearance between coil and header"),
    "obstacle_clearance": marked("Clearance between coil and nearest obstacle"),
    "curtain_obstacle": marked("Clearance between curtain and nearest obstacle"),
    "plate_obstacle": marked("Distance between side plate and nearest obstacle"),
    "load_gap": marked("Bow of the slats towards the load"),
    "path_over_wheel": marked("Rise of the curtain from wheel to coil"),
    "hinge_on_tube": marked("Bend of the hinges on the tube"),
    "hinge_on_wheel": marked("Bend of the hinges on the wheel"),
    "curtain_covers": marked("Slat count of the given curtain"),
    "slat_width": marked("Width of the opening for this slat"),
    "engagement": marked("Engagement of the cold slat"),
    "held_in_track": marked("Engagement that holds the curtain in the wind"),
    "slat_yield": marked("Stress of the slats in the wind against the proof stress"),
    "spring_made": marked("Springs that can be made"),
    "opening_taper": marked("Taper of the opening"),
    "opening_square": marked("Opening out of square"),
    "track_lap": marked("Lap of the tracks over the opening's edges"),
    "seal_reach": marked("Gap at the header outside the top seal's reach"),
    "slat_stress": marked("Stress of the slats in the wind with safety in hand"),
    "slat_bow": marked("Bow of the slats in the wind"),
    "engagement_bowed": marked("Engagement of the cold, bowed slat"),
    "tube_sag": marked("Sag of the tube"),
    "spring_stress": marked("Stress of the springs"),
    "spring_fatigue": marked("Safety of the springs against fatigue"),
    "spring_length": marked("Length of the springs in the tube"),
    "spring_bore": marked("Bore of the wound spring"),
    "hand_force": marked("Greatest hand force over the lift"),
    "holds_open": marked("Lift left at the open end"),
    "voltage_drop": marked("Voltage lost in the cable"),
    "pull_strap_reach": marked("Length of the pull strap"),
}
"""What each check is called."""

FAILS: Final = {
    "plate_height": marked(
        "The side plate reaches up to {value} mm above the header's base; the roof is at {limit} mm, {short} mm too low."
    ),
    "plate_depth": marked(
        "The side plate reaches {value} mm into the compartment; the rear obstruction is at {limit} mm, {short} mm too near."
    ),
    "wheel_above_header": marked("The wheel hole lies {short} mm below the header's base; it may not lie below it."),
    "track_entry": marked(
        "At the track's mouth the slat runs {value} mm off the middle; the slot allows {limit} mm, {short} mm less."
    ),
    "header_gap": marked("The curtain runs {value} mm behind the header; at least {limit} mm are needed, {short} mm more."),
    "side_gap": marked(
        "The slat ends stand {value} mm off the side plate; at least {limit} mm are needed, {short} mm more."
    ),
    "roof_clearance": marked("The coil clears the roof by {value} mm; at least {limit} mm are needed, {short} mm more."),
    "wheel_clearance": marked("The coil clears the wheel by {value} mm; at least {limit} mm are needed, {short} mm more."),
    "rear_clearance": marked(
        "The coil clears the rear obstruction by {value} mm; at least {limit} mm are needed, {short} mm more."
    ),
    "header_clearance": marked("The coil clears the header by {value} mm; at least {limit} mm are needed, {short} mm more."),
    "obstacle_clearance": marked(
        "The coil clears the nearest obstacle by {value} mm; at least {limit} mm are needed, {short} mm more."
    ),
    "curtain_obstacle": marked(
        "The curtain clears the nearest obstacle by {value} mm; at least {limit} mm are needed, {short} mm more."
    ),
    "plate_obstacle": marked("The side plate and the nearest obstacle overlap by {short} mm."),
    "load_gap": marked("In the wind a slat bows by {value} mm; the load stands {limit} mm behind it, {short} mm too near."),
    "path_over_wheel": marked(
        "The curtain rises from wheel to coil at {value}°; above {limit}° it no longer touches the wheel, {short}° less are "
        "needed."
    ),
    "hinge_on_tube": marked("On the tube the hinges bend by {value}°; they bear {limit}°, {short}° less."),
    "hinge_on_wheel": marked("On the wheel the hinges bend by {value}°; they bear {limit}°, {short}° less."),
    "curtain_covers": marked("The given slat count is {value}; closing the opening takes {limit}, {short} more."),
    "slat_width": marked("The opening is {value} mm wide; this slat is made for {limit} mm at most, {short} mm less."),
    "engagement": marked(
        "At the coldest, pushed hard to one side, the slat engages the other track by {value} mm; at least {limit} mm are "
        "needed, {short} mm more."
    ),
    "held_in_track": marked(
        "At the coldest and bowed by the wind, the slat engages the track by {value} mm; at least {limit} mm are needed to "
        "hold it, {short} mm more."
    ),
    "slat_yield": marked(
        "In the wind a slat is stressed by {value} MPa; beyond {limit} MPa it stays bent, {short} MPa are too much."
    ),
    "spring_made": marked("No spring that the catalogue offers balances this curtain in this tube."),
    "opening_taper": marked("The opening's widths differ by {value} mm; at most {limit} mm are in order, {short} mm less."),
    "opening_square": marked(
        "The opening is {value} mm out of square over its height; at most {limit} mm are in order, {short} mm less."
    ),
    "track_lap": marked(
        "At its narrowest a track laps the opening's edge by {value} mm; at least {limit} mm are wanted, {short} mm more."
    ),
    "seal_reach": marked("The gap at the header is {value} mm outside what the nearest top seal {seal} reaches."),
    "slat_stress": marked(
        "In the wind a slat is stressed by {value} MPa; with safety in hand {limit} MPa are allowed, {short} MPa less."
    ),
    "slat_bow": marked("In the wind a slat bows by {value} mm; at most {limit} mm are wanted, {short} mm less."),
    "engagement_bowed": marked(
        "At the coldest and bowed by the wind, the slat engages the track by {value} mm; at least {limit} mm are wanted, "
        "{short} mm more."
    ),
    "tube_sag": marked("The tube sags by {value} mm; at most {limit} mm are wanted, {short} mm less."),
    "spring_stress": marked("The springs are stressed by {value} MPa; they bear {limit} MPa, {short} MPa less."),
    "spring_fatigue": marked(
        "Against fatigue the springs have a safety of {value} over their service life; at least {limit} is wanted, {short} "
        "more."
    ),
    "spring_length": marked("The springs take {value} mm of the tube; it has room for {limit} mm, {short} mm less."),
    "spring_bore": marked(
        "Fully wound, the spring is {value} mm wide inside; the shaft needs {limit} mm at least, {short} mm more."
    ),
    "hand_force": marked("Moving the shutter takes up to {value} N by hand; {limit} N are allowed, {short} N less."),
    "holds_open": marked(
        "At the open end the springs lift with {value} N more than the weight; at least {limit} N hold it open, {short} N "
        "more."
    ),
    "voltage_drop": marked("The cable loses {value} % of the voltage; at most {limit} % are wanted, {short} % less."),
    "pull_strap_reach": marked(
        "The pull strap is {value} mm long; stowed behind the closed shutter it may be {limit} mm at most, {short} mm less."
    ),
}
"""What is said where a check fails."""

TIGHT_AT_MOST: Final = marked(
    "{label}: {value} mm, {limit} mm at most. The {short} mm to spare are less than the measuring tolerance of {tolerance} "
    "mm."
)
TIGHT_AT_LEAST: Final = marked(
    "{label}: {value} mm, {limit} mm at least. The {short} mm to spare are less than the measuring tolerance of {tolerance} "
    "mm."
)

LEAVES_THE_TRACK: Final = marked("The slats come out of the track.")
BEYOND_SMALL_BOW: Final = marked(
    "It bows by more than a tenth of its length: the figures of bow, stress and engagement suppose small deflections and "
    "are not valid here."
)
OUT_OF_TRACK: Final = ("engagement", "held_in_track", "engagement_bowed")
"""Checks whose value below 0 means that a slat leaves its track."""

REMEDIES: Final = {
    "plate_height": marked("For this check alone: {value} mm more headroom, or the side plate {value} mm lower."),
    "plate_depth": marked("For this check alone: {value} mm more depth."),
    "wheel_above_header": marked("For this check alone: the side plate {value} mm higher."),
    "track_entry": marked(
        "For this check alone: the side plate higher, or a track slot at least {value} mm wide where the catalogue has one."
    ),
    "header_gap": marked(
        "For this check alone: the curtain {value} mm further inwards, which takes a wheel or mount that the catalogue may "
        "not have."
    ),
    "side_gap": marked("For this check alone: {value} mm more between slat end and side plate: slats cut shorter."),
    "roof_clearance": marked("For this check alone: {value} mm more headroom."),
    "wheel_clearance": marked("For this check alone: the bracket {value} mm further from the wheel."),
    "rear_clearance": marked("For this check alone: {value} mm more depth."),
    "header_clearance": marked("For this check alone: the bracket {value} mm further from the header."),
    "obstacle_clearance": marked("For this check alone: the obstacle {value} mm further from the coil."),
    "curtain_obstacle": marked("For this check alone: the obstacle {value} mm further from the curtain."),
    "plate_obstacle": marked("For this check alone: the obstacle {value} mm further from the side plate."),
    "load_gap": marked(
        "For this check alone: the load {short} mm further from the curtain, or a road speed of {value} km/h at most."
    ),
    "path_over_wheel": marked(
        "For this check alone: the bracket lower or further inwards, until the rise is {value}° less."
    ),
    "hinge_on_tube": marked(
        "For this check alone: a tube of at least {value} mm radius, where the catalogue has one for this slat."
    ),
    "hinge_on_wheel": marked("For this check alone: a wheel of at least {value} mm radius, where the catalogue has one."),
    "curtain_covers": marked("For this check alone: a slat count of {value}, with wheel and bracket where they are."),
    "slat_width": marked("For this check alone: an opening {value} mm narrower."),
    "engagement": marked(
        "For this check alone: a track slot {value} mm deep where the catalogue has one, a narrower temperature range, or a "
        "narrower opening."
    ),
    "held_in_track": marked(
        "For this check alone: a track slot {value} mm deep where the catalogue has one, a lower road speed, or a narrower "
        "opening."
    ),
    "slat_yield": marked("For this check alone: a road speed of {value} km/h at most, or a narrower opening."),
    "spring_made": marked(
        "The spring checks tell how far off the nearest spring is; a narrower or lower opening asks less."
    ),
    "opening_taper": marked(
        "For this check alone: straighten the opening by {value} mm; otherwise pack the tracks so that they stand parallel."
    ),
    "opening_square": marked(
        "For this check alone: straighten the opening by {value} mm; otherwise set the tracks by a plumb line and pack them."
    ),
    "track_lap": marked("For this check alone: straighten the opening's edges where the lap is least, or seal them there."),
    "seal_reach": marked(
        "For this check alone: pack the top seal until it reaches, or accept that water and dust pass there."
    ),
    "slat_stress": marked("For this check alone: a road speed of {value} km/h at most, or a narrower opening."),
    "slat_bow": marked("For this check alone: a road speed of {value} km/h at most, or a narrower opening."),
    "engagement_bowed": marked(
        "For this check alone: a track slot {value} mm deep where the catalogue has one, a lower road speed, or a narrower "
        "opening."
    ),
    "tube_sag": marked("For this check alone: an opening {value} mm narrower."),
    "spring_stress": marked("For this check alone: a longer tube with more coils, or a lighter curtain."),
    "spring_fatigue": marked("For this check alone: fewer cycles a day, a shorter service life, or a lighter curtain."),
    "spring_length": marked("For this check alone: {value} mm more room in the tube, as a wider opening gives it."),
    "spring_bore": marked("For this check alone: a shaft of {value} mm diameter at most, where the catalogue has one."),
    "hand_force": marked("For this check alone: allow a hand force of {value} N, or a narrower or lower opening."),
    "holds_open": marked(
        "For this check alone: {value} N more lift at the open end, or a catch that holds the shutter open."
    ),
    "voltage_drop": marked(
        "For this check alone: conductors of {value} times the area, a shorter cable, or a higher supply voltage."
    ),
    "pull_strap_reach": marked(
        "For this check alone: a strap {short} mm shorter that hangs that much higher when the shutter is open."
    ),
}
"""What would remedy a check, with the warning's figure."""

REMEDIES_WITHOUT_VALUE: Final = {
    "track_entry": marked("For this check alone: the side plate higher, so that the wheel stands further above the mouth."),
    "engagement": marked("For this check alone: a narrower temperature range, or a narrower opening."),
    "held_in_track": marked("For this check alone: a lower road speed, or a narrower opening."),
    "engagement_bowed": marked("For this check alone: a lower road speed, or a narrower opening."),
    "spring_bore": marked("For this check alone: a longer tube with more coils, as a wider opening gives it."),
}
"""The same where no figure can be told."""

REMEDIES_ON_FACE: Final = {
    "opening_taper": marked(
        "For this check alone: straighten the opening by {value} mm; otherwise set the tracks parallel and let their laps "
        "take up the rest."
    ),
    "opening_square": marked(
        "For this check alone: straighten the opening by {value} mm; otherwise set the tracks by a plumb line and let their "
        "laps take up the rest."
    ),
}
"""The same for tracks that lap over the opening's edges, where nothing is packed."""

REMEDIES_WITH_SLATS: Final = {
    "roof_clearance": marked("For this check alone: {value} mm more headroom, or a slat count of {slats} at most."),
    "wheel_clearance": marked(
        "For this check alone: the bracket {value} mm further from the wheel, or a slat count of {slats} at most."
    ),
    "rear_clearance": marked("For this check alone: {value} mm more depth, or a slat count of {slats} at most."),
    "header_clearance": marked(
        "For this check alone: the bracket {value} mm further from the header, or a slat count of {slats} at most."
    ),
    "obstacle_clearance": marked(
        "For this check alone: the obstacle {value} mm further from the coil, or a slat count of {slats} at most."
    ),
}
"""The same where fewer slats would do."""

MEASURE_AGAIN: Final = marked("Measure again to within {margin} mm, or see to it that there is more room.")

OTHER_MESSAGES: Final = {
    "diagonals_inconsistent": marked(
        "The measured diagonals contradict the measured widths and heights by {value} mm; {limit} mm are allowed."
    ),
    "measured_coil_differs": marked(
        "The measured coil radius of {measured} mm differs by {value} % from the computed {computed} mm, more than {limit} "
        "%; the measured one is used."
    ),
    "coil_hangs_into_opening": marked("The coil hangs {value} mm below the header's base into the opening."),
    "thick_coil": marked(
        "With slats at their upper thickness tolerance the coil's radius grows to {thick} mm, and one clearance falls below "
        "its limit of {limit} mm: {label}, {value} mm."
    ),
    "starts_by_itself": marked("Unbolted, the closed shutter rises by itself with {force} N."),
    "sinks_by_itself": marked("Let go between its ends, the shutter sinks by itself with {force} N."),
}
"""What is said where something is found that is no check."""

OTHER_REMEDIES: Final = {
    "diagonals_inconsistent": marked("Measure the opening again, widths, heights and diagonals from the same corners."),
    "measured_coil_differs": marked(
        "Measure the rolled-up shutter again, make sure of slat, tube and slat count, or calibrate the slat's nesting "
        "factor."
    ),
    "coil_hangs_into_opening": marked("Guard the coil, and count on {value} mm less height to pass things through."),
    "thick_coil": marked("Give it {value} mm more room there, or measure the rolled-up shutter before fitting."),
    "starts_by_itself": marked("Hold the bottom bar while the shutter is unbolted, and stay clear of its way."),
    "sinks_by_itself": marked("Never leave the shutter half open: raise it to its stops, and keep hands off the sill."),
}
"""What to do about it."""

MEANING_OF_CHECK: Final = marked("This check fails, or holds by less than the measuring tolerance: {label}.")

OTHER_MEANINGS: Final = {
    "diagonals_inconsistent": marked("The surveyed diagonals contradict the surveyed widths and heights."),
    "measured_coil_differs": marked("The measured coil radius differs from the computed one."),
    "coil_hangs_into_opening": marked("The coil hangs below the header's base into the opening."),
    "thick_coil": marked("A clearance is lost where the slats are at their upper thickness tolerance."),
    "starts_by_itself": marked("The closed shutter rises by itself once it is unbolted."),
    "sinks_by_itself": marked("The shutter sinks by itself when it is let go between its ends."),
}

GENERAL_REMEDIES: Final = {
    "plate_height": marked("More headroom, or a lower side plate."),
    "plate_depth": marked("More depth, or a side plate that is less deep."),
    "wheel_above_header": marked("Set the side plate higher."),
    "track_entry": marked("Set the side plate higher, or a wider track slot."),
    "header_gap": marked("A curtain further inwards: another wheel or mount."),
    "side_gap": marked("Shorter slats."),
    "roof_clearance": marked("More headroom, or fewer slats for a lower opening."),
    "wheel_clearance": marked("The bracket further from the wheel, or fewer slats for a lower opening."),
    "rear_clearance": marked("More depth, or fewer slats for a lower opening."),
    "header_clearance": marked("The bracket further from the header, or fewer slats for a lower opening."),
    "obstacle_clearance": marked("Move the obstacle, or fewer slats for a lower opening."),
    "curtain_obstacle": marked("Move the obstacle out of the curtain's way."),
    "plate_obstacle": marked("Move the obstacle, or a smaller side plate."),
    "load_gap": marked("Keep the load further from the curtain, or a lower road speed."),
    "path_over_wheel": marked("The bracket lower or further inwards."),
    "hinge_on_tube": marked("A tube of greater radius."),
    "hinge_on_wheel": marked("A wheel of greater radius."),
    "curtain_covers": marked("More slats."),
    "slat_width": marked("A narrower opening, or a slat that is made for the width."),
    "engagement": marked("A deeper track slot, a narrower temperature range, or a narrower opening."),
    "held_in_track": marked("A lower road speed, a narrower opening, or a stiffer slat."),
    "slat_yield": marked("A lower road speed, a narrower opening, or a stronger slat."),
    "spring_made": marked("A narrower or lower opening, a lighter slat, or a tube with more room for springs."),
    "opening_taper": marked("Straighten the opening, or pack the tracks so that they stand parallel."),
    "opening_square": marked("Straighten the opening, or set the tracks by a plumb line and pack them."),
    "track_lap": marked("Straighten the opening's edges where the lap is least, or seal them there."),
    "seal_reach": marked("Fill the gap at the header, or a top seal that reaches it."),
    "slat_stress": marked("A lower road speed, a narrower opening, or a stronger slat."),
    "slat_bow": marked("A lower road speed, a narrower opening, or a stiffer slat."),
    "engagement_bowed": marked("A deeper track slot, a lower road speed, a narrower opening, or a stiffer slat."),
    "tube_sag": marked("A narrower opening, or a stiffer tube."),
    "spring_stress": marked("A longer tube with more coils, or a lighter curtain."),
    "spring_fatigue": marked("Fewer cycles, a shorter service life, or a lighter curtain."),
    "spring_length": marked("More room in the tube, as a wider opening gives it."),
    "spring_bore": marked("A longer tube with more coils, or a thinner shaft."),
    "hand_force": marked("A lighter curtain, or a higher limit of the hand force."),
    "holds_open": marked("More pretension, or a catch that holds the shutter open."),
    "voltage_drop": marked("Thicker conductors, a shorter cable, or a higher supply voltage."),
    "pull_strap_reach": marked("A shorter strap that hangs higher when the shutter is open."),
    "diagonals_inconsistent": marked("Measure the opening again."),
    "measured_coil_differs": marked("Measure the rolled-up shutter again, or calibrate the slat's nesting factor."),
    "coil_hangs_into_opening": marked("Guard the coil, or set the side plate higher."),
    "thick_coil": marked("More room there, or measure the rolled-up shutter before fitting."),
    "starts_by_itself": marked("Hold the bottom bar while the shutter is unbolted."),
    "sinks_by_itself": marked("Never leave the shutter half open."),
}
"""What remedies a warning in general."""

SEVERITIES: Final = {"stop": marked("Stop"), "caution": marked("Caution"), "note": marked("Note")}
"""What each severity is called."""

REMEDY: Final = b'","remedy":"'
"""What stands between a finding's message and its remedy."""


def labels_of(checks: list[Check], page: Page) -> None:
    """Write the names of an answer's checks."""
    for check in checks:
        id = check.row.id
        page.put(page.language.entry("id", id, "label", LABELS[id]))


def findings_of(calculated: Calculated, page: Page) -> None:
    """Write what an answer's warnings say."""
    for warning in calculated.answer.warnings:
        page.json(f',{{"code":"{warning.code}","message":"'.encode())
        if warning.code in OTHER_MESSAGES:
            _other(warning, calculated, page)
        else:
            _of_check(warning, calculated, page)
        page.json(b'"}')


def general(code: str, language: Language) -> tuple[str, str]:
    """What a warning code means and what remedies it, without figures.

    Raises:
        KeyError: there is no such code.
    """
    other = OTHER_MEANINGS.get(code)
    meaning = language.say(MEANING_OF_CHECK, label=language.name(LABELS[code])) if other is None else language.name(other)
    return meaning, language.name(GENERAL_REMEDIES[code])


def _of_check(warning: Warning, calculated: Calculated, page: Page) -> None:
    """Write what is said of a check that fails or is tight, and its remedy."""
    id, language, numbers = warning.code, page.language, page.language.numbers
    check = next(check for check in calculated.answer.checks if check.row.id == id)
    value, limit, short = numbers.written_compared(value=check.value, limit=check.limit, unit=check.unit)
    figures = {"value": value, "limit": limit, "short": short}
    if check.state == "fails":
        figures["seal"] = page.figures["seal"]
        page.say(FAILS[id], figures)
        if id in OUT_OF_TRACK and check.value < 0:
            page.json(b" ")
            page.say(LEAVES_THE_TRACK, figures)
        if id == "slat_bow" and beyond_small_bow(calculated):
            page.json(b" ")
            page.say(BEYOND_SMALL_BOW, figures)
        page.json(REMEDY)
        _remedy(warning, -check.margin, calculated, page, figures)
        return
    tolerance = calculated.job.duty.measuring_tolerance_mm
    figures["label"] = language.name(LABELS[id]).encode()
    figures["tolerance"] = numbers.written(tolerance, TENTHS)
    page.say(TIGHT_AT_MOST if check.direction == "at_most" else TIGHT_AT_LEAST, figures)
    page.json(REMEDY)
    again = warnings.tenth_down(max(0.0, check.margin))
    if again > 0:
        figures["margin"] = numbers.written(again, TENTHS)
        page.say(MEASURE_AGAIN, figures)
        page.json(b" ")
    _remedy(warning, tolerance - check.margin, calculated, page, figures)


def beyond_small_bow(calculated: Calculated) -> bool:
    """Whether slats bow so far that figures of small deflections do not hold."""
    answer = calculated.answer
    return answer.strength.slat_bow_mm * strength.SMALL_BOW_SHARE > answer.curtain.slat_length_mm


def _remedy(warning: Warning, short_mm: float, calculated: Calculated, page: Page, figures: dict[str, bytes]) -> None:
    """Write what would remedy a check; `figures` has the shortfall as the message tells it."""
    id = warning.code
    if warning.remedy_value is None:
        page.say(REMEDIES_WITHOUT_VALUE.get(id, REMEDIES[id]), figures)
        return
    figures["value"] = page.language.numbers.written(warning.remedy_value, TENTHS)
    if id in REMEDIES_WITH_SLATS:
        slats = warnings.slats_at_most(job=calculated.job, trial=calculated.trial, short_mm=short_mm)
        if slats is not None:
            figures["slats"] = page.language.numbers.written_count(slats)
            page.say(REMEDIES_WITH_SLATS[id], figures)
            return
    on_face = REMEDIES_ON_FACE if calculated.job.mount.id == "face" else REMEDIES
    page.say(on_face.get(id, REMEDIES[id]), figures)


def _other(warning: Warning, calculated: Calculated, page: Page) -> None:
    """Write what is said of a warning that is no check, and what to do about it."""
    code, numbers, coil = warning.code, page.language.numbers, calculated.answer.coil
    figures = {
        "value": numbers.written(warning.value, TENTHS),
        "limit": numbers.written(warning.limit, TENTHS),
        "force": numbers.written_force(-warning.value),
        "measured": numbers.written(coil.measured_radius_mm or 0.0, TENTHS),
        "computed": numbers.written(coil.radius_mm, TENTHS),
        "thick": numbers.written(coil.radius_thick_mm, TENTHS),
        "label": page.language.name(LABELS[warning.check]).encode() if warning.check else b"",
    }
    page.say(OTHER_MESSAGES[code], figures)
    page.json(REMEDY)
    if warning.remedy_value is not None:
        figures["value"] = numbers.written(warning.remedy_value, TENTHS)
    page.say(OTHER_REMEDIES[code], figures)

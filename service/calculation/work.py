"""The order of work, with this fitting's figures in it.

What comes when is common practice in the trade: the perimeter seal goes on while the opening is bare; lapping tracks
come before the side plates, tracks in the reveal take the plates in; the top seal goes on before the curtain unless a
drip rail carries it; strikers are last but one. The words are this project's own.
"""

from math import floor
from typing import NamedTuple

from service.audit.recorder import Use, plain
from service.audit.rules import rule
from service.calculation.parts import Figures, shown
from service.calculation.wiring import Wiring

STORED_ENERGY = (
    "The wound spring stores enough energy to break a hand. Hold the tube with a bar made for it, keep fingers and face "
    "out of its reach, and let the spring go only where a step says so."
)
PINCH = "Fingers are caught between slats, wheel and coil. Nobody moves the curtain while a hand is near them."
SHARP = "Cut edges of tracks, seals and slats are sharp: wear gloves and take the burrs off."
SUPPLY_OFF = "Take the supply off and make sure that it stays off before a cable is touched."
RULES_FIRST = "Local codes and the vehicle maker's rules come before this list, and the work is one for a competent person."
SHUT_IN = "Whoever works inside must be able to leave: keep another way out open until the shutter opens from within."


INSPECTION_CYCLES = 5000
"""Times a shutter may run from one inspection to the next. Source: practice of this project."""


class WorkStep(NamedTuple):
    """One step: its name, what to do with this fitting's figures, and a caution where it can hurt."""

    step: str
    text: str
    caution: str | None


@rule(
    symbol="T_i",
    unit="months",
    formula="T_i = whole months in which the shutter runs 5000 times, from 1 to 12",
    basis="assumption",
    source="practice of this project: look at springs, straps and wheels once a year, more often where they work more",
)
def inspection_months(*, cycles_per_day: float) -> int:
    """Time from one inspection to the next [months]."""
    cycles_a_month = cycles_per_day * 365 / 12
    return max(1, min(12, floor(INSPECTION_CYCLES / max(cycles_a_month, 1.0))))


def work_of(figures: Figures, *, use: Use = plain) -> tuple[WorkStep, ...]:
    """The steps in order."""
    options = figures.options
    steps = [_check_parcel(figures)]
    if "perimeter_seal" in options:
        steps.append(_perimeter_seal(figures))
    if figures.wall_gap_left_mm > 0 or figures.wall_gap_right_mm > 0:
        steps.append(_packers(figures))
    steps += _tracks_and_plates(figures)
    steps += [_bracket(figures), _wheel(figures)]
    if figures.drip_rail_length_mm is None:
        steps.append(_top_seal(figures))
    steps += [_curtain(figures), _strap_on(figures), _tube(figures), _pretension(figures), _fix_tracks(figures)]
    if {"pull_strap", "inside_release"} & options:
        steps.append(_handles(figures))
    if figures.wiring is not None:
        steps.append(_electrics(figures, figures.wiring))
    steps += [_run(figures), _strikers(figures)]
    length = figures.drip_rail_length_mm
    care = _care(use(inspection_months)(cycles_per_day=figures.cycles_per_day))
    steps.append(_hand_over(figures, care) if length is None else _drip_rail(figures, length, care))
    return tuple(steps)


def _inside(figures: Figures) -> bool:
    """Whether the fitter stands in the compartment."""
    return figures.fitted_from == "inside"


def _check_parcel(figures: Figures) -> WorkStep:
    place = "inside the compartment" if _inside(figures) else "in front of the opening"
    return WorkStep(
        "check the parcel",
        f"Tick the parcel off against its list: {figures.slat_count} slats of {shown(figures.slat_length_mm)} mm, two "
        f"tracks of {shown(figures.track_length_mm)} mm. Lay everything out {place} and measure the opening once more.",
        f"{RULES_FIRST} {SHUT_IN}" if _inside(figures) else RULES_FIRST,
    )


def _perimeter_seal(figures: Figures) -> WorkStep:
    return WorkStep(
        "perimeter seal",
        f"Clean and dry the bare edge of the opening. Press the perimeter seal on: {shown(figures.track_length_mm)} mm up "
        f"each side and {shown(figures.outer_width_mm)} mm along the header, corners butted without a gap.",
        None,
    )


def _packers(figures: Figures) -> WorkStep:
    gaps = (("left", figures.wall_gap_left_mm), ("right", figures.wall_gap_right_mm))
    listed = " and ".join(f"{shown(gap)} mm on the {side}" for side, gap in gaps if gap > 0)
    return WorkStep(
        "packers",
        f"Set packers of {listed} where the side plates will stand, so that plate and wall are tight when bolted.",
        None,
    )


def _tracks_and_plates(figures: Figures) -> list[WorkStep]:
    spread = f"{shown(figures.outer_width_mm)} mm over both tracks, {shown(figures.daylight_width_mm)} mm clear between them"
    base = f"lower edge {_level(figures.plate_base_z_mm)}"
    if figures.mount == "face":
        return [
            WorkStep(
                "offer up the tracks",
                f"Lap the tracks over the front of the opening, plumb and parallel: {spread}. Clamp them; "
                f"{'mark them from inside through the opening' if _inside(figures) else 'mark their edges'}, no screws yet.",
                SHARP,
            ),
            WorkStep(
                "side plates",
                f"Stand the side plates {figures.side_plate} {shown(figures.plate_setback_mm)} mm behind the header's "
                f"inner face, in line with the tracks' mouths, {base}. Bolt them.",
                None,
            ),
        ]
    return [
        WorkStep(
            "side plates into the tracks",
            f"Drop each side plate {figures.side_plate} into the upper end of its track until it seats, flush with the "
            f"header's inner face, {base}.",
            SHARP,
        ),
        WorkStep(
            "offer up the tracks",
            f"Stand tracks and plates in the opening, {'from inside' if _inside(figures) else 'from outside'}, plumb and "
            f"parallel: {spread}. Bolt the plates; the tracks stay clamped, no screws yet.",
            None,
        ),
    ]


def _level(height_mm: float) -> str:
    """A height against the header's base in words."""
    if height_mm < 0:
        return f"{shown(-height_mm)} mm below the header's base"
    if height_mm > 0:
        return f"{shown(height_mm)} mm above the header's base"
    return "level with the header's base"


def _bracket(figures: Figures) -> WorkStep:
    return WorkStep(
        "bracket",
        f"Bolt a bracket to each side plate at {figures.bracket_hole}: {shown(figures.bracket_from_front_mm)} mm from "
        f"the plate's front edge, {shown(figures.bracket_from_base_mm)} mm above its lower edge. Both sides alike.",
        None,
    )


def _wheel(figures: Figures) -> WorkStep:
    return WorkStep(
        "wheel",
        f"Set a wheel on each side plate in the {figures.wheel_hole} hole: {shown(figures.wheel_from_front_mm)} mm from "
        f"the front edge, {shown(figures.wheel_from_base_mm)} mm above the lower edge. It must spin freely.",
        None,
    )


def _seal_cut(figures: Figures) -> str:
    """How the top seal is cut."""
    return (
        f"{shown(figures.top_cut_length_mm)} mm on the long edge, {shown(figures.top_short_edge_mm)} mm on the short one, "
        f"ends at {shown(figures.top_end_angle_deg)} deg"
    )


def _top_seal(figures: Figures) -> WorkStep:
    return WorkStep(
        "top seal",
        f"Screw the top seal to the header now, while nothing is in its way: {_seal_cut(figures)}. Its lip touches the "
        "curtain without pressing.",
        SHARP,
    )


def _curtain(figures: Figures) -> WorkStep:
    way = "hand it up from inside" if _inside(figures) else "pass it in over the header's base"
    return WorkStep(
        "lead the curtain in",
        f"The curtain weighs {shown(figures.curtain_mass_kg)} kg: two people {way}. Lead it over both wheels from the top "
        "and down into the tracks with a long lap, until the bottom bar meets the header from below.",
        f"The curtain is a load overhead until it is tied to the tube. {PINCH}",
    )


def _strap_on(figures: Figures) -> WorkStep:
    # the curtain runs over the top of the coil, so the tube's top turns outwards as it comes down
    turn = "clockwise" if _inside(figures) else "anticlockwise"
    return WorkStep(
        "strap the curtain to the tube",
        f"Check the hand of the spring first: as the curtain comes down, the tube turns {turn} when seen from its end at "
        "your right hand, and that must wind the spring tighter. Then tie the uppermost slat to the tube with the straps "
        f"of {shown(figures.strap_length_mm)} mm, all equally long.",
        None,
    )


def _tube(figures: Figures) -> WorkStep:
    return WorkStep(
        "tube into the brackets",
        f"Lift the rolled-up shutter, {shown(2 * figures.coil_radius_mm)} mm across, into both brackets and secure it "
        "there before anybody lets go.",
        f"Load overhead: {shown(figures.curtain_mass_kg)} kg and the tube. Nobody stands below.",
    )


def _pretension(figures: Figures) -> WorkStep:
    balance = figures.balance
    both = "both springs" if balance.spring_count > 1 else "the spring"
    return WorkStep(
        "pretension",
        f"With the shutter rolled up, {both} must hold {shown(balance.pretension_turns)} turns; "
        f"{shown(balance.turns_closed)} turns are in it when the shutter is closed. Count them, check that the tube is "
        "secured in both brackets, and only then release the pretension into the curtain.",
        STORED_ENERGY,
    )


def _fix_tracks(figures: Figures) -> WorkStep:
    where = "from inside" if _inside(figures) else "from outside"
    return WorkStep(
        "fix the tracks",
        f"Run the curtain down by hand, let it align the tracks, and check {shown(figures.daylight_width_mm)} mm clear at "
        f"top, middle and bottom. Screw the tracks {where} with countersunk screws; no head may stand proud in the slot.",
        PINCH,
    )


def _handles(figures: Figures) -> WorkStep:
    texts = []
    if "pull_strap" in figures.options:
        texts.append("Tie the pull strap to the bottom bar so that it is in reach with the shutter open.")
    if "inside_release" in figures.options:
        texts.append("Fit the inside release and see that it frees both bolts before anybody is shut in.")
    return WorkStep("strap and release", " ".join(texts), None)


def _electrics(figures: Figures, wiring: Wiring) -> WorkStep:
    texts = []
    if "strip_light" in figures.options:
        texts.append(f"Fit a strip light along each track, {shown(figures.track_length_mm)} mm, clear of the curtain's way.")
    if "electric_lock" in figures.options:
        texts.append("Fit the electric lock; it is fed for a moment only.")
    if "door_switch" in figures.options:
        texts.append("Fit the door switch so that the bottom bar works it just before the shutter is closed.")
    texts.append(
        f"Lay {shown(figures.cable_run_m)} m of cable with {wiring.conductor_mm2:g} mm² conductors behind a blade fuse of "
        f"{wiring.fuse_a:g} A close to the supply; {shown(wiring.current_a)} A flow at most."
    )
    return WorkStep("electrical items", " ".join(texts), SUPPLY_OFF)


def _run(figures: Figures) -> WorkStep:
    balance = figures.balance
    return WorkStep(
        "run the shutter",
        f"Run the shutter ten times. By hand it should take {shown(balance.hand_force_max_n)} N at most, and left alone "
        "at the open end it must stay. If it sinks, half a turn more; if it is hard to pull down, half a turn less.",
        f"{PINCH} {STORED_ENERGY}",
    )


def _strikers(figures: Figures) -> WorkStep:
    return WorkStep(
        "strikers",
        f"Close the shutter until the bottom seal is pressed from {shown(figures.bottom_seal_free_mm)} to "
        f"{shown(figures.bottom_compressed_mm)} mm. Set both strikers {shown(figures.striker_height_mm)} mm above the "
        "sill, so that the bolts drop in without force.",
        PINCH,
    )


def _care(months: int) -> str:
    every = "month" if months == 1 else f"{months} months"
    return f"Tell the user to have springs, straps, wheels and seals looked at every {every}."


def _drip_rail(figures: Figures, length_mm: float, care: str) -> WorkStep:
    return WorkStep(
        "drip rail with top seal",
        f"Cut the top seal: {_seal_cut(figures)}. Slide it into the drip rail of {shown(length_mm)} mm and screw the rail "
        "over the header, evenly beyond both tracks, the lip touching the closed curtain. "
        f"Open and latch once more. {care}",
        SHARP,
    )


def _hand_over(figures: Figures, care: str) -> WorkStep:
    return WorkStep(
        "hand over",
        "Open, close and latch once more. Wipe the tracks clean and show the user how far the shutter "
        f"rises and that {shown(figures.balance.hand_force_max_n)} N are enough to move it. {care}",
        None,
    )

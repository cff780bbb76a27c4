"""The order of work, with this fitting's figures in it.

What comes when is common practice in the trade: the perimeter seal goes on while the opening is bare; lapping tracks
come before the side plates, tracks in the reveal take the plates in; the top seal goes on before the curtain unless a
drip rail carries it; strikers are last but one. The words are this project's own.
"""

from math import ceil, floor
from typing import NamedTuple

from service.audit.recorder import Use, plain
from service.audit.rules import rule
from service.calculation.balance import Balance
from service.calculation.parts import Figures, shown
from service.calculation.spring import HALF_TURN
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
DRIVING = "Nobody drives with the shutter open or not latched: look at it before every journey."

INSPECTION_CYCLES = 5000
"""Times a shutter may run from one inspection to the next. Source: practice of this project."""

KG_A_PERSON = 25.0
"""Mass that one person lifts [kg]. Source: practice of this project; local codes come first."""

LIFTERS = {2: "two people", 3: "three people", 4: "four people"}
"""Who lifts, by number; what asks for more is lifting gear's work."""

LIFTING_GEAR = "lifting gear with two people to guide it"


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


@rule(
    symbol="n_p",
    unit="people",
    formula="n_p = ceil(m/25), at least 2",
    basis="practice",
    source="practice of this project: 25 kg a person, and a long part has two ends; local codes come first",
)
def people_to_lift(*, mass_kg: float) -> int:
    """People who lift a part together [people]."""
    return max(2, ceil(mass_kg / KG_A_PERSON))


def work_of(figures: Figures, *, use: Use = plain) -> tuple[WorkStep, ...]:
    """The steps in order."""
    options = figures.options
    curtain_lifters = _lifters(use(people_to_lift)(mass_kg=figures.curtain_mass_kg))
    shutter_lifters = _lifters(use(people_to_lift)(mass_kg=figures.shutter_mass_kg))
    steps = [_check_parcel(figures)]
    if "perimeter_seal" in options:
        steps.append(_perimeter_seal(figures))
    if any(gap > 0 for _, gap in figures.wall_gaps_mm):
        steps.append(_packers(figures))
    steps += _tracks_and_plates(figures)
    steps += [_bracket(figures), _wheel(figures)]
    if figures.drip_rail_length_mm is None:
        steps.append(_top_seal(figures))
    steps += [
        _curtain(figures, curtain_lifters),
        _strap_on(figures),
        _tube(figures, shutter_lifters),
        _pretension(figures),
        _fix_tracks(figures),
    ]
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


def _lifters(people: int) -> str:
    """Who lifts, in words."""
    return LIFTERS.get(people, LIFTING_GEAR)


def _check_parcel(figures: Figures) -> WorkStep:
    place = "inside the compartment" if _inside(figures) else "in front of the opening"
    return WorkStep(
        "check the parcel",
        f"Tick the parcel off against its list: {figures.slat_count} slats of {shown(figures.slat_length_mm)} mm, two "
        f"tracks of {shown(figures.track_length_mm)} mm. Lay everything out {place} and measure the opening once more. "
        "Have gloves, a level, a winding bar and a pin for the spring at hand.",
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
    listed = " and ".join(f"{shown(gap)} mm on the {side}" for side, gap in figures.wall_gaps_mm if gap > 0)
    return WorkStep(
        "packers",
        f"Set packers of {listed}, hands as seen from outside, where the side plates will stand, so that plate and wall "
        "are tight when bolted. The longer bolts go through them.",
        None,
    )


def _tracks_and_plates(figures: Figures) -> list[WorkStep]:
    spread = (
        f"the middle of their slots {shown(figures.curtain_plane_x_mm)} mm behind the outer face of the opening, "
        f"{shown(figures.outer_width_mm)} mm over both tracks, {shown(figures.daylight_width_mm)} mm clear between them"
    )
    setback = figures.plate_setback_mm
    behind = f"{shown(setback)} mm behind" if setback else "flush with"
    where = f"{behind} the header's inner face, lower edge {_level(figures.plate_base_z_mm)}"
    if figures.mount == "face":
        return [
            WorkStep(
                "offer up the tracks",
                f"Lap the tracks over the edges of the opening, {shown(figures.track_beyond_mm)} mm on each side, plumb and "
                f"parallel: {spread}. Clamp them; "
                f"{'mark them from inside through the opening' if _inside(figures) else 'mark their edges'}, no screws yet.",
                SHARP,
            ),
            WorkStep(
                "side plates",
                f"Stand the side plates {figures.side_plate} {where}, {_to_mouth(figures, 'in line with')}. Bolt them.",
                None,
            ),
        ]
    return [
        WorkStep(
            "side plates into the tracks",
            f"Drop each side plate {figures.side_plate} into the upper end of its track, {_to_mouth(figures, 'seated in')}: "
            f"{where}.",
            SHARP,
        ),
        WorkStep(
            "offer up the tracks",
            f"Stand tracks and plates in the opening, {'from inside' if _inside(figures) else 'from outside'}, plumb and "
            f"parallel: {spread}. Bolt the plates; the tracks stay clamped, no screws yet.",
            None,
        ),
    ]


def _to_mouth(figures: Figures, normally: str) -> str:
    """How the side plates stand to the tracks' mouths."""
    offset = figures.plate_offset_mm
    if offset == 0:
        return f"{normally} the tracks' mouths"
    return f"{shown(abs(offset))} mm {'above' if offset > 0 else 'below'} the tracks' mouths"


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
        f"ends at {shown(figures.top_end_angle_deg)}°"
    )


def _top_seal(figures: Figures) -> WorkStep:
    return WorkStep(
        "top seal",
        f"Screw the top seal to the header now, while nothing is in its way: {_seal_cut(figures)}. Its lip is to touch the "
        "curtain without pressing.",
        SHARP,
    )


def _curtain(figures: Figures, lifters: str) -> WorkStep:
    way = "hand it up from inside" if _inside(figures) else "pass it in under the header"
    return WorkStep(
        "lead the curtain in",
        f"The curtain weighs {shown(figures.curtain_mass_kg)} kg: {lifters} {way}. Lead the bottom bar over both wheels "
        "from the top and into the tracks' mouths, until it stands at the header as with the shutter open. The rest hangs "
        "behind the wheels in a long lap.",
        f"The curtain is a load overhead until its tube is secured in both brackets. {PINCH}",
    )


def _strap_on(figures: Figures) -> WorkStep:
    # the curtain runs over the top of the coil, so the tube's top turns outwards as it comes down
    turn = "clockwise" if _inside(figures) else "anticlockwise"
    return WorkStep(
        "strap the curtain to the tube",
        f"Check the hand of the spring first: as the curtain comes down, the tube turns {turn} when seen from its end at "
        "your right hand, and that must wind the spring tighter. Then tie the uppermost slat to the tube with the straps "
        f"of {shown(figures.strap_length_mm)} mm, all equally long. A tube that came wound keeps its pin in.",
        STORED_ENERGY,
    )


def _tube(figures: Figures, lifters: str) -> WorkStep:
    mass = shown(figures.shutter_mass_kg)
    return WorkStep(
        "tube into the brackets",
        f"Roll the lap up on the tube. Lift the rolled-up shutter, {shown(2 * figures.coil_radius_mm)} mm across and {mass} "
        f"kg with tube and springs, into both brackets with {lifters}, and secure it there before anybody lets go.",
        f"Load overhead: {mass} kg. Nobody stands below. The pin of a wound spring stays in.",
    )


def _pretension(figures: Figures) -> WorkStep:
    balance = figures.balance
    both = "both springs" if balance.spring_count > 1 else "the spring"
    if not figures.spring_fits:
        return WorkStep(
            "pretension",
            "No spring of the catalogue fits this curtain in this tube. Wind nothing until springs are settled on.",
            STORED_ENERGY,
        )
    return WorkStep(
        "pretension",
        f"With the shutter rolled up, {both} must hold {shown(balance.pretension_turns)} turns: wind them with the winding "
        "bar and pin the tube at every half turn, or count them where the tube came wound. "
        f"{shown(balance.turns_closed)} turns are in it when the shutter is closed. Check that the tube is secured in both "
        "brackets, and only then draw the pin and release the pretension into the curtain.",
        STORED_ENERGY,
    )


def _fix_tracks(figures: Figures) -> WorkStep:
    where = "from inside" if _inside(figures) else "from outside"
    return WorkStep(
        "fix the tracks",
        f"Run the curtain down by hand, let it align the tracks, and check {shown(figures.daylight_width_mm)} mm clear at "
        f"top, middle and bottom. Screw the tracks {where} with countersunk screws; no head or tip may stand proud in the "
        f"slot.{_hold_it_down(figures)}",
        PINCH,
    )


def _hold_it_down(figures: Figures) -> str:
    """A sentence for a shutter that rises by itself while nothing holds it closed."""
    rising = -figures.balance.hand_force_closed_n
    if not figures.spring_fits or rising <= 0:
        return ""
    return f" Hold the bottom bar while nothing latches it: closed, it rises by itself with {shown(rising)} N."


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
    run = f"Lay {shown(figures.cable_run_m)} m of cable" if figures.cable_run_m > 0 else "Lay the cable"
    flows = f"{shown(wiring.current_a)} A at most" if wiring.current_a > 0 else "a signal only"
    texts.append(
        f"{run} with {wiring.conductor_mm2:g} mm² conductors behind a blade fuse of {wiring.fuse_a:g} A close to the "
        f"supply; it carries {flows}."
    )
    return WorkStep("electrical items", " ".join(texts), SUPPLY_OFF)


def _run(figures: Figures) -> WorkStep:
    caution = f"{PINCH} {STORED_ENERGY}"
    if not figures.spring_fits:
        text = "Run the shutter ten times with the springs that were settled on: left alone at the open end it must stay."
        return WorkStep("run the shutter", text, caution)
    return WorkStep(
        "run the shutter",
        f"Run the shutter ten times. By hand it should take {shown(figures.balance.hand_force_max_n)} N at most, and left "
        f"alone at the open end it must stay. {_half_turns(figures.balance)}",
        caution,
    )


def _half_turns(balance: Balance) -> str:
    """What half a turn more or less may cure; stress grows with the turns in the closed spring."""
    stress_with_more = balance.stress_mpa * (balance.turns_closed + HALF_TURN) / balance.turns_closed
    more = (
        "If it sinks, half a turn more."
        if stress_with_more <= balance.stress_limit_mpa
        else "If it sinks, look for drag: the spring bears no further half turn."
    )
    less = " If it is hard to pull down, half a turn less." if balance.pretension_turns > HALF_TURN else ""
    return f"{more}{less}"


def _strikers(figures: Figures) -> WorkStep:
    return WorkStep(
        "strikers",
        f"Close the shutter until the bottom seal is pressed from {shown(figures.bottom_seal_free_mm)} to "
        f"{shown(figures.bottom_compressed_mm)} mm. Set both strikers {shown(figures.striker_height_mm)} mm above the "
        f"sill, so that the bolts drop in without force.{_hold_it_down(figures)}",
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
        f"{SHARP} {DRIVING}",
    )


def _hand_over(figures: Figures, care: str) -> WorkStep:
    force = f" and that {shown(figures.balance.hand_force_max_n)} N are enough to move it" if figures.spring_fits else ""
    return WorkStep(
        "hand over",
        f"Open, close and latch once more. Wipe the tracks clean and show the user how far the shutter rises{force}. {care}",
        DRIVING,
    )

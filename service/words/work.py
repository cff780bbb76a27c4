"""The order of work, with the fitting's figures in it.

What comes when is common practice in the trade: the tracks are held up only to find the side plates' place and come on for
good after tensioning, the curtain goes in top first from below, strikers and drip rail are set against the closed curtain.
A step's text is a list of whole sentences; a sentence that a fitting has no use for is left out as a whole.
"""

from typing import Final, final

from service.calculation import care
from service.calculation.checks import RESOLUTION
from service.calculation.constants import HALF_TURN
from service.calculation.fitting import Calculated
from service.calculation.survey import Packing

from .figures import depth_to_stand_tracks_mm
from .languages import Instruction, marked
from .numbers import TENTHS
from .page import Page

TITLES: Final = {
    "parcel": marked("Check the parcel"),
    "perimeter_seal": marked("Put the perimeter seal on"),
    "offer_up": marked("Find the side plates' place"),
    "packers": marked("Put packers behind the side plates"),
    "side_plates": marked("Fix the side plates"),
    "bracket": marked("Set the brackets"),
    "wheel": marked("Set the wheels"),
    "top_seal": marked("Fix the top seal"),
    "curtain": marked("Lead the curtain in"),
    "strap_on": marked("Strap the curtain to the tube"),
    "tube": marked("Seat the tube"),
    "lay_on": marked("Lay the curtain on the tube"),
    "pretension": marked("Tension the spring"),
    "tracks": marked("Fit the tracks"),
    "strikers": marked("Set the strikers"),
    "drip_rail": marked("Fit the drip rail with its top seal"),
    "handles": marked("Fit what hands take hold of"),
    "electrical": marked("Fit the electrical items"),
    "lubricate": marked("Clean the tracks"),
    "trial_runs": marked("Run the shutter"),
    "papers": marked("Hand over"),
    "maintenance": marked("Maintenance"),
    "unwinding": marked("Before the shutter is taken apart"),
}
"""What each step is called, in the order of work; a fitting has those that it needs."""

PARTS: Final[dict[str, tuple[str, ...]]] = {
    "perimeter_seal": ("perimeter_seal_jamb", "perimeter_seal_header", "adhesive"),
    "packers": ("packer_left", "packer_right"),
    "side_plates": ("side_plate_left", "side_plate_right", "plate_screw", "plate_screw_left", "plate_screw_right"),
    "bracket": ("bracket", "bracket_bolt"),
    "wheel": ("wheel", "wheel_spacer", "wheel_bolt"),
    "top_seal": ("top_seal", "top_seal_screw", "sealant"),
    "curtain": ("slat", "bottom_bar", "bottom_seal"),
    "strap_on": ("strap", "strap_screw", "tube", "spring"),
    "tracks": (
        "track_left",
        "track_right",
        "track_packing_left",
        "track_packing_right",
        "track_screw",
        "track_stop",
    ),
    "strikers": ("striker", "striker_screw"),
    "drip_rail": ("drip_rail", "drip_rail_screw", "rail_end_cap", "top_seal", "sealant"),
    "handles": ("pull_strap", "pull_strap_screw", "inside_release", "inside_release_screw"),
    "electrical": (
        "strip_light",
        "strip_light_clip",
        "light_link",
        "electric_lock",
        "electric_lock_screw",
        "door_switch",
        "door_switch_screw",
        "supply_cable",
        "fuse",
    ),
}
"""The parts that a step puts on, by their keys, as far as the parcel has them."""

CAUTIONS: Final = {
    "not_to_be_built": marked(
        "This shutter does not fit as described: nothing is ordered, cut or drilled until a change makes it fit."
    ),
    "rules_first": marked(
        "Local codes and the vehicle maker's rules come before this list, and the work is for a competent person."
    ),
    "shut_in": marked(
        "Whoever works inside must be able to leave: keep another way out open until the shutter opens from within."
    ),
    "stored_energy": marked(
        "The wound spring stores {energy_open} J with the shutter open and {energy_closed} J with it closed, enough to "
        "break a hand. Hold its shaft with a bar that is made for it, keep face and fingers out of the bar's way, and let "
        "go only where a step says so."
    ),
    "load_overhead": marked(
        "Curtain and tube are a load overhead until the brackets are closed on both sides: nobody stands below them."
    ),
    "pinch": marked(
        "Fingers are caught between slats, wheels and coil: nobody moves the curtain while a hand is near them."
    ),
    "sharp": marked("Cut edges of plates, tracks, slats and rails are sharp: wear gloves and take the burrs off."),
    "drilling": marked("Look behind the sheet for cables, hoses and tanks before drilling, and wear goggles."),
    "little_depth": marked(
        "Standing the tracks up takes about {needed} mm of depth, and only {depth} mm are free behind the header: clear the "
        "compartment there and try the way with one track before the spring is tensioned."
    ),
    "supply_off": marked("Take the supply off and make sure that it stays off before a cable is touched."),
    "driving": marked("Nobody drives with the shutter open or not latched: look at it before every journey."),
}
"""What each caution says, in the order of an answer's cautions."""

CAUTIONS_WITHOUT_SPRING: Final = {
    **CAUTIONS,
    "stored_energy": marked(
        "A wound spring stores enough energy to break a hand. Hold its shaft with a bar that is made for it, keep face and "
        "fingers out of the bar's way, and let go only where a step says so."
    ),
}
"""The same where no spring can be made, so that its energy is not known."""

TOLD: Final = "{told}"
"""The place of sentences that have their figures already, each of its own."""

TICK_OFF: Final = marked(
    "Tick the parcel off against its list and check the lengths: slats {slat_length} mm (slat count {slats}), tube "
    "{tube_length} mm, tracks {track_length} mm."
)
MEASURE_ONCE_MORE: Final = marked(
    "Measure the opening once more before anything is cut or drilled: {width} mm wide, {height} mm high, {headroom} mm from "
    "the header's base to the roof, {depth} mm free behind the header."
)
TOOLS: Final = marked(
    "Have gloves, goggles, a level, a plumb line, a winding bar for the spring's shaft, and pen and paper at hand."
)
LAY_OUT: Final = {
    "outside": marked("Lay everything out in front of the opening: the shutter is fitted from outside."),
    "inside": marked("Take everything into the compartment first: the shutter is fitted from inside."),
}

PERIMETER: Final = marked(
    "Clean, dry and degrease the opening's outer edge. Put the perimeter seal on while the edge is bare: {jamb_seal} mm "
    "up each jamb, {header_seal} mm along the header, corners butted without a gap."
)

STAND_TRACKS: Final = {
    "reveal": marked(
        "Stand both tracks between the jambs, left and right as seen from outside, mouths up, plumb and parallel: {outer} "
        "mm over both, {lips} mm between their lips, the middle of the slots {plane} mm behind the opening's outer face."
    ),
    "face": marked(
        "Hold both tracks against the inner faces of the jambs, left and right as seen from outside, mouths up, plumb and "
        "parallel, lapping over the opening's edges: {outer} mm over both, {lips} mm between their lips, the middle of the "
        "slots {plane} mm behind the opening's outer face."
    ),
}
LAPS: Final = marked(
    "The opening is not true: from the top down the left track laps its edge by {laps_left} mm, the right one by "
    "{laps_right} mm."
)
PLATE_TO_TRACK: Final = {
    "reveal": marked("Set each side plate {plate} on its track, in line with the groove in the track's upper end."),
    "face": marked("Stand each side plate {plate} by its lapped track, in line with the groove in the track's upper end."),
}
FRONT_FLUSH: Final = marked("The plates' front edges are flush with the header's inner face.")
FRONT_BEHIND: Final = marked("The plates' front edges stand {setback} mm behind the header's inner face.")
PLATE_AT_MOUTH: Final = marked("The plates' lower edges are level with the tracks' upper ends.")
PLATE_ABOVE_MOUTH: Final = marked("The plates' lower edges stand {offset} mm above the tracks' upper ends.")
PLATE_BELOW_MOUTH: Final = marked("The plates' lower edges stand {offset} mm below the tracks' upper ends, in the grooves.")
BASE_ABOVE: Final = marked("The plates' lower edges are then {base} mm above the header's base.")
BASE_BELOW: Final = marked("The plates' lower edges are then {base} mm below the header's base.")
BASE_LEVEL: Final = marked("The plates' lower edges are then level with the header's base.")
TAKE_AWAY: Final = marked("Mark the plates' outlines and fixing holes, then take tracks and plates away again.")

PACKER: Final = {
    "left": marked("Left as seen from outside: a packer {packer_left} mm thick for the gap of {gap_left} mm to the wall."),
    "right": marked(
        "Right as seen from outside: a packer {packer_right} mm thick for the gap of {gap_right} mm to the wall."
    ),
}
PACKER_FIXED: Final = marked(
    "The packer reaches over the plate's whole height; the longer screws go through it into the wall."
)

PLATE_HOLES: Final = marked(
    "Make sure that each plate has its holes: wheel Ø {wheel} mm, bracket Ø {bracket} mm in the chosen place only, four "
    "countersunk fixing holes Ø {fixing} mm. Left and right are mirror images."
)
PLATE_FIXED: Final = marked(
    "Put the plates back to their marks and fix each with its four countersunk screws; no head may stand proud. The plates' "
    "inner faces are {between} mm apart, at the top and at the bottom."
)

BRACKET: Final = marked(
    "Bolt a bracket to the inner face of each side plate, its pin in the hole of row {row}, column {column}: "
    "{bracket_front} mm from the plate's front edge, {bracket_base} mm above its lower edge. Both sides alike; the caps "
    "stay open."
)
BRACKET_BELOW_ROOF: Final = marked("The hole lies {roof} mm below the roof.")
BRACKET_ABOVE_ROOF: Final = marked("The hole lies {roof} mm above the roof.")
WHEEL: Final = {
    "low": marked(
        "Set a wheel on each side plate in the low hole: {wheel_front} mm from the plate's front edge, {wheel_base} mm "
        "above its lower edge. It must turn freely."
    ),
    "mid": marked(
        "Set a wheel on each side plate in the middle hole: {wheel_front} mm from the plate's front edge, {wheel_base} mm "
        "above its lower edge. It must turn freely."
    ),
    "high": marked(
        "Set a wheel on each side plate in the high hole: {wheel_front} mm from the plate's front edge, {wheel_base} mm "
        "above its lower edge. It must turn freely."
    ),
}

SEAL_CUT: Final = marked(
    "Cut the top seal {seal} to {cut} mm along its long edge and {short} mm along the short one, both ends at {angle}° to "
    "its length."
)
SEAL_FIXED: Final = marked(
    "Screw it to the header's inner face now, while nothing is in its way: its lip bridges the gap of {gap} mm to the "
    "curtain and touches it without pressing."
)

CURTAIN_PASSED: Final = {
    "outside": marked("Pass the curtain in from outside, under the header."),
    "inside": marked("Stand inside and lift the curtain behind the header."),
}
CURTAIN_LED: Final = marked(
    "Lead it in top slat first, from below up against the wheels and inwards over them, and let it hang down inside in a "
    "long lap, until the handle lip of the bottom bar meets the header's base. Hold it there with clamps."
)
LIFT_BY_ONE: Final = marked(
    "The curtain weighs {mass} kg; with tube and spring one person can lift it, at most {recommended} kg are recommended "
    "here."
)
LIFT_BY_TWO: Final = marked(
    "The curtain weighs {mass} kg: two people lift it, since curtain, tube and spring weigh more than the {recommended} kg "
    "recommended for one person here."
)
LIFT_BY_MORE: Final = marked(
    "The curtain weighs {mass} kg: two people with a trestle or lift, since curtain, tube and spring weigh more than twice "
    "the {recommended} kg recommended for one person here."
)

STRAPS: Final = marked(
    "Bring the tube up inside, behind the lap. Screw the straps to it in a line, evenly spaced, and tie the uppermost slat "
    "to them so that all are equally long, {strap} mm."
)
SPRING_HAND: Final = marked(
    "Check the hand of the spring: seen from inside, the tube's top moves towards you when the shutter is lifted and away "
    "from you when it comes down, and coming down must wind the spring tighter."
)
KEEP_THE_PIN: Final = marked(
    "A tube that came wound from the works keeps its pin in until the step on tension says that it is drawn."
)

SEAT_TUBE: Final = marked(
    "Lay {reserve} turns of strap on the tube, so that the straps run over its top towards the wheels. Lift the tube into "
    "both brackets, as many people as for the curtain, and close and bolt both caps before anybody lets go."
)

LAY_ON: Final = marked(
    "Leave the spring's shaft free, so that it turns with the tube. Turn the tube by hand, its top towards you as seen from "
    "inside, and lay the curtain on it until the lap is gone and the bottom bar hangs at its open place. Hold it there with "
    "clamps."
)
PINNED_LATER: Final = marked(
    "A tube that came wound from the works and pinned is not turned by hand: go on to the next step."
)
OPEN_PLACE: Final = marked("At its open place the bottom bar's underside is {below} mm below the header's base.")

WIND: Final = marked(
    "Hold the tube. With the winding bar turn the spring's shaft in half turns, its top towards you as seen from inside, so "
    "that the spring drives the tube's top the same way. Half turns to wind: {half_turns} (turns: {open}). Count each one "
    "aloud, secure the shaft after each, write the count down, and lock the shaft after the last."
)
WIND_BOTH: Final = marked("Both springs sit on the shaft and take the same turns.")
TURNS_AND_ENERGY: Final = marked(
    "Turns in the spring: {open} with the shutter open, {closed} with it closed. Stored energy: {energy_open} J open, "
    "{energy_closed} J closed."
)
WORKS_WOUND: Final = marked(
    "Only where the tube came wound from the works and pinned: wind nothing, it holds the turns of the closed shutter, "
    "{closed} ({energy_closed} J). Lock its shaft in the bracket and let the curtain down to its closed place, straps taut. "
    "One holds the bottom bar with both hands, the other draws the pin, and the curtain is let up slowly by hand to its "
    "open place and held there with clamps."
)
NO_SPRING: Final = marked(
    "No spring that the catalogue offers can be made for this curtain in this tube: wind nothing until springs are settled "
    "on."
)

TRACKS_NOW: Final = {
    "reveal": marked(
        "Only now the tracks, left and right as seen from outside. Slide each one up at a slant over slat ends and bottom "
        "bar, its foot outwards through the opening, then set it upright, the groove in its upper end in line with the side "
        "plate."
    ),
    "face": marked(
        "Only now the tracks, left and right as seen from outside. Slide each one up at a slant over slat ends and bottom "
        "bar, its foot inwards, which takes about {needed} mm of depth, then set it upright, the groove in its upper end in "
        "line with the side plate."
    ),
}
TRACKS_FIXED: Final = marked(
    "Screw the tracks on with countersunk screws, one near each end and at most {spacing} mm apart, plumb, {lips} mm "
    "between the lips at top, middle and bottom. No head and no tip may stand proud in the slot."
)
PACKING: Final = {
    "left": marked("Left, {at} mm below the header's base: {thickness} mm of packing between track and jamb."),
    "right": marked("Right, {at} mm below the header's base: {thickness} mm of packing between track and jamb."),
}
STOPS: Final = marked(
    "Set a stop into each slot at the mouth; the stops hold the open bottom bar. Then take the clamps off."
)

STRIKERS: Final = marked(
    "Close the shutter by hand until the bottom seal is pressed by a third, from {free} to {pressed} mm. Hold both strikers "
    "to the tracks with the bolts' axis {striker} mm above the sill, so that the bolts drop in without force; mark, drill "
    "and fix them."
)
HOLD_DOWN: Final = marked("Hold the bottom bar meanwhile: unbolted, the closed shutter rises by itself with {rising} N.")

RAIL: Final = marked(
    "Slide it into the drip rail of {rail} mm. With the shutter closed, screw the rail to the header's base between the "
    "jambs, its back edge flush with the header's inner face: the seal's lip bridges the gap of {gap} mm to the curtain and "
    "touches it without pressing."
)

PULL_STRAP_CUT: Final = marked(
    "Fix the pull strap to the bottom bar, {pull_strap} mm long, so that it is in reach with the shutter open; closed, it "
    "is stowed inside."
)
PULL_STRAP: Final = marked(
    "Fix the pull strap to the bottom bar and cut it so that it is in reach with the shutter open; closed, it is stowed "
    "inside."
)
INSIDE_RELEASE: Final = marked("Fit the inside release and see that it frees both bolts before anybody is shut in.")

STRIP_LIGHT: Final = marked(
    "Clip a strip light along each track, {track_length} mm, clear of the curtain's way, and lay the cable from light to "
    "light, {outer} mm with {area} mm² conductors."
)
ELECTRIC_LOCK: Final = marked("Fit the electric lock; it is fed for a moment only.")
DOOR_SWITCH: Final = marked("Fit the door switch so that the bottom bar works it just before the shutter is closed.")
SUPPLY: Final = marked(
    "Lay {run} m of cable with {area} mm² conductors to the supply, with a blade fuse of {fuse} A close to it."
)
SUPPLY_AT_HAND: Final = marked(
    "Connect the items to the supply beside them with {area} mm² conductors and a blade fuse of {fuse} A."
)
CURRENT: Final = marked("The items take {current} A at most.")
LITTLE_CURRENT: Final = marked("The items take less than 0.1 A.")

VOLTAGE_LOST: Final = marked("Under full load the cable loses {drop} V.")

LUBRICATE: Final = marked(
    "Wipe the tracks clean. Where the shutter runs stiff, put a dry lubricant into the slots; oil and grease would hold the "
    "dust."
)

TRIAL: Final = marked(
    "Run the shutter ten times over its whole way. By hand it takes up to {force} N, and at the open end it must stay by "
    "itself."
)
TRIAL_WITHOUT_SPRING: Final = marked(
    "Run the shutter ten times with the springs that were settled on; at the open end it must stay by itself."
)
HALF_TURN_MORE: Final = marked(
    "If it sinks from its open place, wind half a turn more, with the shutter open and held there, and write it down."
)
NO_TURN_MORE: Final = marked(
    "If it sinks from its open place, look for what drags: the spring's stress does not allow half a turn more."
)
HALF_TURN_LESS: Final = marked(
    "If it pulls up too hard, let half a turn out, with the shutter open and held there, and note it."
)

PAPERS: Final = marked(
    "Leave with the vehicle: this list with its date and digest, the counted half turns, and the instructions for the user. "
    "Show the user how the shutter latches and that {wide} × {high} mm are clear when it is open."
)

MAINTENANCE_MONTHS: Final = marked("Have springs, straps, hinges, wheels, bolts and seals looked at every {months} months.")
MAINTENANCE_MONTHLY: Final = marked("Have springs, straps, hinges, wheels, bolts and seals looked at every month.")
SPRINGS_LAST: Final = marked("The springs are calculated for {cycles} cycles.")
MAINTENANCE_DUST: Final = marked(
    "Wipe the tracks clean each time, dry lubricant where they run stiff; replace torn straps at once."
)

UNWIND: Final = marked(
    "Take the tension out first, with the shutter open and the bottom bar clamped so that it can move neither way. Hold the "
    "shaft with the winding bar, unlock it, and let it back in half turns, as many as were written down ({half_turns} by "
    "calculation, {energy_open} J), until it pulls no more."
)
UNWIND_AS_WRITTEN: Final = marked(
    "Take the tension out first, with the shutter open and the bottom bar clamped so that it can move neither way. Hold the "
    "shaft with the winding bar, unlock it, and let it back in half turns, as many as were written down, until it pulls no "
    "more."
)
ONLY_THEN: Final = marked("Only then loosen straps, bracket caps, tracks or the bottom bar's bolts.")


def _step(key: str, texts: tuple[str, ...], cautions: tuple[str, ...]) -> Instruction:
    """A step with its title."""
    return Instruction(key, TITLES[key], texts, cautions)


PUT_SEAL_ON: Final = _step("perimeter_seal", (PERIMETER,), ("sharp",))
FIX_PLATES: Final = _step("side_plates", (PLATE_HOLES, PLATE_FIXED), ("sharp", "drilling"))
SET_BRACKETS: Final = _step("bracket", (BRACKET, BRACKET_BELOW_ROOF), ())
SET_BRACKETS_TOO_HIGH: Final = _step("bracket", (BRACKET, BRACKET_ABOVE_ROOF), ())
SET_WHEELS: Final = {hole: _step("wheel", (text,), ()) for hole, text in WHEEL.items()}
FIX_SEAL: Final = _step("top_seal", (SEAL_CUT, SEAL_FIXED), ("sharp", "drilling"))
STRAP_ON: Final = _step("strap_on", (STRAPS, SPRING_HAND, KEEP_THE_PIN), ("stored_energy", "load_overhead"))
SEAT: Final = _step("tube", (SEAT_TUBE,), ("load_overhead", "pinch"))
LAY: Final = _step("lay_on", (LAY_ON, PINNED_LATER), ("pinch", "load_overhead"))
LAY_LOWER: Final = _step("lay_on", (LAY_ON, OPEN_PLACE, PINNED_LATER), ("pinch", "load_overhead"))
TENSION: Final = _step("pretension", (WIND, TURNS_AND_ENERGY, WORKS_WOUND), ("stored_energy", "pinch"))
TENSION_BOTH: Final = _step("pretension", (WIND, WIND_BOTH, TURNS_AND_ENERGY, WORKS_WOUND), ("stored_energy", "pinch"))
TENSION_NOTHING: Final = _step("pretension", (NO_SPRING,), ("stored_energy",))
SET_STRIKERS: Final = _step("strikers", (STRIKERS,), ("pinch", "drilling"))
SET_STRIKERS_HELD: Final = _step("strikers", (STRIKERS, HOLD_DOWN), ("pinch", "drilling"))
FIT_RAIL: Final = _step("drip_rail", (SEAL_CUT, RAIL), ("sharp", "drilling"))
CLEAN_TRACKS: Final = _step("lubricate", (LUBRICATE,), ("pinch",))
HAND_OVER: Final = _step("papers", (PAPERS,), ("driving",))
TAKE_APART: Final = _step("unwinding", (UNWIND, ONLY_THEN), ("stored_energy", "load_overhead"))
TAKE_APART_AS_WRITTEN: Final = _step("unwinding", (UNWIND_AS_WRITTEN, ONLY_THEN), ("stored_energy", "load_overhead"))

VARIED: Final[dict[tuple[str, ...], Instruction]] = {}
"""Steps that are put together for a fitting, by their sentences and cautions, as they were needed."""


def work_of(calculated: Calculated, page: Page) -> set[str]:
    """Write the steps in order; the codes of the cautions that they call for."""
    work = _Work(calculated, page)
    work.steps()
    return set(work.called)


def cautions_of(called: set[str], calculated: Calculated, page: Page) -> None:
    """Write the cautions that steps called for, each once."""
    told = CAUTIONS if calculated.choice.made else CAUTIONS_WITHOUT_SPRING
    for code, text in told.items():
        if code in called:
            page.put(page.language.entry("code", code, "text", text))


@final
class _Work:
    """The steps of one fitting on a page."""

    def __init__(self, calculated: Calculated, page: Page) -> None:
        self.calculated = calculated
        self.job = calculated.job
        self.answer = calculated.answer
        self.made = calculated.choice.made
        self.keys = {part.key for part in calculated.answer.parts}
        self.page = page
        self.called: list[str] = []
        depth_mm = calculated.job.opening.depth_mm
        self.little_depth = calculated.job.mount.id == "face" and depth_mm < depth_to_stand_tracks_mm(calculated)
        """Whether lapping tracks cannot be set upright in the depth that there is."""

    def steps(self) -> None:
        """Write the steps in order."""
        keys, inside = self.keys, self.job.fitted_from == "inside"
        railed = "drip_rail" in keys
        self._parcel(inside=inside)
        if "perimeter_seal_jamb" in keys:
            self._write(PUT_SEAL_ON)
        self._offer_up()
        if not keys.isdisjoint(PARTS["packers"]):
            self._packers()
        self._write(FIX_PLATES)
        self._write(SET_BRACKETS if self.answer.bracket.below_roof_mm >= 0 else SET_BRACKETS_TOO_HIGH)
        self._write(SET_WHEELS[self.answer.wheel.hole])
        if not railed:
            self._write(FIX_SEAL)
        self._curtain(inside=inside)
        self._write(STRAP_ON)
        self._write(SEAT)
        self._write(LAY_LOWER if self.job.hardware.bar.height_mm > self.calculated.moved.bar_top_open_z_mm else LAY)
        both = self.answer.balance.spring_count > 1
        self._write(TENSION_NOTHING if not self.made else TENSION_BOTH if both else TENSION)
        self._tracks()
        rises = self.made and -self.answer.balance.hand_force_closed_n > RESOLUTION
        self._write(SET_STRIKERS_HELD if rises else SET_STRIKERS)
        if railed:
            self._write(FIT_RAIL)
        if not keys.isdisjoint(PARTS["handles"]):
            self._handles()
        if "fuse" in keys:
            self._electrical()
        self._write(CLEAN_TRACKS)
        self._trial_runs()
        self._write(HAND_OVER)
        self._maintenance()
        self._write(TAKE_APART if self.made else TAKE_APART_AS_WRITTEN)

    def _write(self, step: Instruction) -> None:
        """Write a step."""
        self.called += step.cautions
        self.page.put(self.page.language.step(step))

    def _varied(self, key: str, texts: tuple[str, ...], cautions: tuple[str, ...]) -> None:
        """Write a step that is put together for this fitting."""
        known = texts + cautions
        step = VARIED.get(known)
        if step is None:
            step = VARIED[known] = _step(key, texts, cautions)
        self._write(step)

    def _parcel(self, *, inside: bool) -> None:
        cautions: tuple[str, ...] = ("rules_first", "shut_in") if inside else ("rules_first",)
        if self.answer.verdict == "does_not_fit":
            cautions = ("not_to_be_built", *cautions)
        self._varied("parcel", (TICK_OFF, MEASURE_ONCE_MORE, TOOLS, LAY_OUT[self.job.fitted_from]), cautions)

    def _offer_up(self) -> None:
        answer, mount = self.answer, self.job.mount
        offset, base, lap = self.job.opening.plate_offset_mm, answer.side_plate.base_z_mm, answer.opening.lap_mm
        texts = [STAND_TRACKS[mount.id]]
        if lap is not None and mount.track_beyond_mm - lap > RESOLUTION:
            texts.append(LAPS)
        texts += [
            PLATE_TO_TRACK[mount.id],
            FRONT_BEHIND if mount.plate_setback_mm else FRONT_FLUSH,
            PLATE_ABOVE_MOUTH if offset > 0 else PLATE_BELOW_MOUTH if offset < 0 else PLATE_AT_MOUTH,
            BASE_ABOVE if base > 0 else BASE_BELOW if base < 0 else BASE_LEVEL,
            TAKE_AWAY,
        ]
        self._varied("offer_up", tuple(texts), ("sharp", "little_depth") if self.little_depth else ("sharp",))

    def _packers(self) -> None:
        texts = [PACKER[side] for side in ("left", "right") if f"packer_{side}" in self.keys]
        self._varied("packers", (*texts, PACKER_FIXED), ())

    def _curtain(self, *, inside: bool) -> None:
        lifting = self.answer.lifting
        lifted = LIFT_BY_MORE if lifting.lift_needed else LIFT_BY_TWO if lifting.persons > 1 else LIFT_BY_ONE
        self._varied(
            "curtain",
            (lifted, CURTAIN_PASSED[self.job.fitted_from], CURTAIN_LED),
            ("load_overhead", "pinch", "shut_in") if inside else ("load_overhead", "pinch"),
        )

    def _tracks(self) -> None:
        packing, now = self.answer.opening.packing, TRACKS_NOW[self.job.mount.id]
        if packing:
            self.page.figures["told"] = b" ".join([self._packing(one) for one in packing])
        cautions = ("stored_energy", "pinch", "sharp", "drilling")
        self._varied(
            "tracks",
            (now, TRACKS_FIXED, TOLD, STOPS) if packing else (now, TRACKS_FIXED, STOPS),
            (*cautions, "little_depth") if self.little_depth else cautions,
        )

    def _packing(self, one: Packing) -> bytes:
        """What is said of one of several packings."""
        language = self.page.language
        figures = {
            "at": language.numbers.written(one.at_mm, TENTHS),
            "thickness": language.numbers.written(one.thickness_mm, TENTHS),
        }
        return language.sentence(PACKING[one.side]).filled(figures)

    def _handles(self) -> None:
        texts = []
        if "pull_strap" in self.keys:
            texts.append(PULL_STRAP if self.answer.pull_strap is None else PULL_STRAP_CUT)
        if "inside_release" in self.keys:
            texts.append(INSIDE_RELEASE)
        self._varied("handles", tuple(texts), ())

    def _electrical(self) -> None:
        wiring, keys, texts = self.answer.wiring, self.keys, []
        if wiring is not None:
            if "strip_light" in keys:
                texts.append(STRIP_LIGHT)
            if "electric_lock" in keys:
                texts.append(ELECTRIC_LOCK)
            if "door_switch" in keys:
                texts.append(DOOR_SWITCH)
            texts.append(SUPPLY if "supply_cable" in keys else SUPPLY_AT_HAND)
            texts.append(LITTLE_CURRENT if self.page.figures["current"] == b"0" else CURRENT)
            if wiring.voltage_drop_v > 0:
                texts.append(VOLTAGE_LOST)
        self._varied("electrical", tuple(texts), ("supply_off",))

    def _trial_runs(self) -> None:
        if not self.made:
            self._varied("trial_runs", (TRIAL_WITHOUT_SPRING,), ("pinch", "stored_energy"))
            return
        balance = self.answer.balance
        bears = care.bears_half_a_turn_more(
            stress_mpa=balance.stress_mpa, stress_limit_mpa=balance.stress_limit_mpa, turns_closed=balance.turns_closed
        )
        texts: tuple[str, ...] = (TRIAL, HALF_TURN_MORE if bears else NO_TURN_MORE)
        if balance.pretension_turns > HALF_TURN:
            texts = (*texts, HALF_TURN_LESS)
        self._varied("trial_runs", texts, ("pinch", "stored_energy"))

    def _maintenance(self) -> None:
        monthly = care.inspection_months(cycles_per_day=self.job.duty.cycles_per_day) == 1
        looked_at = MAINTENANCE_MONTHLY if monthly else MAINTENANCE_MONTHS
        texts = (looked_at, MAINTENANCE_DUST, SPRINGS_LAST) if self.made else (looked_at, MAINTENANCE_DUST)
        self._varied("maintenance", texts, ("pinch",))

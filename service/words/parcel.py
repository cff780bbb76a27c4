"""What each part of the parcel is called, with what tells it from a part like it."""

from typing import Final

from service.calculation.fitting import Calculated

from .languages import marked
from .numbers import TENTHS
from .page import Page

LABELS: Final = {
    "slat": marked("Slat {slat}, hinged into the curtain"),
    "bottom_bar": marked("Bottom bar with handle lip and two bolts, on the curtain"),
    "bottom_seal": marked("Bottom seal, in the bottom bar"),
    "strap": marked("Strap between curtain and tube"),
    "tube": marked("Tube {tube} with its shaft"),
    "spring": marked("Torsion spring in the tube: wire {wire} mm, mean diameter {diameter} mm, {coils} coils"),
    "side_plate_left": marked("Side plate {plate}, left"),
    "side_plate_right": marked("Side plate {plate}, right"),
    "packer_left": marked("Packer behind the left side plate, {packer_left} mm thick"),
    "packer_right": marked("Packer behind the right side plate, {packer_right} mm thick"),
    "bracket": marked("Bracket of the tube, with cap and locating pin"),
    "wheel": marked("Wheel with its axle"),
    "wheel_spacer": marked("Spacer between a wheel and its side plate"),
    "track_left": marked("Track for the mount in the reveal, left"),
    "track_right": marked("Track for the mount in the reveal, right"),
    "track_stop": marked("Stop in the slot at the track's mouth"),
    "track_packing_left": marked("Packing behind the left track, {thickness} mm thick"),
    "track_packing_right": marked("Packing behind the right track, {thickness} mm thick"),
    "perimeter_seal_jamb": marked("Perimeter seal at the jamb"),
    "perimeter_seal_header": marked("Perimeter seal at the header"),
    "top_seal": marked("Top seal {seal}, ends cut at {angle}°, length of the long edge"),
    "adhesive": marked("Adhesive for the perimeter seal"),
    "drip_rail": marked("Drip rail, carries the top seal"),
    "rail_end_cap": marked("End cap of the drip rail"),
    "sealant": marked("Sealant for the screws at the header"),
    "striker": marked("Striker for a bolt of the bottom bar"),
    "pull_strap": marked("Pull strap"),
    "inside_release": marked("Inside release"),
    "plate_screw": marked("Countersunk screw for a side plate"),
    "plate_screw_left": marked("Countersunk screw for the left side plate, {packer_left} mm longer for the packer"),
    "plate_screw_right": marked("Countersunk screw for the right side plate, {packer_right} mm longer for the packer"),
    "wheel_bolt": marked("Bolt with locking nut for a wheel"),
    "bracket_bolt": marked("Bolt with washer and locking nut for a bracket"),
    "strap_screw": marked("Screw for a strap on the tube"),
    "track_screw": marked("Countersunk screw for a track"),
    "striker_screw": marked("Screw for a striker"),
    "top_seal_screw": marked("Screw for the top seal"),
    "drip_rail_screw": marked("Screw for the drip rail"),
    "pull_strap_screw": marked("Screw for the pull strap"),
    "inside_release_screw": marked("Screw for the inside release"),
    "electric_lock_screw": marked("Screw for the electric lock"),
    "door_switch_screw": marked("Screw for the door switch"),
    "strip_light": marked("Strip light along a track"),
    "strip_light_clip": marked("Clip with screw for a strip light"),
    "light_link": marked("Cable from light to light, two conductors of {area} mm²"),
    "electric_lock": marked("Electric lock"),
    "door_switch": marked("Door switch"),
    "supply_cable": marked("Cable to the supply, two conductors of {area} mm²"),
    "fuse": marked("Blade fuse of {fuse} A with its holder"),
}
"""What each part is called, by its key."""

LABELS_ON_FACE: Final = {
    **LABELS,
    "track_left": marked("Track for the mount on the inner face, left"),
    "track_right": marked("Track for the mount on the inner face, right"),
}
"""The same where tracks lap over the opening's edges."""


def labels_of(calculated: Calculated, page: Page) -> None:
    """Write what the parts of an answer's parcel are called."""
    language = page.language
    labels = LABELS_ON_FACE if calculated.job.mount.id == "face" else LABELS
    for part in calculated.answer.parts:
        if part.thickness_mm is not None:
            page.figures["thickness"] = language.numbers.written(part.thickness_mm, TENTHS)
        page.put(language.entry("key", part.key, "label", labels[part.key]))

"""The check list of the parcel: what this fitting needs, counted and cut to length, in the order of ticking off."""

from math import ceil
from typing import NamedTuple

from service.audit.recorder import Use, plain
from service.audit.rules import rule
from service.calculation.balance import Balance
from service.calculation.job import FittedFrom
from service.calculation.wiring import Wiring

SCREW_SPACING_MM = 300.0
"""Greatest distance of screws along tracks and drip rail [mm]. Source: common practice."""

STRAP_SPACING_MM = 400.0
"""Greatest distance of straps along the tube [mm]. Source: common practice."""

BOLTS_A_PLATE = 4
"""Bolts that hold a side plate. Source: practice of this project."""

BOLTS_A_BRACKET = 2
"""Bolts that hold a bracket, the one that secures the tube among them. Source: practice of this project."""

SCREWS_A_STRAP = 2
"""Screws that hold a strap on the tube. Source: practice of this project."""

SCREWS_A_STRIKER = 2
"""Screws that hold a striker. Source: practice of this project."""

SCREWS_OF_OPTIONS = {"pull_strap": 2, "inside_release": 4, "electric_lock": 4, "door_switch": 2}
"""Screws that hold the part of an option. Source: practice of this project."""

OPTION_PARTS = {
    "pull_strap": "pull strap",
    "inside_release": "inside release",
    "electric_lock": "electric lock",
    "door_switch": "door switch",
}
"""Parts of options that are one piece, by option."""


class Part(NamedTuple):
    """One line of the check list; a length only where the part is cut for this fitting."""

    part: str
    quantity: int
    cut_length_mm: float | None


class Figures(NamedTuple):
    """The answer's figures that parcel and order of work speak of, under the answer's names."""

    mount: str
    fitted_from: FittedFrom
    options: frozenset[str]
    slat: str
    tube: str
    slat_count: int
    slat_length_mm: float
    curtain_mass_kg: float
    shutter_mass_kg: float
    coil_radius_mm: float
    side_plate: str
    plate_high_mm: float
    plate_setback_mm: float
    plate_offset_mm: float
    plate_base_z_mm: float
    curtain_plane_x_mm: float
    bracket_hole: str
    bracket_from_front_mm: float
    bracket_from_base_mm: float
    wheel_hole: str
    wheel_from_front_mm: float
    wheel_from_base_mm: float
    track_length_mm: float
    track_beyond_mm: float
    outer_width_mm: float
    daylight_width_mm: float
    top_cut_length_mm: float
    top_short_edge_mm: float
    top_end_angle_deg: float
    bottom_seal_free_mm: float
    bottom_compressed_mm: float
    drip_rail_length_mm: float | None
    striker_height_mm: float
    wall_gap_left_mm: float
    wall_gap_right_mm: float
    strap_length_mm: float
    cable_run_m: float
    cycles_per_day: float
    balance: Balance
    spring_fits: bool
    wiring: Wiring | None

    @property
    def wall_gaps_mm(self) -> tuple[tuple[str, float], tuple[str, float]]:
        """Gap between side plate and wall [mm] by its side, as seen from outside."""
        return ("left", self.wall_gap_left_mm), ("right", self.wall_gap_right_mm)


def shown(value: float) -> str:
    """A figure as a fitter reads it: to a tenth, and no tenth that says nothing."""
    return f"{value:z.1f}".removesuffix(".0")


@rule(
    symbol="n_s",
    unit="screws",
    formula="n_s = ceil(length/300) + 1",
    basis="practice",
    source="common practice: one at each end, at most 300 mm apart",
)
def screws_along(*, length_mm: float) -> int:
    """Screws along a track or rail [screws]."""
    return ceil(length_mm / SCREW_SPACING_MM) + 1


@rule(
    symbol="n_g",
    unit="straps",
    formula="n_g = ceil(L/400) + 1",
    basis="practice",
    source="common practice: one near each end, at most 400 mm apart",
)
def straps_along(*, slat_length_mm: float) -> int:
    """Straps that tie the curtain to its tube [straps]."""
    return ceil(slat_length_mm / STRAP_SPACING_MM) + 1


def parts_of(figures: Figures, *, use: Use = plain) -> tuple[Part, ...]:
    """Everything the parcel must hold, in the order of ticking off."""
    straps = use(straps_along)(slat_length_mm=figures.slat_length_mm)
    return (
        *_curtain(figures, straps),
        *_ends(figures),
        *_seals(figures),
        *_handles(figures),
        *_fasteners(figures, straps, use),
        *_electrical(figures),
    )


def _curtain(figures: Figures, straps: int) -> list[Part]:
    """Curtain and tube."""
    balance, length = figures.balance, figures.slat_length_mm
    alike = "s, each" if balance.spring_count > 1 else ""
    springs = (
        f"with {balance.spring_count} spring{alike} of {shown(balance.wire_mm)} mm wire, {balance.coils} coils"
        if figures.spring_fits
        else "without springs: none of the catalogue fits"
    )
    return [
        Part(f"slat {figures.slat}, hinged into the curtain", figures.slat_count, length),
        Part("bottom bar with its two bolts, on the curtain", 1, length),
        Part("bottom seal, in the bottom bar", 1, length),
        Part("strap between curtain and tube", straps, figures.strap_length_mm),
        Part(f"tube {figures.tube} {springs}", 1, length),
    ]


def _ends(figures: Figures) -> list[Part]:
    """Side plates and what they carry, packers and tracks."""
    return [
        *(Part(f"side plate {figures.side_plate}, {side}", 1, None) for side, _ in figures.wall_gaps_mm),
        *(
            Part(f"packer {shown(gap)} mm thick, {side}", 1, figures.plate_high_mm)
            for side, gap in figures.wall_gaps_mm
            if gap > 0
        ),
        Part("bracket of the tube", 2, None),
        Part("wheel with its axle", 2, None),
        *(Part(f"track for mount {figures.mount}, {side}", 1, figures.track_length_mm) for side, _ in figures.wall_gaps_mm),
    ]


def _seals(figures: Figures) -> list[Part]:
    """Perimeter seal, top seal and drip rail."""
    listed = []
    if "perimeter_seal" in figures.options:
        listed += [
            Part("perimeter seal, upright", 2, figures.track_length_mm),
            Part("perimeter seal, along the header", 1, figures.outer_width_mm),
        ]
    ends = f"ends cut at {shown(figures.top_end_angle_deg)}°, length of its long edge"
    listed.append(Part(f"top seal, {ends}", 1, figures.top_cut_length_mm))
    if figures.drip_rail_length_mm is not None:
        listed.append(Part("drip rail, carries the top seal", 1, figures.drip_rail_length_mm))
    return listed


def _handles(figures: Figures) -> list[Part]:
    """Strikers, and what hands take hold of."""
    return [Part("striker", 2, None), *_pieces(figures, "pull_strap", "inside_release")]


def _pieces(figures: Figures, *options: str) -> list[Part]:
    """The parts of those options that are chosen, one piece each."""
    return [Part(OPTION_PARTS[option], 1, None) for option in options if option in figures.options]


def _fasteners(figures: Figures, straps: int, use: Use) -> list[Part]:
    """Bolts and screws by count; bolts that go through a packer are longer and have a line of their own."""
    bolt = "bolt with washer and locking nut, side plate"
    bare = sum(BOLTS_A_PLATE for _, gap in figures.wall_gaps_mm if gap <= 0)
    listed = [
        *([Part(bolt, bare, None)] if bare else []),
        *(
            Part(f"{bolt}, {shown(gap)} mm longer, {side}", BOLTS_A_PLATE, None)
            for side, gap in figures.wall_gaps_mm
            if gap > 0
        ),
        Part("bolt with washer and locking nut, bracket", 2 * BOLTS_A_BRACKET, None),
        Part("screw, strap on tube", straps * SCREWS_A_STRAP, None),
        Part("countersunk screw, track", 2 * use(screws_along)(length_mm=figures.track_length_mm), None),
        Part("screw, striker", 2 * SCREWS_A_STRIKER, None),
    ]
    if figures.drip_rail_length_mm is None:
        count = use(screws_along)(length_mm=figures.top_cut_length_mm)
        listed.append(Part("screw, top seal", count, None))
    else:
        count = use(screws_along)(length_mm=figures.drip_rail_length_mm)
        listed.append(Part("screw, drip rail", count, None))
    for option, screws in SCREWS_OF_OPTIONS.items():
        if option in figures.options:
            listed.append(Part(f"screw, {OPTION_PARTS[option]}", screws, None))
    if "strip_light" in figures.options:
        clips = 2 * use(screws_along)(length_mm=figures.track_length_mm)
        listed.append(Part("clip with screw, strip light", clips, None))
    return listed


def _electrical(figures: Figures) -> list[Part]:
    """Electrical items of the chosen options."""
    wiring = figures.wiring
    if wiring is None:
        return []
    cable = f"two conductors of {wiring.conductor_mm2:g} mm²"
    listed = []
    if "strip_light" in figures.options:
        listed.append(Part("strip light, one for each track", 2, figures.track_length_mm))
        listed.append(Part(f"cable from light to light, {cable}", 1, figures.outer_width_mm))
    listed += _pieces(figures, "electric_lock", "door_switch")
    if figures.cable_run_m > 0:
        listed.append(Part(f"cable to the supply, {cable}", 1, 1000 * figures.cable_run_m))
    return [*listed, Part(f"blade fuse {wiring.fuse_a:g} A with its holder", 1, None)]

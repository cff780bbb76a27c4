"""The parcel: what this fitting needs, counted and cut to length, in the order of ticking off. Numbers, keys and ids."""

from math import ceil
from typing import Final, final

from ..audit.rules import rule
from .balance import Balance
from .job import Job
from .survey import Packing
from .wiring import Wiring

SCREW_SPACING_MM: Final = 300.0
"""Greatest distance of screws along tracks and drip rail [mm]. Source: common practice."""

STRAP_SPACING_MM: Final = 400.0
"""Greatest distance of straps along the tube [mm]. Source: common practice."""

SCREWS_A_PLATE: Final = 4
"""Countersunk screws that hold a side plate, one for each of its fixing holes. Source: the plate's drilling."""

BOLTS_A_BRACKET: Final = 2
"""Bolts that hold a bracket, the one that secures the tube among them. Source: practice of this project."""

SCREWS_A_STRAP: Final = 2
"""Screws that hold a strap on the tube. Source: practice of this project."""

SCREWS_A_STRIKER: Final = 2
"""Screws that hold a striker. Source: practice of this project."""

SCREWS_OF_OPTIONS: Final[dict[str, int]] = {
    "pull_strap": 2,
    "inside_release": 4,
    "electric_lock": 4,
    "door_switch": 2,
}
"""Screws that hold the part of an option. Source: practice of this project."""

PACKER_BEYOND_GAP_MM: Final = 1.0
"""What a packer is thicker than its gap [mm]: the plate's inner face stands so far inside. Source: the specification."""


@final
class Part:
    """One line of the parcel: a stable key, the catalogue's id where it has one, and how much of it.

    `cut_length_mm` only where the part is cut for this fitting, `thickness_mm` only for what packs.
    """

    def __init__(
        self,
        *,
        key: str,
        quantity: int,
        catalogue_id: str | None = None,
        cut_length_mm: float | None = None,
        thickness_mm: float | None = None,
    ) -> None:
        self.key = key
        self.catalogue_id = catalogue_id
        self.quantity = quantity
        self.unit = "piece"
        self.cut_length_mm = cut_length_mm
        self.thickness_mm = thickness_mm


def screws_along(*, length_mm: float) -> int:
    """Screws along a track or rail [screws]."""
    return ceil(length_mm / SCREW_SPACING_MM) + 1


rule(
    screws_along,
    symbol="n_s",
    unit="screws",
    formula="n_s = ceil(length/300) + 1",
    basis="practice",
    source="common practice: one at each end, at most 300 mm apart",
)


def straps_along(*, tube_length_mm: float) -> int:
    """Straps that tie the curtain to its tube [straps]."""
    return ceil(tube_length_mm / STRAP_SPACING_MM) + 1


rule(
    straps_along,
    symbol="n_g",
    unit="straps",
    formula="n_g = ceil(l/400) + 1",
    basis="practice",
    source="common practice: one near each end, at most 400 mm apart",
)


def packer_thickness_mm(*, wall_gap_mm: float) -> float:
    """Thickness of the packer between side plate and wall [mm]."""
    return wall_gap_mm + PACKER_BEYOND_GAP_MM


rule(
    packer_thickness_mm,
    symbol="t_p",
    unit="mm",
    formula="t_p = gap + 1",
    basis="practice",
    source="the gap is that of the track's outer edge; the plate stands 1 mm further in",
)


@final
class Cut:
    """The figures of a fitting that its parts are cut to."""

    def __init__(
        self,
        *,
        tube: str,
        side_plate: str,
        plate_high_mm: float,
        slat_count: int,
        slat_length_mm: float,
        tube_length_mm: float,
        bottom_seal_length_mm: float,
        track_length_mm: float,
        outer_width_mm: float,
        opening_width_mm: float,
        opening_height_mm: float,
        top_profile: str,
        top_seal_length_mm: float,
        drip_rail_length_mm: float | None,
        pull_strap_length_mm: float | None,
        packing: list[Packing],
        balance: Balance,
        spring_made: bool,
        wiring: Wiring | None,
    ) -> None:
        self.tube = tube
        self.side_plate = side_plate
        self.plate_high_mm = plate_high_mm
        self.slat_count = slat_count
        self.slat_length_mm = slat_length_mm
        self.tube_length_mm = tube_length_mm
        self.bottom_seal_length_mm = bottom_seal_length_mm
        self.track_length_mm = track_length_mm
        self.outer_width_mm = outer_width_mm
        self.opening_width_mm = opening_width_mm
        self.opening_height_mm = opening_height_mm
        self.top_profile = top_profile
        self.top_seal_length_mm = top_seal_length_mm
        self.drip_rail_length_mm = drip_rail_length_mm
        self.pull_strap_length_mm = pull_strap_length_mm
        self.packing = packing
        self.balance = balance
        self.spring_made = spring_made
        self.wiring = wiring


def parts_of(job: Job, cut: Cut) -> list[Part]:
    """Everything the parcel must hold, in the order of ticking off."""
    straps = straps_along(tube_length_mm=cut.tube_length_mm)
    track_screws = screws_along(length_mm=cut.track_length_mm)
    header_length = cut.top_seal_length_mm if cut.drip_rail_length_mm is None else cut.drip_rail_length_mm
    header_screws = screws_along(length_mm=header_length)
    return [
        *_curtain(job, cut, straps),
        *_ends(job, cut),
        *_seals(job, cut),
        *_handles(job, cut),
        *_fasteners(job, cut, straps, track_screws, header_screws),
        *_electrical(job, cut, track_screws),
    ]


def _curtain(job: Job, cut: Cut, straps: int) -> list[Part]:
    """Curtain and tube."""
    listed = [
        Part(key="slat", catalogue_id=job.slat.id, quantity=cut.slat_count, cut_length_mm=cut.slat_length_mm),
        Part(key="bottom_bar", quantity=1, cut_length_mm=cut.slat_length_mm),
        Part(key="bottom_seal", quantity=1, cut_length_mm=cut.bottom_seal_length_mm),
        Part(key="strap", quantity=straps, cut_length_mm=job.hardware.running.strap_length_mm),
        Part(key="tube", catalogue_id=cut.tube, quantity=1, cut_length_mm=cut.tube_length_mm),
    ]
    if cut.spring_made:
        listed.append(Part(key="spring", quantity=cut.balance.spring_count))
    return listed


def _ends(job: Job, cut: Cut) -> list[Part]:
    """Side plates and what they carry, tracks, and what packs both."""
    listed = [
        Part(key="side_plate_left", catalogue_id=cut.side_plate, quantity=1),
        Part(key="side_plate_right", catalogue_id=cut.side_plate, quantity=1),
    ]
    for key, gap in (("packer_left", job.opening.wall_gap_left_mm), ("packer_right", job.opening.wall_gap_right_mm)):
        if gap > 0:
            thickness = packer_thickness_mm(wall_gap_mm=gap)
            listed.append(Part(key=key, quantity=1, cut_length_mm=cut.plate_high_mm, thickness_mm=thickness))
    listed += [
        Part(key="bracket", quantity=2),
        Part(key="wheel", quantity=2),
        Part(key="track_left", catalogue_id=job.mount.id, quantity=1, cut_length_mm=cut.track_length_mm),
        Part(key="track_right", catalogue_id=job.mount.id, quantity=1, cut_length_mm=cut.track_length_mm),
        Part(key="track_stop", quantity=2),
    ]
    listed += [
        Part(key=f"track_packing_{packed.side}", quantity=1, thickness_mm=packed.thickness_mm) for packed in cut.packing
    ]
    return listed


def _seals(job: Job, cut: Cut) -> list[Part]:
    """Perimeter seal, top seal and drip rail."""
    listed = []
    if "perimeter_seal" in job.options:
        listed += [
            Part(key="perimeter_seal_jamb", quantity=2, cut_length_mm=cut.opening_height_mm),
            Part(key="perimeter_seal_header", quantity=1, cut_length_mm=cut.opening_width_mm),
        ]
    listed.append(Part(key="top_seal", catalogue_id=cut.top_profile, quantity=1, cut_length_mm=cut.top_seal_length_mm))
    if cut.drip_rail_length_mm is not None:
        listed.append(Part(key="drip_rail", quantity=1, cut_length_mm=cut.drip_rail_length_mm))
    return listed


def _handles(job: Job, cut: Cut) -> list[Part]:
    """Strikers, and what hands take hold of."""
    listed = [Part(key="striker", quantity=2)]
    if "pull_strap" in job.options and cut.pull_strap_length_mm != 0:
        listed.append(Part(key="pull_strap", quantity=1, cut_length_mm=cut.pull_strap_length_mm))
    if "inside_release" in job.options:
        listed.append(Part(key="inside_release", quantity=1))
    return listed


def _fasteners(job: Job, cut: Cut, straps: int, track_screws: int, header_screws: int) -> list[Part]:
    """Screws and bolts by count; those that go through a packer are longer and have a line of their own."""
    gaps = (job.opening.wall_gap_left_mm, job.opening.wall_gap_right_mm)
    bare = SCREWS_A_PLATE * (int(gaps[0] <= 0) + int(gaps[1] <= 0))
    listed = [Part(key="plate_screw", quantity=bare)] if bare else []
    if gaps[0] > 0:
        listed.append(Part(key="plate_screw_left", quantity=SCREWS_A_PLATE))
    if gaps[1] > 0:
        listed.append(Part(key="plate_screw_right", quantity=SCREWS_A_PLATE))
    listed += [
        Part(key="bracket_bolt", quantity=2 * BOLTS_A_BRACKET),
        Part(key="strap_screw", quantity=SCREWS_A_STRAP * straps),
        Part(key="track_screw", quantity=2 * track_screws),
        Part(key="striker_screw", quantity=2 * SCREWS_A_STRIKER),
        Part(key="top_seal_screw" if cut.drip_rail_length_mm is None else "drip_rail_screw", quantity=header_screws),
    ]
    for option, screws in SCREWS_OF_OPTIONS.items():
        if option in job.options and not (option == "pull_strap" and cut.pull_strap_length_mm == 0):
            listed.append(Part(key=f"{option}_screw", quantity=screws))
    return listed


def _electrical(job: Job, cut: Cut, track_screws: int) -> list[Part]:
    """Electrical items of the chosen options."""
    if cut.wiring is None:
        return []
    listed = []
    if "strip_light" in job.options:
        listed += [
            Part(key="strip_light", quantity=2, cut_length_mm=cut.track_length_mm),
            Part(key="strip_light_clip", quantity=2 * track_screws),
            Part(key="light_link", quantity=1, cut_length_mm=cut.outer_width_mm),
        ]
    if "electric_lock" in job.options:
        listed.append(Part(key="electric_lock", quantity=1))
    if "door_switch" in job.options:
        listed.append(Part(key="door_switch", quantity=1))
    if job.duty.cable_run_m > 0:
        listed.append(Part(key="supply_cable", quantity=1, cut_length_mm=1000 * job.duty.cable_run_m))
    listed.append(Part(key="fuse", quantity=1))
    return listed

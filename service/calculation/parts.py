"""The parcel: what this fitting needs, counted and cut to length, in the order of ticking off. Numbers, keys and ids."""

from math import ceil
from typing import Final, final

from ..audit.rules import rule
from .balance import Balance
from .job import Job, SidePlate, TopSeal, Tube
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


ARTICLE_OF: Final[dict[str, str]] = {
    "packer_left": "packer",
    "packer_right": "packer",
    "track_packing_left": "track_packing",
    "track_packing_right": "track_packing",
    "perimeter_seal_jamb": "perimeter_seal",
    "perimeter_seal_header": "perimeter_seal",
    "plate_screw_left": "plate_screw_long",
    "plate_screw_right": "plate_screw_long",
    "top_seal_screw": "seal_screw",
    "drip_rail_screw": "seal_screw",
    "pull_strap_screw": "option_screw",
    "inside_release_screw": "option_screw",
    "electric_lock_screw": "option_screw",
    "door_switch_screw": "option_screw",
    "light_link": "cable",
    "supply_cable": "cable",
}
"""Under which kind of article a part is ordered, where that is not its own key."""

ARTICLES: Final[tuple[str, ...]] = (
    "bottom_bar",
    "bottom_seal",
    "strap",
    "spring",
    "packer",
    "bracket",
    "wheel",
    "wheel_spacer",
    "track_stop",
    "track_packing",
    "perimeter_seal",
    "adhesive",
    "drip_rail",
    "rail_end_cap",
    "sealant",
    "striker",
    "pull_strap",
    "inside_release",
    "plate_screw",
    "plate_screw_long",
    "wheel_bolt",
    "bracket_bolt",
    "strap_screw",
    "track_screw",
    "striker_screw",
    "seal_screw",
    "option_screw",
    "strip_light",
    "strip_light_clip",
    "cable",
    "electric_lock",
    "door_switch",
    "fuse",
)
"""The kinds of articles that a catalogue must number: those of parts that have no row of their own."""


@final
class Part:
    """One line of the parcel: a stable key, the catalogue's id where it has one, and how much of it.

    `article` is the number by which it is ordered. `cut_length_mm` only where the part is cut for this fitting,
    `thickness_mm` only for what packs.
    """

    def __init__(
        self,
        *,
        key: str,
        article: str,
        quantity: int,
        catalogue_id: str | None = None,
        cut_length_mm: float | None = None,
        thickness_mm: float | None = None,
    ) -> None:
        self.key = key
        self.article = article
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
        tube: Tube,
        side_plate: SidePlate,
        slat_count: int,
        slat_length_mm: float,
        tube_length_mm: float,
        bottom_seal_length_mm: float,
        track_length_mm: float,
        outer_width_mm: float,
        header_width_mm: float,
        jamb_height_mm: float,
        top_profile: TopSeal,
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
        self.slat_count = slat_count
        self.slat_length_mm = slat_length_mm
        self.tube_length_mm = tube_length_mm
        self.bottom_seal_length_mm = bottom_seal_length_mm
        self.track_length_mm = track_length_mm
        self.outer_width_mm = outer_width_mm
        self.header_width_mm = header_width_mm
        self.jamb_height_mm = jamb_height_mm
        self.top_profile = top_profile
        self.top_seal_length_mm = top_seal_length_mm
        self.drip_rail_length_mm = drip_rail_length_mm
        self.pull_strap_length_mm = pull_strap_length_mm
        self.packing = packing
        self.balance = balance
        self.spring_made = spring_made
        self.wiring = wiring


def articles_by_part(articles: dict[str, str]) -> dict[str, str]:
    """The article numbers of parts that have no row of their own, of those by kind."""
    return {**articles, **{part: articles[kind] for part, kind in ARTICLE_OF.items()}}


def _part(job: Job, key: str, quantity: int, cut_length_mm: float | None = None, thickness_mm: float | None = None) -> Part:
    """A part that has no row of its own; its article number is empty where the catalogue gives none."""
    return Part(
        key=key,
        article=job.hardware.articles.get(key, ""),
        quantity=quantity,
        cut_length_mm=cut_length_mm,
        thickness_mm=thickness_mm,
    )


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
        Part(
            key="slat",
            article=job.slat.article,
            catalogue_id=job.slat.id,
            quantity=cut.slat_count,
            cut_length_mm=cut.slat_length_mm,
        ),
        _part(job, "bottom_bar", 1, cut_length_mm=cut.slat_length_mm),
        _part(job, "bottom_seal", 1, cut_length_mm=cut.bottom_seal_length_mm),
        _part(job, "strap", straps, cut_length_mm=job.hardware.running.strap_length_mm),
        Part(key="tube", article=cut.tube.article, catalogue_id=cut.tube.id, quantity=1, cut_length_mm=cut.tube_length_mm),
    ]
    if cut.spring_made:
        listed.append(_part(job, "spring", cut.balance.spring_count))
    return listed


def _ends(job: Job, cut: Cut) -> list[Part]:
    """Side plates and what they carry, tracks, and what packs both."""
    listed = [
        Part(key="side_plate_left", article=cut.side_plate.article, catalogue_id=cut.side_plate.id, quantity=1),
        Part(key="side_plate_right", article=cut.side_plate.article, catalogue_id=cut.side_plate.id, quantity=1),
    ]
    for key, gap in (("packer_left", job.opening.wall_gap_left_mm), ("packer_right", job.opening.wall_gap_right_mm)):
        if gap > 0:
            thickness = packer_thickness_mm(wall_gap_mm=gap)
            listed.append(_part(job, key, 1, cut_length_mm=cut.side_plate.high_mm, thickness_mm=thickness))
    listed += [
        _part(job, "bracket", 2),
        _part(job, "wheel", 2),
        _part(job, "wheel_spacer", 2),
        Part(
            key="track_left",
            article=job.mount.article,
            catalogue_id=job.mount.id,
            quantity=1,
            cut_length_mm=cut.track_length_mm,
        ),
        Part(
            key="track_right",
            article=job.mount.article,
            catalogue_id=job.mount.id,
            quantity=1,
            cut_length_mm=cut.track_length_mm,
        ),
        _part(job, "track_stop", 2),
    ]
    listed += [_part(job, f"track_packing_{packed.side}", 1, thickness_mm=packed.thickness_mm) for packed in cut.packing]
    return listed


def _seals(job: Job, cut: Cut) -> list[Part]:
    """Perimeter seal, top seal and drip rail."""
    listed = []
    if "perimeter_seal" in job.options:
        listed += [
            _part(job, "perimeter_seal_jamb", 2, cut_length_mm=cut.jamb_height_mm),
            _part(job, "adhesive", 1),
            _part(job, "perimeter_seal_header", 1, cut_length_mm=cut.header_width_mm),
        ]
    listed.append(
        Part(
            key="top_seal",
            article=cut.top_profile.article,
            catalogue_id=cut.top_profile.id,
            quantity=1,
            cut_length_mm=cut.top_seal_length_mm,
        )
    )
    if cut.drip_rail_length_mm is not None:
        listed.append(_part(job, "drip_rail", 1, cut_length_mm=cut.drip_rail_length_mm))
        listed.append(_part(job, "rail_end_cap", 2))
    listed.append(_part(job, "sealant", 1))
    return listed


def _handles(job: Job, cut: Cut) -> list[Part]:
    """Strikers, and what hands take hold of."""
    listed = [_part(job, "striker", 2)]
    if "pull_strap" in job.options and cut.pull_strap_length_mm != 0:
        listed.append(_part(job, "pull_strap", 1, cut_length_mm=cut.pull_strap_length_mm))
    if "inside_release" in job.options:
        listed.append(_part(job, "inside_release", 1))
    return listed


def _fasteners(job: Job, cut: Cut, straps: int, track_screws: int, header_screws: int) -> list[Part]:
    """Screws and bolts by count; those that go through a packer are longer and have a line of their own."""
    gaps = (job.opening.wall_gap_left_mm, job.opening.wall_gap_right_mm)
    bare = SCREWS_A_PLATE * (int(gaps[0] <= 0) + int(gaps[1] <= 0))
    listed = [_part(job, "plate_screw", bare)] if bare else []
    if gaps[0] > 0:
        listed.append(_part(job, "plate_screw_left", SCREWS_A_PLATE))
    if gaps[1] > 0:
        listed.append(_part(job, "plate_screw_right", SCREWS_A_PLATE))
    listed += [
        _part(job, "wheel_bolt", 2),
        _part(job, "bracket_bolt", 2 * BOLTS_A_BRACKET),
        _part(job, "strap_screw", SCREWS_A_STRAP * straps),
        _part(job, "track_screw", 2 * track_screws),
        _part(job, "striker_screw", 2 * SCREWS_A_STRIKER),
        _part(job, "top_seal_screw" if cut.drip_rail_length_mm is None else "drip_rail_screw", header_screws),
    ]
    for option, screws in SCREWS_OF_OPTIONS.items():
        if option in job.options and not (option == "pull_strap" and cut.pull_strap_length_mm == 0):
            listed.append(_part(job, f"{option}_screw", screws))
    return listed


def _electrical(job: Job, cut: Cut, track_screws: int) -> list[Part]:
    """Electrical items of the chosen options."""
    if cut.wiring is None:
        return []
    listed = []
    if "strip_light" in job.options:
        listed += [
            _part(job, "strip_light", 2, cut_length_mm=cut.track_length_mm),
            _part(job, "strip_light_clip", 2 * track_screws),
            _part(job, "light_link", 1, cut_length_mm=cut.outer_width_mm),
        ]
    if "electric_lock" in job.options:
        listed.append(_part(job, "electric_lock", 1))
    if "door_switch" in job.options:
        listed.append(_part(job, "door_switch", 1))
    if job.duty.cable_run_m > 0:
        listed.append(_part(job, "supply_cable", 1, cut_length_mm=1000 * job.duty.cable_run_m))
    listed.append(_part(job, "fuse", 1))
    return listed

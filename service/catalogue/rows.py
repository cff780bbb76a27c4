"""The rows of a catalogue: frozen, strict, units in the names. A number outside its range is a slip of the pen."""

from typing import Annotated

import msgspec
from msgspec import UNSET, Meta, UnsetType

from service.catalogue.units import mm, said, text

Id = Annotated[str, Meta(pattern=r"^[A-Za-z0-9][A-Za-z0-9_.-]{0,39}$(?!\n)", description="An id of the catalogue.")]
Article = Annotated[str, text("The article number by which it is ordered.", min_length=1, max_length=40)]


class Row(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What all rows share: no unknown key, nothing changed after reading."""


class SlatRow(Row, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A slat profile and the tubes it may be wound on, in the order in which they are tried."""

    id: Id
    article: Article
    pitch_mm: Annotated[float, mm("From hinge to hinge.", ge=10, le=150)]
    thickness_mm: Annotated[float, mm("Thickness.", ge=2, le=60)]
    thickness_tolerance_mm: Annotated[float, mm("By how much the thickness may be more or less.", ge=0, le=2)]
    nesting: Annotated[float, said("1", "Share of a chord's sagitta by which layers stand apart.", ge=0, le=3)]
    hinge_limit_deg: Annotated[float, said("deg", "Greatest bend of a hinge.", ge=10, le=120)]
    mass_kg_per_m: Annotated[float, said("kg/m", "Mass of a metre of slat.", ge=0.01, le=20)]
    second_moment_mm4: Annotated[float, said("mm4", "Second moment of its section, out of its plane.", ge=1, le=1e7)]
    section_modulus_mm3: Annotated[float, said("mm3", "Section modulus, out of its plane.", ge=1, le=1e6)]
    wheel_radius_mm: Annotated[float, mm("Radius of the wheel that it runs over.", ge=5, le=300)]
    wheel_allowance_mm: (
        Annotated[
            float,
            mm(
                "What the coil keeps free of the wheel's centre, besides the running clearance; absent: wheel radius + "
                "thickness + 5.",
                ge=0,
                le=1000,
            ),
        ]
        | UnsetType
    ) = UNSET
    slot_width_mm: Annotated[float, mm("Width of the track's slot for it.", ge=2, le=100)]
    width_max_mm: Annotated[float, mm("Greatest width of an opening that it is made for.", ge=250, le=3000)]
    tubes: Annotated[
        tuple[Id, ...], text("Ids of the tubes it may be wound on, in the order of trial.", min_length=1, max_length=20)
    ]


class TubeRow(Row, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A spring-balanced tube of steel."""

    id: Id
    article: Article
    radius_mm: Annotated[float, mm("Outer radius.", ge=10, le=150)]
    wall_mm: Annotated[float, mm("Thickness of its wall.", ge=0.5, le=20)]


class WheelHoleRow(Row, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A hole for the wheel."""

    name: Annotated[str, Meta(pattern=r"^(low|mid|high)$(?!\n)", description="`low`, `mid` or `high`.")]
    from_front_mm: Annotated[float, mm("From the plate's front edge.", ge=1, le=1000)]
    from_base_mm: Annotated[float, mm("From the plate's lower edge.", ge=1, le=1000)]


class ColumnsRow(Row, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Bracket columns from the front edge inwards, up to an edge distance before the plate's rear edge."""

    first_mm: Annotated[float, mm("The first column, from the plate's front edge.", ge=1, le=1000)]
    step_mm: Annotated[float, mm("From column to column.", ge=1, le=200)]
    edge_mm: Annotated[float, mm("Least distance of the last column from the plate's rear edge.", ge=0, le=1000)]

    def positions_mm(self, deep_mm: float) -> tuple[float, ...]:
        """Distances [mm] of all columns from the front edge of a plate so deep; shape (columns,)."""
        count = int((deep_mm - self.edge_mm - self.first_mm) / self.step_mm + 1e-9) + 1
        return tuple(self.first_mm + index * self.step_mm for index in range(count))


class SidePlateRow(Row, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A side plate with its holes."""

    id: Id
    article: Article
    deep_mm: Annotated[float, mm("Its depth, inwards.", ge=50, le=1000)]
    high_mm: Annotated[float, mm("Its height.", ge=50, le=1000)]
    wheel_holes: Annotated[tuple[WheelHoleRow, ...], text("From the lowest up.", min_length=1, max_length=3)]
    bracket_columns: ColumnsRow
    bracket_rows_below_centre_mm: Annotated[
        tuple[Annotated[float, mm("Below the middle of the plate's height.", ge=-1000, le=1000)], ...],
        text("Rows of bracket holes in the order of trial.", min_length=1, max_length=20),
    ]


class MountRow(Row, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """How the tracks stand to the opening."""

    article: Annotated[str, text("The article number of its track.", min_length=1, max_length=40)]
    mouth_z_mm: Annotated[float, mm("The tracks' upper ends above the header's base; negative: below.", ge=-200, le=200)]
    plate_setback_mm: Annotated[float, mm("The side plates' front edge behind the header's inner face.", ge=0, le=1000)]
    track_beyond_mm: Annotated[float, mm("How far a track reaches beyond the opening, on each side.", ge=0, le=1000)]


class MountsRow(Row, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Both mounts: tracks between the jambs, and tracks lapping over the opening's edges from behind."""

    reveal: MountRow
    face: MountRow


class TrackRow(Row, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The vertical guide: across its width the web, then the slot; across its depth it reaches past the slot's walls."""

    wall_mm: Annotated[float, mm("From its outer edge to its inner lip.", ge=1, le=100)]
    web_mm: Annotated[float, mm("From its outer edge to the slot's bottom.", ge=1, le=50)]
    slot_depth_mm: Annotated[float, mm("Depth of the slot.", ge=1, le=100)]
    before_slot_mm: Annotated[float, mm("How far it reaches before the slot, outwards.", ge=0, le=50)]
    behind_slot_mm: Annotated[float, mm("How far it reaches behind the slot, inwards.", ge=0, le=50)]
    end_gap_mm: Annotated[float, mm("Least gap at a hot slat's end.", ge=0, le=50)]
    engagement_min_mm: Annotated[float, mm("Engagement that a slat should have.", ge=0, le=100)]
    held_min_mm: Annotated[float, mm("Engagement below which a bowed slat is not held.", ge=0, le=100)]
    sill_gap_mm: Annotated[float, mm("Between its lower end and the sill.", ge=0, le=100)]


class PlateFixingRow(Row, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """How side plates and brackets stand across the opening, and the holes that are drilled into a plate."""

    thickness_mm: Annotated[float, mm("Thickness of a side plate.", ge=1, le=20)]
    inset_mm: Annotated[float, mm("A plate's inner face inside the track's outer edge.", ge=0, le=50)]
    groove_width_mm: Annotated[float, mm("Width of the groove in the track that takes the plate.", ge=1, le=20)]
    groove_depth_mm: Annotated[float, mm("Depth of that groove from the track's upper end.", ge=0, le=200)]
    fixing_hole_diameter_mm: Annotated[float, mm("Diameter of the fixing holes.", ge=1, le=30)]
    fixing_hole_edge_mm: Annotated[float, mm("Their distance from the plate's edges.", ge=1, le=100)]
    wheel_hole_diameter_mm: Annotated[float, mm("Diameter of the wheel's hole.", ge=1, le=50)]
    bracket_hole_diameter_mm: Annotated[float, mm("Diameter of the bracket's hole.", ge=1, le=50)]
    bracket_thickness_mm: Annotated[float, mm("Thickness of a bracket along the tube.", ge=1, le=100)]


class BottomBarRow(Row, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The curtain's lowest member with its seal and its handle lip; as long and as thick as the slats."""

    height_mm: Annotated[float, mm("Its height.", ge=5, le=200)]
    mass_kg_per_m: Annotated[float, said("kg/m", "Mass of a metre of it.", ge=0.01, le=20)]
    bolt_axis_mm: Annotated[float, mm("The bolts' axis above its underside.", ge=0, le=200)]
    lip_deep_mm: Annotated[float, mm("How far the handle lip stands outwards.", ge=0, le=200)]
    lip_above_underside_mm: Annotated[float, mm("The handle lip above its underside.", ge=0, le=200)]
    seal_free_mm: Annotated[float, mm("Height of the free bottom seal.", ge=0, le=100)]
    seal_shorter_mm: Annotated[float, mm("How much shorter than the lips the bottom seal is.", ge=0, le=50)]


class TopSealRow(Row, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A profile of the top seal and the gaps that it reaches."""

    id: Id
    article: Article
    deep_mm: Annotated[float, mm("Depth of the profile.", ge=1, le=100)]
    reach_min_mm: Annotated[float, mm("Least gap that it seals.", ge=0, le=200)]
    reach_max_mm: Annotated[float, mm("Greatest gap that it seals.", ge=0, le=200)]


class HeaderRow(Row, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What goes on at the header: how top seals are cut, and the rail that may carry one."""

    end_angle_deg: Annotated[float, said("deg", "Angle of a top seal's cut ends to its length.", ge=30, le=90)]
    drip_rail_shorter_mm: Annotated[float, mm("How much shorter than the opening the drip rail is.", ge=0, le=50)]
    drip_rail_high_mm: Annotated[float, mm("Greatest height of the drip rail.", ge=1, le=50)]


class RunningRow(Row, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Room and reserve that a moving curtain needs."""

    clearance_mm: Annotated[float, mm("Running clearance of the coil to everything around it.", ge=0, le=200)]
    header_gap_min_mm: Annotated[float, mm("Least gap from header to curtain.", ge=0, le=100)]
    side_gap_min_mm: Annotated[float, mm("Least gap from slat end to side plate.", ge=0, le=50)]
    curtain_clearance_mm: Annotated[float, mm("Least clearance of the running curtain to an obstacle.", ge=0, le=200)]
    stop_gap_mm: Annotated[float, mm("The open bottom bar below the tracks' upper ends.", ge=0, le=100)]
    reserve_turns: Annotated[float, said("turns", "What stays on the tube with the shutter closed.", ge=0, le=3)]
    strap_length_mm: Annotated[float, mm("Length of the straps between curtain and tube.", ge=0, le=500)]
    strap_thickness_mm: Annotated[float, mm("Their thickness.", ge=0.1, le=10)]


class DragRow(Row, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What rubs."""

    track_n_per_m: Annotated[float, said("N/m", "For each metre of curtain in a track.", ge=0, le=100)]
    seal_n_per_m: Annotated[float, said("N/m", "For each metre of top seal between the lips.", ge=0, le=100)]
    bearings_n: Annotated[float, said("N", "Wheels and bearings together.", ge=0, le=100)]


class LimitsRow(Row, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """How far measurements may disagree, and how little a track may lap, before somebody must be told."""

    out_of_true_mm: Annotated[float, mm("Greatest taper, and greatest lean over the height.", ge=0, le=50)]
    diagonals_mm: Annotated[float, mm("By how much diagonals may contradict width and height.", ge=0, le=50)]
    measured_coil_share: Annotated[
        float, said("1", "Share by which a measured coil may differ from the computed one.", ge=0, le=0.5)
    ]
    track_lap_min_mm: Annotated[float, mm("Least lap of a lapping track.", ge=0, le=100)]


class SpringsRow(Row, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Balance springs of round music wire."""

    wires_mm: Annotated[
        tuple[Annotated[float, mm("Diameter of a wire.", ge=0.5, le=20)], ...],
        text("The wires that springs are made of.", min_length=1, max_length=40),
    ]
    elastic_modulus_mpa: Annotated[float, said("MPa", "Modulus of elasticity.", ge=10_000, le=400_000)]
    radial_clearance_mm: Annotated[float, mm("Between spring and bore of the tube.", ge=0, le=50)]
    shaft_diameter_mm: Annotated[float, mm("Diameter of the shaft inside the spring.", ge=1, le=100)]
    end_fittings_mm: Annotated[float, mm("What the end fittings take of the tube's length.", ge=0, le=240)]


class ElectricsRow(Row, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Loads of the electrical options; together they stay within the greatest blade fuse at any supply voltage."""

    strip_light_w_per_m: Annotated[float, said("W/m", "Load of a metre of strip light.", ge=0, le=30)]
    lock_current_a: Annotated[float, said("A", "Momentary current of the electric lock.", ge=0, le=10)]


class Catalogue(Row, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One catalogue file."""

    id: Id
    edition: Annotated[str, text("Which edition of it.", min_length=1, max_length=40)]
    note: Annotated[str, text("Anything worth knowing about it.", max_length=400)] = ""
    slats: Annotated[tuple[SlatRow, ...], text("Slat profiles.", min_length=1, max_length=100)]
    tubes: Annotated[tuple[TubeRow, ...], text("Tubes.", min_length=1, max_length=100)]
    side_plates: Annotated[tuple[SidePlateRow, ...], text("Side plates.", min_length=1, max_length=50)]
    mounts: MountsRow
    track: TrackRow
    plate_fixing: PlateFixingRow
    bottom_bar: BottomBarRow
    top_seals: Annotated[tuple[TopSealRow, ...], text("Top seals in the order of trial.", min_length=1, max_length=20)]
    header: HeaderRow
    running: RunningRow
    drag: DragRow
    limits: LimitsRow
    springs: SpringsRow
    electrics: ElectricsRow
    articles: Annotated[
        dict[str, Article], text("Article numbers of the parts that have no row of their own, by the part's kind.")
    ]

"""The rows of a catalogue: frozen, strict, units in the names. A number outside its range is a slip of the pen."""

from typing import Annotated

import msgspec
from msgspec import Meta

Id = Annotated[str, Meta(pattern=r"^[A-Za-z0-9][A-Za-z0-9_.-]{0,39}$(?!\n)", description="An id of the catalogue.")]
Length = Annotated[float, Meta(ge=0, le=1000)]
Size = Annotated[float, Meta(ge=1, le=1000)]


class Row(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What all rows share: no unknown key, nothing changed after reading."""


class SlatRow(Row, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A slat profile and the tubes it may be wound on, in the order in which they are tried."""

    id: Id
    pitch_mm: Annotated[float, Meta(ge=10, le=150)]
    thickness_mm: Annotated[float, Meta(ge=2, le=60)]
    thickness_tolerance_mm: Annotated[float, Meta(ge=0, le=2)]
    nesting: Annotated[float, Meta(ge=0, le=3, description="Share of a chord's sagitta by which layers stand apart.")]
    hinge_limit_deg: Annotated[float, Meta(ge=10, le=120)]
    mass_kg_per_m: Annotated[float, Meta(ge=0.01, le=20)]
    second_moment_mm4: Annotated[float, Meta(ge=1, le=1e7)]
    section_modulus_mm3: Annotated[float, Meta(ge=1, le=1e6)]
    wheel_radius_mm: Annotated[float, Meta(ge=5, le=300)]
    wheel_allowance_mm: Length | None = None
    slot_width_mm: Annotated[float, Meta(ge=2, le=100)]
    width_max_mm: Annotated[float, Meta(ge=250, le=3000)]
    tubes: Annotated[tuple[Id, ...], Meta(min_length=1, max_length=20)]


class TubeRow(Row, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A spring-balanced tube."""

    id: Id
    radius_mm: Annotated[float, Meta(ge=10, le=150)]
    wall_mm: Annotated[float, Meta(ge=0.5, le=20)]


class WheelHoleRow(Row, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A hole for the wheel, from the plate's front and lower edge."""

    name: Annotated[str, Meta(pattern=r"^(low|mid|high)$(?!\n)")]
    from_front_mm: Size
    from_base_mm: Size


class ColumnsRow(Row, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Bracket columns from the front edge inwards, up to an edge distance before the plate's rear edge."""

    first_mm: Size
    step_mm: Annotated[float, Meta(ge=1, le=200)]
    edge_mm: Length

    def positions_mm(self, deep_mm: float) -> tuple[float, ...]:
        """Distances [mm] of all columns from the front edge of a plate so deep; shape (columns,)."""
        count = int((deep_mm - self.edge_mm - self.first_mm) / self.step_mm + 1e-9) + 1
        return tuple(self.first_mm + index * self.step_mm for index in range(count))


class SidePlateRow(Row, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A side plate with its holes."""

    id: Id
    deep_mm: Annotated[float, Meta(ge=50, le=1000)]
    high_mm: Annotated[float, Meta(ge=50, le=1000)]
    wheel_holes: Annotated[tuple[WheelHoleRow, ...], Meta(min_length=1, max_length=3)]
    bracket_columns: ColumnsRow
    bracket_rows_below_centre_mm: Annotated[
        tuple[Annotated[float, Meta(ge=-500, le=500)], ...], Meta(min_length=1, max_length=20)
    ]


class MountRow(Row, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """How the tracks stand to the opening."""

    mouth_z_mm: Annotated[float, Meta(ge=-200, le=200)]
    plate_setback_mm: Length
    track_beyond_mm: Length


class MountsRow(Row, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Both mounts: tracks inside the opening, and tracks lapping over its front."""

    reveal: MountRow
    face: MountRow


class TrackRow(Row, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The vertical guide: across its width the web, then the slot; across its depth it reaches past the slot's walls."""

    wall_mm: Annotated[float, Meta(ge=1, le=100)]
    web_mm: Annotated[float, Meta(ge=1, le=50)]
    slot_depth_mm: Annotated[float, Meta(ge=1, le=100)]
    before_slot_mm: Annotated[float, Meta(ge=0, le=50)]
    behind_slot_mm: Annotated[float, Meta(ge=0, le=50)]
    end_gap_mm: Annotated[float, Meta(ge=0, le=50)]
    engagement_min_mm: Annotated[float, Meta(ge=0, le=100)]
    held_min_mm: Annotated[float, Meta(ge=0, le=100)]
    sill_gap_mm: Annotated[float, Meta(ge=0, le=100)]


class PlateFixingRow(Row, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """How side plates and brackets stand across the opening, and the holes that are drilled into a plate."""

    thickness_mm: Annotated[float, Meta(ge=1, le=20)]
    inset_mm: Annotated[float, Meta(ge=0, le=50)]
    groove_width_mm: Annotated[float, Meta(ge=1, le=20)]
    groove_depth_mm: Annotated[float, Meta(ge=0, le=200)]
    fixing_hole_diameter_mm: Annotated[float, Meta(ge=1, le=30)]
    fixing_hole_edge_mm: Annotated[float, Meta(ge=1, le=100)]
    wheel_hole_diameter_mm: Annotated[float, Meta(ge=1, le=50)]
    bracket_hole_diameter_mm: Annotated[float, Meta(ge=1, le=50)]
    bracket_thickness_mm: Annotated[float, Meta(ge=1, le=100)]


class BottomBarRow(Row, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The curtain's lowest member with its seal and its handle lip."""

    height_mm: Annotated[float, Meta(ge=5, le=200)]
    mass_kg_per_m: Annotated[float, Meta(ge=0.01, le=20)]
    bolt_axis_mm: Annotated[float, Meta(ge=0, le=200)]
    lip_deep_mm: Annotated[float, Meta(ge=0, le=200)]
    lip_above_underside_mm: Annotated[float, Meta(ge=0, le=200)]
    seal_free_mm: Annotated[float, Meta(ge=0, le=100)]
    seal_shorter_mm: Annotated[float, Meta(ge=0, le=50)]


class TopSealRow(Row, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A profile of the top seal and the gaps that it reaches."""

    id: Id
    deep_mm: Annotated[float, Meta(ge=1, le=100)]
    reach_min_mm: Annotated[float, Meta(ge=0, le=200)]
    reach_max_mm: Annotated[float, Meta(ge=0, le=200)]


class HeaderRow(Row, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What goes on at the header: how top seals are cut, and the rail that may carry one."""

    end_angle_deg: Annotated[float, Meta(ge=30, le=90)]
    drip_rail_shorter_mm: Annotated[float, Meta(ge=0, le=50)]
    drip_rail_high_mm: Annotated[float, Meta(ge=1, le=50)]


class RunningRow(Row, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Room and reserve that a moving curtain needs."""

    clearance_mm: Annotated[float, Meta(ge=0, le=200)]
    header_gap_min_mm: Annotated[float, Meta(ge=0, le=100)]
    side_gap_min_mm: Annotated[float, Meta(ge=0, le=50)]
    curtain_clearance_mm: Annotated[float, Meta(ge=0, le=200)]
    stop_gap_mm: Annotated[float, Meta(ge=0, le=100)]
    reserve_turns: Annotated[float, Meta(ge=0, le=3)]
    strap_length_mm: Annotated[float, Meta(ge=0, le=500)]
    strap_thickness_mm: Annotated[float, Meta(ge=0.1, le=10)]


class DragRow(Row, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What rubs: each metre of curtain in a track, each metre of top seal, wheels and bearings."""

    track_n_per_m: Annotated[float, Meta(ge=0, le=100)]
    seal_n_per_m: Annotated[float, Meta(ge=0, le=100)]
    bearings_n: Annotated[float, Meta(ge=0, le=100)]


class LimitsRow(Row, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """How far measurements may disagree before somebody must be told."""

    out_of_true_mm: Annotated[float, Meta(ge=0, le=50)]
    diagonals_mm: Annotated[float, Meta(ge=0, le=50)]
    measured_coil_share: Annotated[float, Meta(ge=0, le=0.5)]
    track_lap_min_mm: Annotated[float, Meta(ge=0, le=100)]


class SpringsRow(Row, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Balance springs of round music wire."""

    wires_mm: Annotated[tuple[Annotated[float, Meta(ge=0.5, le=20)], ...], Meta(min_length=1, max_length=40)]
    elastic_modulus_mpa: Annotated[float, Meta(ge=10_000, le=400_000)]
    radial_clearance_mm: Annotated[float, Meta(ge=0, le=50)]
    shaft_diameter_mm: Annotated[float, Meta(ge=1, le=100)]
    end_fittings_mm: Annotated[float, Meta(ge=0, le=240)]


class ElectricsRow(Row, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Loads of the electrical options; together they stay within the greatest blade fuse at any supply voltage."""

    strip_light_w_per_m: Annotated[float, Meta(ge=0, le=30)]
    lock_current_a: Annotated[float, Meta(ge=0, le=10)]


class Catalogue(Row, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One catalogue file."""

    id: Id
    edition: Annotated[str, Meta(min_length=1, max_length=40)]
    note: Annotated[str, Meta(max_length=400)] = ""
    slats: Annotated[tuple[SlatRow, ...], Meta(min_length=1, max_length=100)]
    tubes: Annotated[tuple[TubeRow, ...], Meta(min_length=1, max_length=100)]
    side_plates: Annotated[tuple[SidePlateRow, ...], Meta(min_length=1, max_length=50)]
    mounts: MountsRow
    track: TrackRow
    plate_fixing: PlateFixingRow
    bottom_bar: BottomBarRow
    top_seals: Annotated[tuple[TopSealRow, ...], Meta(min_length=1, max_length=20)]
    header: HeaderRow
    running: RunningRow
    drag: DragRow
    limits: LimitsRow
    springs: SpringsRow
    electrics: ElectricsRow

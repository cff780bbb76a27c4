"""What callers get. Members without a value are absent; figures are rounded once, to 0.001 of their unit."""

from typing import Annotated, Literal

import msgspec
from msgspec import UNSET, UnsetType

from service.calculation.checks import ROWS
from service.calculation.rules import RULES
from service.calculation.warnings import CODES
from service.catalogue.rows import Catalogue
from service.contract.requests import Duty, FittingRequest
from service.contract.units import Point, Sha256, mm, open_list, said, text
from service.words.parcel import LABELS

Verdict = Annotated[
    Literal["fits", "fits_with_cautions", "does_not_fit"],
    text(
        "`fits`; `fits_with_cautions`: it can be built, and somebody must read the warnings first; `does_not_fit`: it "
        "cannot be built or does not stay in its tracks."
    ),
]
Severity = Annotated[
    Literal["stop", "caution", "note"],
    text("`stop`: the shutter must not be ordered so; `caution`: decide before ordering; `note`: worth knowing."),
]
WheelHoleName = Annotated[Literal["low", "mid", "high"], text("The wheel hole, from the lowest up.")]
CheckId = Annotated[str, open_list(ROWS)]
WarningCode = Annotated[str, open_list(CODES)]
PartKey = Annotated[str, open_list(LABELS)]
RuleId = Annotated[str, open_list(RULES)]


class Answered(msgspec.Struct, frozen=True, kw_only=True):
    """What all answer types share."""


class Packing(Answered, frozen=True, kw_only=True):
    """What fills the gap between a track and its jamb."""

    side: Annotated[Literal["left", "right"], text("Which track, as seen from outside.")]
    at_mm: Annotated[float, mm("How far below the header's base.")]
    thickness_mm: Annotated[float, mm("How thick the packing is there.")]


class SizedOpening(Answered, frozen=True, kw_only=True):
    """The opening as it was sized: the figures that everything else rests on."""

    width_mm: Annotated[float, mm("Width that counts: as given, or what a survey leaves for plumb tracks.")]
    height_mm: Annotated[float, mm("Height that counts: as given, or the least of a survey.")]
    taper_mm: Annotated[float, mm("Greatest less least reading of one dimension; only with a survey.")] | UnsetType = UNSET
    out_of_square_mm: (
        Annotated[
            float,
            mm(
                "How far the opening leans over its height; positive: to the right on its way down, as seen from outside. "
                "Only with surveyed diagonals."
            ),
        ]
        | UnsetType
    ) = UNSET
    packing: Annotated[list[Packing], text("What packs the tracks of a surveyed opening; empty where nothing does.")]


class Coil(Answered, frozen=True, kw_only=True):
    """The curtain wound on its tube. Radii run from the tube's axis to the coil's widest point."""

    radius_mm: Annotated[float, mm("Outer radius with all slats wound, as a rolled-up shutter is measured.")]
    radius_open_mm: Annotated[float, mm("Outer radius with the shutter open.")]
    radius_ideal_mm: Annotated[float, mm("Outer radius if the curtain were a limp strip: a lower bound.")]
    radius_thick_mm: Annotated[float, mm("Outer radius with slats at their upper thickness tolerance.")]
    turns: Annotated[float, said("turns", "Turns of the coil with all slats wound.")]
    measured_radius_mm: (
        Annotated[float, mm("The radius that the request says was measured; absent where it says none.")] | UnsetType
    ) = UNSET


class Bracket(Answered, frozen=True, kw_only=True):
    """Where the tube's bracket goes. Rows and columns of holes count from 0: rows as tried, columns from the front."""

    hole: Annotated[str, text("The hole's name, such as `row 0, column 7`.")]
    row: Annotated[int, text("Row, from 0, in the order in which rows are tried.")]
    column: Annotated[int, text("Column, from 0, from the plate's front edge.")]
    x_mm: Annotated[float, mm("The axis, from the outer face of the opening inwards.")]
    z_mm: Annotated[float, mm("The axis, from the header's base upwards.")]
    from_plate_front_mm: Annotated[float, mm("The hole, from the plate's front edge.")]
    from_plate_base_mm: Annotated[float, mm("The hole, from the plate's lower edge.")]
    below_roof_mm: Annotated[float, mm("The axis, below the roof.")]
    to_wheel_mm: Annotated[float, mm("From the bracket's to the wheel's centre.")]


class Wheel(Answered, frozen=True, kw_only=True):
    """Where the wheel goes that leads the curtain from the track to the coil."""

    hole: WheelHoleName
    x_mm: Annotated[float, mm("Its centre, from the outer face of the opening inwards.")]
    z_mm: Annotated[float, mm("Its centre, from the header's base upwards.")]
    from_plate_front_mm: Annotated[float, mm("The hole, from the plate's front edge.")]
    from_plate_base_mm: Annotated[float, mm("The hole, from the plate's lower edge.")]
    entry_shift_mm: Annotated[float, mm("How far a slat stands off the slot's middle when it enters the track.")]


class SidePlate(Answered, frozen=True, kw_only=True):
    """The side plates and where they stand."""

    id: Annotated[str, text("The plate's id in the catalogue.")]
    deep_mm: Annotated[float, mm("Its depth, inwards.")]
    high_mm: Annotated[float, mm("Its height.")]
    front_x_mm: Annotated[float, mm("Its front edge, from the outer face of the opening inwards.")]
    base_z_mm: Annotated[float, mm("Its lower edge, from the header's base upwards; negative: below it.")]


class Curtain(Answered, frozen=True, kw_only=True):
    """The curtain with its tube and its bottom seal."""

    slat: Annotated[str, text("The slat's id in the catalogue.")]
    tube: Annotated[str, text("The tube's id in the catalogue.")]
    slat_count: Annotated[int, said("slats", "How many slats, without the bottom bar.")]
    slat_length_mm: Annotated[float, mm("Length to which slats and bottom bar are cut at 20 °C.")]
    tube_length_mm: Annotated[float, mm("Length of the tube between its brackets.")]
    bottom_seal_length_mm: Annotated[float, mm("Length to which the bottom seal is cut.")]
    length_mm: Annotated[float, mm("Slats and bottom bar laid flat.")]
    mass_kg: Annotated[float, said("kg", "Slats and bottom bar.")]
    engagement_mm: Annotated[
        float, mm("What is left in one track when the coldest slat is pushed hard into the other; negative: it comes out.")
    ]
    header_gap_mm: Annotated[float, mm("Between the header's inner face and the hanging curtain.")]


class Tracks(Answered, frozen=True, kw_only=True):
    """The guides."""

    length_mm: Annotated[float, mm("Length to which they are cut.")]
    outer_width_mm: Annotated[float, mm("Over both tracks' outer edges.")]
    lips_mm: Annotated[float, mm("Between the tracks' inner edges.")]


class Seals(Answered, frozen=True, kw_only=True):
    """The top seal to cut, and the bottom seal as it stands when pressed."""

    top_profile: Annotated[str, text("The top seal's profile in the catalogue: the first that reaches, or the nearest.")]
    top_gap_mm: Annotated[float, mm("The gap that the top seal has to reach over.")]
    top_cut_length_mm: Annotated[float, mm("Its long edge.")]
    top_short_edge_mm: Annotated[float, mm("Its short edge, both ends cut at the angle.")]
    top_end_angle_deg: Annotated[float, said("deg", "Angle of the cut ends to the seal's length.")]
    bottom_compressed_mm: Annotated[float, mm("Height of the bottom seal when it is pressed by a third.")]


class DripRail(Answered, frozen=True, kw_only=True):
    """The rail on the header's base that carries the top seal."""

    length_mm: Annotated[float, mm("Length to which it is cut.")]


class Striker(Answered, frozen=True, kw_only=True):
    """What the bottom bar's bolts catch."""

    height_above_sill_mm: Annotated[float, mm("The bolts' axis over the sill, the bottom seal pressed by a third.")]


class Daylight(Answered, frozen=True, kw_only=True):
    """What is left of the opening when the shutter is open."""

    width_mm: Annotated[float, mm("Clear width.")]
    height_mm: Annotated[float, mm("Clear height under the open bottom bar.")]
    coil_intrusion_mm: Annotated[float, mm("How far the coil hangs below the header's base; 0 where it does not.")]


class BalancePoint(Answered, frozen=True, kw_only=True):
    """One position of the lift."""

    lift_mm: Annotated[float, mm("How far the bottom bar is up from its closed place.")]
    lever_mm: Annotated[float, mm("How far the bar moves for a radian of the tube.")]
    weight_n: Annotated[float, said("N", "Weight at the bottom bar.")]
    torque_needed_n_m: Annotated[float, said("N.m", "Torque that would balance the weight.")]
    torque_given_n_m: Annotated[float, said("N.m", "Torque that the springs give.")]
    drag_n: Annotated[float, said("N", "Drag of tracks, top seal, wheels and bearings.")]
    hand_up_n: Annotated[float, said("N", "Force that moves it up; negative: it rises by itself.")]
    hand_down_n: Annotated[float, said("N", "Force that moves it down; negative: it sinks by itself.")]


class Balance(Answered, frozen=True, kw_only=True):
    """The springs and what they leave for the hand. Where no spring can be made it is the one nearest to its limits."""

    spring_count: Annotated[int, said("springs", "One spring, or two alike in parallel.")]
    wire_mm: Annotated[float, mm("Diameter of a spring's wire.")]
    mean_diameter_mm: Annotated[float, mm("Mean diameter of a spring's coils.")]
    coils: Annotated[int, said("coils", "Coils of each spring.")]
    rate_n_m_per_turn: Annotated[float, said("N.m/turn", "Rate of all springs together.")]
    pretension_turns: Annotated[float, said("turns", "Turns in the spring with the shutter open: what the fitter winds.")]
    turns_closed: Annotated[float, said("turns", "Turns in the spring with the shutter closed.")]
    stress_mpa: Annotated[float, said("MPa", "Bending stress of the wire with the shutter closed.")]
    stress_limit_mpa: Annotated[float, said("MPa", "Stress that the wire may bear, 1.1 in hand.")]
    hand_force_max_n: Annotated[float, said("N", "Greatest force over the lift, up or down.")]
    hand_force_open_n: Annotated[float, said("N", "Pull that starts it down from the open end.")]
    hand_force_closed_n: Annotated[
        float, said("N", "Lift that starts it up from the closed end; negative: it rises by itself when unbolted.")
    ]
    drag_closed_n: Annotated[float, said("N", "Drag at the closed end.")]
    drag_open_n: Annotated[float, said("N", "Drag at the open end.")]
    energy_closed_j: Annotated[float, said("J", "Energy stored in all springs with the shutter closed.")]
    energy_open_j: Annotated[float, said("J", "Energy stored in all springs with the shutter open.")]
    cycles: Annotated[float, said("1", "Times it opens and closes in its service life.")]
    fatigue_safety: Annotated[float, said("1", "Safety of the springs against fatigue over these cycles.")]
    curve: Annotated[list[BalancePoint], text("With `include=balance_curve`: 25 positions, closed first.")] | UnsetType = (
        UNSET
    )


class Strength(Answered, frozen=True, kw_only=True):
    """Slat and tube under load."""

    wind_pressure_pa: Annotated[float, said("Pa", "Wind pressure on the closed curtain at road speed.")]
    slat_stress_mpa: Annotated[float, said("MPa", "Greatest bending stress of a slat.")]
    slat_bow_mm: Annotated[float, mm("Bow of a slat at its middle.")]
    engagement_left_mm: Annotated[float, mm("Engagement of the coldest, bowed slat pushed hard to one side.")]
    tube_sag_mm: Annotated[float, mm("Sag of the tube under the wound curtain.")]


class Lifting(Answered, frozen=True, kw_only=True):
    """How the shutter is lifted to the header; local codes come first."""

    recommended_kg: Annotated[float, said("kg", "What one person should lift there (revised NIOSH equation).")]
    persons: Annotated[int, said("persons", "How many lift it.")]
    lift_needed: Annotated[bool, text("Whether a trestle or a lift is needed as well.")]


class PullStrap(Answered, frozen=True, kw_only=True):
    """The strap that brings the open bottom bar within reach."""

    length_mm: Annotated[float, mm("Its length; 0: none is needed.")]


class Wiring(Answered, frozen=True, kw_only=True):
    """The supply of the electrical options."""

    strip_light_m: Annotated[float, said("m", "Length of both strip lights together; 0 without.")]
    current_a: Annotated[float, said("A", "Greatest current.")]
    fuse_a: Annotated[float, said("A", "Rating of the blade fuse.")]
    conductor_mm2: Annotated[float, said("mm2", "Area of each conductor.")]
    voltage_drop_v: Annotated[float, said("V", "Voltage lost on the way to the second light, hot.")]


class Part(Answered, frozen=True, kw_only=True):
    """One line of the parcel."""

    key: Annotated[PartKey, text("What it is, a stable key; its label stands in `words`.")]
    catalogue_id: Annotated[str, text("The catalogue's id; absent where it has none.")] | UnsetType = UNSET
    article: Annotated[str, text("The article number by which it is ordered.")]
    quantity: Annotated[int, text("How many.")]
    unit: Annotated[str, text("What is counted: `piece`.")]
    cut_length_mm: Annotated[float, mm("Length it is cut to; absent where it is not cut.")] | UnsetType = UNSET
    thickness_mm: Annotated[float, mm("Thickness of what packs; absent elsewhere.")] | UnsetType = UNSET


class Check(Answered, frozen=True, kw_only=True):
    """One comparison of a value with its limit."""

    id: Annotated[CheckId, text("Which check; its label stands in `words`.")]
    kind: Annotated[
        Literal["must", "should"],
        text("`must`: where it fails the shutter does not fit; `should`: where it fails somebody must be told."),
    ]
    value: Annotated[float, text("The value, in the check's unit.")]
    limit: Annotated[float, text("Its limit, in the same unit.")]
    direction: Annotated[Literal["at_most", "at_least"], text("Whether the value is to be at most or at least the limit.")]
    margin: Annotated[float, text("How far the value is from its limit, positive on the good side.")]
    unit: Annotated[str, text("The unit of value, limit and margin.")]
    state: Annotated[Literal["ok", "tight", "fails"], text("`tight`: the margin is smaller than the measuring tolerance.")]
    pointer: Annotated[str, text("JSON Pointer to the request's member that it speaks of.")]


class Warning(Answered, frozen=True, kw_only=True):
    """What a person must know: its figures here, its sentences in `words`."""

    code: Annotated[WarningCode, text("Which warning, a stable code: a check's id, or a code of its own.")]
    severity: Severity
    check: Annotated[CheckId, text("The check that it comes from; absent where it comes from none.")] | UnsetType = UNSET
    pointer: Annotated[str, text("JSON Pointer to the request's member that it speaks of.")]
    value: Annotated[float, text("The value, in the warning's unit.")]
    limit: Annotated[float, text("Its limit, in the same unit.")]
    unit: Annotated[str, text("The unit of value and limit.")]
    remedy_value: (
        Annotated[float, text("The figure of the remedy in `words`, which cures this alone; absent where there is none.")]
        | UnsetType
    ) = UNSET


class Change(Answered, frozen=True, kw_only=True):
    """One member of the request that is exchanged."""

    pointer: Annotated[str, text("JSON Pointer to the member.")]
    value: Annotated[float | str, text("What it becomes; absent: the member is left out.")] | UnsetType = UNSET


class Cure(Answered, frozen=True, kw_only=True):
    """Changes that together make the shutter fit; each was calculated whole."""

    id: Annotated[str, text("`c1`, `c2` and so on, the least effort first.")]
    changes: Annotated[list[Change], text("All of them together.")]
    verdict: Verdict


class Pose(Answered, frozen=True, kw_only=True):
    """The curtain in one position."""

    hinges: Annotated[list[Point], text("Every hinge, the tube's first, the bottom bar's last.")]
    coil_radius_mm: Annotated[float, mm("Outer radius of the coil in this position.")]
    bar: Annotated[list[Point], text("Outline of the bottom bar.")]


class Geometry(Answered, frozen=True, kw_only=True):
    """The side section. Origin: outer face of the opening at the header's base; x runs inwards, z runs up."""

    closed: Pose
    open: Pose
    wheel: Annotated[Point, text("Centre of the wheel.")]
    bracket: Annotated[Point, text("Axis of the tube.")]
    wheel_radius_mm: Annotated[float, mm("Radius of the wheel.")]
    tube_radius_mm: Annotated[float, mm("Radius of the tube.")]
    slat_thickness_mm: Annotated[float, mm("Thickness of a slat.")]
    header: Annotated[list[Point], text("Outline of the header.")]
    plate: Annotated[list[Point], text("Outline of the side plate.")]
    track: Annotated[list[Point], text("Outline of the track.")]
    roof_z_mm: Annotated[float, mm("Underside of the roof.")]
    rear_x_mm: Annotated[float, mm("The rear obstruction.")]
    sill_z_mm: Annotated[float, mm("The sill.")]


class Candidate(Answered, frozen=True, kw_only=True):
    """A place that was tried, with the check that speaks most against it."""

    tube: Annotated[str, text("The tube's id.")]
    side_plate: Annotated[str, text("The side plate's id.")]
    wheel_hole: WheelHoleName
    bracket_hole: Annotated[str, text("The bracket hole's name.")]
    slat_count: Annotated[int, said("slats", "Slats that the place needs, or those given.")]
    coil_radius_mm: Annotated[float, mm("Outer radius that its checks used.")]
    worst_check: Annotated[CheckId, text("The check with the worst margin.")]
    worst_margin_mm: Annotated[float, mm("That margin as a length; negative: it fails.")]


class TraceStep(Answered, frozen=True, kw_only=True):
    """One applied rule with its inputs and its unrounded value."""

    rule: Annotated[RuleId, text("The rule's id; see `GET /v1/rules`.")]
    symbol: Annotated[str, text("The symbol of its value.")]
    formula: Annotated[str, text("The formula.")]
    inputs: Annotated[dict[str, float], text("Single numbers that it was applied to, by name; the name ends in the unit.")]
    input_lists: (
        Annotated[dict[str, list[float]], text("Inputs of which there is one for every position or reading, by name.")]
        | UnsetType
    ) = UNSET
    value: Annotated[float, text("The value where it is a single number.")] | UnsetType = UNSET
    values: Annotated[list[float], text("The values where there is one for every position or reading.")] | UnsetType = UNSET
    unit: Annotated[str, text("Unit of the value.")]
    basis: Annotated[str, text("What kind of authority stands behind it.")]
    source: Annotated[str, text("Which authority, or that there is none.")]


class Audit(Answered, frozen=True, kw_only=True):
    """What the figures rest on."""

    calculation_version: Annotated[str, text("Version of the calculation.")]
    contract_version: Annotated[str, text("Version of this contract.")]
    catalogue: Annotated[str, text("The catalogue's id.")]
    catalogue_sha256: Sha256
    request: Annotated[FittingRequest, text("The request as understood, defaults filled in.")]
    request_sha256: Annotated[Sha256, text("SHA-256 of the RFC 8785 form of `request`.")]
    result_sha256: Annotated[
        Sha256,
        text(
            "SHA-256 of the RFC 8785 form of the answer without `audit`, `words`, `geometry`, `candidates`, `cures` and "
            "`balance.curve`."
        ),
    ]
    trace: Annotated[list[TraceStep], text("With `include=trace`: every applied rule in order.")] | UnsetType = UNSET


class IdLabel(Answered, frozen=True, kw_only=True):
    """What people call a check or a cure."""

    id: Annotated[str, text("Its id.")]
    label: Annotated[str, text("Its name in the language of the words.")]


class KeyLabel(Answered, frozen=True, kw_only=True):
    """What people call a part."""

    key: Annotated[str, text("Its key.")]
    label: Annotated[str, text("Its name with the figures that matter.")]


class Message(Answered, frozen=True, kw_only=True):
    """A warning in words."""

    code: Annotated[str, text("The warning's code.")]
    message: Annotated[str, text("What it means here.")]
    remedy: Annotated[str, text("What would cure it alone, or what to do.")]


class WorkStep(Answered, frozen=True, kw_only=True):
    """One step of the order of work."""

    key: Annotated[str, text("The step's key.")]
    title: Annotated[str, text("What it is called.")]
    text: Annotated[str, text("What to do, with this fitting's figures.")]
    cautions: Annotated[list[str], text("Codes of the cautions that belong to it.")]


class Caution(Answered, frozen=True, kw_only=True):
    """Where somebody may be hurt."""

    code: Annotated[str, text("The caution's code.")]
    text: Annotated[str, text("What to mind.")]


class Words(Answered, frozen=True, kw_only=True):
    """Everything that is language, in the order of the figures' lists. No digest covers it."""

    language: Annotated[str, text("The language: `en`, `de` or `fr`.")]
    headline: Annotated[str, text("The verdict in one line.")]
    lines: Annotated[list[str], text("What one would say on the phone.")]
    checks: Annotated[list[IdLabel], text("The checks' names.")]
    parts: Annotated[list[KeyLabel], text("The parts' names.")]
    warnings: Annotated[list[Message], text("The warnings' messages and remedies.")]
    cures: Annotated[list[IdLabel], text("The cures in words; with `include=cures`.")] | UnsetType = UNSET
    work: Annotated[list[WorkStep], text("The order of work.")]
    cautions: Annotated[list[Caution], text("The cautions that the steps name.")]


class Fitting(Answered, frozen=True, kw_only=True):
    """One fitting. With the verdict `does_not_fit` it is the candidate that comes nearest to one."""

    audit: Audit
    reference: Annotated[str, text("The request's own; absent where it has none.")] | UnsetType = UNSET
    verdict: Verdict
    opening: SizedOpening
    coil: Coil
    bracket: Bracket
    wheel: Wheel
    side_plate: SidePlate
    curtain: Curtain
    tracks: Tracks
    seals: Seals
    drip_rail: Annotated[DripRail, text("Only with the option `drip_rail`.")] | UnsetType = UNSET
    striker: Striker
    daylight: Daylight
    balance: Balance
    strength: Strength
    lifting: Lifting
    pull_strap: Annotated[PullStrap, text("Only with the option `pull_strap` and a sill's height.")] | UnsetType = UNSET
    wiring: Annotated[Wiring, text("Only where an option needs a supply.")] | UnsetType = UNSET
    parts: Annotated[list[Part], text("The parcel, in the order of ticking off.")]
    checks: Annotated[list[Check], text("Every comparison.")]
    warnings: Annotated[list[Warning], text("What somebody must know; checks that are not in order first.")]
    cures: (
        Annotated[list[Cure], text("With `include=cures`: what would make it fit; empty where nothing tried does.")]
        | UnsetType
    ) = UNSET
    geometry: Annotated[Geometry, text("With `include=geometry`.")] | UnsetType = UNSET
    candidates: Annotated[list[Candidate], text("With `include=candidates`, up to the first that passes.")] | UnsetType = (
        UNSET
    )
    words: Annotated[Words, text("All that is language; absent with `fields=figures`.")] | UnsetType = UNSET


class CatalogueAnswer(Answered, frozen=True, kw_only=True):
    """The catalogue in use. Lengths in mm, angles in degrees; every number of the standard one is invented."""

    catalogue_sha256: Sha256
    duty_defaults: Annotated[Duty, text("What holds where a request does not say otherwise.")]
    catalogue: Catalogue


class RuleRow(Answered, frozen=True, kw_only=True):
    """One rule of the calculation."""

    id: Annotated[RuleId, text("The rule's id.")]
    title: Annotated[str, text("What it gives, with its unit.")]
    symbol: Annotated[str, text("The symbol of its value.")]
    unit: Annotated[str, text("The unit of its value.")]
    formula: Annotated[str, text("The formula.")]
    basis: Annotated[
        Literal["standard", "handbook", "practice", "geometry", "catalogue", "assumption"],
        text("What kind of authority stands behind it."),
    ]
    source: Annotated[str, text("Which authority, or that there is none.")]


class RulesAnswer(Answered, frozen=True, kw_only=True):
    """Every rule of one version of the calculation."""

    calculation_version: Annotated[str, text("Version of the calculation.")]
    rules: Annotated[list[RuleRow], text("In the order in which a fitting needs them.")]


class WarningRow(Answered, frozen=True, kw_only=True):
    """One warning code."""

    code: Annotated[WarningCode, text("The code.")]
    meaning: Annotated[str, text("What it means.")]
    severities: Annotated[list[Severity], text("The severities that it may have.")]
    check: Annotated[CheckId, text("The check of the same id; absent where it is none.")] | UnsetType = UNSET
    pointer: Annotated[str, text("JSON Pointer to the request's member that it speaks of.")]
    remedy: Annotated[str, text("What cures it in general.")]


class WarningsAnswer(Answered, frozen=True, kw_only=True):
    """Every warning code."""

    warnings: Annotated[list[WarningRow], text("Checks first, in the order in which answers list them.")]


class Health(Answered, frozen=True, kw_only=True):
    """What a probe asks for."""

    status: Annotated[Literal["ok"], text("That it answers.")]
    calculation_version: Annotated[str, text("Version of the calculation.")]
    catalogue: Annotated[str, text("The catalogue's id.")]

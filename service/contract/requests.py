"""What callers send. Strict: no unknown member, no text for a number; every number has a range that makes sense."""

from typing import Annotated, Literal

import msgspec
from msgspec import UNSET, Meta, UnsetType

from service.contract.units import PYTHONS_END, mm, said, text
from service.words.languages import marked

ID_PATTERN = "^[A-Za-z0-9][A-Za-z0-9_.-]{0,39}$"
Id = Annotated[str, Meta(pattern=ID_PATTERN + PYTHONS_END)]
MountId = Literal["reveal", "face"]
Reference = Annotated[str, Meta(max_length=200, description="The caller's own name for this opening; echoed.")]
Option = Literal[
    "perimeter_seal", "drip_rail", "pull_strap", "inside_release", "door_switch", "electric_lock", "strip_light"
]
SIZE_OR_SURVEY = marked("give width_mm and height_mm, or a survey, not both")
OPTIONS = (
    "What the shutter has besides: `perimeter_seal`, a seal on the outer edge of jambs and header; `drip_rail`, a rail on "
    "the header's base that then carries the top seal; `pull_strap`, a strap to pull the open bottom bar down by (its "
    "length needs `sill_above_ground_mm`); `inside_release`, a handle that frees the bolts from inside; `door_switch`, a "
    "signal that it is closed; `electric_lock`, bolts driven by a momentary current; `strip_light`, a light along each "
    "track. Naming one twice is the same as once."
)
MOUNTS = (
    "How the tracks stand: `reveal`, between the jambs; `face`, screwed to the inner faces of the jambs, lapping over the "
    "opening's edges. In both the curtain runs behind the header."
)


class Sent(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What all request types share."""


class Survey(Sent, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """An opening measured more than once, as seen from outside; it stands in place of width and height."""

    widths_mm: Annotated[
        list[Annotated[float, mm("Width between the jambs.", ge=250, le=3000)]],
        text("Widths from top to bottom, evenly spaced.", min_length=2, max_length=5),
    ]
    heights_mm: Annotated[
        list[Annotated[float, mm("Height from sill to header.", ge=250, le=3000)]],
        text("Heights from left to right.", min_length=2, max_length=5),
    ]
    diagonals_mm: (
        Annotated[
            list[Annotated[float, mm("Diagonal from corner to corner.", ge=350, le=4300)]],
            text(
                "The two diagonals, the first from upper left to lower right. Without them the opening counts as square.",
                min_length=2,
                max_length=2,
            ),
        ]
        | UnsetType
    ) = UNSET


class Obstacle(Sent, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A box in the side section that nothing may touch: a lamp, a hinge, a shelf.

    The frame: origin at the outer face of the opening, at the header's base; x runs inwards, z runs up.
    """

    name: Annotated[str, text("What it is, for messages and drawings.", min_length=1, max_length=60)]
    x_mm: Annotated[float, mm("Its front edge, from the outer face of the opening inwards.", ge=-500, le=4000)]
    z_mm: Annotated[float, mm("Its lower edge, from the header's base upwards.", ge=-3000, le=1500)]
    deep_mm: Annotated[float, mm("How deep it is, inwards.", ge=1, le=3000)]
    high_mm: Annotated[float, mm("How high it is, upwards.", ge=1, le=3000)]


class Opening(Sent, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The compartment's opening and the room behind it. Either width and height are given, or a survey."""

    width_mm: (
        Annotated[float, mm("Width between the jambs; absent where there is a survey.", ge=250, le=3000)] | UnsetType
    ) = UNSET
    height_mm: (
        Annotated[float, mm("Height from the sill to the header's base; absent where there is a survey.", ge=250, le=3000)]
        | UnsetType
    ) = UNSET
    survey: Annotated[Survey, text("In place of width and height.")] | UnsetType = UNSET
    headroom_mm: Annotated[float, mm("From the header's base up to the roof.", ge=60, le=1500)]
    depth_mm: Annotated[float, mm("Free depth behind the header's inner face.", ge=60, le=3000)]
    header_thickness_mm: Annotated[float, mm("From the header's outer to its inner face.", ge=0, le=200)]
    plate_offset_mm: Annotated[
        float, mm("How much higher than the mount's normal place the side plates stand; negative: lower.", ge=-40, le=100)
    ] = 0.0
    wall_gap_left_mm: Annotated[
        float,
        mm("Gap between the left track's outer edge and the wall beside the plate, left as seen from outside.", ge=0, le=80),
    ] = 0.0
    wall_gap_right_mm: Annotated[float, mm("The same on the right, as seen from outside.", ge=0, le=80)] = 0.0
    body: Annotated[
        Literal["steel", "aluminium", "composite"], text("What the vehicle's body is made of: it expands with the heat.")
    ] = "steel"
    obstacles: Annotated[list[Obstacle], text("Boxes in the side section that nothing may touch.", max_length=8)] = []
    sill_above_ground_mm: (
        Annotated[float, mm("Height of the sill above the ground: says how long a pull strap is.", ge=0, le=4000)]
        | UnsetType
    ) = UNSET
    load_gap_mm: (
        Annotated[float, mm("Free space between the closed curtain and the load behind it.", ge=0, le=500)] | UnsetType
    ) = UNSET


class Shutter(Sent, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What is to be fitted. Ids are those of `GET /v1/catalogue`."""

    slat: Annotated[Id, text("A slat's id.")]
    tube: Annotated[Id, text("The id of a tube that the slat may be wound on, or `auto`: the first that does.")] = "auto"
    side_plate: Annotated[Id, text("A side plate's id, or `auto`: the smallest that does.")] = "auto"
    mount: Annotated[MountId, text(MOUNTS)] = "reveal"
    fitted_from: Annotated[
        Literal["outside", "inside"],
        text("Where the fitter stands: `outside` the vehicle or `inside` the compartment; alters the order of work only."),
    ] = "outside"
    slat_count: (
        Annotated[
            float, said("slats", "Slats of a shutter that exists already, a whole number.", ge=1, le=200, multiple_of=1)
        ]
        | UnsetType
    ) = UNSET
    measured_coil_radius_mm: (
        Annotated[
            float,
            mm(
                "The coil, measured on site, from its axis to its widest point; it then stands in place of the computed "
                "radius in every check of a position.",
                ge=20,
                le=500,
            ),
        ]
        | UnsetType
    ) = UNSET


class Duty(Sent, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What the shutter must stand."""

    road_speed_km_h: Annotated[float, said("km/h", "Greatest road speed.", ge=0, le=160)] = 110.0
    temperature_min_c: Annotated[float, said("°C", "Coldest; slats are cut at 20 °C.", ge=-50, le=90)] = -20.0
    temperature_max_c: Annotated[float, said("°C", "Hottest, at least the coldest.", ge=-50, le=90)] = 50.0
    supply_v: Annotated[float, said("V", "Supply voltage of the electrical options.", ge=9, le=60)] = 12.0
    cable_run_m: Annotated[float, said("m", "Cable from the fuse to the shutter, one way.", ge=0, le=50)] = 4.0
    cycles_per_day: Annotated[float, said("1/day", "Times it is opened and closed a day.", ge=0, le=500)] = 10.0
    service_years: Annotated[float, said("years", "Years that the springs are to last.", ge=0.5, le=50)] = 15.0
    hand_force_limit_n: Annotated[float, said("N", "Greatest force that a hand may need.", ge=10, le=500)] = 100.0
    measuring_tolerance_mm: Annotated[
        float, mm("A margin that rests on the tape and is smaller than this is called tight.", ge=0, le=20)
    ] = 2.0


class FittingRequest(Sent, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One opening and what is to be fitted into it."""

    reference: Reference | UnsetType = UNSET
    opening: Opening
    shutter: Shutter
    options: Annotated[list[Option], text(OPTIONS, max_length=14)] = []
    duty: Annotated[Duty, text("What the shutter must stand; every member has a default.")] = Duty()

"""What callers send. Strict: no unknown member, no text for a number; every number has a range that makes sense."""

from typing import Annotated, Literal

import msgspec
from msgspec import UNSET, Meta, UnsetType

from service.contract.units import PYTHONS_END

Width = Annotated[float, Meta(ge=250, le=3000, extra_json_schema={"x-unit": "mm"})]
Height = Annotated[float, Meta(ge=250, le=3000, extra_json_schema={"x-unit": "mm"})]
Diagonal = Annotated[float, Meta(ge=350, le=4300, extra_json_schema={"x-unit": "mm"})]
WallGap = Annotated[float, Meta(ge=0, le=80, extra_json_schema={"x-unit": "mm"})]
ID_PATTERN = "^[A-Za-z0-9][A-Za-z0-9_.-]{0,39}$"
Id = Annotated[str, Meta(pattern=ID_PATTERN + PYTHONS_END)]
Reference = Annotated[str, Meta(max_length=200, description="The caller's own name for this opening; echoed.")]
Option = Literal[
    "perimeter_seal", "drip_rail", "pull_strap", "inside_release", "door_switch", "electric_lock", "strip_light"
]
SIZE_OR_SURVEY = "give width_mm and height_mm, or a survey, not both"


class Sent(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What all request types share."""


class Survey(Sent, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """An opening measured more than once; the smallest readings count."""

    widths_mm: Annotated[list[Width], Meta(min_length=2, max_length=5)]
    heights_mm: Annotated[list[Height], Meta(min_length=2, max_length=5)]
    diagonals_mm: Annotated[list[Diagonal], Meta(min_length=2, max_length=2)]


class Opening(Sent, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The compartment's opening and the room behind it: width and height, or a survey."""

    width_mm: Width | UnsetType = UNSET
    height_mm: Height | UnsetType = UNSET
    survey: Survey | UnsetType = UNSET
    headroom_mm: Annotated[
        float, Meta(ge=60, le=1500, description="Header base to roof.", extra_json_schema={"x-unit": "mm"})
    ]
    depth_mm: Annotated[
        float, Meta(ge=60, le=3000, description="Free depth behind the header.", extra_json_schema={"x-unit": "mm"})
    ]
    header_thickness_mm: Annotated[float, Meta(ge=0, le=200, extra_json_schema={"x-unit": "mm"})]
    plate_offset_mm: Annotated[
        float,
        Meta(
            ge=-200,
            le=200,
            description="Side plate's lower edge above the mount's normal place.",
            extra_json_schema={"x-unit": "mm"},
        ),
    ] = 0.0
    wall_gap_left_mm: Annotated[
        WallGap, Meta(description="Gap between side plate and wall, filled by a packer; left as seen from outside.")
    ] = 0.0
    wall_gap_right_mm: Annotated[
        WallGap, Meta(description="Gap between side plate and wall, filled by a packer; right as seen from outside.")
    ] = 0.0


class Shutter(Sent, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What is to be fitted. Ids are those of `GET /v1/catalogue`."""

    slat: Annotated[Id, Meta(description="A slat's id.")]
    tube: Annotated[Id, Meta(description="A tube's id among the slat's tubes, or `auto`.")] = "auto"
    side_plate: Annotated[Id, Meta(description="A side plate's id, or `auto`.")] = "auto"
    mount: Annotated[
        Literal["reveal", "face"], Meta(description="Tracks inside the opening, or lapping over its front.")
    ] = "reveal"
    fitted_from: Literal["outside", "inside"] = "outside"
    slat_count: (
        Annotated[
            float, Meta(ge=1, le=200, multiple_of=1, description="Slats of a shutter that exists already, a whole number.")
        ]
        | UnsetType
    ) = UNSET
    measured_coil_radius_mm: (
        Annotated[
            float,
            Meta(
                ge=20,
                le=500,
                description="Outer radius of the rolled-up shutter, measured; replaces the computed one in position checks.",
                extra_json_schema={"x-unit": "mm"},
            ),
        ]
        | UnsetType
    ) = UNSET


class Duty(Sent, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What the shutter must stand."""

    road_speed_km_h: Annotated[
        float, Meta(ge=0, le=160, description="Greatest road speed.", extra_json_schema={"x-unit": "km/h"})
    ] = 110.0
    temperature_min_c: Annotated[
        float,
        Meta(ge=-50, le=20, description="Coldest; slats are cut at 20 °C.", extra_json_schema={"x-unit": "°C"}),
    ] = -20.0
    temperature_max_c: Annotated[
        float,
        Meta(ge=20, le=90, description="Hottest; slats are cut at 20 °C.", extra_json_schema={"x-unit": "°C"}),
    ] = 50.0
    supply_v: Annotated[float, Meta(ge=9, le=60, description="Supply voltage.", extra_json_schema={"x-unit": "V"})] = 12.0
    cable_run_m: Annotated[
        float,
        Meta(ge=0, le=50, description="Cable from the fuse to the shutter, one way.", extra_json_schema={"x-unit": "m"}),
    ] = 4.0
    cycles_per_day: Annotated[
        float, Meta(ge=0, le=500, description="Times it is opened and closed a day; says how often to inspect it.")
    ] = 10.0
    hand_force_limit_n: Annotated[
        float, Meta(ge=10, le=500, description="Greatest force a hand may need.", extra_json_schema={"x-unit": "N"})
    ] = 100.0
    measuring_tolerance_mm: Annotated[
        float,
        Meta(ge=0, le=20, description="A margin smaller than this is called tight.", extra_json_schema={"x-unit": "mm"}),
    ] = 2.0


class FittingRequest(Sent, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One opening and what is to be fitted into it."""

    reference: Reference | UnsetType = UNSET
    opening: Opening
    shutter: Shutter
    options: Annotated[list[Option], Meta(max_length=14)] = []
    duty: Duty = Duty()

"""FastAPI operations whose pydantic models decode the same request, and which calculate nothing.

One answers with bytes made beforehand; the other hands out the same answer through a response model, as is usual.
"""

import json
from typing import Annotated, Any, Literal

from answered import CONTENT, HEADERS
from fastapi import FastAPI, Response
from pydantic import BaseModel, ConfigDict, Field, create_model

OTHERS = {name: value for name, value in HEADERS.items() if not name.startswith("content-")}


class Sent(BaseModel):
    """Strict, like the service's own types."""

    model_config = ConfigDict(strict=True, extra="forbid")


Side = Annotated[float, Field(ge=250, le=3000)]


class Survey(Sent):
    """Readings."""

    widths_mm: list[Side]
    heights_mm: list[Side]
    diagonals_mm: list[float]


class Opening(Sent):
    """The opening."""

    width_mm: Side | None = None
    height_mm: Side | None = None
    survey: Survey | None = None
    headroom_mm: Annotated[float, Field(ge=60, le=1500)]
    depth_mm: Annotated[float, Field(ge=60, le=3000)]
    header_thickness_mm: Annotated[float, Field(ge=0, le=200)]
    plate_offset_mm: Annotated[float, Field(ge=-200, le=200)] = 0.0
    wall_gap_left_mm: Annotated[float, Field(ge=0, le=80)] = 0.0
    wall_gap_right_mm: Annotated[float, Field(ge=0, le=80)] = 0.0


class Shutter(Sent):
    """The shutter."""

    slat: Annotated[str, Field(max_length=40)]
    tube: str = "auto"
    side_plate: str = "auto"
    mount: Literal["reveal", "face"] = "reveal"
    fitted_from: Literal["outside", "inside"] = "outside"
    slat_count: int | None = None
    measured_coil_radius_mm: float | None = None


class Duty(Sent):
    """The duty."""

    road_speed_km_h: Annotated[float, Field(ge=0, le=160)] = 110.0
    temperature_min_c: float = -20.0
    temperature_max_c: float = 50.0
    supply_v: float = 12.0
    cable_run_m: float = 4.0
    cycles_per_day: float = 10.0
    hand_force_limit_n: float = 100.0
    measuring_tolerance_mm: float = 2.0


class FittingRequest(Sent):
    """The request."""

    reference: Annotated[str, Field(max_length=200)] | None = None
    opening: Opening
    shutter: Shutter
    options: list[str] = []
    duty: Duty = Duty()


def model_of(name: str, content: dict[str, Any]) -> type[BaseModel]:
    """A model with the members of an object of the answer."""
    return create_model(name, **{member: (kind_of(f"{name}_{member}", value), ...) for member, value in content.items()})


def kind_of(name: str, value: Any) -> Any:
    """The type of a member; of a list's objects the members that all have must be there."""
    if isinstance(value, dict):
        return model_of(name, value)
    if isinstance(value, list):
        if not all(isinstance(one, dict) for one in value) or not value:
            return list[type(value[0])] if value else list[str]  # type: ignore[misc] # a type of the content's
        merged = {member: content for one in value for member, content in one.items()}
        fields: dict[str, Any] = {
            member: (kind_of(f"{name}_{member}", content), ... if all(member in one for one in value) else None)
            for member, content in merged.items()
        }
        return list[create_model(name, **fields)]  # type: ignore[misc] # the same
    return float if type(value) is int else type(value)


ANSWER = json.loads(CONTENT)
Answer = model_of("Answer", ANSWER)

app = FastAPI()


@app.post("/v1/fittings")
async def fittings(data: FittingRequest) -> Response:
    """Nothing is calculated, and nothing encoded."""
    del data
    return Response(CONTENT, media_type="application/json", headers=OTHERS)


modelled = FastAPI()


@modelled.post("/v1/fittings", response_model=Answer, response_model_exclude_unset=True)
async def modelled_fittings(data: FittingRequest, response: Response) -> Any:
    """Nothing is calculated; the answer goes through its model."""
    del data
    response.headers.update(OTHERS)
    return ANSWER

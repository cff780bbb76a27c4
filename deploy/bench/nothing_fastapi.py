"""A FastAPI operation whose pydantic models decode the same request, and which answers with bytes made beforehand."""

from pathlib import Path
from typing import Annotated, Literal

from fastapi import FastAPI, Response
from pydantic import BaseModel, ConfigDict, Field

ANSWER = Path("openapi/examples/lock-gate-truck.answer.json").read_bytes()


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


app = FastAPI()


@app.post("/v1/fittings")
async def fittings(data: FittingRequest) -> Response:
    """Nothing is calculated."""
    del data
    return Response(ANSWER, media_type="application/json")

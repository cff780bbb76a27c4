"""Calls every operation with a client of openapi-python-client; prints a figure of each answer."""

import sys
from io import BytesIO
from pathlib import Path
from typing import TypeVar

from client import AuthenticatedClient
from client.api.audit import verify_result
from client.api.calibration import calibrate_slat
from client.api.contract import get_contract
from client.api.cutting_plans import draw_cutting, list_cutting, plan_cutting
from client.api.drawings_and_sheets import (
    draw_front,
    draw_plan,
    draw_plate,
    draw_section,
    export_plate,
    print_plate,
    print_sheet,
)
from client.api.fittings import (
    calculate_batch,
    calculate_fitting,
    calculate_short,
    calculate_stream,
    calculate_table,
    find_limits,
    rank_alternatives,
)
from client.api.health import get_liveness, get_metrics, get_readiness
from client.api.reference_data import get_catalogue, get_problem, get_rules, get_warnings
from client.models import (
    BatchRequest,
    CalculateFittingIncludeItem,
    CalculateStreamFields,
    CalibrationRequest,
    CuttingRequest,
    DrawPlanTitle,
    FittingRequest,
    FittingRequestOptionsItem,
    GetProblemKind,
    MeasuredCoil,
    Opening,
    PieceRow,
    PrintPlatePaper,
    Problem,
    Shutter,
    StockRow,
    Survey,
)
from client.types import File

T = TypeVar("T")

base, key, examples = sys.argv[1:]
client = AuthenticatedClient(base_url=base, token=key)

truck = FittingRequest(
    reference="lock-gate truck, nearside 2",
    opening=Opening(width_mm=1180, height_mm=1420, headroom_mm=310, depth_mm=620, header_thickness_mm=40),
    shutter=Shutter(slat="slim"),
    options=[FittingRequestOptionsItem.DRIP_RAIL, FittingRequestOptionsItem.STRIP_LIGHT],
)
locker = FittingRequest(
    opening=Opening(
        survey=Survey(widths_mm=[300, 300], heights_mm=[1900, 1900]),
        headroom_mm=330,
        depth_mm=620,
        header_thickness_mm=40,
    ),
    shutter=Shutter(slat="slim"),
)
unserved = FittingRequest(opening=locker.opening, shutter=Shutter(slat="featherweight"))


def tell(operation: str, figure: object) -> None:
    """Print a figure of an answer."""
    print(operation, figure)


def read(answer: T | Problem | None) -> T:
    """What was answered, where it is no problem."""
    if answer is None or isinstance(answer, Problem):
        raise SystemExit(f"{answer}")
    return answer


def size(answer: File | Problem | None) -> int:
    """How many bytes a file has."""
    return len(read(answer).payload.read())


def first_fault(answer: object) -> object:
    """The pointer of a problem's first fault."""
    if not isinstance(answer, Problem) or not answer.errors:
        raise SystemExit(f"{answer}")
    return answer.errors[0].pointer


for request in (truck, locker):
    fitting = read(calculate_fitting.sync(client=client, body=request, include=list(CalculateFittingIncludeItem)))
    tell("calculateFitting", fitting.coil.radius_mm)
    tell("verifyResult", read(verify_result.sync(client=client, body=fitting)).outcome)
tell("problem", first_fault(calculate_fitting.sync(client=client, body=unserved)))

tell("calculateShort", read(calculate_short.sync(client=client, body=truck)).coil.radius_mm)
whole, refused = read(calculate_batch.sync(client=client, body=BatchRequest(items=[truck, unserved]))).items
tell("calculateBatch", f"{whole.fitting.coil.radius_mm if whole.fitting else None},{first_fault(refused.problem)}")
lines = File(BytesIO(Path(examples, "evening-order.request.ndjson").read_bytes()))
short = CalculateStreamFields.SHORT
tell("calculateStream", size(calculate_stream.sync(client=client, body=lines, fields=short, x_request_id="example")))
table = File(BytesIO(Path(examples, "evening-order.request.csv").read_bytes()))
tell("calculateTable", size(calculate_table.sync(client=client, body=table)))
tell("rankAlternatives", len(read(rank_alternatives.sync(client=client, body=truck)).alternatives))
tell("findLimits", len(read(find_limits.sync(client=client, body=truck)).limits))

tell("drawSection", size(draw_section.sync(client=client, body=truck)))
tell("drawPlan", size(draw_plan.sync(client=client, body=truck, title=DrawPlanTitle.NONE)))
tell("drawFront", size(draw_front.sync(client=client, body=truck)))
tell("drawPlate", size(draw_plate.sync(client=client, body=truck)))
tell("exportPlate", size(export_plate.sync(client=client, body=truck)))
tell("printPlate", size(print_plate.sync(client=client, body=truck, paper=PrintPlatePaper.A3)))
tell("printSheet", size(print_sheet.sync(client=client, body=truck)))

coils = [MeasuredCoil(slat_count=30, radius_mm=64.5), MeasuredCoil(slat_count=38, radius_mm=71)]
coils.append(MeasuredCoil(slat_count=44, radius_mm=75))
measured = CalibrationRequest(slat="slim", tube="T50", coils=coils)
tell("calibrateSlat", read(calibrate_slat.sync(client=client, body=measured)).nesting)

order = CuttingRequest(
    pieces=[
        PieceRow(profile="slim", length_mm=1180, count=4),
        PieceRow(profile="slim", length_mm=927.4, count=3, reference="weed-boat trailer"),
    ],
    stock=[StockRow(profile="slim", length_mm=6500, kerf_mm=3.2)],
)
tell("planCutting", read(plan_cutting.sync(client=client, body=order)).profiles[0].bar_count)
tell("listCutting", size(list_cutting.sync(client=client, body=order)))
tell("drawCutting", size(draw_cutting.sync(client=client, body=order)))

tell("getCatalogue", read(get_catalogue.sync(client=client)).catalogue.id)
tell("getRules", len(read(get_rules.sync(client=client)).rules))
tell("getWarnings", len(read(get_warnings.sync(client=client)).warnings))
tell("getProblem", read(get_problem.sync(client=client, kind=GetProblemKind.BUSY)).status)
tell("getLiveness", read(get_liveness.sync(client=client)).status)
tell("getReadiness", read(get_readiness.sync(client=client)).status)
tell("getMetrics", read(get_metrics.sync(client=client))[:6])
tell("getContract", len(read(get_contract.sync(client=client)).to_dict()))

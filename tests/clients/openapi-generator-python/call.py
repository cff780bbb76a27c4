"""Calls every operation with a Python client of openapi-generator; prints a figure of each answer."""

import sys
from pathlib import Path

from openapi_client import (
    ApiClient,
    AuditApi,
    BatchRequest,
    CalibrationApi,
    CalibrationRequest,
    Configuration,
    ContractApi,
    CuttingPlansApi,
    CuttingRequest,
    DrawingsAndSheetsApi,
    FittingRequest,
    FittingsApi,
    HealthApi,
    MeasuredCoil,
    Opening,
    PieceRow,
    Problem,
    ReferenceDataApi,
    Shutter,
    StockRow,
    Survey,
)
from openapi_client.exceptions import UnprocessableEntityException

base, key, examples = sys.argv[1:]
client = ApiClient(Configuration(host=base, access_token=key))
fittings, drawings = FittingsApi(client), DrawingsAndSheetsApi(client)
plans = CuttingPlansApi(client)
data, health = ReferenceDataApi(client), HealthApi(client)

truck = FittingRequest(
    reference="lock-gate truck, nearside 2",
    opening=Opening(width_mm=1180, height_mm=1420, headroom_mm=310, depth_mm=620, header_thickness_mm=40),
    shutter=Shutter(slat="slim"),
    options=["drip_rail", "strip_light"],
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


def first_fault(problem: object) -> object:
    """The pointer of a problem's first fault."""
    if not isinstance(problem, Problem) or not problem.errors:
        raise SystemExit(f"{problem}")
    return problem.errors[0].pointer


for request in (truck, locker):
    fitting = fittings.calculate_fitting(request, include=["trace", "geometry", "balance_curve", "candidates", "cures"])
    tell("calculateFitting", fitting.coil.radius_mm)
    tell("verifyResult", AuditApi(client).verify_result(fitting).outcome)
try:
    fittings.calculate_fitting(unserved)
except UnprocessableEntityException as refused:
    tell("problem", first_fault(refused.data))

tell("calculateShort", fittings.calculate_short(truck).coil.radius_mm)
whole, bad = fittings.calculate_batch(BatchRequest(items=[truck, unserved])).items
tell("calculateBatch", f"{whole.fitting.coil.radius_mm if whole.fitting else None},{first_fault(bad.problem)}")
lines = Path(examples, "evening-order.request.ndjson").read_bytes()
tell("calculateStream", len(fittings.calculate_stream(lines, fields="short", x_request_id="example")))
table = Path(examples, "evening-order.request.csv").read_bytes()
tell("calculateTable", len(fittings.calculate_table(table)))
tell("rankAlternatives", len(fittings.rank_alternatives(truck).alternatives))
tell("findLimits", len(fittings.find_limits(truck).limits))

tell("drawSection", len(drawings.draw_section(truck)))
tell("drawPlan", len(drawings.draw_plan(truck, title="none")))
tell("drawFront", len(drawings.draw_front(truck)))
tell("drawPlate", len(drawings.draw_plate(truck)))
tell("exportPlate", len(drawings.export_plate(truck)))
tell("printPlate", len(drawings.print_plate(truck, paper="a3")))
tell("printSheet", len(drawings.print_sheet(truck)))

coils = [MeasuredCoil(slat_count=30, radius_mm=64.5), MeasuredCoil(slat_count=38, radius_mm=71)]
coils.append(MeasuredCoil(slat_count=44, radius_mm=75))
measured = CalibrationRequest(slat="slim", tube="T50", coils=coils)
tell("calibrateSlat", CalibrationApi(client).calibrate_slat(measured).nesting)

order = CuttingRequest(
    pieces=[
        PieceRow(profile="slim", length_mm=1180, count=4),
        PieceRow(profile="slim", length_mm=927.4, count=3, reference="weed-boat trailer"),
    ],
    stock=[StockRow(profile="slim", length_mm=6500, kerf_mm=3.2)],
)
tell("planCutting", plans.plan_cutting(order).profiles[0].bar_count)
tell("listCutting", len(plans.list_cutting(order)))
tell("drawCutting", len(plans.draw_cutting(order)))

tell("getCatalogue", data.get_catalogue().catalogue.id)
tell("getRules", len(data.get_rules().rules))
tell("getWarnings", len(data.get_warnings().warnings))
tell("getProblem", data.get_problem("busy").status)
tell("getLiveness", health.get_liveness().status)
tell("getReadiness", health.get_readiness().status)
tell("getMetrics", health.get_metrics()[:6])
tell("getContract", len(ContractApi(client).get_contract()))

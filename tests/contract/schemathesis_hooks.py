"""What JSON Schema cannot say about a request, said to schemathesis.

Ids are those of the catalogue, an opening has a size or a survey, a survey leaves room between plumb tracks, the coldest
is not hotter than the hottest, pieces are cut from bars in stock that are as long. Only what is valid by the schema is
touched, so that invalid cases stay invalid.
"""

from copy import deepcopy

import jsonschema_rs
import schemathesis

from service.contract import examples
from service.contract.cutting_plans import PIECES_MAX
from service.contract.openapi import document
from service.contract.operations import CSV, NDJSON

CONTRACT = document()
SLATS = {"slim": ("T50", "T70"), "stout": ("T70",)}
SIDE_PLATES = ("P240", "P300", "P360")
FITS = examples.FITTINGS["lock-gate-truck"].request
CUT_OF_IT = ("slim", "bottom_bar", "reveal")
LONG_ENOUGH_MM = 4000
"""A bar for any of its parts, however much is trimmed."""
SIZE = {"width_mm": 1180, "height_mm": 1420}


def valid(name, content):
    """Whether content is as the contract has it."""
    return isinstance(content, dict) and VALIDATORS[name].is_valid(content)


VALIDATORS = {
    name: jsonschema_rs.Draft202012Validator({"$ref": f"#/components/schemas/{name}", "components": CONTRACT["components"]})
    for name in ("FittingRequest", "CalibrationRequest", "CuttingRequest")
}


def known_id(value, known):
    """A known id in place of an unknown one, always the same for the same value."""
    return value if value in known else known[sum(map(ord, value)) % len(known)]


def mend(request):
    """Let a request that matches the schema be one that the service can calculate."""
    if valid("CalibrationRequest", request):
        request["slat"], request["tube"] = known_id(request["slat"], ("slim",)), known_id(request["tube"], ("T50", "T70"))
    elif valid("CuttingRequest", request):
        mend_cutting(request)
    elif valid("FittingRequest", request):
        mend_shutter(request["shutter"])
        mend_opening(request["opening"])
        mend_duty(request.get("duty", {}))


def mend_shutter(shutter):
    shutter["slat"] = known_id(shutter["slat"], tuple(SLATS))
    for member, known in (("tube", SLATS[shutter["slat"]]), ("side_plate", SIDE_PLATES)):
        if member in shutter:
            shutter[member] = known_id(shutter[member], ("auto", *known))


def mend_opening(opening):
    if "survey" not in opening:
        opening |= {name: value for name, value in SIZE.items() if name not in opening}
        return
    for name in SIZE:
        opening.pop(name, None)
    survey = opening["survey"]
    if "diagonals_mm" in survey:  # nearly square
        one, other = survey["diagonals_mm"]
        survey["diagonals_mm"] = [one, min(one + other % 1, 4300)]


def mend_duty(duty):
    coldest, hottest = duty.get("temperature_min_c", -20), duty.get("temperature_max_c", 50)
    if coldest > hottest:
        duty["temperature_min_c"], duty["temperature_max_c"] = hottest, coldest


def mend_cutting(request):
    request["time_limit_s"] = 0.1
    if "fittings" in request:
        request.pop("pieces", None)
        request["fittings"] = [FITS] * min(len(request["fittings"]), 3)  # to calculate 2000 takes seconds
    stock = request["stock"]
    for row in stock:
        if "fittings" in request:
            row["profile"] = known_id(row["profile"], CUT_OF_IT)
            row["length_mm"] = max(row["length_mm"], LONG_ENOUGH_MM)
        row["trim_mm"] = max(0, min(row.get("trim_mm", 0), row["length_mm"] / 2 - 1))
        if not all("price" in one for one in stock):
            row.pop("price", None)
    if "fittings" not in request:
        mend_pieces(request.setdefault("pieces", [{"profile": "", "length_mm": 1, "count": 1}]), stock)


def mend_pieces(pieces, stock):
    for row in pieces:
        bar = stock[sum(map(ord, row["profile"])) % len(stock)]
        row["profile"] = bar["profile"]
        row["length_mm"] = min(row["length_mm"], max(1, bar["length_mm"] - 2 * bar["trim_mm"] - 0.01))  # whatever is rounded
        row["count"] = min(row["count"], PIECES_MAX // len(pieces))


@schemathesis.hook
def before_call(context, case, kwargs):
    """Make a body that matches the schema one that the service can calculate, in every phase."""
    del context, kwargs
    if case.media_type == CSV:
        case.body = examples.text(CSV)  # a text has to have the header that the contract tells in words
    elif case.media_type == NDJSON:
        case.body = examples.text(NDJSON)  # and lines of JSON
    elif isinstance(case.body, dict):
        body = deepcopy(case.body)
        items, audit = body.get("items"), body.get("audit")
        for request in (
            body,
            *(items if isinstance(items, list) else ()),
            audit.get("request") if isinstance(audit, dict) else None,
        ):
            mend(request)
        case.body = body


@schemathesis.serializer("application/x-ndjson", "text/csv")
def text(context, value):
    """A text as it is."""
    del context
    return value.encode()


@schemathesis.deserializer("application/x-ndjson")
def lines(context, response):
    """The lines of a streamed answer as one text."""
    del context
    return response.text

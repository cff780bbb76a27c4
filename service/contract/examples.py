"""Examples: a waterways trust's maintenance vehicles. They stand in the contract, in `openapi/examples`, and in tests."""

import csv
import io
import json
from typing import Any, NamedTuple

import msgspec

from service.contract.decoding import BodyDecoder
from service.contract.operations import CSV, NDJSON
from service.contract.problems import KINDS, Refusal, problem
from service.contract.requests import FittingRequest
from service.contract.spreadsheet import NUMBER_COLUMNS, OPTIONS_COLUMN, TEXT_COLUMNS

REQUEST_ID = "example"
"""The request id that problems among the examples carry."""


class Example(NamedTuple):
    """One request worth showing."""

    summary: str
    request: dict[str, Any]


FITTINGS = {
    "lock-gate-truck": Example(
        "Tracks inside the opening of a lock-gate truck, with drip rail and strip light",
        {
            "reference": "lock-gate truck, nearside 2",
            "opening": {
                "width_mm": 1180,
                "height_mm": 1420,
                "headroom_mm": 310,
                "depth_mm": 620,
                "header_thickness_mm": 40,
            },
            "shutter": {"slat": "slim"},
            "options": ["drip_rail", "strip_light"],
        },
    ),
    "weed-boat-trailer": Example(
        "A surveyed opening that is not quite true, tracks lapping behind its edges",
        {
            "reference": "weed-boat trailer, offside 1",
            "opening": {
                "survey": {
                    "widths_mm": [962, 960, 964],
                    "heights_mm": [1105, 1104],
                    "diagonals_mm": [1462, 1466.5],
                },
                "headroom_mm": 290,
                "depth_mm": 480,
                "header_thickness_mm": 32,
                "wall_gap_left_mm": 18,
            },
            "shutter": {"slat": "slim", "mount": "face", "fitted_from": "inside"},
            "options": ["perimeter_seal", "pull_strap"],
        },
    ),
    "pump-van": Example(
        "A wide opening of a dewatering pump van that wants the stout slat; it bows more than it should at 100 km/h",
        {
            "reference": "pump van, rear",
            "opening": {
                "width_mm": 1960,
                "height_mm": 1750,
                "headroom_mm": 420,
                "depth_mm": 900,
                "header_thickness_mm": 50,
            },
            "shutter": {"slat": "stout"},
            "options": ["drip_rail", "perimeter_seal", "door_switch", "electric_lock", "strip_light"],
            "duty": {"road_speed_km_h": 100, "supply_v": 24, "cable_run_m": 6.5},
        },
    ),
    "towpath-tractor": Example(
        "Too little depth in a towpath tractor's tool locker: the nearest candidate and how far off it is",
        {
            "reference": "towpath tractor, tool locker",
            "opening": {
                "width_mm": 900,
                "height_mm": 1600,
                "headroom_mm": 195,
                "depth_mm": 260,
                "header_thickness_mm": 40,
            },
            "shutter": {"slat": "slim"},
        },
    ),
    "dredger-tender": Example(
        "A shutter that exists already: its slats counted and its rolled-up radius measured",
        {
            "reference": "dredger tender, port locker",
            "opening": {
                "width_mm": 1100,
                "height_mm": 1380,
                "headroom_mm": 330,
                "depth_mm": 640,
                "header_thickness_mm": 45,
            },
            "shutter": {"slat": "slim", "tube": "T50", "slat_count": 54, "measured_coil_radius_mm": 87},
        },
    ),
    "survey-pickup": Example(
        "A light, narrow shutter: one thin spring, and a clearance so small that it must be measured well",
        {
            "reference": "survey pickup, instrument locker",
            "opening": {
                "width_mm": 620,
                "height_mm": 900,
                "headroom_mm": 310,
                "depth_mm": 620,
                "header_thickness_mm": 40,
            },
            "shutter": {"slat": "slim"},
            "options": ["inside_release"],
        },
    ),
    "barge-crane-lorry": Example(
        "A wide, heavy shutter that needs two springs, on a slow vehicle: its slats bow in the wind",
        {
            "reference": "barge crane lorry, side locker",
            "opening": {
                "width_mm": 2580,
                "height_mm": 2100,
                "headroom_mm": 420,
                "depth_mm": 900,
                "header_thickness_mm": 40,
            },
            "shutter": {"slat": "stout", "tube": "T70"},
            "duty": {"road_speed_km_h": 60},
        },
    ),
    "pole-locker": Example(
        "A narrow, tall locker whose tube is too short for any spring, and what would cure it",
        {
            "reference": "towpath van, pole locker",
            "opening": {
                "width_mm": 300,
                "height_mm": 1900,
                "headroom_mm": 330,
                "depth_mm": 620,
                "header_thickness_mm": 40,
            },
            "shutter": {"slat": "slim"},
        },
    ),
}
"""Fittings by name."""

BATCHES = {
    "evening-order": Example(
        "Three openings in one order, one of which the catalogue cannot serve",
        {
            "items": [
                FITTINGS["lock-gate-truck"].request,
                {**FITTINGS["pump-van"].request, "shutter": {"slat": "featherweight"}},
                FITTINGS["towpath-tractor"].request,
            ]
        },
    ),
}
"""Batches by name."""

CALIBRATIONS = {
    "workshop-coils": Example(
        "Five rolled-up shutters measured in the trust's workshop",
        {
            "slat": "slim",
            "tube": "T50",
            "coils": [
                {"slat_count": 30, "radius_mm": 64.5},
                {"slat_count": 38, "radius_mm": 71},
                {"slat_count": 44, "radius_mm": 75},
                {"slat_count": 52, "radius_mm": 80},
                {"slat_count": 61, "radius_mm": 86},
            ],
        },
    ),
}
"""Calibrations by name."""

CUTTINGS = {
    "monday-saw": Example(
        "A day's order of the trust's workshop as cut lengths, an offcut on hand among the bars",
        {
            "pieces": [
                {"profile": "slim", "length_mm": 1147.4, "count": 51, "reference": "lock-gate truck, nearside 2"},
                {"profile": "slim", "length_mm": 927.4, "count": 40, "reference": "weed-boat trailer, offside 1"},
                {"profile": "slim", "length_mm": 867.4, "count": 58, "reference": "towpath tractor, tool locker"},
                {"profile": "drip_rail", "length_mm": 1180, "count": 1, "reference": "lock-gate truck, nearside 2"},
                {"profile": "drip_rail", "length_mm": 1960, "count": 1, "reference": "pump van, rear"},
            ],
            "stock": [
                {"profile": "slim", "length_mm": 6500, "kerf_mm": 3.2, "trim_mm": 5, "keep_mm": 600},
                {"profile": "slim", "length_mm": 2840, "count": 1, "kerf_mm": 3.2, "trim_mm": 5, "keep_mm": 600},
                {"profile": "drip_rail", "length_mm": 3200, "count": 6, "kerf_mm": 3.2, "keep_mm": 400},
            ],
            "time_limit_s": 10,
        },
    ),
    "fleet-saw": Example(
        "Three openings of the fleet: calculated first, then the parts of the profiles in stock are planned",
        {
            "fittings": [FITTINGS[name].request for name in ("lock-gate-truck", "weed-boat-trailer", "survey-pickup")],
            "stock": [
                {"profile": "slim", "length_mm": 6500, "kerf_mm": 3.2, "trim_mm": 5, "keep_mm": 600, "price": 31.5},
                {"profile": "slim", "length_mm": 4000, "kerf_mm": 3.2, "trim_mm": 5, "keep_mm": 600, "price": 21.4},
                {"profile": "bottom_bar", "length_mm": 3000, "kerf_mm": 3.2, "keep_mm": 500},
                {"profile": "reveal", "length_mm": 6000, "kerf_mm": 3.2, "keep_mm": 500},
                {"profile": "face", "length_mm": 6000, "kerf_mm": 3.2, "keep_mm": 500},
                {"profile": "bottom_seal", "length_mm": 20000, "keep_mm": 500},
            ],
            "time_limit_s": 10,
        },
    ),
}
"""Cutting plans by name."""

BODIES = {
    "calculateFitting": FITTINGS,
    "calculateShort": FITTINGS,
    "calculateBatch": BATCHES,
    "rankAlternatives": {"lock-gate-truck": FITTINGS["lock-gate-truck"]},
    "findLimits": {"lock-gate-truck": FITTINGS["lock-gate-truck"]},
    "calibrateSlat": CALIBRATIONS,
    **dict.fromkeys(("planCutting", "listCutting", "drawCutting"), CUTTINGS),
    **dict.fromkeys(
        ("drawSection", "drawPlan", "drawFront", "drawPlate", "exportPlate", "printPlate", "printSheet"), FITTINGS
    ),
}
"""The examples of each operation with a body."""


def text(media_type: str) -> str:
    """The batch example in one of its other forms.

    Raises:
        KeyError: there is no such form.
    """
    items = BATCHES["evening-order"].request["items"]
    return {NDJSON: _ndjson, CSV: _csv}[media_type](items)


def problem_of(kind: str) -> dict[str, Any]:
    """A problem of a kind, with what its page says for a detail; one of a wrong request as it is truly refused.

    Raises:
        KeyError: there is no such kind.
    """
    refusal = _refused() if kind == "invalid-request" else Refusal(kind, KINDS[kind].meaning)
    told: dict[str, Any] = msgspec.to_builtins(problem(refusal, instance=REQUEST_ID))
    return told


def _refused() -> Refusal:
    """The refusal of an opening in cm."""
    wrong = {
        **FITTINGS["survey-pickup"].request,
        "opening": {**FITTINGS["survey-pickup"].request["opening"], "height_mm": 90},
    }
    try:
        BodyDecoder(FittingRequest).decode(msgspec.json.encode(wrong))
    except Refusal as refusal:
        return refusal
    raise ValueError("an opening of 90 mm was taken")


def _ndjson(items: list[dict[str, Any]]) -> str:
    return "".join(json.dumps(item, ensure_ascii=False) + "\n" for item in items)


def _csv(items: list[dict[str, Any]]) -> str:
    places = {**TEXT_COLUMNS, **NUMBER_COLUMNS}
    columns = [column for column, path in places.items() if any(_at(item, path) is not None for item in items)]
    written = io.StringIO(newline="")
    writer = csv.writer(written)
    writer.writerow([*columns, OPTIONS_COLUMN])
    for item in items:
        writer.writerow([*(_at(item, places[column]) for column in columns), " ".join(item.get(OPTIONS_COLUMN, []))])
    return written.getvalue()


def _at(content: Any, path: tuple[str, ...]) -> Any:
    for member in path:
        content = content.get(member) if isinstance(content, dict) else None
    return content

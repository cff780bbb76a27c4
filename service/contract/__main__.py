"""Writes `openapi/`: the contract, and each example's request and answer. Run it from the project's top folder."""

import json
from pathlib import Path
from typing import Any

import msgspec

from service.catalogue.loader import STANDARD, load
from service.contract.batch import Batch, BatchAnswer
from service.contract.decoding import BodyDecoder
from service.contract.examples import BATCHES, CALIBRATIONS, FITTINGS, text
from service.contract.explore import Calibration, CalibrationRequest, calibrate, find_limits, rank_alternatives
from service.contract.fittings import encode, fitting
from service.contract.openapi import document
from service.contract.operations import CSV, NDJSON
from service.contract.requests import FittingRequest
from service.contract.shelf import stock

SHELF = stock(load(STANDARD))
SHOWN = "lock-gate-truck"
REQUEST_ID = "example"
"""The request id that problems among the examples carry."""


def files() -> dict[str, bytes]:
    """Every generated file by its path under `openapi/`."""
    made = {"openapi.json": _pretty(document())}
    for examples, answered in ((FITTINGS, _fitting), (BATCHES, _batch), (CALIBRATIONS, _calibration)):
        for name, example in examples.items():
            made[f"examples/{name}.request.json"] = _pretty(example.request)
            made[f"examples/{name}.answer.json"] = _pretty(json.loads(encode(answered(example.request))))
    shown = msgspec.convert(FITTINGS[SHOWN].request, FittingRequest)
    made[f"examples/{SHOWN}.alternatives.json"] = _pretty(json.loads(encode(rank_alternatives(shown, SHELF))))
    made[f"examples/{SHOWN}.limits.json"] = _pretty(json.loads(encode(find_limits(shown, SHELF))))
    for name, media_type in (("ndjson", NDJSON), ("csv", CSV)):
        made[f"examples/evening-order.request.{name}"] = text(media_type).encode()
    return made


def _fitting(request: dict[str, Any]) -> msgspec.Raw:
    return fitting(BodyDecoder(FittingRequest).decode(msgspec.json.encode(request)), SHELF)


def _batch(request: dict[str, Any]) -> BatchAnswer:
    batch = Batch(SHELF, fields="full", request_id=REQUEST_ID)
    return BatchAnswer([batch.answer(msgspec.json.encode(item)).item for item in request["items"]], batch.summary)


def _calibration(request: dict[str, Any]) -> Calibration:
    return calibrate(msgspec.convert(request, CalibrationRequest), SHELF)


def _pretty(content: Any) -> bytes:
    return json.dumps(content, indent=2, ensure_ascii=False).encode() + b"\n"


if __name__ == "__main__":
    for path, content in files().items():
        (Path("openapi") / path).write_bytes(content)

"""Writes `openapi/`: the contract, and each example's request and answer. Run it from the project's top folder."""

import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any, Literal

import msgspec

from service.calculation.fitting import VERSION
from service.catalogue.loader import STANDARD, load
from service.contract import answers
from service.contract.batch import Batch, BatchAnswer, opened, short
from service.contract.cutting_plans import CuttingPlan, CuttingRequest, plan_of, prepare
from service.contract.decoding import BodyDecoder
from service.contract.examples import BATCHES, CALIBRATIONS, CUTTINGS, FITTINGS, REQUEST_ID, text
from service.contract.explore import Calibration, CalibrationRequest, calibrate, find_limits, rank_alternatives
from service.contract.fittings import calculate, encode, fitting
from service.contract.openapi import document
from service.contract.operations import CSV, NDJSON
from service.contract.problems import KINDS, ProblemPage
from service.contract.requests import Duty, FittingRequest
from service.contract.rule_list import rules
from service.contract.saw_list import saw_list
from service.contract.shelf import stock
from service.contract.spreadsheet import looked_through, table
from service.contract.table_answers import FORMS, TableWriter
from service.contract.verification import verify
from service.contract.warning_list import warnings
from service.cutting.solve import solve

LOADED = load(STANDARD)
SHELF = stock(LOADED)
SHOWN = "lock-gate-truck"
ORDER = "evening-order"
COILS = "workshop-coils"
SAW = "monday-saw"


def files() -> dict[str, bytes]:
    """Every generated file by its path under `openapi/`."""
    made = {}
    for examples, answered in ((FITTINGS, _fitting), (BATCHES, _batch), (CALIBRATIONS, _calibration), (CUTTINGS, _cutting)):
        for name, example in examples.items():
            made[f"examples/{name}.request.json"] = _pretty(example.request)
            made[f"examples/{name}.answer.json"] = _pretty(_plain(answered(example.request)))
    for name, media_type in (("ndjson", NDJSON), ("csv", CSV)):
        made[f"examples/{ORDER}.request.{name}"] = text(media_type).encode()
    shown = shown_answers()
    for name, operation in (("short", "calculateShort"), ("alternatives", "rankAlternatives"), ("limits", "findLimits")):
        made[f"examples/{SHOWN}.{name}.json"] = _pretty(shown[operation][SHOWN])
    made[f"examples/{ORDER}.answer.csv"] = shown["calculateTable"][ORDER].encode()
    made["openapi.json"] = _pretty(document(shown))
    return made


def shown_answers() -> dict[str, dict[str, Any]]:
    """The answers that the contract shows, by operation and example: all but pictures, documents and metrics."""
    request = msgspec.convert(FITTINGS[SHOWN].request, FittingRequest)
    whole = _plain(_fitting(FITTINGS[SHOWN].request))
    health = answers.Health(status="ok", calculation_version=VERSION, catalogue=SHELF.catalogue_id)
    page = ProblemPage("/problems/busy", KINDS["busy"].title, KINDS["busy"].status, KINDS["busy"].meaning)
    catalogue = answers.CatalogueAnswer(
        catalogue_sha256=SHELF.catalogue_sha256, duty_defaults=Duty(), catalogue=LOADED.catalogue
    )
    plan = _cutting(CUTTINGS[SAW].request)
    order = _batch(BATCHES[ORDER].request, fields="short")
    return {
        "calculateFitting": {SHOWN: whole},
        "calculateShort": {SHOWN: _plain(short(calculate(request, SHELF)))},
        "calculateBatch": {ORDER: _plain(order)},
        "calculateStream": {ORDER: _lines([*order.items, {"summary": order.summary}])},
        "calculateTable": {ORDER: _table(text(CSV).encode()).decode()},
        "rankAlternatives": {SHOWN: _plain(rank_alternatives(request, SHELF))},
        "findLimits": {SHOWN: _plain(find_limits(request, SHELF))},
        "calibrateSlat": {COILS: _plain(_calibration(CALIBRATIONS[COILS].request))},
        "planCutting": {SAW: _plain(plan)},
        "listCutting": {SAW: saw_list(plan).decode()},
        "verifyResult": {SHOWN: _plain(verify(whole, SHELF))},
        "getCatalogue": {"standard": _plain(catalogue)},
        "getRules": {"rules": _plain(rules())},
        "getWarnings": {"warnings": _plain(warnings())},
        "getProblem": {"busy": _plain(page)},
        "getLiveness": {"ok": _plain(health)},
        "getReadiness": {"ok": _plain(health)},
    }


def _fitting(request: dict[str, Any]) -> msgspec.Raw:
    return fitting(BodyDecoder(FittingRequest).decode(msgspec.json.encode(request)), SHELF)


def _batch(request: dict[str, Any], fields: Literal["full", "short"] = "full") -> BatchAnswer:
    batch = Batch(SHELF, fields=fields, request_id=REQUEST_ID)
    return BatchAnswer([batch.answer(msgspec.json.encode(item)).item for item in request["items"]], batch.summary)


def _table(body: bytes) -> bytes:
    _, decimals = looked_through(body, most=len(body))
    asked, batch = table(body), Batch(SHELF, fields=FORMS["short"].fields, request_id=REQUEST_ID)
    writer = TableWriter(asked, fields="short", mark=decimals.mark, language="en")
    rows = (row for row in asked.rows if row is not None)
    items = ((row.number, opened(batch.answer(asked.request_of(row, decimals)).item)) for row in rows)
    return b"".join([writer.header(), *(writer.answer(item, number, []) for number, item in items)])


def _calibration(request: dict[str, Any]) -> Calibration:
    return calibrate(msgspec.convert(request, CalibrationRequest), SHELF)


def _cutting(request: dict[str, Any]) -> CuttingPlan:
    prepared = prepare(msgspec.convert(request, CuttingRequest), SHELF)
    return plan_of(prepared, solve(prepared.task))


def _plain(answer: object) -> Any:
    """An answer as a reader of its JSON has it."""
    return json.loads(encode(answer))


def _lines(contents: Iterable[object]) -> str:
    return "".join(encode(one).decode() + "\n" for one in contents)


def _pretty(content: Any) -> bytes:
    return json.dumps(content, indent=2, ensure_ascii=False).encode() + b"\n"


if __name__ == "__main__":
    for path, content in files().items():
        (Path("openapi") / path).write_bytes(content)

"""Who answers which operation."""

from collections.abc import Callable
from functools import partial
from typing import TypeVar

import msgspec

from service.audit.digest import sha256_hex
from service.audit.rules import rule_of
from service.calculation.fitting import VERSION
from service.calculation.rules import RULES
from service.calculation.warnings import OTHER_KINDS, WARNING_KINDS
from service.catalogue.rows import Catalogue
from service.contract import answers
from service.contract.decoding import BodyDecoder
from service.contract.explore import CalibrationRequest, calibrate, find_limits, rank_alternatives
from service.contract.fittings import encode, fitting
from service.contract.openapi import document
from service.contract.problems import KINDS, ProblemPage, Refusal
from service.contract.requests import FittingRequest
from service.contract.selfcheck import known_fitting_holds
from service.contract.shelf import Shelf
from service.contract.verification import StoredFitting, verify
from service.web.batches import Batches, BatchLimits
from service.web.call import Call, Handler, Reply, StreamHandler
from service.web.drawings import drawings

T = TypeVar("T")
NO_STORE = ((b"cache-control", b"no-store"),)


def handlers(catalogue: Catalogue, shelf: Shelf, limits: BatchLimits) -> dict[str, Handler | StreamHandler]:
    """The handler of every operation with a path of its own, by the operation's id."""
    return {
        "calculateFitting": _Fittings(shelf),
        "calculateBatch": Batches(shelf, limits),
        "rankAlternatives": _calculating(shelf, FittingRequest, rank_alternatives),
        "findLimits": _calculating(shelf, FittingRequest, find_limits),
        "calibrateSlat": _calculating(shelf, CalibrationRequest, calibrate),
        **drawings(shelf),
        "verifyResult": partial(_verification, shelf, BodyDecoder(StoredFitting)),
        "getCatalogue": _fixed(answers.CatalogueAnswer(shelf.catalogue_sha256, catalogue)),
        "getRules": _fixed(_rules()),
        "getWarnings": _fixed(_warnings()),
        "getLiveness": partial(_alive, shelf),
        "getReadiness": partial(_ready, shelf),
        "getContract": _fixed(document()),
    }


class _Fittings:
    """Calculates one fitting."""

    def __init__(self, shelf: Shelf) -> None:
        self._shelf = shelf
        self._decoder = BodyDecoder(FittingRequest)

    def __call__(self, call: Call) -> Reply:
        include = frozenset(call.query.get("include", ()))
        answered = fitting(self._decoder.decode(call.body), self._shelf, include=include)
        return Reply(
            encode(answered),
            headers=NO_STORE,
            logged=(("verdict", answered.verdict), ("warnings", [one.code for one in answered.warnings])),
        )


def _calculating(shelf: Shelf, kind: type[T], calculate: Callable[[T, Shelf], object]) -> Handler:
    """A handler that decodes a body, calculates with the catalogue and encodes."""
    decoder = BodyDecoder(kind)
    return lambda call: Reply(encode(calculate(decoder.decode(call.body), shelf)), headers=NO_STORE)


def _verification(shelf: Shelf, decoder: BodyDecoder[StoredFitting], call: Call) -> Reply:
    stored = decoder.decode(call.body)
    verified = verify(stored, msgspec.json.decode(call.body), shelf)
    return Reply(encode(verified), headers=NO_STORE, logged=(("outcome", verified.outcome),))


def _fixed(content: object) -> Callable[[Call], Reply]:
    """A handler whose answer never changes while the service runs: encoded once, with an entity tag."""
    encoded = encode(content)
    etag = f'"{sha256_hex(encoded)[:32]}"'.encode()
    reply = Reply(encoded, headers=((b"cache-control", b"no-cache"),), etag=etag)
    return lambda _call: reply


def _rules() -> answers.Rules:
    return answers.Rules(VERSION, [answers.RuleRow(*rule_of(function)) for function in RULES.values()])


def _warnings() -> answers.Warnings:
    return answers.Warnings(
        [
            answers.WarningRow(
                code=code,
                meaning=kind.meaning,
                severities=list(kind.severities),
                check=None if code in OTHER_KINDS else code,
                field=kind.field,
                remedy=kind.remedy,
            )
            for code, kind in WARNING_KINDS.items()
        ]
    )


def problem_pages() -> dict[str, Handler]:
    """The handler of each problem type's page, by path."""
    return {
        f"/problems/{kind}": _fixed(ProblemPage(f"/problems/{kind}", row.title, row.status, row.meaning))
        for kind, row in KINDS.items()
    }


def _health(shelf: Shelf) -> Reply:
    return Reply(encode(answers.Health("ok", VERSION, shelf.catalogue_id)), headers=NO_STORE)


def _alive(shelf: Shelf, _call: Call) -> Reply:
    return _health(shelf)


def _ready(shelf: Shelf, _call: Call) -> Reply:
    if not known_fitting_holds():
        raise Refusal("not-ready", "A known fitting did not come out as it must.", headers=((b"retry-after", b"5"),))
    return _health(shelf)

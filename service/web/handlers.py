"""Who answers which operation."""

from functools import partial
from time import perf_counter

from service.audit.digest import sha256_hex
from service.calculation.fitting import VERSION
from service.catalogue.rows import Catalogue
from service.contract import answers
from service.contract.batch import short
from service.contract.decoding import BodyDecoder, decode_plainly
from service.contract.explore import ALTERNATIVES, CalibrationRequest, calibrate, find_limits, rank_alternatives
from service.contract.fittings import Result, answer, calculate, encode
from service.contract.openapi import CONTRACT
from service.contract.problems import KINDS, ProblemPage, Refusal
from service.contract.requests import Duty, FittingRequest
from service.contract.rule_list import rules
from service.contract.selfcheck import known_fitting_holds
from service.contract.verification import verify
from service.contract.warning_list import warnings
from service.web.batches import Batches, BatchLimits
from service.web.call import NO_STORE, Call, Handler, Reply, StreamHandler, made_when_asked, spoken
from service.web.cutting import cutting
from service.web.drawings import drawings
from service.web.live_catalogue import LiveCatalogue
from service.web.metrics import MEDIA_TYPE as METRICS_TYPE
from service.web.metrics import Metrics
from service.words.languages import marked


def handlers(
    live: LiveCatalogue, metrics: Metrics, limits: BatchLimits, public_url: str, solvers_max: int
) -> dict[str, Handler | StreamHandler]:
    """The handler of every operation with a path of its own, by the operation's id."""
    batches = Batches(live, metrics, limits)
    return {
        "calculateFitting": partial(_fitting, live, metrics, BodyDecoder(FittingRequest)),
        "calculateShort": partial(_short, live, metrics, BodyDecoder(FittingRequest)),
        "calculateBatch": batches.json,
        "calculateStream": batches.stream,
        "calculateTable": batches.table,
        "rankAlternatives": partial(_alternatives, live, BodyDecoder(FittingRequest)),
        "findLimits": partial(_limits, live, BodyDecoder(FittingRequest)),
        "calibrateSlat": partial(_calibration, live, BodyDecoder(CalibrationRequest)),
        **drawings(live, public_url),
        **cutting(live, solvers_max),
        "verifyResult": partial(_verification, live),
        "getCatalogue": _Catalogue(live),
        "getRules": made_when_asked(lambda: _unchanging(encode(rules()))),  # it reads the rules' sources
        "getWarnings": _fixed(encode(warnings())),
        "getLiveness": partial(_alive, live),
        "getReadiness": partial(_ready, live),
        "getMetrics": partial(_metrics, metrics),
        "getContract": _fixed(CONTRACT.read_bytes()),  # people read it: it keeps its order
    }


def _fitting(live: LiveCatalogue, metrics: Metrics, decoder: BodyDecoder[FittingRequest], call: Call) -> Reply:
    """Calculates one fitting."""
    result = _calculated(live, metrics, decoder, call)
    content = answer(
        result,
        include=frozenset(call.query.get("include", ())),
        with_words=call.query.get("fields") != ("figures",),
        language=call.language,
    )
    return Reply(content, headers=(NO_STORE, *spoken(call.language)))


def _short(live: LiveCatalogue, metrics: Metrics, decoder: BodyDecoder[FittingRequest], call: Call) -> Reply:
    """Calculates one fitting and answers in short."""
    return Reply(bytes(short(_calculated(live, metrics, decoder, call))), headers=(NO_STORE,))


def _calculated(live: LiveCatalogue, metrics: Metrics, decoder: BodyDecoder[FittingRequest], call: Call) -> Result:
    """A calculated fitting, which the metrics count and the log names."""
    request, started = decoder.decode(call.body), perf_counter()
    result = calculate(request, live.content.shelf)
    found, line = result.calculated.answer, call.line
    line.verdict, line.warnings = found.verdict, [one.code for one in found.warnings]
    metrics.calculated(found.verdict, line.warnings, perf_counter() - started)
    return result


class _Catalogue:
    """Shows the catalogue of this moment; encoded once for each."""

    def __init__(self, live: LiveCatalogue) -> None:
        self._live = live
        self._shown: tuple[Catalogue | None, Handler] = (None, _fixed(b""))

    def __call__(self, call: Call) -> Reply:
        catalogue, shelf = self._live.content
        if self._shown[0] is not catalogue:
            self._shown = (
                catalogue,
                _fixed(
                    encode(
                        answers.CatalogueAnswer(
                            catalogue_sha256=shelf.catalogue_sha256, duty_defaults=Duty(), catalogue=catalogue
                        )
                    )
                ),
            )
        return self._shown[1](call)


def _alternatives(live: LiveCatalogue, decoder: BodyDecoder[FittingRequest], call: Call) -> Reply:
    (limit,) = call.query.get("limit", (ALTERNATIVES,))
    ranked = rank_alternatives(decoder.decode(call.body), live.content.shelf, call.language, limit=int(limit))
    return Reply(encode(ranked), headers=(NO_STORE, *spoken(call.language)))


def _limits(live: LiveCatalogue, decoder: BodyDecoder[FittingRequest], call: Call) -> Reply:
    found = find_limits(decoder.decode(call.body), live.content.shelf, call.language)
    return Reply(encode(found), headers=(NO_STORE, *spoken(call.language)))


def _calibration(live: LiveCatalogue, decoder: BodyDecoder[CalibrationRequest], call: Call) -> Reply:
    return Reply(encode(calibrate(decoder.decode(call.body), live.content.shelf)), headers=(NO_STORE,))


def _verification(live: LiveCatalogue, call: Call) -> Reply:
    verified = verify(decode_plainly(call.body), live.content.shelf)
    call.line.outcome = verified.outcome
    return Reply(encode(verified), headers=(NO_STORE,))


def _metrics(metrics: Metrics, _call: Call) -> Reply:
    return Reply(metrics.render(), media_type=METRICS_TYPE, headers=(NO_STORE,))


def _fixed(encoded: bytes) -> Handler:
    """A handler whose answer never changes while the service runs: encoded beforehand, with an entity tag."""
    reply = _unchanging(encoded)
    return lambda _call: reply


def _unchanging(encoded: bytes) -> Reply:
    etag = f'"{sha256_hex(encoded)[:32]}"'.encode()
    return Reply(encoded, headers=((b"cache-control", b"no-cache"),), etag=etag)


def problem_pages() -> dict[str, Handler]:
    """The handler of each problem type's page, by path."""
    return {
        f"/problems/{kind}": _fixed(encode(ProblemPage(f"/problems/{kind}", row.title, row.status, row.meaning)))
        for kind, row in KINDS.items()
    }


def _health(live: LiveCatalogue) -> Reply:
    return Reply(
        encode(answers.Health(status="ok", calculation_version=VERSION, catalogue=live.content.shelf.catalogue_id)),
        headers=(NO_STORE,),
    )


def _alive(live: LiveCatalogue, _call: Call) -> Reply:
    return _health(live)


def _ready(live: LiveCatalogue, _call: Call) -> Reply:
    if not known_fitting_holds():
        told = marked("A known fitting did not come out as it must.")
        raise Refusal("not-ready", told, headers=((b"retry-after", b"5"),))
    return _health(live)

"""Composition: the only file that sees all parts."""

import asyncio
import gc
import multiprocessing
import os
import signal
import sys
import threading
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager, contextmanager
from ipaddress import ip_network
from pathlib import Path
from typing import NamedTuple, cast

from litestar import Litestar

from service import log
from service.calculation.fitting import VERSION
from service.contract.operations import OPERATIONS
from service.contract.shelf import Shelf
from service.settings import PREFIX, Settings, SettingsError, from_environment
from service.web import cors, desk, docs
from service.web.admission import Admission, AtOnce
from service.web.asgi import Application
from service.web.batches import BatchLimits
from service.web.body import ByteBudget, Patience
from service.web.endpoint import BodyLimits
from service.web.handlers import handlers
from service.web.head import HostsError, checking, hosts_of
from service.web.keys import KeyRing, KeysError, is_loopback, live_keys
from service.web.live_catalogue import LiveCatalogue
from service.web.live_file import LiveFile, watch
from service.web.metrics import Metrics
from service.web.rate import Rate, RateError, limit_of
from service.web.request_log import RequestLog
from service.web.request_log import log as lines
from service.web.routes import Front, answer_uncaught, endpoints_of, route
from service.web.tracing import Spans, TracingError
from service.web.worker_threads import WORKERS
from service.words import LANGUAGES
from service.words.languages import language_of

SWITCH_INTERVAL_S = 0.001
"""How long a heavy operation may keep the interpreter from a small one."""
LOAD_AFTER_S = 0.5
"""When what the first requests seldom need is loaded, after the start [s]."""
LAST_LINES_S = 1.0
"""How long the end of the service waits for its last log lines to be written."""


class Parts(NamedTuple):
    """What settings ask for, made once for each process."""

    live: LiveCatalogue
    keys: LiveFile[KeyRing] | None
    rate: Rate | None
    origins: list[str]
    hosts: frozenset[str]
    spans: Spans | None


def parts(settings: Settings) -> Parts:
    """Make what settings ask for.

    Raises:
        SettingsError: one of them cannot be used, or they would leave the service open to others unasked.
        CatalogueError: the catalogue cannot be used.
    """
    if not settings.keys_file and not settings.open and not is_loopback(settings.host):
        raise SettingsError(
            f"LATHWIND_HOST: {settings.host} can be reached by others and there are no keys; "
            "name a key file in LATHWIND_KEYS_FILE, or say LATHWIND_OPEN=true"
        )
    live = LiveCatalogue(settings.catalogue_path)
    spans = None
    with _named("KEYS_FILE"):
        keys = live_keys(Path(settings.keys_file)) if settings.keys_file else None
    with _named("RATE_LIMIT"):
        rate = Rate(limit_of(settings.rate_limit)) if settings.rate_limit else None
    with _named("CORS_ORIGINS"):
        origins = cors.origins_of(settings.cors_origins)
    with _named("HOSTS"):
        hosts = hosts_of(settings.hosts)
    with _named("TRACES"):
        if settings.traces:
            spans = Spans(version=VERSION)
    with _named("PROXIES"):
        _check_proxies(settings.proxies)
    return Parts(live, keys, rate, origins, hosts, spans)


def _check_proxies(text: str) -> None:
    """Refuse addresses of proxies that the server would take for the name of a socket, and so believe nobody.

    Raises:
        HostsError: one of them is no address, no network and no `*`.
    """
    for proxy in filter(None, map(str.strip, text.split(","))):
        try:
            if proxy != "*":
                ip_network(proxy)
        except ValueError as error:
            raise HostsError(f"{proxy!r}: write an address or a network such as 192.0.2.7 or 10.0.0.0/8, or *") from error


@contextmanager
def _named(setting: str) -> Iterator[None]:
    """Say of which variable the value cannot be used.

    Raises:
        SettingsError: it cannot.
    """
    try:
        yield
    except (KeysError, RateError, cors.CorsError, HostsError, TracingError) as error:
        raise SettingsError(f"{PREFIX}{setting}: {error}") from error


def create(settings: Settings | None = None, made: Parts | None = None) -> Application:
    """The application, ready to serve; its parts where they are made already.

    Raises:
        SettingsError: a setting cannot be used.
        CatalogueError: the catalogue cannot be used.
    """
    settings = settings or from_environment(os.environ)
    written = log.configure(settings.log_level)
    sys.setswitchinterval(SWITCH_INTERVAL_S)
    _end_with_the_parent()
    made = made or parts(settings)
    if made.keys is None:
        lines.warning("open_mode", host=settings.host, meaning="everybody who reaches this address may use the service")
    metrics = Metrics([docs.PAGE.id, desk.PAGE.id, desk.HOME.id, *(operation.id for operation in OPERATIONS)])
    made.live.tell(lambda shelf: _tell(metrics, shelf))
    limits = BodyLimits(
        settings.body_limit_bytes,
        settings.large_body_limit_bytes,
        ByteBudget(settings.bytes_in_flight_max),
        Patience(settings.body_idle_s),
        settings.heavy_s,
    )
    at_once = AtOnce(settings.concurrent_max, settings.caller_requests_max, settings.caller_batches_max)
    admission = Admission(keys=made.keys, rate=made.rate, at_once=at_once)
    batch_limits = BatchLimits(settings.batch_items_max, settings.batch_line_bytes_max)
    made_handlers = handlers(made.live, metrics, batch_limits, settings.public_url, settings.solvers_max)
    endpoints = endpoints_of(made_handlers, limits, admission)
    framework = Litestar(
        route_handlers=[route(path, endpoint) for path, endpoint in endpoints.items()],
        exception_handlers={Exception: answer_uncaught},
        lifespan=[lambda _app: _running(made, written, metrics)],
        openapi_config=None,
        logging_config=None,
    )
    app = cors.allowing(Front(endpoints, cast("Application", framework)), made.origins)
    trace = None if made.spans is None else made.spans.name
    logged = RequestLog(app, check=checking(made.hosts), metrics=metrics, lines=written, trace=trace)
    return logged if made.spans is None else made.spans.around(logged)


def _tell(metrics: Metrics, shelf: Shelf) -> None:
    metrics.running(version=VERSION, catalogue=shelf.catalogue_id, catalogue_sha256=shelf.catalogue_sha256)


def _end_with_the_parent() -> None:
    """In a worker process: stop when the parent is gone, however it went, so that nobody is left on the port."""
    parent = multiprocessing.parent_process()

    def stop() -> None:
        if parent is not None:
            parent.join()
            os.kill(os.getpid(), signal.SIGTERM)

    if parent is not None:
        threading.Thread(target=stop, name="parent", daemon=True).start()


def _load_the_rest() -> None:
    """Load the other languages and what documents need, which takes longer than all the rest of the start."""
    from service.documents.loading import load  # noqa: PLC0415 - the start would take half as long again

    for code in LANGUAGES:
        language_of(code)
    load()


@asynccontextmanager
async def _running(made: Parts, written: log.Lines, metrics: Metrics) -> AsyncIterator[None]:
    """Watch the files and count what is noted while the service runs; send and write what is left when it stops."""
    gc.freeze()  # what is there now stays: looking through it again and again would stop everything for a while
    watching = asyncio.ensure_future(watch(made.live, *([made.keys] if made.keys else [])))
    counting = asyncio.ensure_future(metrics.keep_counting())
    # a first document need not wait for typefaces and libraries, nor the first requests for those to be loaded
    loading = asyncio.get_running_loop().call_later(LOAD_AFTER_S, WORKERS.submit, _load_the_rest)
    try:
        yield
    finally:
        watching.cancel()
        counting.cancel()
        loading.cancel()
        metrics.count()
        if made.spans is not None:
            made.spans.close()
        written.wait(LAST_LINES_S)

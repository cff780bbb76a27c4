"""Composition: the only file that sees all parts."""

import os
import sys
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager, contextmanager
from pathlib import Path
from typing import NamedTuple, cast

from litestar import Litestar

from service import log
from service.calculation.fitting import VERSION
from service.contract.operations import OPERATIONS
from service.contract.shelf import Shelf
from service.settings import PREFIX, Settings, SettingsError, from_environment
from service.web import docs
from service.web.asgi import Application
from service.web.batches import BatchLimits
from service.web.cors import Cors, CorsError, origins_of
from service.web.door import BodyLimits
from service.web.gate import Gate, HostsError, check_proxies, hosts_of
from service.web.handlers import handlers
from service.web.keys import Keys, KeysError, is_loopback
from service.web.metrics import Metrics
from service.web.rate import Limit, Rate, RateError, limit_of
from service.web.routes import answer_uncaught, routes
from service.web.stock import Stock
from service.web.tracing import Spans, Tracing, TracingError
from service.web.witness import Witness, seen
from service.web.witness import log as lines

SWITCH_INTERVAL_S = 0.001
"""How long a heavy operation may keep the interpreter from a small one."""


class Parts(NamedTuple):
    """What settings ask for, made once for each process."""

    stock: Stock
    keys: Keys | None
    rate: Rate | None
    cors: Cors
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
    stock = Stock(settings.catalogue_path)
    spans = None
    with _named("KEYS_FILE"):
        keys = Keys(Path(settings.keys_file)) if settings.keys_file else None
    with _named("RATE_LIMIT"):
        limit = limit_of(settings.rate_limit) if settings.rate_limit else None
    with _named("RATE_STORE"):  # told also where nothing is limited
        rate = Rate(limit or Limit(1, 1), settings.rate_store)
    with _named("CORS_ORIGINS"):
        cors = Cors(origins_of(settings.cors_origins))
    with _named("HOSTS"):
        hosts = hosts_of(settings.hosts)
    with _named("TRACES"):
        if settings.traces:
            spans = Spans(version=VERSION, operation=lambda scope: seen(scope).operation)
    with _named("PROXIES"):
        check_proxies(settings.proxies)
    return Parts(stock, keys, rate if limit else None, cors, hosts, spans)


@contextmanager
def _named(setting: str) -> Iterator[None]:
    """Say of which variable the value cannot be used.

    Raises:
        SettingsError: it cannot.
    """
    try:
        yield
    except (KeysError, RateError, CorsError, HostsError, TracingError) as error:
        raise SettingsError(f"{PREFIX}{setting}: {error}") from error


def create(settings: Settings | None = None) -> Application:
    """The application, ready to serve.

    Raises:
        SettingsError: a setting cannot be used.
        CatalogueError: the catalogue cannot be used.
    """
    settings = settings or from_environment(os.environ)
    log.configure(settings.log_level)
    sys.setswitchinterval(SWITCH_INTERVAL_S)
    made = parts(settings)
    if made.keys is None:
        lines.warning("open_mode", host=settings.host, meaning="everybody who reaches this address may use the service")
    metrics = Metrics([docs.PAGE.id, *(operation.id for operation in OPERATIONS)])
    made.stock.tell(lambda shelf: _tell(metrics, shelf))
    limits = BodyLimits(settings.body_limit_bytes, settings.large_body_limit_bytes, settings.body_idle_s, settings.heavy_s)
    gate = Gate(
        keys=made.keys,
        rate=made.rate,
        hosts=made.hosts,
        headers_max=settings.headers_max,
        concurrent_max=settings.concurrent_max,
    )
    batch_limits = BatchLimits(settings.batch_items_max, settings.batch_line_bytes_max)
    app = Litestar(
        route_handlers=routes(handlers(made.stock, metrics, batch_limits), limits, gate),
        exception_handlers={Exception: answer_uncaught},
        lifespan=[lambda _app: _closing(made)],
        openapi_config=None,
        logging_config=None,
    )
    return Witness(Tracing(cast("Application", app), made.spans), cors=made.cors, metrics=metrics)


def _tell(metrics: Metrics, shelf: Shelf) -> None:
    metrics.running(version=VERSION, catalogue=shelf.catalogue_id, catalogue_sha256=shelf.catalogue_sha256)


@asynccontextmanager
async def _closing(made: Parts) -> AsyncIterator[None]:
    """Close what holds connections when the service stops."""
    yield
    if made.rate is not None:
        await made.rate.close()
    if made.spans is not None:
        made.spans.close()

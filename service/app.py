"""Composition: the only file that sees all parts."""

import os
import sys
from typing import cast

from litestar import Litestar

from service import log
from service.catalogue.loader import load
from service.contract.shelf import stock
from service.settings import Settings, from_environment
from service.web.asgi import Application
from service.web.batches import BatchLimits
from service.web.door import BodyLimits
from service.web.handlers import handlers
from service.web.routes import answer_uncaught, routes
from service.web.witness import Witness

SWITCH_INTERVAL_S = 0.001
"""How long a heavy operation may keep the interpreter from a small one."""


def create(settings: Settings | None = None) -> Application:
    """The application, ready to serve.

    Raises:
        SettingsError: a setting cannot be used.
        CatalogueError: the catalogue cannot be used.
    """
    settings = settings or from_environment(os.environ)
    log.configure(settings.log_level)
    sys.setswitchinterval(SWITCH_INTERVAL_S)
    loaded = load(settings.catalogue_path)
    shelf = stock(loaded)
    app = Litestar(
        route_handlers=routes(
            handlers(loaded.catalogue, shelf, BatchLimits(settings.batch_items_max, settings.batch_line_bytes_max)),
            BodyLimits(settings.body_limit_bytes, settings.large_body_limit_bytes, settings.body_idle_s),
        ),
        exception_handlers={Exception: answer_uncaught},
        openapi_config=None,
        logging_config=None,
    )
    return Witness(cast("Application", app))

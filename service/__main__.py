"""`python -m service`: start the service with the settings of the environment."""

import os
import sys
from contextlib import nullcontext
from functools import partial
from typing import Any

import uvicorn

from service.app import parts
from service.catalogue.loader import CatalogueError
from service.settings import Settings, SettingsError, from_environment
from service.web.connection import Connection, ConnectionLimits
from service.web.metrics import shared_folder


def main() -> int:
    """Check the settings and what they name, then serve; 2 when something cannot be used."""
    try:
        settings = from_environment(os.environ)
        parts(settings)
    except (SettingsError, CatalogueError) as error:
        sys.stderr.write(f"lathwind does not start:\n{error}\n")
        return 2
    with shared_folder() if settings.workers > 1 else nullcontext():
        uvicorn.run(
            "service.app:create",
            factory=True,
            host=settings.host,
            port=settings.port,
            workers=settings.workers,
            **how_to_serve(settings),
        )
    return 0


def how_to_serve(settings: Settings) -> dict[str, Any]:
    """The server's options beside what it serves and where; tests serve in the same way."""
    limits = ConnectionLimits(settings.head_s, settings.head_bytes_max, settings.send_idle_s)
    return {
        "loop": "uvloop",
        "http": partial(Connection, limits=limits),
        "ws": "none",
        "lifespan": "on",
        "log_config": None,
        "access_log": False,
        "server_header": False,
        "proxy_headers": True,
        "forwarded_allow_ips": settings.proxies,
        "timeout_graceful_shutdown": settings.drain_s,
    }


if __name__ == "__main__":
    sys.exit(main())

"""`python -m service`: start the service with the settings of the environment."""

import os
import sys
from typing import Any

import uvicorn

from service.app import create, parts
from service.catalogue.loader import CatalogueError
from service.settings import Settings, SettingsError, from_environment
from service.web.metrics import shared_folder

KEEP_ALIVE_S = 75
"""Seconds that an idle connection is kept: longer than a proxy keeps one, so that the proxy is the one to close it."""


def main() -> int:
    """Check the settings and what they name, then serve; 2 when something cannot be used."""
    _open_standard_streams()
    try:
        settings = from_environment(os.environ)
        made = parts(settings)
    except (SettingsError, CatalogueError) as error:
        sys.stderr.write(f"lathwind does not start:\n{error}\n")
        return 2
    where: dict[str, Any] = {"host": settings.host, "port": settings.port, **how_to_serve(settings)}
    if settings.workers == 1:
        uvicorn.run(create(settings, made), **where)
    else:
        with shared_folder():
            uvicorn.run("service.app:create", factory=True, workers=settings.workers, **where)
    return 0


def how_to_serve(settings: Settings) -> dict[str, Any]:
    """The server's options beside what it serves and where; tests serve in the same way."""
    return {
        "loop": "uvloop",
        "http": "httptools",
        "ws": "none",
        "lifespan": "on",
        "log_config": None,
        "access_log": False,
        "server_header": False,
        "proxy_headers": True,
        "forwarded_allow_ips": settings.proxies,
        "timeout_keep_alive": KEEP_ALIVE_S,
        "timeout_graceful_shutdown": settings.drain_s,
    }


def _open_standard_streams() -> None:
    """Open what was closed at the start: a socket that takes its number would get our lines, and the event loop aborts."""
    for number in range(3):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)


if __name__ == "__main__":
    sys.exit(main())

"""`python -m service`: start the service with the settings of the environment."""

import os
import sys

import uvicorn

from service.catalogue.loader import CatalogueError, load
from service.contract.shelf import stock
from service.settings import SettingsError, from_environment


def main() -> int:
    """Check settings and catalogue, then serve; 2 when either cannot be used."""
    try:
        settings = from_environment(os.environ)
        stock(load(settings.catalogue_path))
    except (SettingsError, CatalogueError) as error:
        sys.stderr.write(f"lathwind does not start:\n{error}\n")
        return 2
    uvicorn.run(
        "service.app:create",
        factory=True,
        host=settings.host,
        port=settings.port,
        workers=settings.workers,
        loop="uvloop",
        http="httptools",
        lifespan="on",
        log_config=None,
        access_log=False,
        server_header=False,
    )
    return 0


if __name__ == "__main__":
    sys.exit(main())

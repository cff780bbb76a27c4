"""The docs page: the contract to read and to try, from packaged assets, without a request to any other host."""

from importlib.resources import files
from pathlib import Path

import swagger_ui_bundle

from service.contract.operations import HTML, Operation
from service.web.call import Handler
from service.web.static_page import FOLDER, static_page

FILES = FOLDER / "docs"
UI = next((Path(str(files(swagger_ui_bundle))) / "vendor").iterdir())
ASSETS = {
    "swagger-ui.css": UI / "swagger-ui.css",
    "swagger-ui-bundle.js": UI / "swagger-ui-bundle.js",
    "page.css": FILES / "page.css",
    "init.js": FILES / "init.js",
}
"""What the page loads."""

PAGE = Operation("getDocsPage", "GET", "/docs", "Docs", "The page", "", answer=None, media_type=HTML, access="")


def docs(*, keys: bool) -> dict[str, Handler]:
    """The page and its assets by path; `keys`: whether the service has keys, so that the page asks for one."""
    return static_page(PAGE, FILES / "docs.html", ASSETS, lambda: {"KEYS": "yes" if keys else "no"})

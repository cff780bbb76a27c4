"""The docs page: the contract to read and to try, from packaged assets, without a request to any other host."""

from functools import cache
from gzip import compress
from importlib.resources import files
from pathlib import Path

import swagger_ui_bundle

from service.audit.digest import sha256_hex
from service.contract.operations import HTML, Operation
from service.contract.problems import Refusal
from service.web.call import Call, Reply

PAGES = Path(__file__).with_name("pages")
UI = next((files(swagger_ui_bundle) / "vendor").iterdir())

ASSETS = {
    "swagger-ui.css": (UI, "text/css"),
    "swagger-ui-bundle.js": (UI, "text/javascript"),
    "page.css": (PAGES, "text/css"),
    "init.js": (PAGES, "text/javascript"),
}
"""What the page loads: where it lies and what it is."""

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; font-src 'self'; "
    "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
"""Content-Security-Policy of the page."""

PAGE = Operation("getDocsPage", "GET", "/docs", "Docs", "The page", "", answer=None, media_type=HTML)
ASSET = Operation("getDocsAsset", "GET", "/docs/{edition}/{name}", "Docs", "Its assets", "", answer=None, media_type="*/*")


@cache
def _edition() -> str:
    """A name that changes with the assets' content, so that browsers may keep them for good."""
    return sha256_hex(b"".join((folder / name).read_bytes() for name, (folder, _) in ASSETS.items()))[:16]


@cache
def _asset(name: str) -> Reply:
    folder, media_type = ASSETS[name]
    content = (folder / name).read_bytes()
    return Reply(
        content,
        media_type=f"{media_type}; charset=utf-8",
        headers=((b"cache-control", b"public, max-age=31536000, immutable"),),
        gzipped=compress(content, 6, mtime=0),
    )


@cache
def _page() -> Reply:
    html = (PAGES / "docs.html").read_text(encoding="utf-8").replace("EDITION", _edition())
    return Reply(
        html.encode(),
        media_type=f"{HTML}; charset=utf-8",
        headers=(
            (b"content-security-policy", POLICY.encode()),
            (b"referrer-policy", b"no-referrer"),
            (b"cache-control", b"no-cache"),
        ),
    )


def page(_call: Call) -> Reply:
    """The page itself."""
    return _page()


def asset(call: Call) -> Reply:
    """One of its assets.

    Raises:
        Refusal: the page has no such asset.
    """
    name = call.path_parameters["name"]
    if name not in ASSETS or call.path_parameters["edition"] != _edition():
        raise Refusal("not-found", "The docs page has no such asset.")
    return _asset(name)

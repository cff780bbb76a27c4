"""The docs page: the contract to read and to try, from packaged assets, without a request to any other host."""

from gzip import compress
from importlib.resources import files
from pathlib import Path

import swagger_ui_bundle

from service.audit.digest import sha256_hex
from service.contract.operations import HTML, Operation
from service.web.call import Handler, Reply

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

PAGE = Operation("getDocsPage", "GET", "/docs", "Docs", "The page", "", answer=None, media_type=HTML, access="")


def pages() -> dict[str, Handler]:
    """The page and its assets by path. The assets' paths change with their content, so browsers may keep them for good."""
    contents = {name: (folder / name).read_bytes() for name, (folder, _) in ASSETS.items()}
    edition = sha256_hex(b"".join(contents.values()))[:16]
    assets = {f"/docs/{edition}/{name}": _answering(_asset(name, content)) for name, content in contents.items()}
    html = (PAGES / "docs.html").read_text(encoding="utf-8").replace("EDITION", edition)
    return {PAGE.path: _answering(_page(html.encode())), **assets}


def _answering(reply: Reply) -> Handler:
    return lambda _call: reply


def _asset(name: str, content: bytes) -> Reply:
    return Reply(
        content,
        media_type=f"{ASSETS[name][1]}; charset=utf-8",
        headers=((b"cache-control", b"public, max-age=31536000, immutable"),),
        gzipped=compress(content, 6, mtime=0),
    )


def _page(content: bytes) -> Reply:
    return Reply(
        content,
        media_type=f"{HTML}; charset=utf-8",
        headers=(
            (b"content-security-policy", POLICY.encode()),
            (b"cache-control", b"no-cache"),
        ),
    )

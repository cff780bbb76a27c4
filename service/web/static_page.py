"""Pages for people: HTML and what it loads, from files that do not change while the service runs."""

from collections.abc import Callable, Mapping
from functools import partial
from gzip import compress
from pathlib import Path

from service.audit.digest import sha256_hex
from service.contract.operations import HTML, Operation
from service.web.call import Handler, Reply, made_when_asked

FOLDER = Path(__file__).with_name("pages")
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; font-src 'self'; "
    "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
"""Content-Security-Policy of every page: what it loads and asks is this service."""
MEDIA_TYPES = {".css": "text/css", ".js": "text/javascript"}


def static_page(
    operation: Operation, html: Path, assets: Mapping[str, Path], places: Callable[[], Mapping[str, str]]
) -> dict[str, Handler]:
    """The handlers of a page and its assets, by path.

    The assets' paths change with their content, so browsers may keep them for good.

    Args:
        operation: where the page is served
        html: the page; `EDITION` in it becomes the part of the assets' paths that changes
        assets: the files it loads by their names
        places: gives what else is put into the page, by what stands there instead; called when the page is first asked for
    """
    contents = {name: path.read_bytes() for name, path in assets.items()}
    edition = sha256_hex(b"".join(contents.values()))[:16]
    written = html.read_text(encoding="utf-8")
    return {
        operation.path: made_when_asked(partial(_page, written, edition, places)),
        **{
            f"{operation.path}/{edition}/{name}": made_when_asked(partial(_asset, name, content))
            for name, content in contents.items()
        },
    }


def _asset(name: str, content: bytes) -> Reply:
    return Reply(
        content,
        media_type=f"{MEDIA_TYPES[Path(name).suffix]}; charset=utf-8",
        headers=((b"cache-control", b"public, max-age=31536000, immutable"),),
        gzipped=compress(content, 6, mtime=0),
    )


def _page(written: str, edition: str, places: Callable[[], Mapping[str, str]]) -> Reply:
    for place, text in {**places(), "EDITION": edition}.items():
        written = written.replace(place, text)
    content = written.encode()
    return Reply(
        content,
        media_type=f"{HTML}; charset=utf-8",
        headers=(
            (b"content-security-policy", POLICY.encode()),
            (b"cache-control", b"no-cache"),
        ),
        gzipped=compress(content, 6, mtime=0),
    )

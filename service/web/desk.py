"""The desk: the page on which people try an opening, read whether it fits, and hand on what comes of it."""

from typing import Any

import msgspec

from service.calculation.checks import ROWS
from service.calculation.warnings import OTHER_ROWS
from service.contract.operations import HTML, Operation
from service.contract.requests import FittingRequest
from service.contract.schemas import Schema, schemas
from service.web.call import Call, Handler, Reply
from service.web.static_page import FOLDER, MEDIA_TYPES, static_page
from service.words import LANGUAGES, check_label, severity_label, verdict_label, warning_text
from service.words.findings import SEVERITIES
from service.words.headline import VERDICTS

FILES = FOLDER / "desk"
PAGE = Operation("getDesk", "GET", "/desk", "Desk", "The page for people", "", answer=None, media_type=HTML, access="")
HOME = Operation("getHome", "GET", "/", "Desk", "Leads to the page", "", answer=None, media_type=HTML, access="")

TOLD = ("minimum", "maximum", "maxLength", "maxItems", "default")
"""What of a member's schema the page is told."""
PREFIX = "#/"
REFERENCES = f"{PREFIX}{{name}}"


def desk(*, keys: bool) -> dict[str, Handler]:
    """The page and its assets by path; `keys`: whether the service has keys, so that the page asks for one."""
    assets = {path.name: path for path in sorted(FILES.iterdir()) if path.suffix in MEDIA_TYPES}

    def places() -> dict[str, str]:
        modules = [f'\n  <link rel="modulepreload" href="desk/EDITION/{name}">' for name in assets if name.endswith(".js")]
        return {
            "<!-- MODULES -->": "".join(modules).strip(),
            "KEYS": "yes" if keys else "no",
            '"RANGES"': _embedded(ranges()),
            '"LABELS"': _embedded(labels()),
        }

    return static_page(PAGE, FILES / "desk.html", assets, places)


def _embedded(told: object) -> str:
    """JSON for a data block of the page, which no text in it can end."""
    return msgspec.json.encode(told).decode().replace("<", r"\u003c")


def home(_call: Call) -> Reply:
    """Leads whoever opens the service's address to the desk."""
    headers = ((b"location", PAGE.path.encode()), (b"cache-control", b"no-cache"))
    return Reply(b"", media_type=HTML, headers=headers, status=307)


def labels() -> dict[str, dict[str, str]]:
    """What verdicts, severities, checks and warnings are called, by language and code: tables and comparisons have codes."""
    return {
        language: {
            **{code: verdict_label(code, language=language) for code in VERDICTS},
            **{code: severity_label(code, language=language) for code in SEVERITIES},
            **{code: warning_text(code, language=language)[0] for code in OTHER_ROWS},
            **{code: check_label(code, language=language) for code in ROWS},
        }
        for language in LANGUAGES
    }


def ranges() -> dict[str, dict[str, Any]]:
    """What the contract allows of each member of a request for a fitting, by its JSON Pointer.

    An item of a list has `-` in place of its index. The page checks what is typed before anything is sent.
    """
    roots, named = schemas([FittingRequest], template=REFERENCES)
    found: dict[str, dict[str, Any]] = {}
    _walk(roots[0], "", named, found)
    return found


def _walk(schema: Schema, pointer: str, named: dict[str, Schema], found: dict[str, dict[str, Any]]) -> None:
    if "$ref" in schema:
        _walk(named[schema["$ref"].removeprefix(PREFIX)], pointer, named, found)
    elif schema.get("type") == "object":
        for name, member in schema["properties"].items():
            _walk(member, f"{pointer}/{name}", named, found)
    else:
        told: dict[str, Any] = {name: schema[name] for name in TOLD if name in schema}
        if told:
            found[pointer] = told
        if schema.get("type") == "array":
            _walk(schema["items"], f"{pointer}/-", named, found)

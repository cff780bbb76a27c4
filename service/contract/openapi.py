"""The contract as an OpenAPI 3.1 document, generated from the wire types and the table of operations."""

import re
from http import HTTPStatus
from typing import Any

from service.calculation.fitting import VERSION as CALCULATION_VERSION
from service.contract import examples
from service.contract.operations import CSV, DXF, JSON, NDJSON, OPERATIONS, PDF, Operation, Query
from service.contract.problems import KINDS, Problem
from service.contract.schemas import Schema, schemas
from service.contract.spreadsheet import ANSWER_COLUMNS, COLUMNS, REQUIRED
from service.contract.version import CONTRACT_VERSION

PROBLEM_JSON = "application/problem+json"
EVERYWHERE = ("not-acceptable", "malformed-head", "wrong-host", "no-upgrade", "internal-error", "invalid-request")
BEHIND_A_KEY = ("unauthorized", "forbidden")
COUNTED = ("too-many-requests", "busy")
TABLE_SCHEMA: Schema = {
    "type": "string",
    "description": f"A header of these columns in any order, comma or semicolon, decimal point: {', '.join(COLUMNS)}. "
    f"These must be there: {', '.join(REQUIRED)}. Options stand in one cell, separated by spaces. "
    f"The answer's columns: {', '.join(ANSWER_COLUMNS)}.",
}
"""What a table looks like."""

TEMPLATE = "#/components/schemas/{name}"

DESCRIPTION = f"""\
Calculates the fitting of slatted roll-up shutters to the equipment compartments of work vehicles, from the opening alone.

**Caution.** A wound shutter spring stores energy that can injure; a moving curtain pinches; a coil can fall. The figures
do not replace a competent person, local codes, or the instructions that come with the parts. Never drive with an open
shutter.

Member names carry their unit (`_mm`, `_deg`, `_kg`, …). Figures are rounded once, to 0.001 of their unit. The frame of
the side section: origin at the outer face of the opening, at the header's base; x runs inwards, z runs up.

The contract is strict: no text for a number, no unknown member or query parameter, no member twice. Problems are
`application/problem+json` (RFC 9457) and name members by JSON Pointer. Every answer carries `X-Request-Id`; a caller's
own is echoed. Paths carry the major version; members may be added within it. Calculation version {CALCULATION_VERSION}.
"""

SECURITY_SCHEMES: Schema = {
    "bearer": {"type": "http", "scheme": "bearer", "description": "A key of the operator's, where the service has keys."},
    "key": {"type": "apiKey", "in": "header", "name": "X-API-Key", "description": "The same key, in a header of its own."},
}

TAGS = {
    "Fittings": "From an opening to a fitting.",
    "Drawings and sheets": "What people would rather look at than read, from the same request and with the same digest.",
    "Cutting plans": "What is cut from which bar, for a whole order.",
    "Calibration": "Measured coils.",
    "Audit": "Proving what was calculated.",
    "Reference data": "What fittings are calculated from and what answers mean.",
    "Health": "For whoever runs the service.",
    "Contract": "This document.",
}

HEADERS = {
    "X-Request-Id": "The request's id: the caller's own where it sent one of 1 to 64 letters, digits, `.`, `_`, `-`.",
    "Server-Timing": "How long it took until the answer began: `app;dur=` milliseconds.",
    "RateLimit": "Where the rate is limited and the request was counted: what remains (`r`), and in how many seconds all is "
    "there again (`t`).",
    "RateLimit-Policy": "Where the rate is limited and the request was counted: how many requests (`q`) in how many seconds "
    "(`w`).",
    "Retry-After": "In how many seconds to try again.",
    "WWW-Authenticate": "That a key is asked for (RFC 6750).",
    "Allow": "The methods of this path.",
    "ETag": "Stands for this very content; send it in `If-None-Match` to hear whether there is another.",
    "Content-Disposition": "A name for the file.",
    "Content-Language": "The language of the words, or of a problem.",
    "Vary": "What else the answer depends on.",
}
"""Fields of answers that callers may want to read."""
ALWAYS = ("X-Request-Id", "Server-Timing")
RATE = ("RateLimit", "RateLimit-Policy")
SPOKEN = ("Content-Language", "Vary")
OF_PROBLEMS = {
    "unauthorized": ("WWW-Authenticate",),
    "method-not-allowed": ("Allow",),
    **dict.fromkeys(("too-many-requests", "busy", "took-too-long", "no-plan", "not-ready"), ("Retry-After",)),
}
"""Which of them come with which problem only."""


def document() -> Schema:
    """The whole contract."""
    types = [kind for operation in OPERATIONS for kind in (operation.body, operation.answer) if _named(kind)]
    _, named = schemas([*types, Problem], template=TEMPLATE)
    return {
        "openapi": "3.1.0",
        "info": {"title": "Lathwind", "version": CONTRACT_VERSION, "description": DESCRIPTION},
        "servers": [{"url": "/", "description": "this service"}],
        "tags": [{"name": name, "description": text} for name, text in TAGS.items()],
        "paths": _paths(),
        "components": {
            "schemas": dict(sorted(named.items())),
            "parameters": {
                "RequestId": _request_id_parameter(),
                "IfNoneMatch": _if_none_match_parameter(),
                "AcceptLanguage": _accept_language_parameter(),
            },
            "headers": {name: {"description": text, "schema": {"type": "string"}} for name, text in HEADERS.items()},
            "responses": {kind: _problem_response(kind) for kind in KINDS},
            "securitySchemes": SECURITY_SCHEMES,
        },
    }


def _named(kind: Any) -> bool:
    return kind is not None and hasattr(kind, "__struct_fields__")


def _paths() -> Schema:
    paths: Schema = {}
    for operation in OPERATIONS:
        paths.setdefault(operation.path, {})[operation.method.lower()] = _operation(operation)
    return paths


def _operation(operation: Operation) -> Schema:
    described: Schema = {
        "operationId": operation.id,
        "tags": [operation.tag],
        "summary": operation.summary,
        "description": operation.description,
        "parameters": _parameters(operation),
        "security": [{}, {"bearer": []}, {"key": []}] if operation.access else [{}],
    }
    if operation.access:
        described["description"] += f" Where the service has keys, one with the scope `{operation.access}` is needed."
    if operation.body is not None:
        described["requestBody"] = {"required": True, "content": _request_content(operation)}
    described["responses"] = {"200": _answer(operation), **_not_modified(operation), **_problem_responses(operation)}
    return described


def _parameters(operation: Operation) -> list[Schema]:
    in_path = [_path_parameter(name) for name in re.findall(r"{(\w+)}", operation.path)]
    in_query = [_query_parameter(query) for query in operation.queries]
    in_header = ["RequestId", *(["IfNoneMatch"] if operation.etag else []), "AcceptLanguage"]
    return [*in_path, *in_query, *({"$ref": f"#/components/parameters/{name}"} for name in in_header)]


def _path_parameter(name: str) -> Schema:
    return {
        "name": name,
        "in": "path",
        "required": True,
        "description": "The last part of a problem's `type`.",
        "schema": {"type": "string", "enum": list(KINDS)},
    }


def _query_parameter(query: Query) -> Schema:
    item: Schema = {"type": "string", "enum": list(query.choices)}
    if query.repeatable:
        schema: Schema = {"type": "array", "items": item, "maxItems": len(query.choices), "uniqueItems": True}
    else:
        schema = item
    return {"name": query.name, "in": "query", "required": False, "description": query.description, "schema": schema}


def _request_id_parameter() -> Schema:
    return {
        "name": "X-Request-Id",
        "in": "header",
        "required": False,
        "description": "The caller's id for this request, 1 to 64 letters, digits, `.`, `_`, `-`; echoed and logged. "
        "One of another form is replaced.",
        "schema": {"type": "string"},
    }


def _if_none_match_parameter() -> Schema:
    return {
        "name": "If-None-Match",
        "in": "header",
        "required": False,
        "description": "The `ETag` of an earlier answer: while it still stands for the content, the answer is 304.",
        "schema": {"type": "string"},
    }


def _accept_language_parameter() -> Schema:
    return {
        "name": "Accept-Language",
        "in": "header",
        "required": False,
        "description": "The language of words and problems: English (`en`, the default), German (`de`) or French (`fr`).",
        "schema": {"type": "string"},
    }


def _request_content(operation: Operation) -> Schema:
    if operation.takes == CSV:
        return {CSV: {"schema": TABLE_SCHEMA, "example": examples.text(CSV)}}
    content: Schema = {"schema": _reference(operation.body)}
    if operation.takes == NDJSON:
        content["example"] = examples.text(NDJSON)
        return {NDJSON: content}
    shown = examples.BODIES.get(operation.id, {})
    if shown:
        content["examples"] = {
            name: {"summary": example.summary, "value": example.request} for name, example in shown.items()
        }
    return {JSON: content}


def _reference(kind: Any) -> Schema:
    if not _named(kind):
        return {"type": "object"}
    return {"$ref": TEMPLATE.format(name=kind.__name__)}


def _answer(operation: Operation) -> Schema:
    return {
        "description": operation.summary,
        "headers": _headers(
            *(RATE if operation.counted else ()),
            *(("ETag",) if operation.etag else ()),
            *(("Content-Disposition",) if operation.access == "documents" else ()),
            *(SPOKEN if operation.spoken else ()),
        ),
        "content": {operation.media_type: _answer_content(operation, operation.media_type)},
    }


def _not_modified(operation: Operation) -> Schema:
    if not operation.etag:
        return {}
    fields = ("ETag", *(RATE if operation.counted else ()))
    return {
        "304": {"description": "Not Modified: `If-None-Match` still stands for the content.", "headers": _headers(*fields)}
    }


def _headers(*more: str) -> Schema:
    return {name: {"$ref": f"#/components/headers/{name}"} for name in (*ALWAYS, *more)}


def _answer_content(operation: Operation, media_type: str) -> Schema:
    """What an answer holds; files are binary texts, which every generator of clients understands."""
    if media_type in {PDF, DXF}:
        return {"schema": {"type": "string", "format": "binary"}}
    return {"schema": _reference(operation.answer) if media_type in {JSON, NDJSON} else {"type": "string"}}


def _problem_responses(operation: Operation) -> Schema:
    """The problems by status."""
    kinds = [
        *operation.problems,
        *EVERYWHERE,
        *(BEHIND_A_KEY if operation.access else ()),
        *(COUNTED if operation.counted else ()),
        *(("took-too-long",) if operation.heavy or operation.heavy_with else ()),
    ]
    responses: dict[str, list[str]] = {}
    for kind in dict.fromkeys(kinds):
        responses.setdefault(str(KINDS[kind].status), []).append(kind)
    return {
        status: _problem_response(*shared) if len(shared) > 1 else {"$ref": f"#/components/responses/{shared[0]}"}
        for status, shared in sorted(responses.items())
    }


def _problem_response(*kinds: str) -> Schema:
    """The answer with a problem of one of the kinds, which share a status."""
    rows = [KINDS[kind] for kind in kinds]
    told = " Or: ".join(f"{row.title}. {row.meaning}" for row in rows)
    fields = dict.fromkeys(field for kind in kinds for field in OF_PROBLEMS.get(kind, ()))
    return {
        "description": f"{HTTPStatus(rows[0].status).phrase}: {told}",
        "headers": _headers(*RATE, *SPOKEN, *fields),
        "content": {PROBLEM_JSON: {"schema": {"$ref": TEMPLATE.format(name="Problem")}}},
    }

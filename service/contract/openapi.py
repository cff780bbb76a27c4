"""The contract as an OpenAPI 3.1 document, generated from the wire types and the table of operations."""

import re
from collections.abc import Mapping
from http import HTTPStatus
from importlib.resources import files
from typing import Any

from service.calculation.fitting import VERSION as CALCULATION_VERSION
from service.contract import examples
from service.contract.answers import Fitting
from service.contract.operations import CSV, DXF, JSON, NDJSON, OPERATIONS, PDF, SVG, TEXT, Operation, Query
from service.contract.problems import KINDS, Problem
from service.contract.schemas import Schema, schemas
from service.contract.spreadsheet import CARRIED_MAX, COLUMNS, REQUIRED
from service.contract.table_answers import FIRST, FORMS, LAST
from service.contract.version import CONTRACT_VERSION

CONTRACT = files("service.contract") / "openapi.json"
"""The contract as it is committed and served, a link to it in the sources; a test compares it with what is generated."""
PROBLEM_JSON = "application/problem+json"
EVERYWHERE = ("not-acceptable", "malformed-head", "wrong-host", "no-upgrade", "internal-error", "invalid-request")
BEHIND_A_KEY = ("unauthorized", "forbidden")
COUNTED = ("too-many-requests", "busy")
TABLE = f"""\
A header of these columns in any order: {", ".join(COLUMNS)}. These must be there: {", ".join(REQUIRED)}. Options stand in
one cell, separated by spaces or commas. Empty cells are left out, rows without content passed over. Up to {CARRIED_MAX}
columns whose names begin with `x_` are carried along unread; another unknown column is refused.

Cells are separated by comma, semicolon or tab: by the one with which most columns are known, or the one that a first line
`sep=` names, which is then passed over. UTF-8 with or without a byte order mark, or UTF-16 with one.

Where commas separate cells, numbers have a decimal point. In other tables the first number tells whose mark can only be one
for decimals, and the others must have the same. Where none tells, a semicolon goes with a decimal comma and a tab with a
decimal point, and a number such as `1.180` or `1,180` is refused rather than guessed. Marks for thousands are refused.
`decimal=point` or `decimal=comma` overrules.
"""
"""What a table looks like."""
TABLE_ANSWER = f"""\
UTF-8 with a byte order mark; the delimiter and the decimal mark are those of the question; texts are quoted, figures are
not. The columns begin with {", ".join(FIRST)} and the carried ones, and end with {LAST}, which is empty where the row could
be answered and otherwise names the row (the header is row 1, a line `sep=` does not count), the column and the limit. A
cell is empty where the member is absent. Columns may be added at any place: read them by name.

`fields=short`: {", ".join(FORMS["short"].columns)}. Warnings are codes separated by spaces.

`fields=full`: the single members of a `Fitting` by their paths with dots, in its order, digests last; of each check
`checks.` its id and `.value`, `.limit`, `.margin`; warnings as codes. Lists that are no figures (packing, the parcel),
words and the request as understood are answered in JSON only.

`fields=parts`: {", ".join(FORMS["parts"].columns)}. Look at the verdict before ordering: with `does_not_fit` it is the
parcel of the nearest candidate.
"""
"""What its answer looks like."""

FILE: Schema = {"type": "string", "format": "binary"}
"""What is neither JSON nor plain text; generated clients understand it so, and many read any other text as JSON."""

TEMPLATE = "#/components/schemas/{name}"

DESCRIPTION = """\
Calculates the fitting of slatted roll-up shutters to the equipment compartments of work vehicles, from the opening alone.

**Caution.** A wound shutter spring stores energy that can injure; a moving curtain pinches; a coil can fall. The figures
do not replace a competent person, local codes, or the instructions that come with the parts. Never drive with an open
shutter.

Member names carry their unit (`_mm`, `_deg`, `_kg`, …). Figures are rounded once, to 0.001 of their unit. The frame of
the side section: origin at the outer face of the opening, at the header's base; x runs inwards, z runs up.

The contract is strict: no text for a number, no unknown member or query parameter, no member twice. Problems are
`application/problem+json` (RFC 9457) and name members by JSON Pointer. Every answer carries `X-Request-Id`; a caller's
own is echoed.

**What stays, what may come.** The contract's version is semantic and stands in every answer's `Lathwind-Contract`. Within
one major version, which the paths carry, nothing is removed, renamed or narrowed in what may be sent, and no member of an
answer goes away or changes its type, unit or meaning. Answers may gain members, operations may be added, and requests may
gain members that nobody has to send: readers ignore what they do not know. A list of values in `enum` is closed for the
major version; one in `x-extensible-enum` is open: what stands there today may be joined by others. Texts for people may
change at any time. A functional change of the calculation raises `calculation_version`, which stands in every answer. What
will go away says so beforehand by the header fields `Deprecation` (RFC 9745) and `Sunset` (RFC 8594).

**Digests.** `request_sha256` is the SHA-256, in lower-case hexadecimal digits, of the RFC 8785 form of `audit.request`.
`result_sha256` is the same of the answer without its members `audit`, `words`, `geometry`, `candidates` and `cures`, and
without the member `curve` of its `balance`; everything else belongs to it, `reference` too. So it is with short answers,
and with the answers in batches. Nothing is rounded, sorted out or filled in before: every member and figure counts as it
was sent, and a member without a value is absent, not null.
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
    "Lathwind-Contract": "The version of the contract that the service answers by.",
    "X-Request-Id": "The request's id: the caller's own where it sent one of 1 to 64 letters, digits, `.`, `_`, `-`.",
    "Server-Timing": "How long it took until the answer began: `app;dur=` milliseconds.",
    "RateLimit": "Where the rate is limited and the request was counted: what remains (`r`), and in how many seconds all is "
    "there again (`t`).",
    "RateLimit-Policy": "Where the rate is limited and the request was counted: how many requests (`q`) in how many seconds "
    "(`w`).",
    "Retry-After": "In how many seconds to try again, a whole number.",
    "WWW-Authenticate": "That a key is asked for (RFC 6750).",
    "ETag": "Stands for this very content; send it in `If-None-Match` to hear whether there is another.",
    "Content-Disposition": "A name for the file.",
    "Content-Language": "The language of the words, or of a problem.",
    "Vary": "What else the answer depends on.",
}
"""Fields of answers that callers may want to read."""
ALWAYS = ("Lathwind-Contract", "X-Request-Id", "Server-Timing")
RATE = ("RateLimit", "RateLimit-Policy")
SPOKEN = ("Content-Language", "Vary")
OF_PROBLEMS = {
    "unauthorized": ("WWW-Authenticate",),
    **dict.fromkeys(("too-many-requests", "busy", "took-too-long", "no-plan", "not-ready"), ("Retry-After",)),
}
"""Which of them come with which problem only."""


def document(answers: Mapping[str, Mapping[str, Any]] | None = None) -> Schema:
    """The whole contract, with examples of answers by operation and name."""
    used: set[tuple[str, ...]] = set()
    paths = _paths(answers or {}, used)
    types = [kind for operation in OPERATIONS for kind in (operation.body, operation.answer) if _named(kind)]
    _, named = schemas([*types, Problem], template=TEMPLATE)
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "Lathwind",
            "version": CONTRACT_VERSION,
            "description": DESCRIPTION,
            "x-calculation-version": CALCULATION_VERSION,
        },
        "servers": [{"url": "/", "description": "this service"}],
        "tags": [{"name": name, "description": text} for name, text in TAGS.items()],
        "paths": paths,
        "components": {
            "schemas": {name: _with_defaults_told(schema) for name, schema in sorted(named.items())},
            "parameters": {
                "RequestId": _request_id_parameter(),
                "IfNoneMatch": _if_none_match_parameter(),
                "AcceptLanguage": _accept_language_parameter(),
            },
            "headers": {name: _header(name) for name in HEADERS},
            "responses": {_joined(kinds): _problem_response(*kinds) for kinds in sorted(used)},
            "securitySchemes": SECURITY_SCHEMES,
        },
    }


def _with_defaults_told(schema: Schema) -> Schema:
    """An object's schema in which defaults stand in words and as `x-default`.

    Of a member with a `default` some generators of clients say that it must be there, and others send what was the default
    when they were run.
    """
    return {**schema, "properties": {name: _with_default_told(member) for name, member in schema["properties"].items()}}


def _with_default_told(member: Schema) -> Schema:
    told = {"x-default" if key == "default" else key: value for key, value in member.items()}
    default = told.get("x-default")
    if isinstance(default, float | str) and default != "":
        told["description"] += f" Default: {default if isinstance(default, str) else f'{default:g}'}."
    return told


def _named(kind: Any) -> bool:
    return kind is not None and hasattr(kind, "__struct_fields__")


def _header(name: str) -> Schema:
    return {"description": HEADERS[name], "schema": {"type": "integer" if name == "Retry-After" else "string"}}


def _paths(answers: Mapping[str, Mapping[str, Any]], used: set[tuple[str, ...]]) -> Schema:
    """The operations by path and method; the groups of problems that they may answer with are put into `used`."""
    paths: Schema = {}
    for operation in OPERATIONS:
        problems = _problems_by_status(operation)
        used.update(problems.values())
        described = _operation(operation, problems, answers)
        paths.setdefault(operation.path, {})[operation.method.lower()] = described
    return paths


def _operation(
    operation: Operation, problems: dict[str, tuple[str, ...]], answers: Mapping[str, Mapping[str, Any]]
) -> Schema:
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
        described["requestBody"] = {"required": True, "content": _request_content(operation, answers)}
    described["responses"] = {
        "200": _answer(operation, answers.get(operation.id, {})),
        **_not_modified(operation),
        **{status: {"$ref": f"#/components/responses/{_joined(kinds)}"} for status, kinds in problems.items()},
    }
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
    if query.whole:
        schema: Schema = {"type": "integer", "minimum": int(query.choices[0]), "maximum": int(query.choices[-1])}
    elif query.repeatable:
        schema = {"type": "array", "items": item, "maxItems": len(query.choices), "uniqueItems": True}
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


def _request_content(operation: Operation, answers: Mapping[str, Mapping[str, Any]]) -> Schema:
    if operation.takes == CSV:
        return {CSV: {"schema": {**FILE, "description": TABLE}, "example": examples.text(CSV)}}
    if operation.takes == NDJSON:
        return {NDJSON: {"schema": _lines(operation.body), "example": examples.text(NDJSON)}}
    content: Schema = {"schema": _reference(operation.body)}
    shown = examples.BODIES.get(operation.id, {})
    if operation.body is Fitting:  # what was answered is sent back
        content["examples"] = {name: {"value": value} for name, value in answers.get("calculateFitting", {}).items()}
    elif shown:
        content["examples"] = {
            name: {"summary": example.summary, "value": example.request} for name, example in shown.items()
        }
    return {JSON: content}


def _reference(kind: Any) -> Schema:
    if not _named(kind):
        return {"type": "object", "additionalProperties": True}
    return {"$ref": TEMPLATE.format(name=kind.__name__)}


def _answer(operation: Operation, answers: Mapping[str, Any]) -> Schema:
    content: Schema = {"schema": _answer_schema(operation)}
    if answers:
        content["examples"] = {name: {"value": value} for name, value in answers.items()}
    return {
        "description": operation.summary,
        "headers": _headers(
            *(RATE if operation.counted else ()),
            *(("ETag",) if operation.etag else ()),
            *(("Content-Disposition",) if operation.media_type in {CSV, SVG, DXF, PDF} else ()),
            *(SPOKEN if operation.spoken else ()),
        ),
        "content": {operation.media_type: content},
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


def _lines(kind: Any) -> Schema:
    """NDJSON. It is no JSON document, so a generator of clients that saw the lines' type would read and write one line."""
    told = f"Lines, each of them a {kind.__name__} in JSON."
    return {**FILE, "description": told, "contentMediaType": NDJSON, "contentSchema": _reference(kind)}


def _answer_schema(operation: Operation) -> Schema:
    """What an answer is."""
    if operation.media_type == JSON:
        return _reference(operation.answer)
    if operation.media_type == NDJSON:
        return _lines(operation.answer)
    if operation.media_type == CSV:
        return {**FILE, "description": TABLE_ANSWER}
    return {"type": "string"} if operation.media_type == TEXT else FILE


def _problems_by_status(operation: Operation) -> dict[str, tuple[str, ...]]:
    """The kinds of problems that an operation may answer with, by status."""
    kinds = [
        *operation.problems,
        *EVERYWHERE,
        *(BEHIND_A_KEY if operation.access else ()),
        *(COUNTED if operation.counted else ()),
        *(("took-too-long",) if operation.heavy or operation.heavy_with else ()),
    ]
    by_status: dict[str, tuple[str, ...]] = {}
    for kind in sorted(set(kinds), key=[*KINDS].index):
        status = str(KINDS[kind].status)
        by_status[status] = (*by_status.get(status, ()), kind)
    return dict(sorted(by_status.items()))


def _joined(kinds: tuple[str, ...]) -> str:
    """What a response with one of some problems is called."""
    return ".".join(kinds)


def _problem_response(*kinds: str) -> Schema:
    """The answer with a problem of one of the kinds, which share a status."""
    rows = [KINDS[kind] for kind in kinds]
    told = " Or: ".join(f"{row.title}. {row.meaning}" for row in rows)
    fields = dict.fromkeys(field for kind in kinds for field in OF_PROBLEMS.get(kind, ()))
    return {
        "description": f"{HTTPStatus(rows[0].status).phrase}: {told}",
        "headers": _headers(*RATE, *SPOKEN, *fields),
        "content": {
            PROBLEM_JSON: {
                "schema": {"$ref": TEMPLATE.format(name="Problem")},
                "examples": {kind: {"value": examples.problem_of(kind)} for kind in kinds},
            }
        },
    }

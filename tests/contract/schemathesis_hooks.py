"""What JSON Schema cannot say about a request, said to schemathesis: ids are those of the catalogue.

Only what is valid by the schema is touched, so that invalid cases stay invalid.
"""

import json
import re
from typing import Any

import schemathesis

from service.contract import examples
from service.contract.operations import CSV

ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9_.-]{0,39}\Z")
SLATS = {"slim": ("T50", "T70"), "stout": ("T70",)}
SIDE_PLATES = ("P240", "P300", "P360")


def _id(value: object, known: tuple[str, ...]) -> object:
    """A known id in place of an unknown one of the right form, always the same for the same value."""
    if not isinstance(value, str) or not ID.match(value) or value in known:
        return value
    return known[sum(map(ord, value)) % len(known)]


def _mend(request: object) -> None:
    """Let a request that matches the schema name what the catalogue has."""
    if isinstance(request, dict) and "coils" in request and isinstance(request.get("slat"), str):
        request["slat"], request["tube"] = _id(request["slat"], ("slim",)), _id(request.get("tube"), ("T50", "T70"))
    shutter = request.get("shutter") if isinstance(request, dict) else None
    if isinstance(shutter, dict) and isinstance(shutter.get("slat"), str):
        shutter["slat"] = _id(shutter["slat"], tuple(SLATS))
        for member, known in (("tube", SLATS.get(shutter["slat"], ())), ("side_plate", SIDE_PLATES)):
            if member in shutter:
                shutter[member] = _id(shutter[member], ("auto", *known))


@schemathesis.hook
def map_body(context: Any, body: Any) -> Any:
    """Make a body that matches the schema one that the catalogue can serve."""
    del context
    if isinstance(body, str):  # the CSV form: a text has to have the header that the contract tells in words
        return examples.text(CSV)
    _mend(body)
    if isinstance(body, dict) and isinstance(body.get("audit"), dict):
        _mend(body["audit"].get("request"))
    return body


@schemathesis.serializer("application/x-ndjson")
def ndjson(context: Any, value: Any) -> bytes:
    """One value a line."""
    del context
    return value.encode() if isinstance(value, str) else json.dumps(value).encode() + b"\n"


@schemathesis.deserializer("application/x-ndjson")
def line(context: Any, response: Any) -> Any:
    """A line of a streamed answer: the contract says what each of them is, and every answer has a first."""
    del context
    return json.loads(response.content.splitlines()[0])

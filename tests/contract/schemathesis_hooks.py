"""What JSON Schema cannot say about a request, said to schemathesis: ids are those of the catalogue.

Only what is valid by the schema is touched, so that invalid cases stay invalid.
"""

import re
from typing import Any

import schemathesis

ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9_.-]{0,39}\Z")
SLATS = {"slim": ("T50", "T70"), "stout": ("T70",)}
SIDE_PLATES = ("P240", "P300", "P360")


def _id(value: object, known: tuple[str, ...]) -> object:
    """A known id in place of an unknown one of the right form, always the same for the same value."""
    if not isinstance(value, str) or not ID.match(value) or value in known:
        return value
    return known[sum(map(ord, value)) % len(known)]


@schemathesis.hook
def map_body(context: Any, body: Any) -> Any:
    """Make a body that matches the schema one that the catalogue can serve."""
    del context
    if not isinstance(body, dict):
        return body
    shutter = body.get("shutter")
    if isinstance(shutter, dict) and isinstance(shutter.get("slat"), str):
        shutter["slat"] = _id(shutter["slat"], tuple(SLATS))
        for member, known in (("tube", SLATS.get(shutter["slat"], ())), ("side_plate", SIDE_PLATES)):
            if member in shutter:
                shutter[member] = _id(shutter[member], ("auto", *known))
    return body

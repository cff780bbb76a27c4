"""Number types of the wire: each says its unit in the contract as `x-unit`."""

from typing import Annotated

from msgspec import Meta


def _in(unit: str) -> Meta:
    return Meta(extra_json_schema={"x-unit": unit})


Mm = Annotated[float, _in("mm")]
Mm2 = Annotated[float, _in("mm2")]
Deg = Annotated[float, _in("deg")]
Kg = Annotated[float, _in("kg")]
N = Annotated[float, _in("N")]
NM = Annotated[float, _in("N.m")]
NMPerTurn = Annotated[float, _in("N.m/turn")]
MPa = Annotated[float, _in("MPa")]
Pa = Annotated[float, _in("Pa")]
M = Annotated[float, _in("m")]
V = Annotated[float, _in("V")]
A = Annotated[float, _in("A")]
Turns = Annotated[float, _in("turns")]
Point = Annotated[
    list[float], Meta(description="[x, z] in mm.", min_length=2, max_length=2, extra_json_schema={"x-unit": "mm"})
]
PYTHONS_END = r"(?!\n)"
"""Behind the `$` of a pattern: Python's alone also matches before a last line feed. The contract leaves it out: the `$` of
JSON Schema does not, and not every caller's engine can look ahead."""
SHA256_PATTERN = "^[0-9a-f]{64}$"
Sha256 = Annotated[str, Meta(pattern=SHA256_PATTERN + PYTHONS_END, description="SHA-256, 64 hexadecimal digits.")]

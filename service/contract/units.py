"""Numbers of the wire: each says what it is in its description and its unit in the contract as `x-unit`."""

from typing import Annotated, Any

from msgspec import Meta


def said(unit: str, description: str, **bounds: Any) -> Meta:
    """What a number of the wire is: its unit, its description, and its bounds where it has some."""
    return Meta(description=description, extra_json_schema={"x-unit": unit}, **bounds)


def mm(description: str, **bounds: Any) -> Meta:
    """A length in millimetres."""
    return said("mm", description, **bounds)


def text(description: str, **bounds: Any) -> Meta:
    """A text, a list or an object."""
    return Meta(description=description, **bounds)


PYTHONS_END = r"(?!\n)"
"""Behind the `$` of a pattern: Python's alone also matches before a last line feed. The contract leaves it out: the `$` of
JSON Schema does not, and not every caller's engine can look ahead."""
SHA256_PATTERN = "^[0-9a-f]{64}$"
Sha256 = Annotated[str, Meta(pattern=SHA256_PATTERN + PYTHONS_END, description="SHA-256, 64 hexadecimal digits.")]
Point = Annotated[
    list[float], Meta(description="[x, z] in mm.", min_length=2, max_length=2, extra_json_schema={"x-unit": "mm"})
]

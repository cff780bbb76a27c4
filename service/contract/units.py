"""What numbers and texts of the wire share."""

from collections.abc import Iterable
from typing import Annotated

from msgspec import Meta

from service.catalogue.units import mm, said, text

__all__ = ["PYTHONS_END", "SHA256_PATTERN", "Point", "Sha256", "mm", "open_list", "said", "text"]


def open_list(known: Iterable[str]) -> Meta:
    """A code of an open list: those that there are today, in the place that generators leave alone."""
    return Meta(extra_json_schema={"x-extensible-enum": list(known)})


PYTHONS_END = r"(?!\n)"
"""Behind the `$` of a pattern: Python's alone also matches before a last line feed. The contract leaves it out: the `$` of
JSON Schema does not, and not every caller's engine can look ahead."""
SHA256_PATTERN = "^[0-9a-f]{64}$"
Sha256 = Annotated[str, Meta(pattern=SHA256_PATTERN + PYTHONS_END, description="SHA-256, 64 hexadecimal digits.")]
Point = Annotated[
    list[float], Meta(description="[x, z] in mm.", min_length=2, max_length=2, extra_json_schema={"x-unit": "mm"})
]

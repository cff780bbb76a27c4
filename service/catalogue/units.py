"""Numbers with their unit and their meaning, for rows of the catalogue and for the wire."""

from typing import Any

from msgspec import Meta


def said(unit: str, description: str, **bounds: Any) -> Meta:
    """What a number is: its unit, its description, and its bounds where it has some."""
    return Meta(description=description, extra_json_schema={"x-unit": unit}, **bounds)


def mm(description: str, **bounds: Any) -> Meta:
    """A length in millimetres."""
    return said("mm", description, **bounds)


def text(description: str, **bounds: Any) -> Meta:
    """A text, a list or an object."""
    return Meta(description=description, **bounds)

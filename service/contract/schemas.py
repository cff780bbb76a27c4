"""JSON schemas of the wire types, in the form that client generators want."""

from collections.abc import Iterable
from typing import Any

import msgspec

from service.contract.units import PYTHONS_END

Schema = dict[str, Any]


def schemas(types: Iterable[Any], *, template: str) -> tuple[list[Schema], dict[str, Schema]]:
    """The schemas of the types, and the named schemas they refer to by `template`."""
    roots, components = msgspec.json.schema_components(types, ref_template=template)
    named = {name: _typed(schema) for name, schema in components.items()}
    return [_typed(root) for root in roots], named


def _typed(schema: Any) -> Any:
    """The schema with the type of text enumerations said, which client generators want, and patterns in plain form."""
    if isinstance(schema, list):
        return [_typed(item) for item in schema]
    if not isinstance(schema, dict):
        return schema
    typed = {key: _typed(value) for key, value in schema.items()}
    if isinstance(typed.get("enum"), list) and "type" not in typed:
        typed = {"type": "string", **typed}
    if isinstance(typed.get("pattern"), str):
        typed["pattern"] = typed["pattern"].removesuffix(PYTHONS_END)
    return typed

"""Every rule names its unit three times (function, metadata, docstring) the same way, and takes named numbers with units."""

import inspect
import pkgutil
from importlib import import_module
from typing import get_args

import pytest

import service.calculation
from service.audit.rules import Basis, collect, rule, rule_of
from service.calculation.rules import RULES

MODULES = [
    import_module(f"service.calculation.{module.name}") for module in pkgutil.iter_modules(service.calculation.__path__)
]
EVERY_RULE = collect(MODULES)

UNITS = {
    "_mm": "mm",
    "_mm2": "mm²",
    "_mm4": "mm⁴",
    "_mm3": "mm³",
    "_deg": "deg",
    "_rad": "rad",
    "_turns": "turns",
    "_slats": "slats",
    "_kg": "kg",
    "_kg_per_m": "kg/m",
    "_kg_per_mm": "kg/mm",
    "_n": "N",
    "_n_m": "N·m",
    "_n_mm": "N·mm",
    "_n_per_mm": "N/mm",
    "_mpa": "MPa",
    "_pa": "Pa",
    "_v": "V",
    "_a": "A",
    "_w": "W",
    "_w_per_m": "W/m",
    "_ohm": "Ω",
    "_ohm_per_km": "Ω/km",
    "_percent": "%",
    "_c": "°C",
    "_km_h": "km/h",
    "_m": "m",
}
"""Unit by the suffix of a name; the longest suffix counts."""

BARE = {
    "slat_count": "slats",
    "slat_counts": "slats",
    "slats_needed": "slats",
    "slats_wound": "slats",
    "turns": "turns",
    "turns_closed": "turns",
    "out_of_square_sine": "1",
    "sine": "1",
    "nesting": "1",
    "positions": "1",
    "spring_count": "1",
    "coils": "1",
    "screws_along": "screws",
    "straps_along": "straps",
    "spring_index": "1",
    "inner_stress_factor": "1",
}
"""Counts and ratios: names that may go without a suffix, with the unit their rule gives."""


def unit_of(name: str) -> str | None:
    """The unit that a name tells."""
    suffixes = [suffix for suffix in UNITS if name.endswith(suffix)]
    return BARE.get(name) or (UNITS[max(suffixes, key=len)] if suffixes else None)


@pytest.mark.parametrize("id", EVERY_RULE)
def test_name_metadata_and_docstring_agree_on_the_unit(id: str) -> None:
    function = EVERY_RULE[id]
    assert unit_of(function.__name__) == rule_of(function).unit
    assert f"[{rule_of(function).unit}]" in inspect.getdoc(function).splitlines()[0]


@pytest.mark.parametrize("id", EVERY_RULE)
def test_numbers_are_named_and_carry_their_unit(id: str) -> None:
    parameters = inspect.signature(EVERY_RULE[id]).parameters.values()
    assert all(parameter.kind is inspect.Parameter.KEYWORD_ONLY for parameter in parameters)
    assert [parameter.name for parameter in parameters if unit_of(parameter.name) is None] == []
    assert all(parameter.default is inspect.Parameter.empty for parameter in parameters)


@pytest.mark.parametrize("id", EVERY_RULE)
def test_metadata_is_complete(id: str) -> None:
    metadata = rule_of(EVERY_RULE[id])
    assert metadata.id == id
    assert metadata.basis in get_args(Basis)
    assert all(text.strip() for text in (metadata.title, metadata.symbol, metadata.formula, metadata.source))
    assert metadata.title == inspect.getdoc(EVERY_RULE[id]).splitlines()[0].rstrip(".")


def test_the_list_of_rules_leaves_none_out() -> None:
    assert set(RULES) == set(EVERY_RULE)


def test_a_rule_is_the_function_itself() -> None:
    def plain_mm(*, side_mm: float) -> float:
        """Side [mm]."""
        return side_mm

    attach = rule(symbol="s", unit="mm", formula="s = s", basis="geometry", source="made up")
    assert attach(plain_mm) is plain_mm
    assert rule_of(plain_mm).title == "Side [mm]"
    assert rule_of(plain_mm).id == "test_rules.plain_mm"


def test_a_rule_needs_a_docstring() -> None:
    attach = rule(symbol="s", unit="mm", formula="s = s", basis="geometry", source="made up")
    with pytest.raises(ValueError, match="needs a docstring"):
        attach(lambda: 0.0)


def test_other_functions_are_no_rules() -> None:
    with pytest.raises(LookupError, match="is not a rule"):
        rule_of(len)

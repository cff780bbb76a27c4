"""Every rule names its unit three times (function, metadata, docstring) the same way, and takes named numbers with units."""

import inspect
import pkgutil
from importlib import import_module
from typing import get_args

import pytest

import service.calculation
from service.audit.rules import Basis, collect, is_rule, rule, rule_of
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
    "_months": "months",
    "_per_day": "1/d",
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
    "_cm": "cm",
    "_j": "J",
    "_n_per_m": "N/m",
    "_per_k": "1/K",
    "_share": "1",
    "_years": "a",
    "_c": "°C",
    "_km_h": "km/h",
    "_m": "m",
}
"""Unit by the suffix of a name; the longest suffix counts."""

COUNTS_AND_RATIOS = {"1", "slats", "turns", "screws", "straps", "people"}
"""Units that a rule's name may leave out."""

BARE = {
    "body",
    "coils",
    "cycles",
    "inner_stress_factor",
    "nesting",
    "positions",
    "resistance_factor",
    "sine",
    "slat_count",
    "slat_counts",
    "slats_wound",
    "spring_count",
    "spring_index",
    "turns",
    "turns_closed",
}
"""Counts, ratios and one name that rules take under a name without a unit."""


def unit_of(name):
    """The unit that a name tells by its suffix."""
    suffixes = [suffix for suffix in UNITS if name.endswith(suffix)]
    return UNITS[max(suffixes, key=len)] if suffixes else None


@pytest.mark.parametrize("id", EVERY_RULE)
def test_name_metadata_and_docstring_agree_on_the_unit(id):
    function = EVERY_RULE[id]
    unit = rule_of(function).unit
    told = unit_of(function.__name__)
    assert told == unit if told else unit in COUNTS_AND_RATIOS
    assert f"[{unit}]" in inspect.getdoc(function).splitlines()[0]


@pytest.mark.parametrize("id", EVERY_RULE)
def test_numbers_are_named_and_carry_their_unit(id):
    parameters = inspect.signature(EVERY_RULE[id]).parameters.values()
    assert all(parameter.kind is inspect.Parameter.KEYWORD_ONLY for parameter in parameters)
    assert {parameter.name for parameter in parameters if unit_of(parameter.name) is None} <= BARE
    assert all(parameter.default is inspect.Parameter.empty for parameter in parameters)


@pytest.mark.parametrize("id", EVERY_RULE)
def test_metadata_is_complete(id):
    metadata = rule_of(EVERY_RULE[id])
    assert metadata.id == id
    assert metadata.basis in get_args(Basis)
    assert all(text.strip() for text in (metadata.symbol, metadata.formula, metadata.source))


def test_the_list_of_rules_leaves_none_out():
    assert set(RULES) == set(EVERY_RULE)


def test_a_rule_is_the_function_itself():
    def plain_mm(*, side_mm):
        """Side [mm]."""
        return side_mm

    assert not is_rule(plain_mm)
    rule(plain_mm, symbol="s", unit="mm", formula="s = s", basis="geometry", source="made up")
    assert is_rule(plain_mm)
    assert rule_of(plain_mm).id == "test_rules.plain_mm"
    assert plain_mm(side_mm=3.0) == 3.0


def test_other_functions_are_no_rules():
    with pytest.raises(LookupError, match="is not a rule"):
        rule_of(len)

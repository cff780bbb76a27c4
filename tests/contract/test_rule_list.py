"""The list of rules: a title for each, from the docstring or, where compiling dropped it, from the source."""

from types import FunctionType

import pytest

from service.calculation.coil import outer_radius_mm
from service.calculation.rules import RULES
from service.contract.rule_list import rules, title_of


def without_docstring(function):
    """A function as compiling leaves it."""
    bare = FunctionType(function.__code__, {"__name__": function.__module__}, function.__name__)
    assert bare.__doc__ == function.__doc__  # the code's own
    bare.__doc__ = None
    bare.__module__ = function.__module__
    return bare


def test_every_rule_is_listed_with_its_title():
    listed = rules().rules
    assert [row.id for row in listed] == list(RULES)
    assert all(row.title and not row.title.endswith(".") for row in listed)


def test_a_title_is_the_first_line_of_the_docstring():
    assert title_of(outer_radius_mm) == str(outer_radius_mm.__doc__).splitlines()[0].rstrip(".")


@pytest.mark.parametrize("function", [one for one in RULES.values() if isinstance(one, FunctionType)])
def test_a_title_is_found_in_the_source_as_well(function):
    assert title_of(without_docstring(function)) == title_of(function)


def test_a_rule_needs_a_docstring():
    bare = without_docstring(outer_radius_mm)
    bare.__name__ = "not_in_the_source"
    with pytest.raises(ValueError, match="needs a docstring"):
        title_of(bare)

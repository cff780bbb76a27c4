"""The rules as callers read them."""

import ast
from collections.abc import Callable
from functools import cache
from importlib.resources import files

from service.audit.rules import rule_of
from service.calculation.fitting import VERSION
from service.calculation.rules import RULES
from service.contract.answers import RuleRow, RulesAnswer


def rules() -> RulesAnswer:
    """Every rule of the calculation, in the order in which a fitting needs them."""
    rows = []
    for function in RULES.values():
        known = rule_of(function)
        rows.append(RuleRow(title=title_of(function), **known._asdict()))
    return RulesAnswer(calculation_version=VERSION, rules=rows)


def title_of(rule: Callable[..., object]) -> str:
    """A rule's title: the first line of its docstring, without the full stop.

    Raises:
        ValueError: the rule has no docstring.
    """
    docstring = rule.__doc__ or _docstrings(rule.__module__).get(rule.__name__)
    if not docstring:
        raise ValueError(f"rule {rule.__name__} needs a docstring")
    return docstring.strip().splitlines()[0].rstrip(".")


@cache
def _docstrings(module: str) -> dict[str, str | None]:
    """The docstrings of a module's functions, read from its source: compiled functions have none."""
    package, _, name = module.rpartition(".")
    source = files(package).joinpath(f"{name}.py").read_text(encoding="utf-8")
    functions = [node for node in ast.parse(source).body if isinstance(node, ast.FunctionDef)]
    return {function.name: ast.get_docstring(function) for function in functions}

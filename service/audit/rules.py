"""A rule is an ordinary function with metadata beside it: what it is, in which unit, by which formula, on which basis."""

from collections.abc import Callable, Iterable
from types import ModuleType
from typing import Literal, NamedTuple

Basis = Literal["standard", "handbook", "practice", "geometry", "catalogue", "assumption"]


class Rule(NamedTuple):
    """The metadata of one rule.

    `formula` is plain text in the symbols of the trade, `basis` says what kind of authority stands behind it and
    `source` names that authority (or says that there is none).
    """

    id: str
    symbol: str
    unit: str
    formula: str
    basis: Basis
    source: str


_KNOWN: dict[Callable[..., object], Rule] = {}
"""The metadata by function; compiled functions cannot carry it themselves."""


def rule(function: Callable[..., object], *, symbol: str, unit: str, formula: str, basis: Basis, source: str) -> None:
    """Give a function its metadata.

    This is called below the function and is no decorator: a decorated function would be called through Python even where
    it was compiled. The rule's id is `module.function`; its title, for those who list rules, is the first line of its
    docstring.
    """
    identity = f"{function.__module__.rpartition('.')[2]}.{function.__name__}"
    _KNOWN[function] = Rule(identity, symbol, unit, formula, basis, source)


def is_rule(member: object) -> bool:
    """Whether a member of a module is a rule."""
    return callable(member) and member in _KNOWN


def rule_of(function: Callable[..., object]) -> Rule:
    """The metadata of a rule.

    Raises:
        LookupError: the function is not a rule.
    """
    found = _KNOWN.get(function)
    if found is None:
        raise LookupError(f"{function.__qualname__} is not a rule")
    return found


def collect(modules: Iterable[ModuleType]) -> dict[str, Callable[..., object]]:
    """Every rule defined in the modules, by id, in the order of definition."""
    return {
        rule_of(member).id: member
        for module in modules
        for member in vars(module).values()
        if is_rule(member) and member.__module__ == module.__name__
    }

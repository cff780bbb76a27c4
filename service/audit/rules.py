"""A rule is an ordinary function with its metadata attached: what it is, in which unit, by which formula, on which basis."""

from collections.abc import Callable, Iterable
from types import ModuleType
from typing import Literal, NamedTuple, ParamSpec, TypeVar

P = ParamSpec("P")
T = TypeVar("T")

Basis = Literal["standard", "handbook", "practice", "geometry", "catalogue", "assumption"]

ATTRIBUTE = "__rule__"


class Rule(NamedTuple):
    """The metadata of one rule.

    `formula` is plain text in the symbols of the trade, `basis` says what kind of authority stands behind it and
    `source` names that authority (or says that there is none).
    """

    id: str
    title: str
    symbol: str
    unit: str
    formula: str
    basis: Basis
    source: str


def rule(*, symbol: str, unit: str, formula: str, basis: Basis, source: str) -> Callable[[Callable[P, T]], Callable[P, T]]:
    """Attach metadata to a function; the function itself is returned unchanged, so calling it costs nothing more.

    The rule's id is `module.function`, its title the first line of the docstring.

    Raises:
        ValueError: the function has no docstring.
    """

    def attach(function: Callable[P, T]) -> Callable[P, T]:
        if not function.__doc__:
            raise ValueError(f"rule {function.__name__} needs a docstring")
        identity = f"{function.__module__.rpartition('.')[2]}.{function.__name__}"
        title = function.__doc__.strip().splitlines()[0].rstrip(".")
        setattr(function, ATTRIBUTE, Rule(identity, title, symbol, unit, formula, basis, source))
        return function

    return attach


def rule_of(function: Callable[..., object]) -> Rule:
    """The metadata of a rule.

    Raises:
        LookupError: the function is not a rule.
    """
    found = getattr(function, ATTRIBUTE, None)
    if not isinstance(found, Rule):
        raise LookupError(f"{function.__qualname__} is not a rule")  # noqa: TRY004 - what is missing is an entry, not a type
    return found


def collect(modules: Iterable[ModuleType]) -> dict[str, Callable[..., object]]:
    """Every rule defined in the modules, by id, in the order of definition."""
    return {
        rule_of(member).id: member
        for module in modules
        for member in vars(module).values()
        if hasattr(member, ATTRIBUTE) and member.__module__ == module.__name__
    }

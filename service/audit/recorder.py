"""Recording which rule was applied to which numbers.

The calculation applies a rule as `use(rule)(name=number, …)`. `plain` hands the rule straight back, so a calculation
without a trace runs the bare functions; a `Recorder` hands back a function that notes the step as well.
"""

from collections.abc import Callable
from functools import wraps
from typing import NamedTuple, ParamSpec, Protocol, TypeVar

from service.audit.rules import Rule, rule_of

P = ParamSpec("P")
T = TypeVar("T")


class Step(NamedTuple):
    """One applied rule: its metadata, its inputs by name and the unrounded value."""

    rule: Rule
    inputs: dict[str, object]
    value: object


class Use(Protocol):
    """How the calculation applies a rule: plainly, or noting it."""

    def __call__(self, rule: Callable[P, T], /) -> Callable[P, T]:
        """The rule, ready to be called with its numbers."""
        ...


def plain(rule: Callable[P, T], /) -> Callable[P, T]:
    """Apply rules without noting them."""
    return rule


class Recorder:
    """Notes every applied rule in order, in `steps`."""

    def __init__(self) -> None:
        """Start with no steps."""
        self.steps: list[Step] = []

    def __call__(self, rule: Callable[P, T], /) -> Callable[P, T]:
        """The same rule, noting its inputs and its value when called."""
        metadata = rule_of(rule)

        @wraps(rule)
        def noting(*args: P.args, **kwargs: P.kwargs) -> T:
            value = rule(*args, **kwargs)
            self.steps.append(Step(metadata, dict(kwargs), value))
            return value

        return noting

"""Evaluating recorded steps again."""

from collections.abc import Callable, Iterable, Mapping
from typing import NamedTuple

from service.audit.trace import Step


class Difference(NamedTuple):
    """A step whose rule no longer gives the recorded value."""

    position: int
    rule: str
    recorded: object
    replayed: object


def replay(*, steps: Iterable[Step], rules: Mapping[str, Callable[..., object]]) -> list[Difference]:
    """Evaluate each step's rule again from its recorded inputs; equality is demanded to the last bit.

    Args:
        steps: what a recorder noted, or what was rebuilt from a stored trace
        rules: the rules by id

    Returns:
        The steps that differ; empty when all agree.

    Raises:
        LookupError: a step names a rule that does not exist.
    """
    differences = []
    for index, step in enumerate(steps):
        replayed = rules[step.rule.id](**step.inputs)
        if replayed != step.value:
            differences.append(Difference(index, step.rule.id, step.value, replayed))
    return differences

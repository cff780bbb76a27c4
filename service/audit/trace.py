"""Traces: which rules were applied to which numbers, in order.

The calculation calls its rules as what they are, plain functions, and knows nothing of traces. A trace comes from a second,
noting copy of the same sources, loaded under another package name, in which every rule notes its inputs and its value. The
copy is always made of the sources: where the calculation was compiled, a plain import would return the compiled modules.
"""

import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from functools import wraps
from importlib import import_module
from importlib.abc import MetaPathFinder
from importlib.machinery import ModuleSpec, SourceFileLoader
from importlib.util import find_spec, spec_from_file_location
from threading import Lock
from types import ModuleType
from typing import Any, NamedTuple

from service.audit.rules import Rule, is_rule, rule_of

SUFFIX = "_noting"
"""What the name of the copied package has more than that of the original."""


class Step(NamedTuple):
    """One applied rule: its metadata, its inputs by name and the unrounded value."""

    rule: Rule
    inputs: dict[str, object]
    value: object


_STEPS: ContextVar[list[Step] | None] = ContextVar("steps", default=None)
_LOADING = Lock()


@contextmanager
def noted() -> Iterator[list[Step]]:
    """The steps of every rule that the noting copy applies in this block, in the order in which they end."""
    steps: list[Step] = []
    token = _STEPS.set(steps)
    try:
        yield steps
    finally:
        _STEPS.reset(token)


def noting_copy(package: str, module: str) -> ModuleType:
    """A module of the noting copy of a package; its modules must import each other relatively.

    Raises:
        ModuleNotFoundError: there is no such package or module.
    """
    copied = package + SUFFIX
    with _LOADING:
        if copied not in sys.modules:
            original = find_spec(package)
            if original is None or not original.submodule_search_locations:
                raise ModuleNotFoundError(f"there is no package {package}")
            sys.meta_path.insert(0, _Finder(copied, original.submodule_search_locations[0]))
        return import_module(f"{copied}.{module}")


class _Finder(MetaPathFinder):
    """Finds the modules of one copied package among the sources of the original."""

    def __init__(self, package: str, folder: str) -> None:
        self.package, self.folder = package, folder

    def find_spec(self, fullname: str, path: Sequence[str] | None, target: ModuleType | None = None) -> ModuleSpec | None:  # noqa: ARG002 - the protocol's parameters
        """The specification of a module of the copy."""
        if fullname == self.package:
            source, inside = f"{self.folder}/__init__.py", [self.folder]
        elif fullname.startswith(f"{self.package}."):
            source, inside = f"{self.folder}/{fullname.rpartition('.')[2]}.py", None
        else:
            return None
        if find_spec(f"{self.package.removesuffix(SUFFIX)}{fullname.removeprefix(self.package)}") is None:
            return None
        loader = _NotingLoader(fullname, source)
        return spec_from_file_location(fullname, source, loader=loader, submodule_search_locations=inside)


class _NotingLoader(SourceFileLoader):
    """Loads a source and puts a noting function in the place of each of its rules."""

    def exec_module(self, module: ModuleType) -> None:
        """Run the module's source, then exchange its rules."""
        super().exec_module(module)
        for name, member in list(vars(module).items()):
            if is_rule(member) and member.__module__ == module.__name__:
                setattr(module, name, _noting(member))


def _noting(function: Callable[..., Any]) -> Callable[..., Any]:
    """The same rule, noting its inputs and its value when it is called."""
    metadata = rule_of(function)

    @wraps(function)
    def noting(**inputs: object) -> object:
        value = function(**inputs)
        steps = _STEPS.get()
        if steps is not None:
            steps.append(Step(metadata, inputs, value))
        return value

    return noting

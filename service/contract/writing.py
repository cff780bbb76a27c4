"""Writing an answer, once: members sorted as RFC 8785 wants, so that what is sent is what is digested.

The contract's types say which members there are; their values are those of the core's objects of the same names, figures
rounded on the way. What has no value is left out. Compiled like the core.
"""

from functools import lru_cache
from typing import Any, Final, final, get_args, get_type_hints

import msgspec

from service.audit.figures import figure_text
from service.calculation.checks import ROWS, Check, CheckRow, State
from service.contract import answers as wire
from service.words.model import Label, Words

GAP: Final = "\0"
"""Stands for a figure that is not there yet; no text of the contract has it."""

STATES: Final[tuple[State, ...]] = ("ok", "tight", "fails")


def quoted(text: str) -> str:
    """Any text as JSON has it."""
    return str(msgspec.json.encode(text), "utf-8")


@lru_cache(maxsize=4096)
def _quoted(text: str) -> str:
    """The same for texts that come again and again: ids, codes, pointers."""
    return quoted(text)


def written(members: dict[str, str]) -> str:
    """An object of members that are written already."""
    return "{" + ",".join([f'"{name}":{members[name]}' for name in sorted(members)]) + "}"


@final
class Form:
    """How objects of one kind, and those within them, are written; some members are left out wherever they stand."""

    def __init__(self, kind: type[msgspec.Struct], *, without: frozenset[str] = frozenset()) -> None:
        """Prepare for a type of the contract."""
        hints = get_type_hints(kind)
        self.names = sorted([name for name in hints if name not in without])
        self.labels = [f'"{name}":' for name in self.names]
        self.inner: list[Form | None] = [_form_within(hints[name], without) for name in self.names]

    def members(self, core: object) -> dict[str, str]:
        """The members of an object that have a value, written, by name."""
        found: dict[str, str] = {}
        for name, inner in zip(self.names, self.inner, strict=True):
            value = getattr(core, name)
            if value is not None:
                found[name] = _text(value, inner)
        return found

    def text(self, core: object) -> str:
        """An object, written."""
        found: list[str] = []
        for index, name in enumerate(self.names):
            value = getattr(core, name)
            if value is not None:
                found.append(self.labels[index] + _text(value, self.inner[index]))
        return "{" + ",".join(found) + "}"


def _form_within(hint: Any, without: frozenset[str]) -> Form | None:
    """The form of the objects that a member holds, one or a list of them; None where it holds none."""
    if isinstance(hint, type) and issubclass(hint, msgspec.Struct):
        return Form(hint, without=without)
    for inner in get_args(hint):
        found = _form_within(inner, without)
        if found is not None:
            return found
    return None


def _text(value: Any, inner: Form | None) -> str:
    """A member's value, written."""
    if isinstance(value, float):
        return figure_text(value)
    if isinstance(value, str):
        return _quoted(value)
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return str(value)
    if inner is None:
        raise TypeError(f"{type(value).__name__} has no form")
    if isinstance(value, list):
        return "[" + ",".join([_check(one) if isinstance(one, Check) else inner.text(one) for one in value]) + "]"
    return inner.text(value)


def _pieces(row: CheckRow, state: State) -> list[str]:
    """What a check's text is made of around its three figures, which are in the order of their names."""
    said = {"id": row.id, "kind": row.kind, "direction": row.direction, "pointer": row.pointer, "unit": row.unit}
    said["state"] = state
    names = sorted(wire.Check.__struct_fields__)
    return written({name: quoted(said[name]) if name in said else GAP for name in names}).split(GAP)


CHECKS: Final[dict[str, dict[str, list[str]]]] = {
    id: {state: _pieces(row, state) for state in STATES} for id, row in ROWS.items()
}
"""The pieces of every check by id and state."""


def _check(check: Check) -> str:
    """A check, written: most of it is the same in every answer."""
    pieces = CHECKS[check.row.id][check.state]
    limit, margin, value = figure_text(check.limit), figure_text(check.margin), figure_text(check.value)
    return f"{pieces[0]}{limit}{pieces[1]}{margin}{pieces[2]}{value}{pieces[3]}"


FIGURES: Final = Form(
    wire.Fitting, without=frozenset({"audit", "reference", "curve", "cures", "geometry", "candidates", "words"})
)
"""The answer's figures, ids and codes: what its digest is of, but the caller's reference."""

BALANCE_WITH_CURVE: Final = Form(wire.Balance)


def words_text(spoken: Words, cures: tuple[Label, ...] | None) -> str:
    """The words of an answer, written; cures only where they were asked for.

    Texts of ours, ids of the catalogue and numbers have no sign that JSON would escape, which a test demands.
    """
    cautions = [f'{{"code":"{one.code}","text":"{one.text}"}}' for one in spoken.cautions]
    told = "" if cures is None else f'"cures":[{_labels("id", cures)}],'
    lines = '","'.join(spoken.lines)
    warnings = [f'{{"code":"{one.code}","message":"{one.message}","remedy":"{one.remedy}"}}' for one in spoken.warnings]
    work = [
        f'{{"cautions":[{_codes(one.cautions)}],"key":"{one.key}","text":"{one.text}","title":"{one.title}"}}'
        for one in spoken.work
    ]
    return (
        f'{{"cautions":[{",".join(cautions)}],"checks":[{_labels("id", spoken.checks)}],{told}'
        f'"headline":"{spoken.headline}","language":"{spoken.language}","lines":["{lines}"],'
        f'"parts":[{_labels("key", spoken.parts)}],"warnings":[{",".join(warnings)}],"work":[{",".join(work)}]}}'
    )


def _labels(name: str, labels: tuple[Label, ...]) -> str:
    """Labels of checks, parts or cures, each with its id under a name."""
    return ",".join([f'{{"{name}":"{one.id}","label":"{one.label}"}}' for one in labels])


def _codes(codes: tuple[str, ...]) -> str:
    return ",".join([f'"{code}"' for code in codes])

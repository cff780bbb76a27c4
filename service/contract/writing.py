"""Writing an answer, once: members sorted as RFC 8785 wants, so that what is sent is what is digested.

The contract's types say which members there are; their values are those of the core's objects of the same names, figures
rounded on the way. What has no value is left out. Compiled like the core.
"""

from functools import lru_cache
from typing import Any, Final, final, get_args, get_type_hints

import msgspec

from service.audit.figures import figure_text
from service.calculation.checks import Check
from service.calculation.parts import Part
from service.contract import answers as wire
from service.words.model import Label, Words


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
        """An object, written; not by way of `members`, since a dictionary for each object takes half as long again."""
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
        return "[" + ",".join([_in_list(one, inner) for one in value]) + "]"
    return inner.text(value)


def _in_list(one: object, form: Form) -> str:
    """An object of a list, written; the long lists have functions of their own, which are four times as fast as forms."""
    if isinstance(one, Check):
        return _check(one)
    if isinstance(one, Part):
        return _part(one)
    return form.text(one)


def _check(check: Check) -> str:
    """A check, written; its row's texts are ours, without a sign that JSON escapes."""
    row = check.row
    return (
        f'{{"direction":"{row.direction}","id":"{row.id}","kind":"{row.kind}","limit":{figure_text(check.limit)},'
        f'"margin":{figure_text(check.margin)},"pointer":"{row.pointer}","state":"{check.state}","unit":"{row.unit}",'
        f'"value":{figure_text(check.value)}}}'
    )


def _part(part: Part) -> str:
    """A part, written."""
    named = "" if part.catalogue_id is None else f'"catalogue_id":"{part.catalogue_id}",'
    cut = "" if part.cut_length_mm is None else f'"cut_length_mm":{figure_text(part.cut_length_mm)},'
    packs = "" if part.thickness_mm is None else f'"thickness_mm":{figure_text(part.thickness_mm)},'
    return (
        f'{{"article":{_quoted(part.article)},{named}{cut}"key":"{part.key}","quantity":{part.quantity},{packs}'
        f'"unit":"{part.unit}"}}'
    )


FIGURES: Final = Form(
    wire.Fitting, without=frozenset({"audit", "reference", "curve", "cures", "geometry", "candidates", "words"})
)
"""The answer's figures, ids and codes: what its digest is of, but the caller's reference."""

BALANCE_WITH_CURVE: Final = Form(wire.Balance)


def words_text(spoken: Words, cures: tuple[Label, ...] | None) -> str:
    """The words of an answer, written; cures only where they were asked for."""
    return str(words_json(spoken, cures), "utf-8")


def words_json(spoken: Words, cures: tuple[Label, ...] | None) -> bytes:
    """The words of an answer, written in UTF-8; cures only where they were asked for.

    Texts of ours, ids of the catalogue and numbers have no sign that JSON would escape, which a test demands.
    """
    lists = {name: b",".join(each) for name, each in spoken.written.items()}
    told = b""
    if cures is not None:
        labels = [f'{{"id":"{one.id}","label":"{one.label}"}}' for one in cures]
        told = f'"cures":[{",".join(labels)}],'.encode()
    pieces = [
        *(b'{"cautions":[', lists["cautions"], b'],"checks":[', lists["checks"], b"],", told),
        *(b'"headline":', spoken.written_headline, b',"language":"', spoken.language.encode()),
        *(b'","lines":[', lists["lines"], b'],"parts":[', lists["parts"]),
        *(b'],"warnings":[', lists["warnings"], b'],"work":[', lists["work"], b"]}"),
    ]
    return b"".join(pieces)

"""Writing an answer, once: members sorted as RFC 8785 wants, so that what is sent is what is digested.

The contract's types say which members there are; their values are those of the objects of the same names: the core's,
figures rounded on the way, or a request's, numbers as they were sent. What has no value is left out. Compiled like the core.
"""

from json.encoder import encode_basestring
from math import floor
from typing import Any, Final, final, get_args, get_type_hints

import msgspec
import rfc8785

from service.audit.figures import LARGE, figure_text, whole_text
from service.calculation.checks import ROWS, Check
from service.calculation.parts import Part
from service.contract import answers as wire
from service.contract.requests import FittingRequest
from service.words.model import Label, Words

SMALLEST_PLAIN: Final = 1e-4
"""Numbers from here on are written without an exponent by Python, as RFC 8785 writes them."""


def quoted(text: str) -> str:
    """Any text as JSON has it."""
    return encode_basestring(text)


def number_text(number: float) -> str:
    """A number as RFC 8785 writes it, not rounded."""
    size = abs(number)
    if size < LARGE:
        whole = floor(number)
        if whole == number:
            return whole_text(whole)
        if size >= SMALLEST_PLAIN:
            return repr(number)
    return str(rfc8785.dumps(number), "utf-8")


def written(members: dict[str, str]) -> str:
    """An object of members that are written already."""
    inside = ",".join([f'"{name}":{members[name]}' for name in sorted(members)])
    return f"{{{inside}}}"


@final
class Form:
    """How objects of one kind, and those within them, are written; some members are left out wherever they stand.

    Those `as_sent` are requests: their numbers are not rounded, and what they do not have is unset instead of None.
    """

    def __init__(self, kind: type[msgspec.Struct], *, without: frozenset[str] = frozenset(), as_sent: bool = False) -> None:
        """Prepare for a type of the contract."""
        hints = get_type_hints(kind)
        self.names = sorted([name for name in hints if name not in without])
        self.labels = [f'"{name}":' for name in self.names]
        self.inner: list[Form | None] = [_form_within(hints[name], without, as_sent=as_sent) for name in self.names]
        self.as_sent = as_sent
        self.nothing: object = msgspec.UNSET if as_sent else None

    def members(self, content: object) -> dict[str, str]:
        """The members of an object that have a value, written, by name."""
        found: dict[str, str] = {}
        for name, inner in zip(self.names, self.inner, strict=True):
            value = getattr(content, name)
            if value is not self.nothing:
                found[name] = self._value(value, inner)
        return found

    def text(self, content: object) -> str:
        """An object, written; not by way of `members`, since a dictionary for each object takes half as long again."""
        found: list[str] = []
        for index, name in enumerate(self.names):
            value = getattr(content, name)
            if value is not self.nothing:
                found.append(f"{self.labels[index]}{self._value(value, self.inner[index])}")
        return f"{{{','.join(found)}}}"

    def _value(self, value: Any, inner: "Form | None") -> str:
        """A member's value or one of a list, written; `inner` is the form of the objects in it."""
        if isinstance(value, float):
            return number_text(value) if self.as_sent else figure_text(value)
        if isinstance(value, str):
            return quoted(value)
        if isinstance(value, list):
            return f"[{','.join([self._value(one, inner) for one in value])}]"
        if isinstance(value, int):
            return str(value).lower() if isinstance(value, bool) else str(value)
        return _object(value, inner)


def _object(content: object, form: Form | None) -> str:
    """An object, written: those of the long lists by functions of their own, which are many times as fast as forms."""
    if isinstance(content, Check):
        return _check(content)
    if isinstance(content, Part):
        return _part(content)
    if form is None:
        raise TypeError(f"{type(content).__name__} has no form")
    return form.text(content)


def _form_within(hint: Any, without: frozenset[str], *, as_sent: bool) -> Form | None:
    """The form of the objects that a member holds, one or a list of them; None where it holds none."""
    if isinstance(hint, type) and issubclass(hint, msgspec.Struct):
        return Form(hint, without=without, as_sent=as_sent)
    for inner in get_args(hint):
        found = _form_within(inner, without, as_sent=as_sent)
        if found is not None:
            return found
    return None


AROUND_FIGURES: Final = {
    row.id: (
        f'{{"direction":"{row.direction}","id":"{row.id}","kind":"{row.kind}","limit":',
        f',"pointer":"{row.pointer}","state":"',
        f'","unit":"{row.unit}","value":',
    )
    for row in ROWS.values()
}
"""What is always the same in a check that is written; its texts are ours, without a sign that JSON escapes."""


def _check(check: Check) -> str:
    """A check, written."""
    limit, state, value = AROUND_FIGURES[check.row.id]
    return (
        f'{limit}{figure_text(check.limit)},"margin":{figure_text(check.margin)}{state}{check.state}'
        f"{value}{figure_text(check.value)}}}"
    )


def _part(part: Part) -> str:
    """A part, written."""
    named = "" if part.catalogue_id is None else f'"catalogue_id":"{part.catalogue_id}",'
    cut = "" if part.cut_length_mm is None else f'"cut_length_mm":{figure_text(part.cut_length_mm)},'
    packs = "" if part.thickness_mm is None else f'"thickness_mm":{figure_text(part.thickness_mm)},'
    return (
        f'{{"article":{quoted(part.article)},{named}{cut}"key":"{part.key}","quantity":{part.quantity},{packs}'
        f'"unit":"{part.unit}"}}'
    )


FIGURES: Final = Form(
    wire.Fitting, without=frozenset({"audit", "reference", "curve", "cures", "geometry", "candidates", "words"})
)
"""The answer's figures, ids and codes: what its digest is of, but the caller's reference."""

BALANCE_WITH_CURVE: Final = Form(wire.Balance)
REQUEST: Final = Form(FittingRequest, as_sent=True)
"""The request as understood."""


def words_json(spoken: Words, cures: tuple[Label, ...] | None) -> bytes:
    """The words of an answer, written in UTF-8; cures only where they were asked for.

    Texts of ours, ids of the catalogue and numbers have no sign that JSON would escape, which a test demands.
    """
    if cures is None:
        return b"".join(spoken.pieces)
    labels = ",".join([f'{{"id":"{one.id}","label":"{one.label}"}}' for one in cures])
    before, behind = spoken.pieces[: spoken.cures_at], spoken.pieces[spoken.cures_at :]
    return b"".join([*before, f'"cures":[{labels}],'.encode(), *behind])

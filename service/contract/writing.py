"""Writing an answer, once: members sorted as RFC 8785 wants, so that what is sent is what is digested.

The contract's types say which members there are; their values are those of the objects of the same names: the core's,
figures rounded on the way, or a request's, numbers as they were sent. What has no value is left out. Compiled like the core.
"""

from bisect import bisect_left, bisect_right
from json.encoder import encode_basestring
from math import floor
from typing import Any, Final, final, get_args, get_type_hints

import msgspec
import rfc8785

from service.audit.figures import LARGE, put_figure, whole_text
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


def put_number(pieces: list[str], number: float) -> None:
    """Write a number as RFC 8785 does, not rounded."""
    size = abs(number)
    if size < LARGE:
        whole = floor(number)
        if whole == number:
            pieces.append(whole_text(whole))
            return
        if size >= SMALLEST_PLAIN:
            pieces.append(repr(number))
            return
    pieces.append(str(rfc8785.dumps(number), "utf-8"))


NOTHING_READY: Final[dict[str, str]] = {}
"""No members that are written already."""


@final
class Form:
    """How objects of one kind, and those within them, are written; some members are left out wherever they stand.

    What is written is put behind other pieces of text, which are joined once: a text for each object and each number would
    take half as long again. Those `as_sent` are requests: their numbers are not rounded, and what they do not have is unset
    instead of None.
    """

    def __init__(self, kind: type[msgspec.Struct], *, without: frozenset[str] = frozenset(), as_sent: bool = False) -> None:
        """Prepare for a type of the contract."""
        hints = get_type_hints(kind)
        self.names = sorted([name for name in hints if name not in without])
        self.first = [f'{{"{name}":' for name in self.names]
        self.following = [f',"{name}":' for name in self.names]
        self.inner: list[Form | None] = [_form_within(hints[name], without, as_sent=as_sent) for name in self.names]
        self.as_sent = as_sent
        self.nothing: object = msgspec.UNSET if as_sent else None

    def text(self, content: object, ready: dict[str, str] = NOTHING_READY) -> str:
        """An object, written; members that are `ready` written stand among its own, or in the place of one."""
        pieces: list[str] = []
        self.put(pieces, content, ready)
        return "".join(pieces)

    def put(self, pieces: list[str], content: object, ready: dict[str, str] = NOTHING_READY) -> None:
        """Write an object."""
        start, done = len(pieces), 0
        if ready:
            for name in sorted(ready):
                self._put_members(pieces, start, content, done, bisect_left(self.names, name))
                pieces.append(f'{"{" if len(pieces) == start else ","}"{name}":{ready[name]}')
                done = bisect_right(self.names, name)
        self._put_members(pieces, start, content, done, len(self.names))
        pieces.append("{}" if len(pieces) == start else "}")

    def _put_members(self, pieces: list[str], start: int, content: object, from_index: int, to_index: int) -> None:
        """Write some members of an object that begins as the piece `start`."""
        for index in range(from_index, to_index):
            value = getattr(content, self.names[index])
            if value is not self.nothing:
                pieces.append(self.first[index] if len(pieces) == start else self.following[index])
                self._put_value(pieces, value, self.inner[index])

    def _put_value(self, pieces: list[str], value: Any, inner: "Form | None") -> None:
        """Write a member's value or one of a list; `inner` is the form of the objects in it."""
        if isinstance(value, float):
            if self.as_sent:
                put_number(pieces, value)
            else:
                put_figure(pieces, value)
        elif isinstance(value, str):
            pieces.append(quoted(value))
        elif isinstance(value, list):
            between = "["
            for one in value:
                pieces.append(between)
                self._put_value(pieces, one, inner)
                between = ","
            pieces.append("[]" if between == "[" else "]")
        elif isinstance(value, int):
            pieces.append(str(value).lower() if isinstance(value, bool) else str(value))
        else:
            _put_object(pieces, value, inner)


def _put_object(pieces: list[str], content: object, form: Form | None) -> None:
    """Write an object: those of the long lists by functions of their own, which are many times as fast as forms."""
    if isinstance(content, Check):
        _put_check(pieces, content)
    elif isinstance(content, Part):
        _put_part(pieces, content)
    elif form is None:
        raise TypeError(f"{type(content).__name__} has no form")
    else:
        form.put(pieces, content)


def _form_within(hint: Any, without: frozenset[str], *, as_sent: bool) -> Form | None:
    """The form of the objects that a member holds, one or a list of them; None where it holds none."""
    if isinstance(hint, type) and issubclass(hint, msgspec.Struct):
        return Form(hint, without=without, as_sent=as_sent)
    for inner in get_args(hint):
        found = _form_within(inner, without, as_sent=as_sent)
        if found is not None:
            return found
    return None


AROUND_FIGURES: Final = [
    (
        f'{{"direction":"{row.direction}","id":"{row.id}","kind":"{row.kind}","limit":',
        f',"pointer":"{row.pointer}","state":"',
        f'","unit":"{row.unit}","value":',
    )
    for row in ROWS.values()
]
"""What is always the same in a check that is written, by its order; our own texts, without a sign that JSON escapes."""


def _put_check(pieces: list[str], check: Check) -> None:
    """Write a check."""
    limit, state, value = AROUND_FIGURES[check.row.order]
    pieces.append(limit)
    put_figure(pieces, check.limit)
    pieces.append(',"margin":')
    put_figure(pieces, check.margin)
    pieces.append(state)
    pieces.append(check.state)
    pieces.append(value)
    put_figure(pieces, check.value)
    pieces.append("}")


def _put_part(pieces: list[str], part: Part) -> None:
    """Write a part; keys, units and ids have no sign that JSON escapes."""
    pieces.append('{"article":')
    pieces.append(quoted(part.article))
    if part.catalogue_id is not None:
        pieces.append(',"catalogue_id":"')
        pieces.append(part.catalogue_id)
        pieces.append('"')
    if part.cut_length_mm is not None:
        pieces.append(',"cut_length_mm":')
        put_figure(pieces, part.cut_length_mm)
    pieces.append(',"key":"')
    pieces.append(part.key)
    pieces.append('","quantity":')
    pieces.append(whole_text(part.quantity))
    if part.thickness_mm is not None:
        pieces.append(',"thickness_mm":')
        put_figure(pieces, part.thickness_mm)
    pieces.append(',"unit":"')
    pieces.append(part.unit)
    pieces.append('"}')


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

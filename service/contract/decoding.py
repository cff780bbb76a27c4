"""Reading a JSON body: strict, every member at fault named, nothing taken twice."""

import json
import re
from collections import Counter
from collections.abc import Iterable, Iterator
from functools import cache
from itertools import chain, islice
from math import inf, isinf
from typing import Any, Generic, TypeVar

import jsonschema_rs
import msgspec
from msgspec import UNSET

from service.contract.jobs import faults_of_size
from service.contract.problems import AT_LEAST, AT_MOST, MISMATCH, ONE_OF, WHOLE_NUMBER, Mistake, Refusal, mistake
from service.contract.requests import ID_PATTERN, FittingRequest
from service.contract.schemas import Schema, schemas
from service.contract.syntax import unreadable
from service.contract.units import SHA256_PATTERN
from service.words.languages import marked

T = TypeVar("T")
Kind = jsonschema_rs.ValidationErrorKind
PATTERNS = {
    ID_PATTERN: marked("must be an id of letters, digits, '_', '.', '-', at most 40 long, a letter or digit first"),
    SHA256_PATTERN: marked("must be 64 hexadecimal digits in small letters"),
}
"""What each pattern of the contract means."""
OTHER = ("other", marked("is not as the contract says"))
FINDINGS: dict[type, tuple[str, str]] = {
    Kind.Enum: ("choice", ONE_OF),
    Kind.Type: ("type", marked("must be of type {types}")),
    Kind.Minimum: ("minimum", AT_LEAST),
    Kind.Maximum: ("maximum", AT_MOST),
    Kind.MinItems: ("too_few", marked("must have at least {limit} entries")),
    Kind.MaxItems: ("too_many", marked("must have at most {limit} entries")),
    Kind.MinLength: ("too_short", marked("must have at least {limit} characters")),
    Kind.MaxLength: ("too_long", marked("must have at most {limit} characters")),
    Kind.Pattern: ("pattern", ""),
    Kind.MultipleOf: ("whole_number", WHOLE_NUMBER),
}
"""The code and the words of what a schema validator finds; `PATTERNS` has those of a pattern."""
MISSING = marked("the member is missing")
UNKNOWN = marked("there is no such member")
UNIT = marked("must be at least {limit}; if {given} is meant in {unit}, write {converted}")
UNITS = {"cm": 10, "m": 1000}
"""Millimetres of the units that sizes are given in by mistake."""
CLEARLY_LESS = 0.9
"""Share of a least size below which a size may be meant in another unit; a size just below it is probably meant in mm."""

FAULTS_MAX = 50
SEARCHED_BYTES = 262_144
"""Bytes of a body that is searched for all its faults; of a longer one the first is told."""
LIST_SEARCHED = 100
"""Entries of a list that are searched, since the validator finds all faults before it tells one. More than a list of one
fitting may have; of longer lists the decoder tells the length, and the first fault further on."""


class _TwiceError(Exception):
    """A member that is there twice."""


def _refuse_twice(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    members = dict(pairs)
    if len(members) != len(pairs):
        raise _TwiceError
    return members


def _may_be_twice(body: bytes) -> bool:
    """Whether a member may be there twice: then the body has more colons than what is read of it.

    With an escaped character a text may have one more than its body, so a body with any is not judged by its colons. Only
    for bodies whose numbers have been found small enough: msgspec takes 20 µs for one such as 1e300.
    """
    return b"\\" in body or body.count(b":") != msgspec.json.encode(msgspec.json.decode(body)).count(b":")


_REFUSING_TWICE = json.JSONDecoder(object_pairs_hook=_refuse_twice)


class BodyDecoder(Generic[T]):
    """Decodes a body to a type, or refuses it with everything that is wrong.

    msgspec decodes strictly but stops at the first fault and lets the last of two equal members win. So a body is read a
    second time for double members, by the standard library's slow reader only where there may be some, and once more
    against the schema, which finds all faults, only where it is refused.
    """

    def __init__(self, type: type[T], *, with_anything: bool = False) -> None:
        """Prepare for a type; one `with_anything` in it does not say of every number how large it may be."""
        self._decoder = msgspec.json.Decoder(type)
        self._type: Any = type
        self._with_anything = with_anything

    def decode(self, body: bytes) -> T:
        """The body's content.

        Raises:
            Refusal: the body is no JSON, or does not match the contract.
        """
        if not body:
            raise unreadable(body)
        try:
            content = self._decoder.decode(body)
            if self._with_anything or _may_be_twice(body):
                _REFUSING_TWICE.decode(body.decode())
        except msgspec.ValidationError as error:
            raise Refusal("invalid-request", MISMATCH, faults=self._all_faults(body, error)) from error
        except _TwiceError as error:
            told = marked("The body names a member twice.")
            raise Refusal("invalid-request", told, faults=_members_twice(body)) from error
        except (msgspec.DecodeError, ValueError, RecursionError) as error:
            raise unreadable(body, error) from error
        return content

    def _all_faults(self, body: bytes, first: msgspec.ValidationError) -> list[Mistake]:
        """The faults the schema finds; the decoder's own where the schema finds none, or the body is long."""
        try:
            msgspec.json.decode(body, type=msgspec.Raw)  # raises where it is no JSON further on, also half a surrogate pair
            if len(body) > SEARCHED_BYTES:
                return [_first_fault(first)]
            content = _REFUSING_TWICE.decode(body.decode())
        except _TwiceError:
            return _members_twice(body)
        except (ValueError, RecursionError, msgspec.DecodeError) as error:
            raise unreadable(body, error) from error
        return self._faults(content, first)

    def convert(self, content: Any) -> T:
        """The same from content that has been read already, and is not read again.

        Raises:
            Refusal: it does not match the contract.
        """
        try:
            found: T = msgspec.convert(content, self._type)
        except msgspec.ValidationError as error:
            long = len(msgspec.json.encode(content)) > SEARCHED_BYTES
            faults = [_first_fault(error)] if long else self._faults(content, error)
            raise Refusal("invalid-request", MISMATCH, faults=faults) from error
        return found

    def _faults(self, content: Any, first: msgspec.ValidationError) -> list[Mistake]:
        """The faults the schema finds in plain content; the decoder's own where it is nested too deep to be searched."""
        try:
            content = _shortened(content, _known(self._type))
            found = (
                fault for error in validator(self._type).iter_errors(content) for fault in _faults(error, schema(self._type))
            )
            return _once(chain(found, _faults_of_size(self._type, content))) or [_first_fault(first)]
        except (RecursionError, ValueError):  # the validator says by a ValueError that it goes no deeper
            return [_first_fault(first)]


def _faults_of_size(type: Any, content: Any) -> Iterable[Mistake]:
    """What is wrong with the size of a request's opening: either-or, which the schema says in words only."""
    opening = content.get("opening") if type is FittingRequest and isinstance(content, dict) else None
    return faults_of_size(opening, parent="/opening") if isinstance(opening, dict) else ()


def _shortened(content: Any, known: frozenset[str]) -> Any:
    """The content as far as it is searched: the beginnings of its lists; of members the known, and the first others."""
    if isinstance(content, dict):
        others = islice((name for name in content if name not in known), FAULTS_MAX)
        return {
            **{name: _shortened(content[name], known) for name in content if name in known},
            **dict.fromkeys(others),
        }
    if isinstance(content, list):
        return [_shortened(member, known) for member in content[:LIST_SEARCHED]]
    return content


@cache
def _known(type: Any) -> frozenset[str]:
    """The names of all members that the contract has anywhere in a type."""
    _, named = schemas([type], template="{name}")
    return frozenset(name for schema in named.values() for name in schema.get("properties", ()))


@cache
def schema(type: Any) -> Schema:
    """The type's schema with those it refers to."""
    (root,), named = schemas([type], template="#/$defs/{name}")
    return {**root, "$defs": named}


@cache
def validator(type: Any) -> jsonschema_rs.Draft202012Validator:
    """A validator of the type's schema."""
    return jsonschema_rs.Draft202012Validator(schema(type))


def decode_plainly(body: bytes) -> Any:
    """A body's content as plain objects, members of any kind.

    Not by msgspec, which takes 20 µs for a number such as 1e300 and keeps all others waiting meanwhile.

    Raises:
        Refusal: the body is no JSON, or has a number that no computer holds.
    """
    try:
        # raises where the other reader does not: at NaN and at half a surrogate pair
        msgspec.json.decode(body, type=msgspec.Raw)
        return json.loads(body, parse_float=_finite)
    except (ValueError, RecursionError, msgspec.DecodeError) as error:
        raise unreadable(body, error) from error


def _finite(text: str) -> float:
    number = float(text)
    if isinf(number):
        raise ValueError("number out of range")
    return number


def _escape(name: str) -> str:
    """One token of a JSON Pointer (RFC 6901)."""
    return name.replace("~", "~0").replace("/", "~1")


def _pointer(path: list[str | int]) -> str:
    return "".join(f"/{_escape(str(token))}" for token in path)


def _faults(error: jsonschema_rs.ValidationError, whole: Schema) -> list[Mistake]:
    """A schema validator's finding, a mistake for each member it concerns; `whole` is the schema."""
    path, kind = list(error.instance_path), error.kind
    if isinstance(kind, Kind.Required):
        return [mistake("missing", MISSING, pointer=_pointer([*path, kind.property]))]
    if isinstance(kind, Kind.AdditionalProperties):
        return [mistake("unknown_member", UNKNOWN, pointer=_pointer([*path, name])) for name in kind.unexpected]
    given, limit, figures = error.instance, getattr(kind, "limit", UNSET), {}
    code, words = FINDINGS.get(type(kind), OTHER)
    if isinstance(kind, Kind.Pattern):
        words = PATTERNS[kind.pattern]
    elif isinstance(kind, Kind.Enum):
        figures = {"choices": ", ".join(map(str, kind.options))}
    elif isinstance(kind, Kind.Type):
        figures = {"types": ", ".join(kind.types)}
    elif isinstance(kind, Kind.Minimum):
        figures = _other_unit(path, given, kind.limit, _at(whole, list(error.schema_path)[:-1]).get("maximum", inf))
        words = UNIT if figures else words
    return [mistake(code, words, pointer=_pointer(path), limit=limit, actual=given, **figures)]


def _at(whole: Schema, path: list[str | int]) -> Schema:
    """The part of a schema at a path."""
    for step in path:
        whole = whole[step]  # type: ignore[index]  # the steps into a list are numbers
    return whole


def _other_unit(path: list[str | int], given: Any, least: Any, most: Any) -> dict[str, Any]:
    """The unit that a size below its least value in mm is perhaps meant in, and the size in mm; both as JSON has them."""
    names = [step for step in path if isinstance(step, str)]
    if names and names[-1].endswith("_mm") and given < CLEARLY_LESS * least:
        for unit, factor in UNITS.items():
            if least <= given * factor <= most:
                return {"given": f"{given:g}", "unit": unit, "converted": f"{given * factor:g}"}
    return {}


def _once(faults: Iterator[Mistake]) -> list[Mistake]:
    """The faults in order, each once, and no more than are told: the rest is not looked for."""
    return list(dict.fromkeys(islice(faults, FAULTS_MAX)))


MSGSPEC_PLACE = re.compile(r" - at `(?:key in )?\$(?P<path>[^`]*)`$")
MSGSPEC_TOKEN = re.compile(r"\.([^.\[]+)|\[(\d+)\]|\[\.\.\.\]")
MSGSPEC_MEMBER = re.compile(r"^Object (?P<what>missing required|contains unknown) field `(?P<name>.*)`$", re.DOTALL)
MSGSPEC_LENGTH = re.compile(r"^Expected `array` of length <= (?P<most>[0-9]+)$")
MSGSPEC_TYPE = re.compile(r"^Expected `(?P<types>[a-z |]+)`, got `")
JSON_TYPES = {"float": "number", "int": "integer", "str": "string", "bool": "boolean"}
"""What the decoder's types are called in JSON, where they are called otherwise."""


def _first_fault(error: msgspec.ValidationError) -> Mistake:
    """The decoder's own finding, its path turned into a JSON Pointer."""
    text = str(error)
    found = MSGSPEC_PLACE.search(text)
    path = [name or number for name, number in MSGSPEC_TOKEN.findall(found["path"])] if found else []
    told = MSGSPEC_PLACE.sub("", text)
    member = MSGSPEC_MEMBER.match(told)
    if member is not None:
        code, words = ("unknown_member", UNKNOWN) if member["what"] == "contains unknown" else ("missing", MISSING)
        return mistake(code, words, pointer=_pointer([*path, member["name"]]))
    length = MSGSPEC_LENGTH.match(told)
    if length is not None:
        code, words = FINDINGS[Kind.MaxItems]
        return mistake(code, words, pointer=_pointer(path), limit=int(length["most"]))
    typed = MSGSPEC_TYPE.match(told)
    if typed is not None:
        types = ", ".join(JSON_TYPES.get(one, one) for one in typed["types"].split(" | "))
        return mistake("type", FINDINGS[Kind.Type][1], pointer=_pointer(path), types=types)
    return mistake(*OTHER, pointer=_pointer(path))


def _members_twice(body: bytes) -> list[Mistake]:
    """The members that are there twice, found by reading the body as lists of pairs.

    Raises:
        Refusal: the body is no JSON further on.
    """

    class Pairs(list[tuple[str, Any]]):
        """The members of one object, double ones included."""

    def walk(value: Any, path: tuple[str | int, ...]) -> Iterator[Mistake]:
        if isinstance(value, Pairs):
            for name, count in Counter(name for name, _ in value).items():
                if count > 1:
                    yield mistake("twice", marked("the member is there twice"), pointer=_pointer([*path, name]))
        members: Iterable[tuple[str | int, Any]] = value if isinstance(value, Pairs) else enumerate(value)
        for token, member in members:
            if isinstance(member, list):  # a list, or an object's pairs
                yield from walk(member, (*path, token))

    try:
        content = json.loads(body, object_pairs_hook=Pairs)
        return _once(walk(content, ()))
    except (ValueError, RecursionError) as error:
        raise unreadable(body, error) from error

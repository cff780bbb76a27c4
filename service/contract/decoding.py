"""Reading a JSON body: strict, every member at fault named, nothing taken twice."""

import json
import re
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from functools import cache
from itertools import chain, islice
from math import isinf
from typing import Any, Generic, TypeVar

import jsonschema_rs
import msgspec

from service.contract.jobs import faults_of_size
from service.contract.problems import Fault, Refusal
from service.contract.requests import ID_PATTERN, FittingRequest
from service.contract.schemas import schemas
from service.contract.units import SHA256_PATTERN

T = TypeVar("T")
Kind = jsonschema_rs.ValidationErrorKind
PATTERNS = {
    ID_PATTERN: "must be an id of letters, digits, '_', '.', '-', at most 40 long, a letter or digit first",
    SHA256_PATTERN: "must be 64 hexadecimal digits in small letters",
}
"""What each pattern of the contract means."""
WORDS: dict[type, Callable[[Any], str]] = {
    Kind.Enum: lambda kind: f"must be one of {', '.join(map(str, kind.options))}",
    Kind.Type: lambda kind: f"must be of type {' or '.join(kind.types)}",
    Kind.Minimum: lambda kind: f"must be at least {kind.limit:g}",
    Kind.Maximum: lambda kind: f"must be at most {kind.limit:g}",
    Kind.MinItems: lambda kind: f"must have at least {kind.limit} entries",
    Kind.MaxItems: lambda kind: f"must have at most {kind.limit} entries",
    Kind.MinLength: lambda kind: f"must have at least {kind.limit} characters",
    Kind.MaxLength: lambda kind: f"must have at most {kind.limit} characters",
    Kind.MultipleOf: lambda _: "must be a whole number",
    Kind.Pattern: lambda kind: PATTERNS[kind.pattern],
}
"""What a schema validator's finding means to a caller."""

FAULTS_MAX = 50
SEARCHED_BYTES = 262_144
"""Bytes of a body that is searched for all its faults; of a longer one the first is told."""
LIST_SEARCHED = 100
"""Entries of a list that are searched, more than any list may have: the validator finds all faults before it tells one."""
UNREADABLE = "The body is not JSON in UTF-8, is nested too deep, or holds a number that is too long."


class _TwiceError(Exception):
    """A member that is there twice."""


def _refuse_twice(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    members = dict(pairs)
    if len(members) != len(pairs):
        raise _TwiceError
    return members


_REFUSING_TWICE = json.JSONDecoder(object_pairs_hook=_refuse_twice)


class BodyDecoder(Generic[T]):
    """Decodes a body to a type, or refuses it with everything that is wrong.

    msgspec decodes strictly but stops at the first fault and lets the last of two equal members win. So a body is read a
    second time for double members, and only a refused one a third time against the schema, which finds all faults.
    """

    def __init__(self, type: type[T]) -> None:
        """Prepare for a type."""
        self._decoder = msgspec.json.Decoder(type)
        self._type: Any = type

    def decode(self, body: bytes) -> T:
        """The body's content.

        Raises:
            Refusal: the body is no JSON, or does not match the contract.
        """
        if not body:
            raise Refusal("malformed-body", "The body is empty; send one JSON document.")
        try:
            content = self._decoder.decode(body)
            _REFUSING_TWICE.decode(body.decode())
        except msgspec.ValidationError as error:
            raise Refusal(
                "invalid-request", "The body does not match the contract.", faults=self._all_faults(body, error)
            ) from error
        except (msgspec.DecodeError, UnicodeDecodeError) as error:
            raise Refusal("malformed-body", f"The body is not JSON in UTF-8: {_reason(error)}.") from error
        except RecursionError as error:
            raise Refusal("malformed-body", "The body is nested too deep.") from error
        except ValueError as error:  # Python refuses whole numbers of more than 4300 digits
            raise Refusal("malformed-body", "The body holds a number that is too long.") from error
        except _TwiceError as error:
            raise Refusal("invalid-request", "The body names a member twice.", faults=_members_twice(body)) from error
        return content

    def _all_faults(self, body: bytes, first: msgspec.ValidationError) -> list[Fault]:
        """The faults the schema finds; the decoder's own where the schema finds none, or the body is long."""
        try:
            if len(body) > SEARCHED_BYTES:
                msgspec.json.decode(body, type=msgspec.Raw)  # raises where it is no JSON further on
                return [_first_fault(first)]
            content = _shortened(_REFUSING_TWICE.decode(body.decode()), _known(self._type))
        except _TwiceError:
            return _members_twice(body)
        except (ValueError, RecursionError, msgspec.DecodeError) as error:
            raise Refusal("malformed-body", UNREADABLE) from error
        found = (fault for error in validator(self._type).iter_errors(content) for fault in _faults(error))
        return _once(chain(found, _faults_of_size(self._type, content))) or [_first_fault(first)]


def _faults_of_size(type: Any, content: Any) -> Iterable[Fault]:
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
def validator(type: Any) -> jsonschema_rs.Draft202012Validator:
    """A validator of the type's schema."""
    (root,), named = schemas([type], template="#/$defs/{name}")
    return jsonschema_rs.Draft202012Validator({**root, "$defs": named})


def decode_plainly(body: bytes) -> Any:
    """A body's content as plain objects, members of any kind.

    Not by msgspec, which takes 11 µs for a number such as 1e300 and keeps all others waiting meanwhile.

    Raises:
        Refusal: the body is no JSON, or has a number that no computer holds.
    """
    try:
        return json.loads(body, parse_float=_finite)
    except (ValueError, RecursionError) as error:
        raise Refusal("malformed-body", f"The body cannot be read: {error}.") from error


def _finite(text: str) -> float:
    number = float(text)
    if isinf(number):
        raise ValueError("number out of range")
    return number


def _reason(error: Exception) -> str:
    """Why a decoder gave up, in lower case, without a full stop."""
    text = "bytes that are not UTF-8" if isinstance(error, UnicodeDecodeError) else str(error)
    return text.removeprefix("JSON is malformed: ").rstrip(".").lower()


def _escape(name: str) -> str:
    """One token of a JSON Pointer (RFC 6901)."""
    return name.replace("~", "~0").replace("/", "~1")


def _pointer(path: list[str | int]) -> str:
    return "".join(f"/{_escape(str(token))}" for token in path)


def _faults(error: jsonschema_rs.ValidationError) -> list[Fault]:
    """A schema validator's finding in plain words, a fault for each member it concerns."""
    path, kind = list(error.instance_path), error.kind
    if isinstance(kind, Kind.Required):
        return [Fault("the member is missing", pointer=_pointer([*path, kind.property]))]
    if isinstance(kind, Kind.AdditionalProperties):
        return [Fault("there is no such member", pointer=_pointer([*path, name])) for name in kind.unexpected]
    words = WORDS.get(type(kind))
    return [Fault(words(kind) if words else str(error.message)[:200], pointer=_pointer(path))]


def _once(faults: Iterator[Fault]) -> list[Fault]:
    """The faults in order, each once, and no more than are told: the rest is not looked for."""
    return list(dict.fromkeys(islice(faults, FAULTS_MAX)))


MSGSPEC_PLACE = re.compile(r" - at `(?:key in )?\$(?P<path>[^`]*)`$")
MSGSPEC_TOKEN = re.compile(r"\.([^.\[]+)|\[(\d+)\]|\[\.\.\.\]")


def _first_fault(error: msgspec.ValidationError) -> Fault:
    """The decoder's own finding, its path turned into a JSON Pointer."""
    text = str(error)
    found = MSGSPEC_PLACE.search(text)
    path = [name or number for name, number in MSGSPEC_TOKEN.findall(found["path"])] if found else []
    return Fault(MSGSPEC_PLACE.sub("", text), pointer=_pointer(path))


def _members_twice(body: bytes) -> list[Fault]:
    """The members that are there twice, found by reading the body as lists of pairs.

    Raises:
        Refusal: the body is no JSON further on.
    """

    class Pairs(list[tuple[str, Any]]):
        """The members of one object, double ones included."""

    def walk(value: Any, path: tuple[str | int, ...]) -> Iterator[Fault]:
        if isinstance(value, Pairs):
            for name, count in Counter(name for name, _ in value).items():
                if count > 1:
                    yield Fault("the member is there twice", pointer=_pointer([*path, name]))
        members: Iterable[tuple[str | int, Any]] = value if isinstance(value, Pairs) else enumerate(value)
        for token, member in members:
            if isinstance(member, list):  # a list, or an object's pairs
                yield from walk(member, (*path, token))

    try:
        content = json.loads(body, object_pairs_hook=Pairs)
        return _once(walk(content, ()))
    except (ValueError, RecursionError) as error:
        raise Refusal("malformed-body", UNREADABLE) from error

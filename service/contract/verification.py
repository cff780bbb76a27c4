"""Proving a stored result: calculate it again from its own request and compare every member that the contract knows."""

from collections.abc import Iterator
from itertools import islice
from typing import Annotated, Any, Literal

import msgspec
from msgspec import UNSET, UnsetType

from service.calculation.fitting import VERSION
from service.contract.answers import Answered, Fitting
from service.contract.canonical import canonical
from service.contract.decoding import BodyDecoder
from service.contract.fittings import encode, fitting
from service.contract.problems import Refusal
from service.contract.shelf import Shelf
from service.contract.units import Sha256, text

DIFFERENCES_MAX = 200
STORED_BYTES_MAX = 2_097_152
"""Bytes that a stored answer may have: the longest there is, with all that `include` adds, has 300 kB."""
ADDED = {
    "geometry": ("geometry",),
    "balance_curve": ("balance", "curve"),
    "candidates": ("candidates",),
    "cures": ("cures",),
    "trace": ("audit", "trace"),
}
"""What `include` adds to an answer, and where it stands there."""

_DECODER = BodyDecoder(Fitting)


class StoredAudit(msgspec.Struct, frozen=True):
    """The part of a stored answer that says what it rests on."""

    calculation_version: str
    catalogue_sha256: str


class StoredVersion(msgspec.Struct, frozen=True):
    """A stored answer as far as it says whether it can be judged here."""

    audit: StoredAudit


class Difference(Answered, frozen=True, kw_only=True):
    """A member that differs."""

    pointer: Annotated[str, text("JSON Pointer to it.")]
    stored: Annotated[str, text("What was stored, as JSON; absent where it was not there.")] | UnsetType = UNSET
    calculated: Annotated[str, text("What is calculated, as JSON; absent where it is not there.")] | UnsetType = UNSET


class Verification(Answered, frozen=True, kw_only=True):
    """What a stored result is worth."""

    outcome: Annotated[
        Literal["identical", "altered", "other_version"],
        text(
            "`identical`: calculated again, every member is the same; `altered`: its figures do not follow from its "
            "request; `other_version`: it comes from another version of the calculation or another catalogue, so that it "
            "cannot be judged here."
        ),
    ]
    calculation_version: Annotated[str, text("Version of the calculation in use.")]
    catalogue_sha256: Sha256
    differences: Annotated[list[Difference], text(f"At most {DIFFERENCES_MAX}, in the order of the members.")]


def verify(content: Any, shelf: Shelf) -> Verification:
    """Calculate a stored result again and compare.

    Words, members without a value, and members that the contract does not know count as not there, and so do empty lists and
    objects that may be absent.

    Args:
        content: the whole stored answer, decoded to plain objects
        shelf: the catalogue in use

    Raises:
        Refusal: the stored answer is none, or its request contradicts itself or the very catalogue that it rests on.
    """
    kept = known_members(content, Fitting)
    if isinstance(kept, dict):
        kept.pop("words", None)
    if _of_another_version(kept, shelf):
        return _verified("other_version", [], shelf)
    stored = _DECODER.convert(kept)
    include = frozenset(name for name, path in ADDED.items() if _member(kept, path) is not UNSET)
    try:
        calculated = encode(fitting(stored.audit.request, shelf, include=include, with_words=False))
    except Refusal as refused:
        faults = [fault._replace(pointer=f"/audit/request{fault.pointer}") for fault in refused.faults]
        raise Refusal(refused.kind, refused.words, faults=faults, **refused.figures) from refused
    again = known_members(msgspec.json.decode(calculated), Fitting)
    differences = list(islice(_differences(kept, again, ""), DIFFERENCES_MAX))
    return _verified("altered" if differences else "identical", differences, shelf)


def _of_another_version(content: Any, shelf: Shelf) -> bool:
    """Whether a stored answer says that it comes from elsewhere; one that says nothing is judged as it is."""
    try:
        audit = msgspec.convert(content, StoredVersion).audit
    except msgspec.ValidationError:
        return False
    return (audit.calculation_version, audit.catalogue_sha256) != (VERSION, shelf.catalogue_sha256)


def _verified(
    outcome: Literal["identical", "altered", "other_version"], differences: list[Difference], shelf: Shelf
) -> Verification:
    return Verification(
        outcome=outcome,
        calculation_version=VERSION,
        catalogue_sha256=shelf.catalogue_sha256,
        differences=differences,
    )


def known_members(content: Any, kind: Any) -> Any:
    """JSON content as far as a type knows its members, without those that count as not there.

    These are members that are null, and empty lists and objects that may be absent: some typed clients read a missing list
    as an empty one and send it so.
    """
    return _known(content, msgspec.inspect.type_info(kind))


def _known(content: Any, info: msgspec.inspect.Type) -> Any:
    if isinstance(info, msgspec.inspect.Metadata):
        return _known(content, info.type)
    if isinstance(info, msgspec.inspect.UnionType):
        structured = [one for one in map(_bare, info.types) if isinstance(one, STRUCTURED)]
        return _known(content, structured[0]) if structured else content
    if isinstance(info, msgspec.inspect.StructType) and isinstance(content, dict):
        return {
            field.encode_name: _known(content[field.encode_name], field.type)
            for field in info.fields
            if not _counts_as_missing(content.get(field.encode_name), field)
        }
    if isinstance(info, msgspec.inspect.DictType) and isinstance(content, dict):
        return {name: value for name, value in content.items() if value is not None}
    if isinstance(info, msgspec.inspect.ListType) and isinstance(content, list):
        return [_known(one, info.item_type) for one in content]
    return content


def _counts_as_missing(value: Any, field: msgspec.inspect.Field) -> bool:
    may_be_absent = not field.required and field.default is field.default_factory  # it has neither
    return value is None or (may_be_absent and value in ([], {}))


STRUCTURED = (msgspec.inspect.StructType, msgspec.inspect.DictType, msgspec.inspect.ListType)


def _bare(info: msgspec.inspect.Type) -> msgspec.inspect.Type:
    """A type without what is said of it."""
    return info.type if isinstance(info, msgspec.inspect.Metadata) else info


def _member(content: Any, path: tuple[str, ...]) -> Any:
    """What stands in the content at a path of members, UNSET where there is nothing."""
    for name in path:
        if not isinstance(content, dict) or name not in content:
            return UNSET
        content = content[name]
    return content


def _differences(stored: Any, again: Any, pointer: str) -> Iterator[Difference]:
    """Every innermost member that differs. Numbers are compared as numbers: 40 and 40.0 are the same."""
    if isinstance(stored, dict) and isinstance(again, dict):
        for name in dict.fromkeys([*again, *stored]):
            place = f"{pointer}/{name.replace('~', '~0').replace('/', '~1')}"
            yield from _differences(stored.get(name, UNSET), again.get(name, UNSET), place)
    elif isinstance(stored, list) and isinstance(again, list) and len(stored) == len(again):
        for index, (left, right) in enumerate(zip(stored, again, strict=True)):
            yield from _differences(left, right, f"{pointer}/{index}")
    elif stored != again or isinstance(stored, bool) != isinstance(again, bool):
        yield Difference(pointer=pointer, stored=_text(stored), calculated=_text(again))


def _text(content: Any) -> str | UnsetType:
    return UNSET if content is UNSET else canonical(content).decode()[:1000]

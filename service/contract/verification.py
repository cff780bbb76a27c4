"""Proving a stored result: calculate it again from its own request and compare every member."""

from collections.abc import Iterable, Iterator
from itertools import islice
from typing import Annotated, Any, Literal

import msgspec
from msgspec import UNSET, Meta

from service.calculation.fitting import VERSION
from service.contract.canonical import canonical
from service.contract.fittings import encode, fitting
from service.contract.problems import Fault, Refusal
from service.contract.requests import FittingRequest
from service.contract.shelf import Shelf
from service.contract.units import Sha256

DIFFERENCES_MAX = 200
STORED_BYTES_MAX = 2_097_152
"""Bytes that a stored answer may have: the longest there is, with all that `include` adds, has 300 kB."""
ADDED = {
    "geometry": ("geometry",),
    "balance_curve": ("balance", "curve"),
    "candidates": ("candidates",),
    "trace": ("audit", "trace"),
}
"""What `include` adds to an answer, and where it stands there."""


class StoredAudit(msgspec.Struct, frozen=True):
    """The part of a stored answer that says what it rests on; its other members are compared as well."""

    calculation_version: Annotated[str, Meta(max_length=40)]
    catalogue_sha256: Sha256
    request: FittingRequest


class StoredFitting(msgspec.Struct, frozen=True):
    """An answer of `POST /v1/fittings` as it was stored, whole. Members beside `audit` are compared, whatever they are."""

    audit: StoredAudit


class Difference(msgspec.Struct, frozen=True):
    """A member that differs, with what was stored and what was calculated as JSON text; null where it is missing."""

    pointer: str
    stored: str | None
    calculated: str | None


class Verification(msgspec.Struct, frozen=True):
    """What a stored result is worth.

    `identical`: calculated again, every member is the same. `altered`: its figures do not follow from its request.
    `other_version`: it comes from another version of the calculation or another catalogue, so it cannot be judged here;
    its differences from today's figures are listed all the same. Where today's catalogue does not have what the stored
    request names, the differences are those members of the request, with null for what was calculated.
    """

    outcome: Literal["identical", "altered", "other_version"]
    calculation_version: str
    catalogue_sha256: Sha256
    differences: Annotated[list[Difference], Meta(description=f"At most {DIFFERENCES_MAX}, in the order of the members.")]


def verify(stored: StoredFitting, content: Any, shelf: Shelf) -> Verification:
    """Calculate a stored result again and compare.

    Args:
        stored: the part that says what to calculate
        content: the whole stored answer, decoded to plain objects
        shelf: the catalogue in use

    Raises:
        Refusal: the stored request contradicts itself, or the very catalogue that it is said to rest on.
    """
    ours = (stored.audit.calculation_version, stored.audit.catalogue_sha256) == (VERSION, shelf.catalogue_sha256)
    include = frozenset(name for name, path in ADDED.items() if _member(content, path) is not UNSET)
    try:
        again = msgspec.json.decode(encode(fitting(stored.audit.request, shelf, include=include)))
    except Refusal as refused:
        faults = [Fault(fault.detail, pointer=f"/audit/request{fault.pointer}") for fault in refused.faults]
        if ours:
            raise Refusal(refused.kind, refused.detail, faults=faults) from refused
        differences = [_lacking(content, str(fault.pointer)) for fault in faults]
    else:
        differences = list(islice(_differences(content, again, ""), DIFFERENCES_MAX))
    outcome: Literal["identical", "altered", "other_version"] = "altered" if differences else "identical"
    return Verification(
        outcome=outcome if ours else "other_version",
        calculation_version=VERSION,
        catalogue_sha256=shelf.catalogue_sha256,
        differences=differences,
    )


def _member(content: Any, path: Iterable[str]) -> Any:
    """What stands in the content at a path of members, UNSET where there is nothing."""
    for name in path:
        if not isinstance(content, dict) or name not in content:
            return UNSET
        content = content[name]
    return content


def _lacking(content: Any, pointer: str) -> Difference:
    """The difference at a member of the stored request from which nothing can be calculated today."""
    return Difference(pointer, _text(_member(content, pointer.split("/")[1:])), None)


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
        yield Difference(pointer, _text(stored), _text(again))


def _text(content: Any) -> str | None:
    return None if content is UNSET else canonical(content).decode()[:1000]

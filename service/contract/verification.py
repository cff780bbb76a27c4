"""Proving a stored result: calculate it again from its own request and compare every member."""

from collections.abc import Iterator
from typing import Annotated, Any, Literal

import msgspec
from msgspec import UNSET, Meta

from service.calculation.fitting import VERSION
from service.contract.canonical import canonical
from service.contract.fittings import encode, fitting
from service.contract.requests import FittingRequest
from service.contract.shelf import Shelf
from service.contract.units import Sha256

DIFFERENCES_MAX = 200
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
    its differences from today's figures are listed all the same.
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
        Refusal: the stored request names what the catalogue does not have.
    """
    include = frozenset(name for name, path in ADDED.items() if _has(content, path))
    again = msgspec.json.decode(encode(fitting(stored.audit.request, shelf, include=include)))
    differences = list(_differences(content, again, ""))
    ours = (stored.audit.calculation_version, stored.audit.catalogue_sha256) == (VERSION, shelf.catalogue_sha256)
    outcome: Literal["identical", "altered", "other_version"] = "altered" if differences else "identical"
    return Verification(
        outcome=outcome if ours else "other_version",
        calculation_version=VERSION,
        catalogue_sha256=shelf.catalogue_sha256,
        differences=differences[:DIFFERENCES_MAX],
    )


def _has(content: Any, path: tuple[str, ...]) -> bool:
    for member in path:
        if not isinstance(content, dict) or member not in content:
            return False
        content = content[member]
    return True


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

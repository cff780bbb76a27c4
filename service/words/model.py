"""What people read of an answer, as plain tuples; every list in the order of the answer's own list."""

from typing import Final, Literal, NamedTuple

LanguageCode = Literal["en", "de", "fr"]

LANGUAGES: Final[tuple[LanguageCode, ...]] = ("en", "de", "fr")
"""The languages that words come in, the default first."""


class Label(NamedTuple):
    """What a check, a part or a cure is called; `id` is the check's id, the part's key or the cure's number (`c1`, …)."""

    id: str
    label: str


class Finding(NamedTuple):
    """One warning in words: what is found, and what would remedy it."""

    code: str
    message: str
    remedy: str


class Step(NamedTuple):
    """One step of the work; `cautions` are codes whose texts stand in the answer's cautions."""

    key: str
    title: str
    text: str
    cautions: tuple[str, ...]


class Caution(NamedTuple):
    """A caution that one or more steps call for."""

    code: str
    text: str


class Words(NamedTuple):
    """Everything that people read of one fitting, in one language."""

    language: str
    headline: str
    lines: tuple[str, ...]
    checks: tuple[Label, ...]
    parts: tuple[Label, ...]
    warnings: tuple[Finding, ...]
    work: tuple[Step, ...]
    cautions: tuple[Caution, ...]

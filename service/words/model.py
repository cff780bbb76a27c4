"""What people read of an answer; every list in the order of the answer's own list.

Plain final classes, as the core's: a named tuple takes twenty times as long to make.
"""

from typing import Final, Literal, final

LanguageCode = Literal["en", "de", "fr"]

LANGUAGES: Final[tuple[LanguageCode, ...]] = ("en", "de", "fr")
"""The languages that words come in, the default first."""


@final
class Label:
    """What a check, a part or a cure is called; `id` is the check's id, the part's key or the cure's number (`c1`, …).

    `written` is both as an answer's JSON has them: most labels are made once.
    """

    def __init__(self, id: str, label: str) -> None:
        """Take what it is and what it is called."""
        self.id = id
        self.label = label
        self.written = f'"{id}","label":"{label}"'


@final
class Finding:
    """One warning in words: what is found, and what would remedy it."""

    def __init__(self, code: str, message: str, remedy: str) -> None:
        """Take the warning's code and its sentences."""
        self.code = code
        self.message = message
        self.remedy = remedy


@final
class Step:
    """One step of the work; `cautions` are codes whose texts stand in the answer's cautions."""

    def __init__(self, key: str, title: str, text: str, cautions: tuple[str, ...]) -> None:
        """Take the step's key, its texts and its cautions."""
        self.key = key
        self.title = title
        self.text = text
        self.cautions = cautions


@final
class Caution:
    """A caution that one or more steps call for."""

    def __init__(self, code: str, text: str) -> None:
        """Take its code and its text."""
        self.code = code
        self.text = text


@final
class Words:
    """Everything that people read of one fitting, in one language."""

    def __init__(
        self,
        *,
        language: str,
        headline: str,
        lines: tuple[str, ...],
        checks: tuple[Label, ...],
        parts: tuple[Label, ...],
        warnings: tuple[Finding, ...],
        work: tuple[Step, ...],
        cautions: tuple[Caution, ...],
    ) -> None:
        """Take the texts."""
        self.language = language
        self.headline = headline
        self.lines = lines
        self.checks = checks
        self.parts = parts
        self.warnings = warnings
        self.work = work
        self.cautions = cautions

"""What people read of an answer; every list in the order of the answer's own list.

Plain final classes, as the core's: a named tuple takes twenty times as long to make.
"""

from json import loads
from typing import Any, Final, Literal, final

LanguageCode = Literal["en", "de", "fr"]

LANGUAGES: Final[tuple[LanguageCode, ...]] = ("en", "de", "fr")
"""The languages that words come in, the default first."""


@final
class Label:
    """What a check, a part or a cure is called; `id` is the check's id, the part's key or the cure's number (`c1`, …)."""

    def __init__(self, id: str, label: str) -> None:
        """Take what it is and what it is called."""
        self.id = id
        self.label = label


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
    """Everything that people read of one fitting, in one language, as an answer has it: JSON in UTF-8, in pieces.

    It is read only where a document asks for it. Cures are not in it: `cures_at` is the piece before which they stand.
    """

    def __init__(self, language: str, pieces: list[bytes], cures_at: int) -> None:
        """Take the pieces of the object."""
        self.language = language
        self.pieces = pieces
        self.cures_at = cures_at
        self._content: dict[str, Any] = {}

    @property
    def headline(self) -> str:
        """The verdict in one line."""
        return str(self._read["headline"])

    @property
    def lines(self) -> tuple[str, ...]:
        """What one would say on the phone."""
        return tuple(self._read["lines"])

    @property
    def checks(self) -> tuple[Label, ...]:
        """The checks' names."""
        return tuple([Label(one["id"], one["label"]) for one in self._read["checks"]])

    @property
    def parts(self) -> tuple[Label, ...]:
        """The parts' names."""
        return tuple([Label(one["key"], one["label"]) for one in self._read["parts"]])

    @property
    def warnings(self) -> tuple[Finding, ...]:
        """The warnings' sentences."""
        return tuple([Finding(one["code"], one["message"], one["remedy"]) for one in self._read["warnings"]])

    @property
    def work(self) -> tuple[Step, ...]:
        """The steps of the work."""
        return tuple([Step(one["key"], one["title"], one["text"], tuple(one["cautions"])) for one in self._read["work"]])

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """The cautions that the steps call for."""
        return tuple([Caution(one["code"], one["text"]) for one in self._read["cautions"]])

    @property
    def _read(self) -> dict[str, Any]:
        """The whole object, read once."""
        if not self._content:
            self._content = loads(b"".join(self.pieces))
        return self._content

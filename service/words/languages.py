"""The languages: English is written in the code and is the key; the others are read from their `.po` files at start.

A text is a whole sentence or a name, with named places for figures: `marked("{width} mm wide")`. `marked` is what
`pybabel extract` looks for. Nothing is put together from pieces of sentences; where grammar differs there are two texts.
"""

from pathlib import Path
from string import Formatter
from typing import Final, final

from babel.messages.pofile import read_po

from .model import LANGUAGES, Label, LanguageCode
from .numbers import Numbers

LOCALE: Final = Path(__file__).parent / "locale"
"""Where the `.po` files lie, one a language but English."""

DECIMAL_MARKS: Final[dict[LanguageCode, str]] = {"en": ".", "de": ",", "fr": ","}


def marked(text: str) -> str:
    """The text itself, marked for translation."""
    return text


@final
class Text:
    """Sentences in one language, taken apart at their places once: to join the pieces is far cheaper than to format."""

    def __init__(self, sentences: str) -> None:
        """Take the sentences apart; a piece for each figure stands empty."""
        self.pieces: list[str] = []
        self.places: list[tuple[int, str]] = []
        for literal, place, _, _ in Formatter().parse(sentences):
            self.pieces.append(literal)
            if place:
                self.places.append((len(self.pieces), place))
                self.pieces.append("")

    def filled(self, figures: dict[str, str | int]) -> str:
        """The sentences with figures in their places."""
        pieces = self.pieces.copy()
        for index, place in self.places:
            pieces[index] = str(figures[place])
        return "".join(pieces)


@final
class Language:
    """One language: its texts by their English, and its numbers."""

    def __init__(self, code: LanguageCode, texts: dict[str, str]) -> None:
        """Take the translations by the English text; what has none is said in English."""
        self.code: LanguageCode = code
        self.texts = texts
        self.numbers = Numbers(DECIMAL_MARKS[code])
        self._prepared: dict[tuple[str, ...], Text] = {}
        self._labels: dict[str, Label] = {}

    def say(self, text: str, **figures: str | int) -> str:
        """A marked text in this language with its figures in place."""
        return self.say_all((text,), figures)

    def say_all(self, texts: tuple[str, ...], figures: dict[str, str | int]) -> str:
        """Marked texts in this language, one behind the other, with figures in their places."""
        prepared = self._prepared.get(texts)
        if prepared is None:
            prepared = self._prepared[texts] = Text(" ".join([self.name(text) for text in texts]))
        return prepared.filled(figures)

    def name(self, text: str) -> str:
        """A marked text without figures in this language."""
        return self.texts.get(text, text)

    def label(self, id: str, text: str) -> Label:
        """What a check or a part is called that no figure tells from another; made once, as no two are called alike."""
        label = self._labels.get(text)
        if label is None:
            label = self._labels[text] = Label(id, self.name(text))
        return label


def _texts(code: LanguageCode) -> dict[str, str]:
    """The translations into a language, as its file has them."""
    path = LOCALE / f"{code}.po"
    if not path.exists():
        return {}
    with path.open("rb") as file:
        return {str(one.id): str(one.string) for one in read_po(file, locale=code) if one.id and one.string}


BY_CODE: Final[dict[str, Language]] = {code: Language(code, _texts(code)) for code in LANGUAGES}
"""Every language by its code."""


def language_of(code: str) -> Language:
    """The language of a code.

    Raises:
        KeyError: there are no words in that language.
    """
    return BY_CODE[code]


def chosen_language(accept_language: str) -> LanguageCode:
    """The language that an `Accept-Language` header asks for (RFC 9110, 12.5.4), English where it asks for none of ours.

    Of the ranges that are no refusal the one with the greatest weight counts, of equal ones the first. A range speaks for
    its language whatever its region (`de-AT` is German); what cannot be read is passed over.
    """
    if not accept_language:
        return "en"
    weights: dict[str, float] = {}
    for item in accept_language.split(","):
        range_, *parameters = (piece.strip().lower() for piece in item.split(";"))
        weight = _weight(parameters)
        if range_ and weight is not None:
            primary = range_.partition("-")[0]
            weights[primary] = max(weight, weights.get(primary, 0.0))
    others = weights.pop("*", 0.0)
    best: LanguageCode = "en"
    best_weight = 0.0
    for asked in sorted(weights, key=weights.__getitem__, reverse=True):
        for code in LANGUAGES:
            if code == asked and weights[asked] > best_weight:
                best, best_weight = code, weights[asked]
    if others > best_weight:
        best = next((code for code in LANGUAGES if code not in weights), best)
    return best


def _weight(parameters: list[str]) -> float | None:
    """The weight of a range; None where it is no number from 0 to 1."""
    if not parameters:
        return 1.0
    name, _, value = parameters[0].partition("=")
    try:
        weight = float(value)
    except ValueError:
        return None
    return weight if name == "q" and len(parameters) == 1 and 0 <= weight <= 1 else None

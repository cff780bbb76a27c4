"""The languages: English is written in the code and is the key; the others are read from their `.po` files.

A text is a whole sentence or a name, with named places for figures: `marked("{width} mm wide")`. `marked` is what
`pybabel extract` looks for. Nothing is put together from pieces of sentences; where grammar differs there are two texts.
"""

from pathlib import Path
from string import Formatter
from sys import intern
from typing import Final, final

from .model import LANGUAGES, LanguageCode
from .numbers import Numbers

LOCALE: Final = Path(__file__).parent / "locale"
"""Where the `.po` files lie, one a language but English."""

DECIMAL_MARKS: Final[dict[str, str]] = {"en": ".", "de": ",", "fr": ","}


def marked(text: str) -> str:
    """The text itself, marked for translation."""
    return text


@final
class Text:
    """What is said, in UTF-8, taken apart at its places once: to join pieces is far cheaper than to format."""

    def __init__(self, before: str, sentences: str, after: str) -> None:
        """Take sentences in their language and what stands around them; every other piece is a figure's place."""
        pieces = [before]
        self.places: list[str] = []
        for literal, place, _, _ in Formatter().parse(sentences):
            pieces[-1] += literal
            if place:
                self.places.append(intern(place))
                pieces += ["", ""]
        pieces[-1] += after
        self.pieces = [piece.encode() for piece in pieces]

    def put(self, pieces: list[bytes], figures: dict[str, bytes]) -> None:
        """Append the text to pieces that will be joined, with figures in its places."""
        if not self.places:
            pieces.append(self.pieces[0])
            return
        at = len(pieces) - 1
        pieces += self.pieces
        for place in self.places:
            at += 2
            pieces[at] = figures[place]

    def filled(self, figures: dict[str, bytes]) -> bytes:
        """The text by itself, with figures in its places."""
        pieces: list[bytes] = []
        self.put(pieces, figures)
        return b"".join(pieces)


@final
class Instruction:
    """A step of the work: its sentences, and the cautions that it calls for.

    Each is made once: a language knows its text by the object, since to find it by its sentences takes many times as long.
    """

    def __init__(self, key: str, title: str, texts: tuple[str, ...], cautions: tuple[str, ...]) -> None:
        """Take the step's key, its title, its sentences and the codes of its cautions."""
        self.key = key
        self.title = title
        self.texts = texts
        self.cautions = cautions


@final
class Language:
    """One language: its texts by their English, and its numbers."""

    def __init__(self, code: str, texts: dict[str, str]) -> None:
        """Take the translations by the English text; what has none is said in English.

        Raises:
            KeyError: there are no words in that language.
        """
        self.code = code
        self.texts = texts
        self.numbers = Numbers(DECIMAL_MARKS[code])
        self._sentences: dict[str, Text] = {}
        self._lines: dict[str, Text] = {}
        self._entries: dict[str, Text] = {}
        self._steps: dict[Instruction, Text] = {}

    def say(self, text: str, **figures: str) -> str:
        """A marked text in this language with its figures in place."""
        return str(self.sentence(text).filled({place: figure.encode() for place, figure in figures.items()}), "utf-8")

    def name(self, text: str) -> str:
        """A marked text without figures in this language."""
        return self.texts.get(text, text)

    def sentence(self, text: str) -> Text:
        """A marked text by itself."""
        found = self._sentences.get(text)
        if found is None:
            found = self._sentences[text] = Text("", self.name(text), "")
        return found

    def line(self, text: str) -> Text:
        """A marked text as an entry of a list, with the comma before it."""
        found = self._lines.get(text)
        if found is None:
            found = self._lines[text] = Text(',"', self.name(text), '"')
        return found

    def entry(self, id_name: str, id: str, text_name: str, text: str) -> Text:
        """A check, part or caution with what is said of it, as an entry of a list; a text is of one of them only."""
        found = self._entries.get(text)
        if found is None:
            found = self._entries[text] = Text(f',{{"{id_name}":"{id}","{text_name}":"', self.name(text), '"}')
        return found

    def step(self, instruction: Instruction) -> Text:
        """A step of the work with its cautions, as an entry of a list."""
        found = self._steps.get(instruction)
        if found is None:
            codes = ",".join([f'"{code}"' for code in instruction.cautions])
            before = f',{{"cautions":[{codes}],"key":"{instruction.key}","text":"'
            after = f'","title":"{self.name(instruction.title)}"}}'
            found = self._steps[instruction] = Text(before, " ".join([self.name(text) for text in instruction.texts]), after)
        return found


def _texts(code: str) -> dict[str, str]:
    """The translations into a language, as its file has them."""
    from babel.messages.pofile import read_po  # noqa: PLC0415 - with it the service takes a tenth longer to start

    path = LOCALE / f"{code}.po"
    if not path.exists():
        return {}
    with path.open("rb") as file:
        return {str(one.id): str(one.string) for one in read_po(file, locale=code) if one.id and one.string}


BY_CODE: Final[dict[str, Language]] = {"en": Language("en", {})}
"""Every language by its code that has been asked for."""


def language_of(code: str) -> Language:
    """The language of a code; read when it is first asked for.

    Raises:
        KeyError: there are no words in that language.
    """
    found = BY_CODE.get(code)
    if found is None:
        found = BY_CODE[code] = Language(code, _texts(code))
    return found


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

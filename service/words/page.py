"""What is said of one fitting while it is being written: pieces of JSON in UTF-8, joined once at the end.

Plain lists of pieces: to join each sentence, then each list, then the whole costs as much again as to fill them in.
"""

from typing import final

from .languages import Language, Text


@final
class Page:
    """The pieces written so far, the language, and the figures by the names that texts have for their places."""

    def __init__(self, language: Language, figures: dict[str, bytes]) -> None:
        """Begin with nothing."""
        self.language = language
        self.figures = figures
        self.pieces: list[bytes] = []
        self._first = 0

    def put(self, text: Text) -> None:
        """Write a text with the fitting's figures in its places."""
        text.put(self.pieces, self.figures)

    def say(self, text: str, figures: dict[str, bytes]) -> None:
        """Write a marked text with figures of its own."""
        self.language.sentence(text).put(self.pieces, figures)

    def json(self, piece: bytes) -> None:
        """Write what stands between texts."""
        self.pieces.append(piece)

    def begin(self, before: bytes) -> None:
        """Begin a list. Each of its entries is written with a comma before it."""
        self.pieces.append(before)
        self._first = len(self.pieces)

    def end(self, behind: bytes) -> None:
        """End the list; no comma stands before its first entry."""
        if self._first < len(self.pieces):
            self.pieces[self._first] = self.pieces[self._first][1:]
        self.pieces.append(behind)

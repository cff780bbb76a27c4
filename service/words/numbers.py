"""Numbers as people read them: what a tape or a balance can tell, the language's decimal mark, no mark for thousands."""

from typing import Final, final

from service.audit.figures import UNCOUNTED, nearest_count
from service.audit.figures import WHOLE as WHOLE_TEXTS

DECIMALS_OF_UNIT: Final = {"mm": 1, "deg": 1, "%": 1, "MPa": 0, "N": 0, "slats": 0, "springs": 0, "1": 1}
"""Decimals that a check's figures are shown with, by the check's unit."""

MOST_DECIMALS: Final = 3
"""Decimals that an answer has: no more are ever shown."""

FORMATS: Final = tuple(f"%.{decimals}f" for decimals in range(MOST_DECIMALS + 1))

WHOLE: Final = 0
TENTHS: Final = 1
AS_GIVEN: Final = MOST_DECIMALS
"""Decimals: of a force, energy, stress or count; of a length, mass, angle, current or number of turns; of a number that a
catalogue or a caller gives, as it was given to the last decimal that an answer has."""

MINUS: Final = "\N{MINUS SIGN}".encode()

COUNTS: Final[list[bytes]] = [text.encode() for text in WHOLE_TEXTS]
"""Whole numbers in UTF-8, written once."""


@final
class Numbers:
    """The formatter of one language: in UTF-8 where an answer is written, as texts for all others."""

    def __init__(self, decimal_mark: str) -> None:
        """Take the language's decimal mark."""
        self._behind = [
            [b"", *(f"{decimal_mark}{part:0{decimals}}".rstrip("0").encode() for part in range(1, 10**decimals))]
            for decimals in range(MOST_DECIMALS + 1)
        ]

    def written(self, value: float, decimals: int) -> bytes:
        """A number with so many decimals, without those at its end that say nothing.

        Its parts are counted, which is faster than to format the number, and the same but at a tie.
        """
        behind = self._behind[decimals]
        parts = len(behind)
        count = nearest_count(value, parts)
        if count == UNCOUNTED:
            count = int((FORMATS[decimals] % value).replace(".", ""))
        if count < 0:
            return MINUS + _whole(-count // parts) + behind[-count % parts]
        part = count % parts
        return _whole(count // parts) + behind[part] if part else _whole(count // parts)

    def written_count(self, count: int) -> bytes:
        """A count that is a whole number by itself."""
        return _whole(count)

    def written_force(self, value: float) -> bytes:
        """A force that must not read as none: whole, or with the decimals that it takes to be more than 0."""
        decimals, told = WHOLE, self.written(value, WHOLE)
        while decimals < MOST_DECIMALS and told == b"0":
            decimals += 1
            told = self.written(value, decimals)
        return told

    def written_volts(self, value: float) -> bytes:
        """A voltage drop: two figures."""
        size = abs(value)
        return self.written(value, 2 if size < 1 else 1 if size < 10 else 0)  # noqa: PLR2004 - two figures

    def written_compared(self, *, value: float, limit: float, unit: str) -> tuple[bytes, bytes, bytes]:
        """A check's value, its limit and the distance between them.

        They have the unit's decimals, or as many more as it takes for value and limit not to read alike.
        """
        decimals = self._decimals_apart(value, limit, DECIMALS_OF_UNIT[unit])
        return self.written(value, decimals), self.written(limit, decimals), self.written(abs(value - limit), decimals)

    def tenths(self, value: float) -> str:
        """A length, mass, angle, current or number of turns: to a tenth, and no tenth that says nothing."""
        return self._text(value, TENTHS)

    def whole(self, value: float) -> str:
        """A force, energy, stress or count: whole."""
        return self._text(value, WHOLE)

    def given(self, value: float) -> str:
        """A number that a catalogue or a caller gives: as it was given, to the last decimal that an answer has."""
        return self._text(value, AS_GIVEN)

    def compared(self, *, value: float, limit: float, unit: str) -> tuple[str, str, str]:
        """A check's value, its limit and the distance between them, as `written_compared` has them."""
        told, bound, apart = self.written_compared(value=value, limit=limit, unit=unit)
        return told.decode(), bound.decode(), apart.decode()

    def apart(self, first: float, second: float) -> tuple[str, str]:
        """Two figures to a tenth, or with as many decimals as it takes for them not to read alike."""
        decimals = self._decimals_apart(first, second, TENTHS)
        return self._text(first, decimals), self._text(second, decimals)

    def _decimals_apart(self, first: float, second: float, least: int) -> int:
        """Decimals, at least so many, with which two numbers do not read alike."""
        decimals = least
        while decimals < MOST_DECIMALS and self.written(first, decimals) == self.written(second, decimals):
            decimals += 1
        return decimals

    def _text(self, value: float, decimals: int) -> str:
        """The same number as a text."""
        return str(self.written(value, decimals), "utf-8")


def _whole(whole: int) -> bytes:
    """A whole number that is not negative."""
    return COUNTS[whole] if whole < len(COUNTS) else str(whole).encode()

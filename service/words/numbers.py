"""Numbers as people read them: what a tape or a balance can tell, the language's decimal mark, no mark for thousands."""

from typing import Final, final

from service.audit.figures import UNCOUNTED, figure_text, nearest_count, whole_text

DECIMALS_OF_UNIT: Final = {"mm": 1, "deg": 1, "%": 1, "MPa": 0, "N": 0, "slats": 0, "springs": 0, "1": 1}
"""Decimals that a check's figures are shown with, by the check's unit."""

MOST_DECIMALS: Final = 3
"""Decimals that an answer has: no more are ever shown."""

FORMATS: Final = tuple(f"%.{decimals}f" for decimals in range(MOST_DECIMALS + 1))

MINUS: Final = "\N{MINUS SIGN}"


@final
class Numbers:
    """The formatter of one language."""

    def __init__(self, decimal_mark: str) -> None:
        """Take the language's decimal mark."""
        self.decimal_mark = decimal_mark
        self._behind = [
            ["", *(f"{decimal_mark}{part:0{decimals}}".rstrip("0") for part in range(1, 10**decimals))]
            for decimals in range(MOST_DECIMALS + 1)
        ]

    def tenths(self, value: float) -> str:
        """A length, mass, angle, current or number of turns: to a tenth, and no tenth that says nothing."""
        return self._to(1, value)

    def whole(self, value: float) -> str:
        """A force, energy, stress or count: whole."""
        return self._to(0, value)

    def force(self, value: float) -> str:
        """A force that must not read as none: whole, or with the decimals that it takes to be more than 0."""
        decimals, told = 0, self._to(0, value)
        while decimals < MOST_DECIMALS and told == "0":
            decimals += 1
            told = self._to(decimals, value)
        return told

    def volts(self, value: float) -> str:
        """A voltage drop: two figures."""
        size = abs(value)
        return self._to(2 if size < 1 else 1 if size < 10 else 0, value)  # noqa: PLR2004 - two figures

    def given(self, value: float) -> str:
        """A number that a catalogue or a caller gives: as it was given, to the last decimal that an answer has."""
        text = figure_text(value).replace(".", self.decimal_mark)
        return text if value >= 0 else text.replace("-", MINUS)

    def compared(self, *, value: float, limit: float, unit: str) -> tuple[str, str, str]:
        """A check's value, its limit and the distance between them.

        They have the unit's decimals, or as many more as it takes for value and limit not to read alike.
        """
        decimals = _decimals_apart(value, limit, DECIMALS_OF_UNIT[unit])
        return self._to(decimals, value), self._to(decimals, limit), self._to(decimals, abs(value - limit))

    def apart(self, first: float, second: float) -> tuple[str, str]:
        """Two figures to a tenth, or with as many decimals as it takes for them not to read alike."""
        decimals = _decimals_apart(first, second, 1)
        return self._to(decimals, first), self._to(decimals, second)

    def _to(self, decimals: int, value: float) -> str:
        """A number with so many decimals, without those at its end that say nothing.

        Its parts are counted, which is faster than to format the number, and the same but at a tie.
        """
        behind = self._behind[decimals]
        parts = len(behind)
        count = nearest_count(value, parts)
        if count == UNCOUNTED:
            count = int((FORMATS[decimals] % value).replace(".", ""))
        if count < 0:
            return MINUS + whole_text(-count // parts) + behind[-count % parts]
        return whole_text(count // parts) + behind[count % parts]


def _decimals_apart(first: float, second: float, least: int) -> int:
    """Decimals, at least so many, with which two numbers do not read alike."""
    decimals = least
    while decimals < MOST_DECIMALS and FORMATS[decimals] % first == FORMATS[decimals] % second:
        decimals += 1
    return decimals

"""The warning codes, as the contract lists them."""

from msgspec import UNSET

from service.calculation.checks import ROWS
from service.calculation.warnings import CODES, OTHER_ROWS, severities_of
from service.contract import answers
from service.words import warning_text


def warnings(language: str = "en") -> answers.WarningsAnswer:
    """Every code with its meaning, its severities and what helps."""
    rows = []
    for code in CODES:
        meaning, remedy = warning_text(code, language=language)
        other = OTHER_ROWS.get(code)
        rows.append(
            answers.WarningRow(
                code=code,
                meaning=meaning,
                severities=list(severities_of(code)) if other is None else [other.severity],
                check=code if other is None else UNSET,
                pointer=ROWS[code].pointer if other is None else other.pointer,
                remedy=remedy,
            )
        )
    return answers.WarningsAnswer(warnings=rows)

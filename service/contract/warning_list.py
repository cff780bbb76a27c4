"""The warning codes, as the contract lists them."""

from service.calculation.warnings import OTHER_KINDS, WARNING_KINDS
from service.contract import answers


def warnings() -> answers.Warnings:
    """Every code with its meaning, its severities and what helps."""
    return answers.Warnings(
        [
            answers.WarningRow(
                code=code,
                meaning=kind.meaning,
                severities=list(kind.severities),
                check=None if code in OTHER_KINDS else code,
                field=kind.field,
                remedy=kind.remedy,
            )
            for code, kind in WARNING_KINDS.items()
        ]
    )

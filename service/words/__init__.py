"""What people read of an answer: headline, findings, parcel, order of work, cures, in English, German and French.

Figures and codes come from the calculation and are the same in every language; nothing here enters a digest.
"""

from collections.abc import Sequence

from service.calculation.alternatives import Alternative
from service.calculation.cures import Cure
from service.calculation.limits import Limits

from . import changes, findings, headline
from .fitting import words_of
from .languages import chosen_language, language_of
from .model import LANGUAGES, Caution, Finding, Label, LanguageCode, Step, Words

__all__ = [
    "LANGUAGES",
    "Caution",
    "Finding",
    "Label",
    "LanguageCode",
    "Step",
    "Words",
    "best_reason",
    "check_label",
    "chosen_language",
    "cure_labels",
    "limits_reason",
    "no_cure_line",
    "severity_label",
    "verdict_label",
    "warning_text",
    "words_of",
]


def cure_labels(cures: Sequence[Cure], *, language: str = "en") -> tuple[Label, ...]:
    """What each cure changes, numbered from `c1`."""
    return changes.cures_of(cures, language_of(language))


def no_cure_line(*, language: str = "en") -> str:
    """What is said where cures were asked for and none was found."""
    return language_of(language).name(changes.NO_CURE)


def warning_text(code: str, *, language: str = "en") -> tuple[str, str]:
    """What a warning code means, and what remedies it, without figures."""
    return findings.general(code, language_of(language))


def check_label(id: str, *, language: str = "en") -> str:
    """What a check is called."""
    return language_of(language).name(findings.LABELS[id])


def severity_label(severity: str, *, language: str = "en") -> str:
    """What a severity is called."""
    return language_of(language).name(findings.SEVERITIES[severity])


def verdict_label(verdict: str, *, language: str = "en") -> str:
    """What a verdict is called."""
    return language_of(language).name(headline.VERDICTS[verdict])


def limits_reason(limits: Limits, *, language: str = "en") -> str:
    """What ends the limits of an opening for a slat and mount."""
    return changes.limits_reason_of(limits, language_of(language))


def best_reason(ranked: Sequence[Alternative], *, language: str = "en") -> str:
    """Why the first of ranked alternatives is the best, or where the nearest fails."""
    return changes.best_reason_of(ranked, language_of(language))

"""The order of work, with the fitting's figures in it."""

from service.calculation.fitting import Calculated

from .languages import Language
from .model import Caution, Step


def work_of(calculated: Calculated, language: Language) -> tuple[Step, ...]:
    """The steps in order."""
    del calculated, language
    return ()


def cautions_of(steps: tuple[Step, ...], calculated: Calculated, language: Language) -> tuple[Caution, ...]:
    """The cautions that the steps call for."""
    del steps, calculated, language
    return ()

"""Everything that people read of one fitting."""

from service.calculation.fitting import Calculated

from . import findings, headline, parcel, work
from .figures import figures_of
from .languages import language_of
from .model import Words
from .page import Page


def words_of(calculated: Calculated, *, language: str = "en") -> Words:
    """Everything that people read of one fitting, members in the order of their names."""
    said = language_of(language)
    figures = figures_of(calculated, said.numbers)
    page, cautions = Page(said, figures), Page(said, figures)
    page.begin(b'"checks":[')
    findings.labels_of(calculated.answer.checks, page)
    page.end(b"],")
    cures_at = len(page.pieces)
    page.json(b'"headline":"')
    headline.headline_of(calculated, page)
    page.begin(f'","language":"{said.code}","lines":['.encode())
    headline.lines_of(calculated, page)
    page.end(b"]")
    page.begin(b',"parts":[')
    parcel.labels_of(calculated, page)
    page.end(b"]")
    page.begin(b',"warnings":[')
    findings.findings_of(calculated, page)
    page.end(b"]")
    page.begin(b',"work":[')
    called = work.work_of(calculated, page)
    page.end(b"]}")
    # cautions stand first, but only the work tells which there are
    cautions.begin(b'{"cautions":[')
    work.cautions_of(called, calculated, cautions)
    cautions.end(b"],")
    page.pieces[0:0] = cautions.pieces
    return Words(said.code, page.pieces, cures_at + len(cautions.pieces))

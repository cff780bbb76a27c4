"""Setting pages: one compiler a thread for every PDF, with fonts from packages only and without a clock."""

import json
import re
import threading
from functools import cache, cached_property
from importlib.resources import files
from typing import Literal

import typst

from service.documents.wording import REPLACEMENT

FONT_PACKAGES = ("fontpkg_ibm_plex_sans", "manimgx_fonts")
"""IBM Plex Sans for text; Noto Sans and Noto Emoji for what it lacks."""

STANDARD: Literal["a-2b"] = "a-2b"
"""Documents are PDF/A-2b: fonts embedded, nothing fetched, readable for as long as they are kept."""


@cache
def _fonts() -> typst.Fonts:
    """The text face, and faces for the scripts and signs it lacks."""
    folders = [str(files(package)) for package in FONT_PACKAGES]
    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=folders)


class _Setter(threading.local):
    """A thread's compiler.

    A new one for each page would take one of the 65 535 file numbers that a process has, and never give it back: some
    day no page could be set any more. It also leaves holes in memory that grow without end.
    """

    @cached_property
    def compiler(self) -> typst.Compiler:
        """Made with the thread's first page: a service that sets none reads no fonts."""
        return typst.Compiler(font_paths=_fonts(), ignore_system_fonts=True)


_SETTER = _Setter()

_UNCERTAIN = re.compile(
    "[^ -~\u00a0-\u017f\u0386\u0388-\u038a\u038c\u038e-\u03a1\u03a3-\u03ce\u0400-\u045f\u05d0-\u05ea–—‘’“”…≤≥−\ufffd]"
)
"""Signs that a face may lack or may not join with their neighbours."""


def pdf(template: bytes, **inputs: object) -> bytes:
    """Set a template; what it is given is JSON under `sys.inputs.given`.

    Where no face can show a text in full, it is set again with the replacement character for every uncertain sign: a
    document comes out whatever a caller writes into a reference.

    Raises:
        typst.TypstError: the template is wrong.
    """
    given = json.dumps(inputs, ensure_ascii=False)
    try:
        return _set(template, given)
    except typst.TypstError as refused:
        if "could not be displayed" not in refused.message:
            raise
    return _set(template, _UNCERTAIN.sub(REPLACEMENT, given))


def _set(template: bytes, given: str) -> bytes:
    """Set a template once."""
    try:
        written = _SETTER.compiler.compile(input=template, format="pdf", sys_inputs={"given": given}, pdf_standards=STANDARD)
    except typst.TypstError:
        raise
    except BaseException:
        vars(_SETTER).pop("compiler", None)  # a panic may have left it broken
        raise
    if not isinstance(written, bytes):
        raise TypeError("a PDF is one run of bytes")
    return written

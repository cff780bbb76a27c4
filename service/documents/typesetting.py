"""Setting pages: one compiler a thread for every PDF, with fonts from packages only and without a clock."""

import json
import threading
from collections.abc import Callable
from functools import cache, cached_property
from importlib.resources import files
from typing import Literal

import typst

from service.documents.wording import clean, spelled, without_uncertain

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

Write = Callable[[str], str]
"""How a caller's text is written."""


def pdf(template: bytes, inputs: Callable[[Write], dict[str, object]]) -> bytes:
    """Set a template; what it is given is JSON under `sys.inputs.given`.

    `inputs` writes a caller's texts by what it is handed. Where no face can show a text in full, the document is set
    again with its uncertain signs spelled, and the replacement character for any that are left elsewhere: a document
    comes out whatever a caller writes into a reference, and a catalogue into its ids.

    Raises:
        typst.TypstError: the template is wrong.
    """
    try:
        return _set(template, json.dumps(inputs(clean), ensure_ascii=False))
    except typst.TypstError as refused:
        if "could not be displayed" not in refused.message:
            raise
    return _set(template, without_uncertain(json.dumps(inputs(spelled), ensure_ascii=False)))


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

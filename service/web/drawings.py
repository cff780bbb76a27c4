"""Drawings and sheets over HTTP: calculated from the same request, with the same digest, as the figures."""

from collections.abc import Callable
from functools import partial
from importlib import import_module

from msgspec import UNSET

from service.calculation.fitting import VERSION
from service.contract.decoding import BodyDecoder
from service.contract.fittings import calculate
from service.contract.operations import DXF, PDF, SVG
from service.contract.requests import FittingRequest
from service.documents.subject import Subject, Title
from service.web.call import Call, Handler, Reply
from service.web.live_catalogue import LiveCatalogue
from service.words import words_of

DOCUMENTS = {
    "drawSection": ("section.section_svg", SVG, "section.svg"),
    "drawPlate": ("plate.plate_svg", SVG, "plate.svg"),
    "exportPlate": ("plate_dxf.plate_dxf", DXF, "plate.dxf"),
    "printPlate": ("plate_pdf.plate_pdf", PDF, "plate.pdf"),
    "printSheet": ("sheet.fitting_pdf", PDF, "fitting.pdf"),
}
"""Who draws what: a function of `service.documents`, loaded by the first document since they are large."""


def drawings(live: LiveCatalogue) -> dict[str, Handler]:
    """The handler of every drawing and sheet by the operation's id."""
    decoder = BodyDecoder(FittingRequest)
    return {id: partial(_drawn, live, decoder, *how) for id, how in DOCUMENTS.items()}


def _drawn(
    live: LiveCatalogue, decoder: BodyDecoder[FittingRequest], drawer: str, media_type: str, name: str, call: Call
) -> Reply:
    """Calculate, then draw."""
    result = calculate(decoder.decode(call.body), live.content.shelf)
    reference = "" if result.request.reference is UNSET else result.request.reference
    title = Title(
        reference=reference,
        catalogue=result.shelf.catalogue_id,
        calculation_version=VERSION,
        digest=result.result_sha256,
        link=result.result_sha256,
    )
    module, _, function = drawer.partition(".")
    draw: Callable[[Subject], str | bytes] = getattr(import_module(f"service.documents.{module}"), function)
    drawn = draw(Subject(result.calculated, title, words_of(result.calculated)))
    content = drawn.encode() if isinstance(drawn, str) else drawn
    headers = (
        (b"cache-control", b"no-store"),
        (b"content-disposition", f'{_shown(media_type)}; filename="{name}"'.encode()),
        # an SVG opened by itself is a document of this host: it may run nothing and load nothing
        (b"content-security-policy", b"default-src 'none'; style-src 'unsafe-inline'; sandbox"),
    )
    return Reply(
        content,
        media_type=media_type,
        headers=headers,
        logged=(("verdict", result.calculated.answer.verdict),),
    )


def _shown(media_type: str) -> str:
    """How an answer is meant to be shown: pictures in the page, everything else saved as a file of its own name."""
    return "inline" if media_type == SVG else "attachment"

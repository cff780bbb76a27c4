"""Drawings and sheets over HTTP: calculated from the same request, with the same digest, as the figures."""

import re
from base64 import urlsafe_b64encode
from collections.abc import Callable
from functools import partial
from importlib import import_module
from unicodedata import normalize
from zlib import compress

from msgspec import UNSET

from service.calculation.fitting import VERSION
from service.contract.decoding import BodyDecoder
from service.contract.fittings import Result, calculate, encode
from service.contract.operations import DXF, PDF, SVG
from service.contract.requests import FittingRequest
from service.web.call import NO_STORE, Call, Handler, Reply, spoken
from service.web.live_catalogue import LiveCatalogue
from service.words import words_of

DOCUMENTS = {
    "drawSection": ("section.section_svg", SVG, "section.svg"),
    "drawPlan": ("plan.plan_svg", SVG, "plan.svg"),
    "drawFront": ("front.front_svg", SVG, "front.svg"),
    "drawPlate": ("plate.plate_svg", SVG, "plate.svg"),
    "exportPlate": ("plate_dxf.plate_dxf", DXF, "plate.dxf"),
    "printPlate": ("plate_pdf.plate_pdf", PDF, "plate.pdf"),
    "printSheet": ("sheet.fitting_pdf", PDF, "fitting.pdf"),
}
"""Who draws what: a function of `service.documents`, loaded by the first document since they are large."""


OF_A_PICTURE = (b"content-security-policy", b"default-src 'none'; style-src 'unsafe-inline'; sandbox")
"""An SVG opened by itself is a document of this host: it may run nothing and load nothing."""
REFERENCE_MAX = 60
"""Characters of a reference that a file name begins with."""


def drawings(live: LiveCatalogue, public_url: str) -> dict[str, Handler]:
    """The handler of every drawing and sheet by the operation's id; `public_url` is where people reach the service."""
    decoder = BodyDecoder(FittingRequest)
    return {id: partial(_drawn, live, decoder, public_url, *how) for id, how in DOCUMENTS.items()}


def _drawn(
    live: LiveCatalogue,
    decoder: BodyDecoder[FittingRequest],
    public_url: str,
    drawer: str,
    media_type: str,
    name: str,
    call: Call,
) -> Reply:
    """Calculate, then draw."""
    from service.documents.subject import Subject, Title  # noqa: PLC0415 - loaded by the first document, as what draws

    result = calculate(decoder.decode(call.body), live.content.shelf)
    reference = "" if result.request.reference is UNSET else result.request.reference
    title = Title(
        reference=reference,
        catalogue=result.shelf.catalogue_id,
        calculation_version=VERSION,
        digest=result.result_sha256,
        link=_link(result, public_url),
    )
    module, _, function = drawer.partition(".")
    draw: Callable[..., str | bytes] = getattr(import_module(f"service.documents.{module}"), function)
    wishes: dict[str, object] = {}
    if "title" in call.query:
        wishes["title"] = call.query["title"] != ("none",)
    if "paper" in call.query:
        wishes["paper"] = call.query["paper"][0]
    drawn = draw(Subject(result.calculated, title, words_of(result.calculated, language=call.language)), **wishes)
    content = drawn.encode() if isinstance(drawn, str) else drawn
    headers = (
        NO_STORE,
        (b"content-disposition", f'{_shown(media_type)}; filename="{_file_name(reference, name)}"'.encode()),
        OF_A_PICTURE,
        *spoken(call.language),
    )
    call.line.verdict = result.calculated.answer.verdict
    return Reply(content, media_type=media_type, headers=headers)


def _link(result: Result, public_url: str) -> str:
    """The address at which the case opens, the case itself in its fragment; empty where nobody told the address."""
    if not public_url:
        return ""
    packed = compress(encode(result.request), 9, wbits=-15)
    case = urlsafe_b64encode(packed).decode().rstrip("=")
    return f"{public_url.rstrip('/')}/desk#c={case}&d={result.result_sha256}"


def _file_name(reference: str, name: str) -> str:
    """A file name that begins with the reference, as far as it has letters and digits that every system takes."""
    plain = normalize("NFKD", reference).encode("ascii", "ignore").decode()
    words = re.sub(r"[^A-Za-z0-9]+", "-", plain).strip("-")[:REFERENCE_MAX].strip("-")
    return f"{words}-{name}" if words else name


def _shown(media_type: str) -> str:
    """How an answer is meant to be shown: pictures in the page, everything else saved as a file of its own name."""
    return "inline" if media_type == SVG else "attachment"

"""Drawings and sheets over HTTP: from the same request, with the same digest, never in the way of small requests."""

import base64
import io
import json
import threading
import zlib
from concurrent.futures import ThreadPoolExecutor

import ezdxf
import httpx
import pypdf
import pypdfium2
import pytest
import zxingcpp
from lxml import etree
from serving import PATIENCE_S, serving

from service.contract.examples import FITTINGS
from service.contract.fittings import calculate
from service.settings import Settings
from service.web import drawings

GOOD = FITTINGS["lock-gate-truck"].request
PATHS = {
    "/v1/drawings/section.svg": "image/svg+xml",
    "/v1/drawings/plan.svg": "image/svg+xml",
    "/v1/drawings/front.svg": "image/svg+xml",
    "/v1/drawings/plate.svg": "image/svg+xml",
    "/v1/drawings/plate.dxf": "image/vnd.dxf",
    "/v1/drawings/plate.pdf": "application/pdf",
    "/v1/sheets/fitting.pdf": "application/pdf",
}

NAMES = {"lock-gate-truck": "lock-gate-truck-nearside-2", "towpath-tractor": "towpath-tractor-tool-locker"}
"""What the examples' file names begin with."""


def text_of(path, content):
    """The words of a document, read by programs that are not ours: lxml, ezdxf, pypdf."""
    if path.endswith(".svg"):
        return " ".join(etree.fromstring(content).itertext())
    if path.endswith(".dxf"):
        drawing = ezdxf.read(io.StringIO(content.decode()))
        assert not drawing.audit().has_errors
        return " ".join(one.dxf.text for one in drawing.modelspace().query("TEXT"))
    return "".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(content)).pages)


@pytest.mark.parametrize("path", PATHS)
@pytest.mark.parametrize("name", NAMES)
def test_a_document_carries_the_digest_of_the_answer(client, path, name):
    request = FITTINGS[name].request
    digest = client.post("/v1/fittings", json=request).json()["audit"]["result_sha256"]
    response = client.post(path, json=request)
    assert (response.status_code, response.headers["content-type"]) == (200, PATHS[path])
    shown = "inline" if path.endswith(".svg") else "attachment"
    assert response.headers["content-disposition"] == f'{shown}; filename="{NAMES[name]}-{path.rpartition("/")[2]}"'
    assert "sandbox" in response.headers["content-security-policy"]
    words = "".join(text_of(path, response.content).split())
    assert digest in words
    assert "".join(str(request["reference"]).split())[:12] in words


@pytest.mark.parametrize("path", PATHS)
def test_bad_requests_are_problems_here_too(client, path):
    response = client.post(path, json={"opening": {}})
    assert (response.status_code, response.headers["content-type"]) == (422, "application/problem+json")
    assert client.post(path, json=FITTINGS["pump-van"].request, headers={"Accept": "application/json"}).status_code == 406


def test_who_accepts_problems_only_gets_the_file_all_the_same(client):
    headers = {"Accept": "application/problem+json"}  # what a Python client of openapi-generator says, whatever it wants
    response = client.post("/v1/drawings/plan.svg", json=FITTINGS["pump-van"].request, headers=headers)
    assert (response.status_code, response.headers["content-type"]) == (200, "image/svg+xml")


def test_small_requests_are_answered_while_a_sheet_is_made(client, monkeypatch):
    begun, answered = threading.Event(), threading.Event()

    def held(*job, **how):
        begun.set()
        assert answered.wait(PATIENCE_S)
        return calculate(*job, **how)

    monkeypatch.setattr(drawings, "calculate", held)
    with ThreadPoolExecutor() as pool:
        sheet = pool.submit(client.post, "/v1/sheets/fitting.pdf", json=FITTINGS["pump-van"].request)
        try:
            assert begun.wait(PATIENCE_S)
            assert client.get("/health/live").status_code == 200
        finally:
            answered.set()
        assert sheet.result().status_code == 200


def test_what_an_answer_says_the_drawing_says(client):
    request = FITTINGS["towpath-tractor"].request
    words = text_of("x.svg", client.post("/v1/drawings/section.svg", json=request).content)
    answer = client.post("/v1/fittings", json=request).json()
    for check in answer["checks"]:
        if check["state"] == "fails":
            assert f"{check['value']:.1f}" in words, json.dumps(check)
    assert "FAILS" in words


@pytest.mark.parametrize(
    ("reference", "begins"),
    [
        ("Klappe 7 / Süd", "Klappe-7-Sud-"),
        ("a" * 200, "a" * 60 + "-"),
        ('../../etc/"x"\r\nX-Injected: 1', "etc-x-X-Injected-1-"),
        ("水門", ""),
        ("...", ""),
        (None, ""),
    ],
)
def test_a_file_name_begins_with_what_every_system_takes_of_the_reference(client, reference, begins):
    request = {name: value for name, value in GOOD.items() if name != "reference"}
    request |= {} if reference is None else {"reference": reference}
    answer = client.post("/v1/drawings/plate.dxf", json=request)
    assert answer.headers["content-disposition"] == f'attachment; filename="{begins}plate.dxf"'


@pytest.mark.parametrize("path", [path for path in PATHS if path.endswith(".svg")])
def test_a_picture_comes_without_its_title_block_on_request(client, path):
    digest = client.post("/v1/fittings", json=GOOD).json()["audit"]["result_sha256"]
    block, same, none = (client.post(path + query, json=GOOD) for query in ("", "?title=block", "?title=none"))
    assert block.content == same.content
    assert digest in "".join(text_of(path, block.content).split())
    assert digest not in "".join(text_of(path, none.content).split())


def test_a_template_is_printed_on_either_size_of_paper(client):
    def sizes(query):
        pages = pypdf.PdfReader(io.BytesIO(client.post("/v1/drawings/plate.pdf" + query, json=GOOD).content)).pages
        return [tuple(round(float(one) * 25.4 / 72) for one in sorted(page.mediabox[2:])) for page in pages]

    a4, same, a3 = sizes(""), sizes("?paper=a4"), sizes("?paper=a3")
    assert a4 == same
    assert (set(a4), set(a3)) == ({(210, 297)}, {(297, 420)})
    assert len(a3) <= len(a4)


@pytest.mark.parametrize("query", ["?title=some", "?title=none&title=none", "?paper=a3"])
def test_a_picture_takes_no_other_query(client, query):
    refused = client.post("/v1/drawings/section.svg" + query, json=GOOD)
    assert (refused.status_code, refused.json()["type"]) == (422, "/problems/invalid-request")


@pytest.mark.parametrize("path", PATHS)
def test_a_document_speaks_the_callers_language(client, path):
    answers = {one: client.post(path, json=GOOD, headers={"Accept-Language": one}) for one in ("en", "de", "fr")}
    for language, answer in answers.items():
        assert (answer.headers["content-language"], answer.headers["vary"]) == (language, "Accept-Language")
    words = {language: text_of(path, answer.content) for language, answer in answers.items()}
    assert len(set(words.values())) == 3


def test_the_sheets_code_leads_to_the_case_where_the_address_is_told():
    with serving(Settings(public_url="https://fit.example/")) as base:
        sheet = httpx.post(f"{base}/v1/sheets/fitting.pdf", json=GOOD, timeout=PATIENCE_S)
        whole = httpx.post(f"{base}/v1/fittings", json=GOOD, timeout=PATIENCE_S).json()
    link = next(one for one in codes_in(sheet.content) if one.startswith("https://"))
    place, _, fragment = link.partition("#")
    case, digest = (part.partition("=")[2] for part in fragment.split("&"))
    assert place == "https://fit.example/desk"
    assert digest == whole["audit"]["result_sha256"]
    # independent programs: zxing reads the code, zlib unpacks the case
    packed = base64.urlsafe_b64decode(case + "=" * (-len(case) % 4))
    assert json.loads(zlib.decompress(packed, wbits=-15)) == whole["audit"]["request"]


def codes_in(sheet):
    """The texts of the codes on a sheet's pages."""
    pages = (page.render(scale=4).to_pil() for page in pypdfium2.PdfDocument(sheet))
    return [code.text for page in pages for code in zxingcpp.read_barcodes(page)]

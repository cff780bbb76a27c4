"""Drawings and sheets over HTTP: from the same request, with the same digest, never in the way of small requests."""

import io
import json
import threading
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import ezdxf
import httpx
import pypdf
import pytest
from lxml import etree
from serving import PATIENCE_S

from service.calculation.fitting import fit
from service.contract.examples import FITTINGS
from service.web import drawings

PATHS = {
    "/v1/drawings/section.svg": "image/svg+xml",
    "/v1/drawings/plate.svg": "image/svg+xml",
    "/v1/drawings/plate.dxf": "image/vnd.dxf",
    "/v1/drawings/plate.pdf": "application/pdf",
    "/v1/sheets/fitting.pdf": "application/pdf",
}


def text_of(path: str, content: bytes) -> str:
    """The words of a document, read by programs that are not ours: lxml, ezdxf, pypdf."""
    if path.endswith(".svg"):
        return " ".join(etree.fromstring(content).itertext())
    if path.endswith(".dxf"):
        drawing = ezdxf.read(io.StringIO(content.decode()))
        assert not drawing.audit().has_errors
        return " ".join(one.dxf.text for one in drawing.modelspace().query("TEXT"))
    return "".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(content)).pages)


@pytest.mark.parametrize("path", PATHS)
@pytest.mark.parametrize("name", ["lock-gate-truck", "towpath-tractor"])
def test_a_document_carries_the_digest_of_the_answer(client: httpx.Client, path: str, name: str) -> None:
    request = FITTINGS[name].request
    digest = client.post("/v1/fittings", json=request).json()["audit"]["result_sha256"]
    response = client.post(path, json=request)
    assert (response.status_code, response.headers["content-type"]) == (200, PATHS[path])
    shown = "inline" if path.endswith(".svg") else "attachment"
    assert response.headers["content-disposition"] == f'{shown}; filename="{path.rpartition("/")[2]}"'
    assert "sandbox" in response.headers["content-security-policy"]
    words = "".join(text_of(path, response.content).split())
    assert digest in words
    assert "".join(str(request["reference"]).split())[:12] in words


@pytest.mark.parametrize("name", FITTINGS)
def test_every_examples_sheet_takes_two_pages(client: httpx.Client, name: str) -> None:
    sheet = client.post("/v1/sheets/fitting.pdf", json=FITTINGS[name].request).content
    assert len(pypdf.PdfReader(io.BytesIO(sheet)).pages) == 2


@pytest.mark.parametrize("path", PATHS)
def test_bad_requests_are_problems_here_too(client: httpx.Client, path: str) -> None:
    response = client.post(path, json={"opening": {}})
    assert (response.status_code, response.headers["content-type"]) == (422, "application/problem+json")
    assert client.post(path, json=FITTINGS["pump-van"].request, headers={"Accept": "application/json"}).status_code == 406


def test_small_requests_are_answered_while_a_sheet_is_made(client: httpx.Client, monkeypatch: pytest.MonkeyPatch) -> None:
    begun, answered = threading.Event(), threading.Event()

    def held(*job: Any, **how: Any) -> Any:
        begun.set()
        assert answered.wait(PATIENCE_S)
        return fit(*job, **how)

    monkeypatch.setattr(drawings, "fit", held)
    with ThreadPoolExecutor() as pool:
        sheet = pool.submit(client.post, "/v1/sheets/fitting.pdf", json=FITTINGS["pump-van"].request)
        try:
            assert begun.wait(PATIENCE_S)
            assert client.get("/health/live").status_code == 200
        finally:
            answered.set()
        assert sheet.result().status_code == 200


def test_what_an_answer_says_the_drawing_says(client: httpx.Client) -> None:
    request = FITTINGS["towpath-tractor"].request
    words = text_of("x.svg", client.post("/v1/drawings/section.svg", json=request).content)
    answer = client.post("/v1/fittings", json=request).json()
    for check in answer["checks"]:
        if check["state"] == "fails":
            assert f"{check['value']:.1f}" in words, json.dumps(check)
    assert "FAILS" in words

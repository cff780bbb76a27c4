"""Whatever a caller calls an opening, every document comes out, well formed, the same each time, and whole."""

import subprocess
import sys
from io import BytesIO, StringIO
from pathlib import Path

import ezdxf
import pdfplumber
import pypdf
import pytest
from documents.cases import referred
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree

from service.documents.front import front_svg
from service.documents.plan import plan_svg
from service.documents.plate import plate_svg
from service.documents.plate_dxf import plate_dxf
from service.documents.plate_pdf import plate_pdf
from service.documents.section import section_svg
from service.documents.sheet import fitting_pdf
from service.documents.wording import clean

REFERENCES = {
    "markup": "</text><script>alert(1)</script>&amp;\"'<![CDATA[ ]]>#set page()[x]$y$*b*@ref",
    "endless word": "x" * 200,
    "wide letters": "W " * 100,
    "emoji": "🚒🚧👩‍🚒🇬🇧 truck 7",
    "right to left": "שלום עולם רכב 7 مرحبا",
    "turned around": "\u202ekcurt\u202c",
    "no face has it": "東京 トラック 2",
    "lone marks": "a\u0301\u05bc\u064b\u200d\ufe0f",
    "control characters": "\x00\x01\x1b[31m\ud800\uffff\n\r\t",
    "empty": "",
    "blank": "   ",
}


@pytest.mark.parametrize("reference", REFERENCES.values(), ids=REFERENCES)
def test_every_document_comes_out(reference):
    subject = referred(reference)
    for picture in (section_svg(subject), plan_svg(subject), front_svg(subject), plate_svg(subject)):
        root = etree.fromstring(picture.encode())
        assert not root.findall(".//{*}script")
        assert clean(reference) in root[0].text
    assert ezdxf.read(StringIO(plate_dxf(subject).decode())).audit().errors == []
    for document in (plate_pdf(subject), fitting_pdf(subject)):
        assert len(pypdf.PdfReader(BytesIO(document)).pages) >= 2


@pytest.mark.parametrize("reference", ["endless word", "wide letters"])
def test_a_long_reference_is_set_whole_on_the_sheet(reference):
    with pdfplumber.open(BytesIO(fitting_pdf(referred(REFERENCES[reference])))) as opened:
        page = opened.pages[0]
        top = page.crop((0, 0, page.width, page.height / 3))
        assert "".join(top.extract_text().split()).count(REFERENCES[reference][0]) >= REFERENCES[reference].count(
            REFERENCES[reference][0]
        )
        assert max(sign["x1"] for sign in page.chars) < page.width - 20


@pytest.mark.heavy
@given(st.text(max_size=40))
@settings(max_examples=40, deadline=None)
def test_any_text_will_do(reference):
    subject = referred(reference)
    etree.fromstring(section_svg(subject).encode())
    assert plate_pdf(subject).startswith(b"%PDF-1.7")
    assert fitting_pdf(subject).startswith(b"%PDF-1.7")


PRINTED = """
from hashlib import sha256
from service.documents.front import front_svg
from service.documents.plan import plan_svg
from documents.cases import SUBJECTS
from service.documents.plate import plate_svg
from service.documents.plate_dxf import plate_dxf
from service.documents.plate_pdf import plate_pdf
from service.documents.section import section_svg
from service.documents.sheet import fitting_pdf
one = SUBJECTS["all options"]
pictures = [draw(one).encode() for draw in (section_svg, plan_svg, front_svg, plate_svg)]
for document in (*pictures, plate_dxf(one), plate_pdf(one), fitting_pdf(one)):
    print(sha256(document).hexdigest())
"""


def test_documents_are_the_same_bytes_in_every_process():
    tests = Path(__file__).parent.parent
    runs = [
        subprocess.run(
            [sys.executable, "-c", PRINTED],
            env={"PYTHONPATH": f"{tests}:{tests.parent}", "PYTHONHASHSEED": seed, "TZ": zone},
            check=True,
            capture_output=True,
            text=True,
        ).stdout.split()
        for seed, zone in (("1", "UTC"), ("2", "Asia/Tokyo"))
    ]
    assert len(set(runs[0])) == 7
    assert runs[0] == runs[1]

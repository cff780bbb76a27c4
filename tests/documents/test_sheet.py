"""The fitter's sheet is read by other programs: text, fonts, page boxes, the QR code from its pixels."""

from functools import cache
from io import BytesIO

import pdfplumber
import pypdf
import pypdfium2
import pytest
import zxingcpp
from documents.cases import DIGEST, FAILING, SUBJECTS, TITLE, referred

from service.documents.sheet import CAUTIONS, fitting_pdf

pytestmark = pytest.mark.slow


@cache
def pages_of(document: bytes) -> list[pdfplumber.page.Page]:
    """A document's pages, read once: that takes longer than setting them."""
    return pdfplumber.open(BytesIO(document)).pages


def text_in(document: bytes) -> str:
    """All text of a document, its line breaks read as spaces."""
    return " ".join(" ".join(word["text"] for word in page.extract_words()) for page in pages_of(document))


@cache
def sheet(name: str) -> bytes:
    return fitting_pdf(SUBJECTS[name])


@cache
def text_of(name: str) -> str:
    return text_in(sheet(name))


@pytest.mark.parametrize("name", SUBJECTS)
def test_sheet_tells_every_figure(name: str) -> None:
    subject = SUBJECTS[name]
    answer, opening = subject.answer, subject.job.opening
    # without parcel and work, whose texts repeat some of the figures
    text = text_in(fitting_pdf(subject._replace(answer=answer._replace(parts=(), work=()))))
    figures = [
        f"{answer.tracks.outer_width_mm - 2 * subject.job.mount.track_beyond_mm:.1f} × {-subject.geometry.sill_z_mm:.1f} mm",
        f"{opening.headroom_mm:.1f} mm",
        f"{opening.depth_mm:.1f} mm",
        f"{abs(answer.side_plate.base_z_mm):.1f}",
        f"{answer.wheel.from_plate_front_mm:.1f} / {answer.wheel.from_plate_base_mm:.1f}",
        f"{answer.bracket.from_plate_front_mm:.1f} / {answer.bracket.from_plate_base_mm:.1f}",
        answer.bracket.hole,
        f"{abs(answer.bracket.below_roof_mm):.1f} {'below' if answer.bracket.below_roof_mm > 0 else 'above'} the roof",
        f"{answer.curtain.slat_count} × {answer.curtain.slat_length_mm:.1f}",
        f"2 × {answer.tracks.length_mm:.1f}",
        f"{answer.seals.top_cut_length_mm:.1f}",
        f"{answer.seals.top_short_edge_mm:.1f}",
        f"{answer.striker.height_above_sill_mm:.1f}",
        f"{answer.coil.radius_mm:.1f}",
        f"{answer.daylight.width_mm:.1f} × {answer.daylight.height_mm:.1f}",
        f"{answer.curtain.mass_kg:.1f} kg",
        f"{subject.job.duty.supply_v:g} V",
        f"{subject.job.duty.road_speed_km_h:g} km/h",
        f"{subject.job.duty.temperature_min_c:g} to {subject.job.duty.temperature_max_c:g} °C".replace("-", "−"),
        f"measuring tolerance {subject.job.duty.measuring_tolerance_mm:g} mm",
        f"hand-force limit {subject.job.duty.hand_force_limit_n:g} N",
        "left and right as seen from outside",
        "Top seal, long edge",
        "opening, one diagonal",
        "opening, other diagonal",
        f"daylight, width {answer.daylight.width_mm:.1f}",
        f"daylight, height {answer.daylight.height_mm:.1f}",
        f"striker above the sill {answer.striker.height_above_sill_mm:.1f}",
        DIGEST,
        TITLE.catalogue,
        TITLE.reference,
    ]
    sprung = [
        f"{answer.balance.spring_count} × wire {answer.balance.wire_mm:g}",
        f"shutter open; {answer.balance.turns_closed:.1f} closed",
        f"≤ {answer.balance.hand_force_max_n:.1f}",
    ]
    if name == "no spring fits":
        assert [one for one in sprung if one in text] == []
        assert text.count("none fits") == 5
    else:
        figures += [*sprung, f"pretension, turns {answer.balance.pretension_turns:g}"]
    survey = opening.survey
    if survey is not None:
        readings = (survey.widths_mm, survey.heights_mm, survey.diagonals_mm)
        figures += [f"{reading:.1f}" for some in readings for reading in some]
    if answer.wiring is not None:
        figures += [f"{answer.wiring.fuse_a:g}", f"{answer.wiring.conductor_mm2:g} mm²"]
    if answer.drip_rail is not None:
        figures.append(f"{answer.drip_rail.length_mm:.1f}")
    missing = [one for one in figures if one not in text]
    assert missing == []


@pytest.mark.heavy
@pytest.mark.parametrize("name", SUBJECTS)
def test_sheet_tells_every_warning_with_its_remedy(name: str) -> None:
    subject, read = SUBJECTS[name], text_of(name)
    for warning in subject.answer.warnings:
        words = {*warning.message.split(), *warning.remedy.split()}
        assert [word for word in words if word not in read] == []
    assert ("Do not cut or drill." in read) is (subject.answer.verdict == "does_not_fit")


def column_text(document: bytes, heading: str, columns: int) -> str:
    """What stands under a heading, read column by column, without spaces: narrow gaps are none to the reader."""
    page = next(page for page in pages_of(document) if heading in page.extract_text())
    top = page.search(heading)[0]["bottom"]
    width = page.width / columns
    parts = [page.crop((width * index, top, width * (index + 1), page.height - 40)) for index in range(columns)]
    return "".join("".join(word["text"] for word in part.extract_words()) for part in parts)


def squeezed(text: str) -> str:
    return "".join(text.split())


@pytest.mark.parametrize("name", ["usual", "all options", "everything fails"])
def test_sheet_lists_parcel_work_and_cautions(name: str) -> None:
    answer, read = SUBJECTS[name].answer, text_of(name)
    for part in answer.parts:
        assert [word for word in (f"{part.quantity}", *part.part.split()) if word not in read] == []
        assert part.cut_length_mm is None or f"{part.cut_length_mm:.1f}" in read.partition("cut lengths in mm")[2]
    work = column_text(sheet(name), "Order of work", 2)
    for number, step in enumerate(answer.work, start=1):
        written = f"{number} {step.step[0].upper()}{step.step[1:]}. {step.text}"
        assert squeezed(f"{written} Caution: {step.caution}" if step.caution else written) in work
    for name_of_caution, _ in CAUTIONS:
        assert [word for word in name_of_caution.split() if word not in read] == []
        assert read.index(name_of_caution.split()[0]) < read.index("Order of work")
    assert "Fitted by Date Signature" in read


@pytest.mark.parametrize("name", SUBJECTS)
def test_every_page_of_a_sheet_that_does_not_fit_says_so(name: str) -> None:
    read = text_of(name)
    for page in pypdf.PdfReader(BytesIO(sheet(name))).pages:
        assert ("Does not fit: do not cut or drill" in page.extract_text()) is (name in FAILING)
    for heading in ("Check the parcel", "Order of work"):
        assert (f"{heading}: for information only" in read) is (name in FAILING)


def test_a_reference_that_no_face_can_show_is_spelled() -> None:
    read = text_in(fitting_pdf(referred("水門 truck 7")))
    assert "\\u6c34\\u9580 truck 7" in read
    assert "\N{REPLACEMENT CHARACTER}" not in read


@pytest.mark.parametrize("name", SUBJECTS)
def test_nothing_leaves_the_page(name: str) -> None:
    for page in pages_of(sheet(name)):
        for sign in page.chars:
            assert page.bbox[0] + 20 < sign["x0"] <= sign["x1"] < page.bbox[2] - 20
            assert page.bbox[1] + 10 < sign["top"] <= sign["bottom"] < page.bbox[3] - 10


@pytest.mark.parametrize("name", SUBJECTS)
def test_sheets_take_two_pages_and_three_where_everything_fails(name: str) -> None:
    extreme = ("coil larger than the room", "everything fails")
    assert len(pypdf.PdfReader(BytesIO(sheet(name))).pages) <= (3 if name in extreme else 2)


def test_a_long_list_flows_on() -> None:
    subject = SUBJECTS["usual"]
    one = subject.answer.warnings[0]
    many = tuple(one._replace(message=f"Warning number {number}. " + "It is long. " * 12) for number in range(60))
    crowded = subject._replace(answer=subject.answer._replace(warnings=many))
    document = fitting_pdf(crowded)
    assert len(pypdf.PdfReader(BytesIO(document)).pages) > 3
    read = text_in(document)
    assert [number for number in range(60) if f"Warning number {number}." not in read] == []


@pytest.mark.parametrize("name", ["usual", "coil larger than the room"])
def test_qr_code_reads_as_the_digest(name: str) -> None:
    page = pypdfium2.PdfDocument(sheet(name))[0]
    found = zxingcpp.read_barcodes(page.render(scale=150 / 72).to_pil())
    assert [one.text for one in found] == [DIGEST]


def fonts_of(resources: pypdf.generic.DictionaryObject) -> list[pypdf.generic.PdfObject]:
    """Every font that a page, or a drawing placed on it, names."""
    fonts = [*resources.get("/Font", {}).values()]
    for placed in resources.get("/XObject", {}).values():
        fonts += fonts_of(placed.get_object().get("/Resources", {}))
    return fonts


def test_document_is_archivable_titled_and_carries_its_fonts() -> None:
    reader = pypdf.PdfReader(BytesIO(sheet("usual")))
    assert reader.metadata is not None
    assert reader.metadata.title == f"Fitting sheet, {TITLE.reference}"
    catalogue = reader.trailer["/Root"].get_object()
    assert catalogue["/Lang"] == "en"
    assert catalogue["/MarkInfo"]["/Marked"]
    metadata = catalogue["/Metadata"].get_object().get_data().decode()
    assert "<pdfaid:part>2</pdfaid:part>" in metadata
    assert "<pdfaid:conformance>B</pdfaid:conformance>" in metadata
    objects = [indirect.get_object() for page in reader.pages for indirect in fonts_of(page["/Resources"])]
    descriptors = [one["/DescendantFonts"][0]["/FontDescriptor"] for one in objects]
    assert descriptors
    for one in descriptors:
        assert "/FontFile2" in one or "/FontFile3" in one
    used = {sign["fontname"].split("+")[-1] for page in pages_of(sheet("usual")) for sign in page.chars}
    assert used <= {str(one["/FontName"]).split("+")[-1] for one in descriptors}

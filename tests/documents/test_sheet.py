"""The fitter's sheet is read by other programs: text, fonts, sizes, page boxes, the QR code from its pixels."""

from functools import cache
from io import BytesIO

import msgspec
import pdfplumber
import pypdf
import pypdfium2
import pytest
import zxingcpp
from documents.cases import DIGEST, FAILING, FITTING, LINK, SPOKEN, SUBJECTS, TITLE, referred, spoken, subject
from documents.paper import outside, parsed
from samples import job

from service.documents import steps
from service.documents.sheet import fitting_pdf
from service.documents.subject import Subject
from service.words.model import Words


@cache
def sheet(name, language="en"):
    return fitting_pdf(spoken(name, language))


@cache
def pages_of(document):
    """A document's pages, read once: that takes longer than setting them."""
    return pypdfium2.PdfDocument(document)


@cache
def text_in(document):
    """All text of a document, its line breaks read as spaces."""
    text = " ".join(" ".join(page.get_textpage().get_text_range().split()) for page in pages_of(document))
    return text.replace("\ufffe", "-")  # how the reader gives a hyphen at the end of a line


def squeezed(text):
    """Without spaces and hyphenation: where a line ends is not what is said."""
    return "".join(text.split())


@pytest.mark.parametrize(("name", "language"), SPOKEN)
def test_sheet_tells_every_figure(name, language):
    subject = spoken(name, language)
    answer, opening, mm = subject.answer, subject.job.opening, subject.mm
    text = squeezed(text_in(sheet(name, language)))
    figures = [
        f"{mm(answer.opening.width_mm)}×{mm(answer.opening.height_mm)}mm",
        f"{mm(opening.headroom_mm)}mm",
        f"{mm(opening.depth_mm)}mm",
        mm(abs(answer.side_plate.base_z_mm)),
        f"{mm(answer.wheel.from_plate_front_mm)}/{mm(answer.wheel.from_plate_base_mm)}",
        f"{mm(answer.bracket.from_plate_front_mm)}/{mm(answer.bracket.from_plate_base_mm)}",
        subject.bracket_hole.name,
        mm(abs(answer.bracket.below_roof_mm)),
        f"{answer.curtain.slat_count}×{mm(answer.curtain.slat_length_mm)}",
        f"2×{mm(answer.tracks.length_mm)}",
        mm(answer.seals.top_cut_length_mm),
        mm(answer.seals.top_short_edge_mm),
        mm(answer.striker.height_above_sill_mm),
        mm(answer.curtain.tube_length_mm),
        mm(answer.coil.radius_mm),
        f"{mm(answer.daylight.width_mm)}×{mm(answer.daylight.height_mm)}",
        f"{mm(answer.curtain.mass_kg)}kg",
        subject.verdict,
        subject.words.headline,
        TITLE.catalogue,
        TITLE.reference,
    ]
    if subject.spring_made:
        figures += [
            f"{answer.balance.spring_count}×",
            mm(answer.balance.turns_closed),
            mm(answer.balance.pretension_turns),
            f"≤{answer.balance.hand_force_max_n:.0f}",
        ]
    survey = opening.survey
    if survey is not None:
        figures += [mm(reading) for some in (survey.widths_mm, survey.heights_mm, survey.diagonals_mm) for reading in some]
    if answer.drip_rail is not None:
        figures.append(mm(answer.drip_rail.length_mm))
    assert [one for one in figures if squeezed(one) not in text] == []
    digest = [DIGEST[:22], DIGEST[22:44], DIGEST[44:]]
    assert "".join(digest) in text


@pytest.mark.parametrize(("name", "language"), SPOKEN)
def test_sheet_says_all_words_of_the_answer(name, language):
    subject = spoken(name, language)
    words, read = subject.words, squeezed(text_in(sheet(name, language)))
    said = [text for one in words.warnings for text in (one.message, one.remedy)]
    said += [part.label for part in words.parts]
    said += [text for step in words.work for text in (step.title, step.text)]
    said += [caution.text for caution in words.cautions]
    missing = [text for text in said for word in text.split() if squeezed(word) not in read]
    assert missing == []


@pytest.mark.parametrize("name", ["usual", "all options", "everything fails"])
def test_steps_stand_whole_and_in_order_each_with_its_cautions(name):
    subject, read = SUBJECTS[name], squeezed(text_in(sheet(name)))
    texts = {one.code: squeezed(one.text) for one in subject.words.cautions}
    at = read.index("Orderofwork")
    for number, step in enumerate(subject.words.work, start=1):
        at = read.index(f"{number}{squeezed(step.title)}", at)
        for code in step.cautions:
            assert texts[code][:40] in read[at:]


def test_no_spring_is_said_in_place_of_its_figures():
    read = text_in(sheet("no spring"))
    assert read.count("none") >= 5
    assert "see the warnings" in read


def test_a_current_that_rounds_to_none_is_told_as_little():
    read = text_in(fitting_pdf(subject(job(options=frozenset({"door_switch"})))))
    assert "current less than 0.1 A" in read
    assert "current 0 A" not in read


@pytest.mark.parametrize("name", SUBJECTS)
def test_every_page_of_a_sheet_that_does_not_fit_says_so(name):
    read = text_in(sheet(name))
    for page in pages_of(sheet(name)):
        said = "Does not fit: do not cut or drill" in page.get_textpage().get_text_range()
        assert said is (name in FAILING)
    assert (read.count("for information only") == 2) is (name in FAILING)


def test_the_plates_height_is_told_with_its_sign_in_words():
    below, above = text_in(sheet("usual")), text_in(sheet("all options"))
    assert "12 ↓ BELOW the header's base" in below
    assert "10 ↑ ABOVE the header's base" in above


def test_a_reference_that_no_face_can_show_is_spelled():
    read = text_in(fitting_pdf(referred("\U00012000 truck 7")))
    assert "\\u12000 truck 7" in read
    assert "spelled by its number" in read
    assert "\N{REPLACEMENT CHARACTER}" not in read
    assert "spelled by its number" not in text_in(sheet("usual"))


@pytest.mark.parametrize("name", ["usual", pytest.param("everything fails", marks=pytest.mark.slow)])
def test_work_is_set_in_letters_for_arms_length_and_nothing_leaves_the_page(name):
    sizes, titles = {}, [step.title for step in SUBJECTS[name].words.work]
    with pdfplumber.open(BytesIO(sheet(name))) as opened:
        for page in opened.pages:
            for sign in page.chars:
                assert page.bbox[0] + 20 < sign["x0"] <= sign["x1"] < page.bbox[2] - 20
                assert page.bbox[1] + 10 < sign["top"] <= sign["bottom"] < page.bbox[3] - 10
            for line in page.extract_text_lines():
                sizes[line["text"]] = max(round(sign["size"], 1) for sign in line["chars"])
    for title in titles:
        assert max(size for text, size in sizes.items() if text.endswith(title)) >= 12
    text = SUBJECTS[name].words.work[0].text
    first = [size for line, size in sizes.items() if len(line) > 40 and line in text]
    assert first
    assert min(first) >= 11


@pytest.mark.parametrize("name", SUBJECTS)
def test_no_page_is_left_half_empty(name):
    document = pages_of(sheet(name))
    assert 5 <= len(document) <= 9
    for page in document:
        inked = page.render(scale=0.5, grayscale=True).to_numpy().min(axis=1) < 200
        rows = [index for index, row in enumerate(inked[:-28]) if row]
        assert rows[-1] > 0.5 * len(inked)


def test_a_long_list_flows_on():
    one = SUBJECTS["everything fails"]
    many = [
        {"code": finding.code, "message": f"Warning number {number}. " + "It is long. " * 30, "remedy": finding.remedy}
        for number, finding in enumerate(one.words.warnings)
    ]
    written = msgspec.json.encode({**msgspec.json.decode(b"".join(one.words.pieces)), "warnings": many})
    crowded = Subject(one.calculated, one.title, Words(one.words.language, [written], cures_at=0))
    document = fitting_pdf(crowded)
    assert len(pages_of(document)) > len(pages_of(sheet("everything fails")))
    read = text_in(document)
    assert [number for number in range(len(many)) if f"Warning number {number}." not in read] == []


def code_on(document):
    page = pypdfium2.PdfDocument(document)[0]
    return [one.text for one in zxingcpp.read_barcodes(page.render(scale=150 / 72).to_pil())]


def test_qr_code_holds_the_case_or_where_nobody_knows_the_address_the_digest():
    assert code_on(sheet("usual")) == [LINK]
    one = SUBJECTS["usual"]
    assert code_on(fitting_pdf(Subject(one.calculated, TITLE._replace(link=""), one.words))) == [DIGEST]


def test_a_long_case_still_reads():
    one = SUBJECTS["usual"]
    link = LINK.replace("#c=", "#c=" + "Qx7_" * 225)
    assert code_on(fitting_pdf(Subject(one.calculated, TITLE._replace(link=link), one.words))) == [link]


@pytest.mark.parametrize("name", FITTING)
def test_pictures_belong_to_steps_and_are_well_formed(name):
    subject = SUBJECTS[name]
    keys = {step.key for step in subject.words.work}
    assert keys & steps.PICTURES.keys()
    for key in keys:
        assert len(steps.pictures_of(subject, key)) == len(steps.PICTURES.get(key, ()))


def test_every_picture_has_a_step():
    keys = {step.key for subject in SUBJECTS.values() for step in subject.words.work}
    assert steps.PICTURES.keys() <= keys


@pytest.mark.parametrize("name", SUBJECTS)
def test_a_picture_has_room_for_all_its_words(name):
    subject = SUBJECTS[name]
    for key in steps.PICTURES:
        for picture in steps.pictures_of(subject, key):
            assert outside(parsed(picture)) == []


def test_the_coil_to_measure_is_the_one_that_everything_was_checked_with():
    # hand: the radius of the case's request; what is calculated for 56 slats is another
    assert "coil's radius, rolled up 95 " in text_in(sheet("measured"))
    usual = SUBJECTS["usual"]
    assert f"coil's radius, rolled up {usual.mm(usual.answer.coil.radius_mm)} " in text_in(sheet("usual"))


def fonts_of(resources):
    """Every font that a page, or a drawing placed on it, names."""
    fonts = [*resources.get("/Font", {}).values()]
    for placed in resources.get("/XObject", {}).values():
        fonts += fonts_of(placed.get_object().get("/Resources", {}))
    return fonts


def test_document_is_archivable_titled_and_carries_its_fonts():
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


@pytest.mark.parametrize("language", ["en", "de", "fr"])
def test_document_says_its_language(language):
    assert pypdf.PdfReader(BytesIO(sheet("usual", language))).trailer["/Root"]["/Lang"] == language

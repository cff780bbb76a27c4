"""The 1 : 1 template is measured: page boxes and lines in the file, and pixels of a page drawn at a known resolution."""

from io import BytesIO

import numpy as np
import pdfplumber
import pypdf
import pypdfium2
import pytest
from documents.cases import SUBJECTS, TITLE, subject
from samples import job, side_plate

from service.documents.plate_pdf import OVERLAP, plate_pdf

MM = 72 / 25.4
"""Points in a millimetre."""

WORKSHOP_MM = 0.01
"""Positions are written as 32 bit numbers of points: far finer than a drill, and ten times finer than asked for."""

DPI = 300


def lines_of(page):
    """Width and height of every straight line on a page [mm]."""
    return [(float(line["width"]) / MM, float(line["height"]) / MM) for line in page.lines]


def circles_of(page, radius_mm):
    """Centres of all circles of a radius, from the page's left and top edge [mm]."""
    wanted = 2 * radius_mm * MM
    return [
        ((curve["x0"] + curve["x1"]) / 2 / MM, (curve["top"] + curve["bottom"]) / 2 / MM)
        for curve in page.curves
        if abs(curve["width"] - wanted) < WORKSHOP_MM and abs(curve["height"] - wanted) < WORKSHOP_MM
    ]


@pytest.mark.parametrize(("name", "pages"), [("usual", 4), ("large", 4), ("too shallow", 4)])
def test_pages_are_a4_and_carry_both_bars(name, pages):
    content = plate_pdf(SUBJECTS[name])
    reader = pypdf.PdfReader(BytesIO(content))
    assert len(reader.pages) == pages
    for page in reader.pages:
        sides = (float(page.mediabox.width) / MM, float(page.mediabox.height) / MM)
        assert sorted(sides) == pytest.approx([210, 297], abs=WORKSHOP_MM)  # published: ISO 216
    with pdfplumber.open(BytesIO(content)) as opened:
        for page in opened.pages:
            lengths = lines_of(page)
            assert sum(w == pytest.approx(100, abs=WORKSHOP_MM) and h < WORKSHOP_MM for w, h in lengths) == 1
            assert sum(h == pytest.approx(100, abs=WORKSHOP_MM) and w < WORKSHOP_MM for w, h in lengths) == 1
            assert "Measure both bars before drilling: each must be 100 mm" in page.extract_text()


def longest_run(dark):
    """Length of the longest run of dark pixels in a row of them."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], dark.astype(int), [0]))))
    return int((edges[1::2] - edges[::2]).max(initial=0))


def test_bars_measure_100_mm_when_drawn():
    page = pypdfium2.PdfDocument(plate_pdf(SUBJECTS["usual"]))[0]
    pixels = page.render(scale=DPI / 72, grayscale=True).to_numpy() < 128
    head, side = int(29 / 25.4 * DPI), int(18 / 25.4 * DPI)
    across = max(longest_run(row) for row in pixels[:head])
    down = max(longest_run(column) for column in pixels[:, :side].T)
    # one pixel of 0.085 mm, plus the end ticks' own width of 0.3 mm, half of it beyond each end
    assert across * 25.4 / DPI == pytest.approx(100.3, abs=0.1)
    assert down * 25.4 / DPI == pytest.approx(100.3, abs=0.1)


def small_plate():
    """A plate that goes on one page."""
    return subject(job(side_plates=(side_plate("P170", deep_mm=170.0, high_mm=150.0),)))


def test_holes_lie_at_full_size_and_the_right_plate_is_mirrored():
    one = small_plate()
    wheel, bracket = one.answer.wheel, one.answer.bracket
    with pdfplumber.open(BytesIO(plate_pdf(one))) as opened:
        assert len(opened.pages) == 2
        for page, inwards in zip(opened.pages, (1, -1), strict=True):
            outline = next(one for one in page.rects if abs(one["width"] / MM - 170) < WORKSHOP_MM)
            assert outline["height"] / MM == pytest.approx(150, abs=WORKSHOP_MM)
            front = (outline["x0"] if inwards > 0 else outline["x1"]) / MM
            base = outline["bottom"] / MM
            holes = [((x - front) * inwards, base - y) for radius in (5.25, 4.25) for x, y in circles_of(page, radius)]
            assert holes == [
                pytest.approx((wheel.from_plate_front_mm, wheel.from_plate_base_mm), abs=WORKSHOP_MM),
                pytest.approx((bracket.from_plate_front_mm, bracket.from_plate_base_mm), abs=WORKSHOP_MM),
            ]


def test_register_marks_of_neighbouring_pages_fall_on_each_other():
    with pdfplumber.open(BytesIO(plate_pdf(SUBJECTS["usual"]))) as opened:
        left, right = (circles_of(page, 2.5) for page in opened.pages[:2])
        area = opened.pages[0].width / MM - 8 - 12 - 8
    assert len(left) == 2
    for mark, twin in zip(left, right, strict=True):
        assert mark[0] - twin[0] == pytest.approx(area - OVERLAP, abs=WORKSHOP_MM)
        assert mark[1] == pytest.approx(twin[1], abs=WORKSHOP_MM)


@pytest.mark.slow
def test_plate_of_several_rows_keeps_its_size_over_the_pages():
    one = subject(job({"headroom_mm": 900.0}, side_plates=(side_plate("P500", deep_mm=500.0, high_mm=600.0),)))
    wheel, bracket = one.answer.wheel, one.answer.bracket
    marks = []
    with pdfplumber.open(BytesIO(plate_pdf(one))) as opened:
        assert len(opened.pages) == 2 * 2 * 4
        width, height = (side / MM for side in (opened.pages[0].width, opened.pages[0].height))
        step_x, step_y = width - 28 - OVERLAP, height - 36 - OVERLAP
        for index, page in enumerate(opened.pages[:8]):
            column, row = index % 2, index // 2
            both = [*circles_of(page, 5.25), *circles_of(page, 4.25)]
            inside = [(x, y) for x, y in both if 20 <= x <= width - 8 and 28 <= y <= height - 8]
            marks += [(x - 20 + column * step_x, height - 8 - y + row * step_y) for x, y in inside]
    expected = [
        (wheel.from_plate_front_mm, wheel.from_plate_base_mm),
        (bracket.from_plate_front_mm, bracket.from_plate_base_mm),
    ]
    assert {min(range(2), key=lambda i: abs(mark[0] - expected[i][0])) for mark in marks} == {0, 1}
    for mark in marks:
        nearest = min(expected, key=lambda place: abs(mark[0] - place[0]))
        assert mark == pytest.approx(nearest, abs=WORKSHOP_MM)


@pytest.mark.parametrize("name", ["usual", pytest.param("narrow rows of holes", marks=pytest.mark.slow), "no spring"])
def test_no_text_crosses_the_plates_edges(name):
    plate = SUBJECTS[name].plate
    with pdfplumber.open(BytesIO(plate_pdf(SUBJECTS[name]))) as opened:
        pages = len(opened.pages) // 2
        for index, page in enumerate(opened.pages):
            column = index % pages if pages == 2 else 0
            step = page.width / MM - 28 - OVERLAP
            left = 20 - column * step
            edges = (left * MM, (left + plate.deep_mm) * MM)
            words = [word for word in page.extract_words() if word["top"] > 30 * MM and word["x0"] > 20 * MM]
            assert words
            assert not [word["text"] for word in words for edge in edges if word["x0"] < edge < word["x1"]]


@pytest.mark.parametrize("name", ["usual", "too shallow"])
def test_every_page_says_from_where_the_plate_is_seen(name):
    for page in pypdf.PdfReader(BytesIO(plate_pdf(SUBJECTS[name]))).pages:
        assert "Seen from the middle of the opening. Left and right as seen from outside." in page.extract_text()


def test_template_that_must_not_be_drilled_says_so():
    text = pypdf.PdfReader(BytesIO(plate_pdf(SUBJECTS["too shallow"]))).pages[0].extract_text()
    assert "DOES NOT FIT, do not drill" in text
    assert TITLE.digest in text


def test_a3_takes_fewer_pages_at_the_same_size():
    one = SUBJECTS["large"]
    assert len(pypdf.PdfReader(BytesIO(plate_pdf(one))).pages) == 4
    content = plate_pdf(one, paper="a3")
    reader = pypdf.PdfReader(BytesIO(content))
    assert len(reader.pages) == 2
    for page in reader.pages:
        sides = (float(page.mediabox.width) / MM, float(page.mediabox.height) / MM)
        assert sorted(sides) == pytest.approx([297, 420], abs=WORKSHOP_MM)  # published: ISO 216
    with pdfplumber.open(BytesIO(content)) as opened:
        outline = max(opened.pages[0].rects, key=lambda rect: rect["width"] if rect["width"] < 320 * MM else 0)
        assert outline["width"] / MM == pytest.approx(one.plate.deep_mm, abs=WORKSHOP_MM)


def test_fixing_holes_are_drawn_at_their_size():
    with pdfplumber.open(BytesIO(plate_pdf(small_plate()))) as opened:
        for page in opened.pages:
            assert len(circles_of(page, 3.25)) == 4

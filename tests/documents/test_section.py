"""The section is read back with an XML parser and its geometry compared with the answer by a geometry library."""

import re
from collections.abc import Callable
from itertools import pairwise

import pytest
from documents.cases import DIGEST, FAILING, FITTING, SUBJECTS, referred, subject
from documents.paper import outside, overlapping, parsed, texts
from lxml import etree
from samples import job
from shapely import LineString, Point, Polygon, box
from shapely.affinity import affine_transform

from service.calculation.checks import KINDS
from service.calculation.geometry import Pose
from service.documents.section import HEIGHT, WIDTH, heads_svg, section_svg
from service.documents.subject import Subject
from service.documents.wording import value_of

NS = {"s": "http://www.w3.org/2000/svg"}
ROUNDING_MM = 0.002
"""Coordinates are written to 0.001, so a corner may lie 0.0007 off; twice that between two of them."""

SLIVER_MM2 = 0.1
"""Area by which two slats may differ that agree to 0.001 along their 100 mm of outline."""


def corners(polygon: etree._Element) -> Polygon:
    return Polygon([tuple(map(float, pair.split(","))) for pair in polygon.get("points").split()])


def slats(root: etree._Element, position: str) -> list[Polygon]:
    found = root.findall(f".//s:g[@id='curtain-{position}']/s:polygon[@data-slat]", NS)
    assert [one.get("data-slat") for one in found] == [str(index) for index in range(len(found))]
    return [corners(one) for one in found]


def pose(subject: Subject, position: str) -> Pose:
    return getattr(subject.geometry, position)


@pytest.mark.parametrize("position", ["closed", "open"])
@pytest.mark.parametrize("name", SUBJECTS)
def test_every_slat_lies_between_its_computed_hinges(name: str, position: str) -> None:
    subject = SUBJECTS[name]
    drawn = slats(parsed(section_svg(subject)), position)
    hinges = pose(subject, position).hinges
    assert len(drawn) == subject.answer.curtain.slat_count
    for slat, ends in zip(drawn, pairwise(hinges), strict=True):
        # independent program: a line widened to both sides, with square ends
        expected = LineString(ends).buffer(subject.job.slat.thickness_mm / 2, cap_style="flat")
        assert slat.symmetric_difference(expected).area < SLIVER_MM2


@pytest.mark.parametrize("position", ["closed", "open"])
@pytest.mark.parametrize("name", FITTING)
def test_no_wound_slat_leaves_the_coils_circle(name: str, position: str) -> None:
    subject = SUBJECTS[name]
    drawn, posed = slats(parsed(section_svg(subject)), position), pose(subject, position)
    centre = Point(subject.geometry.bracket)
    hinge_circle = posed.coil_radius_mm - subject.job.slat.thickness_mm / 2
    wound = 0
    for slat, (upper, lower) in zip(drawn, pairwise(posed.hinges), strict=True):
        if max(centre.distance(Point(upper)), centre.distance(Point(lower))) > hinge_circle + ROUNDING_MM:
            break  # from here on the curtain has left the coil
        wound += 1
        assert centre.hausdorff_distance(slat) <= posed.coil_radius_mm + ROUNDING_MM
        assert posed.coil_radius_mm <= subject.answer.coil.radius_mm + ROUNDING_MM
    assert wound > 5 or position == "closed"


@pytest.mark.parametrize("position", ["closed", "open"])
@pytest.mark.parametrize("name", FITTING)
def test_no_slat_goes_through_roof_header_or_rear(name: str, position: str) -> None:
    subject = SUBJECTS[name]
    opening, geometry = subject.job.opening, subject.geometry
    header = box(0, 0, opening.header_thickness_mm, opening.headroom_mm)
    for slat in slats(parsed(section_svg(subject)), position):
        _, _, x_most, z_most = slat.bounds
        assert z_most < geometry.roof_z_mm
        assert x_most < geometry.rear_x_mm
        assert slat.intersection(header).area == 0


def heads(root: etree._Element) -> list[etree._Element]:
    return [root.find(f".//s:g[@data-view='head-{position}']", NS) for position in ("closed", "open")]


@pytest.mark.parametrize("name", SUBJECTS)
def test_chosen_holes_are_at_the_answers_places_and_all_others_are_drawn(name: str) -> None:
    subject = SUBJECTS[name]
    answer, plate = subject.answer, subject.plate
    for head in heads(parsed(section_svg(subject))):
        chosen = head.findall(".//s:circle[@data-hole='chosen']", NS)
        places = [(float(one.get("cx")), float(one.get("cy"))) for one in chosen]
        assert places == [
            pytest.approx((answer.wheel.x_mm, answer.wheel.z_mm), abs=0.0005),
            pytest.approx((answer.bracket.x_mm, answer.bracket.z_mm), abs=0.0005),
        ]
        free = head.findall(".//s:circle[@data-hole='free']", NS)
        assert len(free) == len(plate.wheel_holes) + len(plate.bracket_holes) - 2
        outline = corners(head.find("s:polygon[@data-part='plate']", NS)).buffer(ROUNDING_MM)
        assert all(outline.covers(Point(float(one.get("cx")), float(one.get("cy")))) for one in free)


@pytest.mark.parametrize("name", SUBJECTS)
def test_each_view_is_drawn_at_the_scale_it_names(name: str) -> None:
    subject = SUBJECTS[name]
    root = parsed(section_svg(subject))
    views = root.findall(".//s:g[@data-view]", NS)
    assert [one.get("data-view") for one in views] == ["head-closed", "head-open", "whole-closed", "whole-open"]
    named = [float(one[4:]) for one in root.itertext() if re.fullmatch(r"1 : [\d.]+", one)]
    bars = root.findall(".//s:g[@data-part='scale-bar']", NS)
    for view, ratio, bar in zip(views, named, bars, strict=True):
        a, b, c, d, e, f = map(float, re.findall(r"-?[\d.e-]+", view.get("transform")))
        metre = affine_transform(LineString([(0, 0), (1000, 0)]), (a, c, b, d, e, f)).length
        assert metre == pytest.approx(1000 / ratio, rel=1e-6)
        fields = [float(one.get("width")) for one in bar.findall("s:rect", NS)]
        told = float(bar.findall("s:text", NS)[-1].text.removesuffix(" mm"))
        assert sum(fields) * ratio == pytest.approx(told, abs=0.004 * ratio)


@pytest.mark.parametrize("name", SUBJECTS)
def test_clearances_are_told_with_value_and_limit(name: str) -> None:
    subject = SUBJECTS[name]
    told = list(parsed(section_svg(subject)).itertext())
    for check in subject.answer.checks:
        if check.id.endswith("_clearance"):
            label = f"{check.id.removesuffix('_clearance')} {value_of(check)} (≥ {check.limit:.5g})"
            assert sum(label in one for one in told) == 1


@pytest.mark.parametrize("name", FAILING)
def test_failing_checks_are_marked_in_words_and_numbers(name: str) -> None:
    subject = SUBJECTS[name]
    root = parsed(section_svg(subject))
    table = root.find(".//s:g[@data-part='checks']", NS)
    rows = list(table.itertext())
    failing = [one for one in subject.answer.checks if one.state == "fails"]
    assert failing
    for check in failing:
        row = rows.index(KINDS[check.id].title)
        assert rows[row + 3].startswith("FAILS by ")
        number = rows[row - 1]
        assert number.isdecimal()
        marks = root.findall(f".//s:g[@data-check='{check.id}']", NS)
        assert {"".join(one.itertext()) for one in marks} == {number}
    assert sum(one.endswith("FAILS") for one in root.itertext()) == sum(one.id.endswith("_clearance") for one in failing)


@pytest.mark.parametrize("name", SUBJECTS)
def test_picture_describes_itself_and_needs_nothing_from_outside(name: str) -> None:
    subject = SUBJECTS[name]
    root = parsed(section_svg(subject))
    assert root.get("viewBox") == f"0 0 {WIDTH:g} {HEIGHT:g}"
    assert (root.get("width"), root.get("height"), root.get("role")) == (f"{WIDTH:g}mm", f"{HEIGHT:g}mm", "img")
    title, description = root[0], root[1]
    assert title.tag.endswith("}title")
    assert root.get("aria-labelledby") == title.get("id")
    assert subject.title.reference in title.text
    assert description.tag.endswith("}desc")
    assert root.get("aria-describedby") == description.get("id")
    assert f"{subject.answer.coil.radius_mm:.1f}" in description.text
    assert {etree.QName(one).localname for one in root.iter()} <= {
        "svg", "title", "desc", "defs", "pattern", "clipPath", "g", "use", "line", "polygon", "circle", "rect", "text",
    }  # fmt: skip
    assert not [one for one in root.iter() if "style" in one.attrib or "class" in one.attrib]
    assert all(one.get("href").startswith("#curtain-") for one in root.findall(".//s:use", NS))
    told = " ".join(root.itertext())
    assert DIGEST in told
    assert "invented rows" in told
    assert "1.0.0" in told


@pytest.mark.parametrize("picture", [section_svg, heads_svg])
@pytest.mark.parametrize("name", SUBJECTS)
def test_texts_stay_on_the_page_and_off_each_other(name: str, picture: Callable[[Subject], str]) -> None:
    root = parsed(picture(SUBJECTS[name]))
    assert len(texts(root)) > 15
    assert outside(root) == []
    assert overlapping(root) == []


@pytest.mark.parametrize("picture", [section_svg, heads_svg])
@pytest.mark.parametrize("name", SUBJECTS)
def test_marks_cover_neither_each_other_nor_labels_nor_chosen_holes(name: str, picture: Callable[[Subject], str]) -> None:
    subject = SUBJECTS[name]
    root = parsed(picture(subject))
    table = root.find(".//s:g[@data-part='checks']", NS)
    in_table = set() if table is None else set(table.iter())
    circles = [one[0] for one in root.findall(".//s:g[@data-check]", NS) if one not in in_table]
    marks = [Point(float(one.get("cx")), float(one.get("cy"))).buffer(float(one.get("r"))) for one in circles]
    told = [paper for text, paper in texts(root) if not text.isdecimal()]
    a, _, _, d, e, f = map(float, re.findall(r"-?[\d.e-]+", heads(root)[1].get("transform")))
    chosen = [Point(e + a * x, f + d * z) for x, z in (subject.geometry.wheel, subject.geometry.bracket)]
    for index, mark in enumerate(marks):
        assert not any(mark.intersects(other) for other in (*marks[:index], *told, *chosen))


def test_each_failing_place_has_its_mark() -> None:
    root = parsed(heads_svg(SUBJECTS["everything fails"]))
    assert len(root.findall(".//s:g[@data-check]", NS)) == 7


def test_texts_say_how_wide_they_are() -> None:
    for text in parsed(section_svg(SUBJECTS["usual"])).iter("{*}text"):
        width, size = float(text.get("textLength")), float(text.get("font-size"))
        assert text.get("lengthAdjust") == "spacingAndGlyphs"
        # no letter of a text face is wider than its size, few are narrower than a quarter of it
        assert 0.25 * size * len(text.text) < width < size * len(text.text)


def test_a_long_reference_is_shortened_in_its_cell_and_whole_in_the_title() -> None:
    root = parsed(section_svg(referred("x" * 200)))
    assert root[0].text.endswith("x" * 200)
    drawn = [(text, paper) for text, paper in texts(root) if text.startswith("xx")]
    assert [text[-1] for text, _ in drawn] == ["x", "…"]
    assert all(paper.bounds[2] < 0.68 * WIDTH for _, paper in drawn)
    assert overlapping(root) == []


@pytest.mark.parametrize("name", SUBJECTS)
def test_strap_leads_from_the_first_hinge_to_the_tubes_upper_side(name: str) -> None:
    geometry = SUBJECTS[name].geometry
    root = parsed(section_svg(SUBJECTS[name]))
    straps = root.findall(".//s:line[@data-part='strap']", NS)
    assert len(straps) == 2  # in both views of the closed shutter
    hinge, end = ((float(straps[0].get(f"x{i}")), float(straps[0].get(f"y{i}"))) for i in (1, 2))
    assert hinge == pytest.approx(geometry.closed.hinges[0], abs=0.001)
    centre = Point(geometry.bracket)
    assert centre.distance(Point(end)) == pytest.approx(geometry.tube_radius_mm, abs=ROUNDING_MM)
    assert centre.distance(LineString([hinge, end])) == pytest.approx(geometry.tube_radius_mm, abs=ROUNDING_MM)
    assert end[1] > geometry.bracket[1]
    assert "strap" in root[1].text.lower()


def test_no_header_no_name_for_it() -> None:
    assert "header" in parsed(section_svg(SUBJECTS["usual"])).itertext()
    assert "header" not in parsed(section_svg(subject(job({"header_thickness_mm": 0.0})))).itertext()


@pytest.mark.parametrize("name", SUBJECTS)
def test_section_says_plainly_what_must_not_be_cut(name: str) -> None:
    said = "Does not fit: do not cut or drill" in parsed(section_svg(SUBJECTS[name])).itertext()
    assert said is (name in FAILING)


def test_head_alone_shows_the_same_curtain() -> None:
    subject = SUBJECTS["usual"]
    whole, head = parsed(section_svg(subject)), parsed(heads_svg(subject))
    assert [one.wkt for one in slats(head, "open")] == [one.wkt for one in slats(whole, "open")]


def test_answer_without_geometry_is_refused() -> None:
    subject = SUBJECTS["usual"]
    with pytest.raises(ValueError, match="geometry"):
        section_svg(subject._replace(answer=subject.answer._replace(geometry=None)))

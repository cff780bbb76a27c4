"""The section is read back with an XML parser and its geometry compared with the answer by a geometry library."""

import re
from itertools import pairwise

import pytest
from documents.cases import DIGEST, FAILING, FITTING, SPOKEN, SUBJECTS, referred, spoken, subject
from documents.paper import outside, overlapping, parsed, texts
from lxml import etree
from samples import box as obstacle
from samples import job
from shapely import LineString, Point, Polygon, box
from shapely.affinity import affine_transform

from service.documents import frame
from service.documents.section import HEIGHT, WIDTH, heads_svg, section_svg

NS = {"s": "http://www.w3.org/2000/svg"}
ROUNDING_MM = 0.002
"""Coordinates are written to 0.001, so a corner may lie 0.0007 off; twice that between two of them."""

SLIVER_MM2 = 0.1
"""Area by which two slats may differ that agree to 0.001 along their 100 mm of outline."""


def corners(polygon):
    return Polygon([tuple(map(float, pair.split(","))) for pair in polygon.get("points").split()])


def slats(root, position):
    found = root.findall(f".//s:g[@id='curtain-{position}']/s:polygon[@data-slat]", NS)
    assert [one.get("data-slat") for one in found] == [str(index) for index in range(len(found))]
    return [corners(one) for one in found]


def pose(subject, position):
    return getattr(subject.geometry, position)


def heads_alone(subject):
    return heads_svg(subject, 128.0)


@pytest.mark.parametrize("position", ["closed", "open"])
@pytest.mark.parametrize("name", SUBJECTS)
def test_every_slat_lies_between_its_computed_hinges(name, position):
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
def test_no_wound_slat_leaves_the_coils_circle(name, position):
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
def test_no_slat_goes_through_roof_header_or_rear(name, position):
    subject = SUBJECTS[name]
    opening, geometry = subject.job.opening, subject.geometry
    header = box(0, 0, opening.header_thickness_mm, opening.headroom_mm)
    for slat in slats(parsed(section_svg(subject)), position):
        _, _, x_most, z_most = slat.bounds
        assert z_most < geometry.roof_z_mm
        assert x_most < geometry.rear_x_mm
        assert slat.intersection(header).area == 0


def heads(root):
    return [root.find(f".//s:g[@data-view='head-{position}']", NS) for position in ("closed", "open")]


@pytest.mark.parametrize("name", SUBJECTS)
def test_only_the_chosen_holes_are_drawn_at_the_answers_places_and_at_their_size(name):
    subject = SUBJECTS[name]
    answer, fixing = subject.answer, subject.job.hardware.plate
    for head in heads(parsed(section_svg(subject))):
        holes = head.findall(".//s:circle[@data-hole]", NS)
        places = [(float(one.get("cx")), float(one.get("cy")), 2 * float(one.get("r"))) for one in holes]
        assert places == [
            pytest.approx((answer.wheel.x_mm, answer.wheel.z_mm, fixing.wheel_hole_diameter_mm), abs=0.001),
            pytest.approx((answer.bracket.x_mm, answer.bracket.z_mm, fixing.bracket_hole_diameter_mm), abs=0.001),
        ]


@pytest.mark.parametrize("name", SUBJECTS)
def test_each_view_is_drawn_at_the_scale_it_names(name):
    subject = SUBJECTS[name]
    root = parsed(section_svg(subject))
    views = root.findall(".//s:g[@data-view]", NS)
    assert [one.get("data-view") for one in views] == ["head-closed", "head-open", "whole-closed", "whole-open", "detail"]
    named = [float(one[4:]) for one in root.itertext() if re.fullmatch(r"1 : [\d.]+", one)]
    bars = root.findall(".//s:g[@data-part='scale-bar']", NS)
    for view, ratio, bar in zip(views, named, [*bars, None], strict=True):
        a, b, c, d, e, f = map(float, re.findall(r"-?[\d.e-]+", view.get("transform")))
        metre = affine_transform(LineString([(0, 0), (1000, 0)]), (a, c, b, d, e, f)).length
        assert metre == pytest.approx(1000 / ratio, rel=1e-6)
        if bar is None:
            continue  # the detail has no room for one
        fields = [float(one.get("width")) for one in bar.findall("s:rect", NS)]
        told = float(bar.findall("s:text", NS)[-1].text.removesuffix(" mm"))
        assert sum(fields) * ratio == pytest.approx(told, abs=0.004 * ratio)


@pytest.mark.parametrize(("name", "language"), SPOKEN)
def test_clearances_are_told_with_value_and_limit(name, language):
    subject = spoken(name, language)
    told = list(parsed(heads_alone(subject)).itertext())
    for check in subject.answer.checks:
        if check.id.endswith("_clearance"):
            row = told.index(subject.check_labels[check.id])
            assert told[row - 1] == str(subject.check_numbers[check.id])
            value = float(told[row + 1].replace(",", ".").replace("−", "-"))
            assert value == pytest.approx(check.value, abs=0.06)
            assert told[row + 2].startswith("≥ ")


@pytest.mark.parametrize("name", FAILING)
def test_failing_checks_are_marked_in_words_and_numbers(name):
    subject = SUBJECTS[name]
    root = parsed(section_svg(subject))
    rows = list(root.find(".//s:g[@data-part='checks']", NS).itertext())
    failing = [one for one in subject.answer.checks if one.state == "fails"]
    assert failing
    for check in failing:
        row = rows.index(subject.check_labels[check.id])
        assert rows[row + 3].startswith("FAILS by ")
        assert rows[row - 1] == str(subject.check_numbers[check.id])
        marks = root.findall(f".//s:g[@data-check='{check.id}']", NS)
        assert {"".join(one.itertext()) for one in marks} <= {rows[row - 1]}


@pytest.mark.parametrize("name", SUBJECTS)
def test_no_line_and_no_mark_is_drawn_through_the_wound_coil(name):
    subject = SUBJECTS[name]
    if not subject.stopped:
        root = parsed(heads_alone(subject))
        seen = root.find(".//s:g[@data-view='head-open']", NS)
        a, _, _, d, e, f = map(float, re.findall(r"-?[\d.e-]+", seen.get("transform")))
        x, z = subject.geometry.bracket
        coil = Point(e + a * x, f + d * z).buffer(subject.coil_radius_mm * a - 0.3)
        open_head = seen.getparent().getparent()
        for line in open_head.iterfind("./s:g/s:line", NS):
            drawn = LineString([tuple(float(line.get(f"{axis}{end}")) for axis in "xy") for end in (1, 2)])
            assert not coil.intersects(drawn)
        marks = [one[0] for one in open_head.findall(".//s:g[@data-check]", NS)]
        assert not any(coil.contains(Point(float(one.get("cx")), float(one.get("cy")))) for one in marks)


@pytest.mark.parametrize("name", SUBJECTS)
def test_picture_describes_itself_and_needs_nothing_from_outside(name):
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
    measured = subject.job.measured_coil_radius_mm
    assert f"{measured or subject.answer.coil.radius_mm:.1f}".removesuffix(".0") in description.text
    assert {etree.QName(one).localname for one in root.iter()} <= {
        "svg", "title", "desc", "defs", "pattern", "clipPath", "g", "use", "line", "polygon", "polyline", "circle", "rect",
        "text",
    }  # fmt: skip
    assert not [one for one in root.iter() if "style" in one.attrib or "class" in one.attrib]
    assert all(one.get("href").startswith("#curtain-") for one in root.findall(".//s:use", NS))
    told = " ".join(root.itertext())
    assert DIGEST in told
    assert "invented rows" in told
    assert "2.0.0" in told


@pytest.mark.parametrize("picture", [section_svg, heads_alone])
@pytest.mark.parametrize(("name", "language"), SPOKEN)
def test_texts_stay_on_the_page_and_off_each_other(name, language, picture):
    root = parsed(picture(spoken(name, language)))
    assert len(texts(root)) > 15
    assert outside(root) == []
    assert overlapping(root) == []


@pytest.mark.parametrize("name", FITTING)
def test_marks_cover_neither_each_other_nor_texts(name):
    subject = SUBJECTS[name]
    root = parsed(heads_alone(subject))
    circles = [one[0] for one in root.findall(".//s:g[@data-check]", NS)]
    marks = [Point(float(one.get("cx")), float(one.get("cy"))).buffer(float(one.get("r"))) for one in circles]
    assert marks
    told = [paper for text, paper in texts(root) if not text.isdecimal()]
    for index, mark in enumerate(marks):
        assert not any(mark.intersects(other) for other in (*marks[:index], *told))


def test_texts_say_how_wide_they_are():
    for text in parsed(section_svg(SUBJECTS["usual"])).iter("{*}text"):
        width, size = float(text.get("textLength")), float(text.get("font-size"))
        assert text.get("lengthAdjust") == "spacingAndGlyphs"
        # no letter of a text face is wider than its size, few are narrower than a quarter of it
        assert 0.25 * size * len(text.text) < width < size * len(text.text)


def test_a_long_reference_is_shortened_in_its_cell_and_whole_in_the_title():
    root = parsed(section_svg(referred("x" * 200)))
    assert root[0].text.endswith("x" * 200)
    drawn = [(text, paper) for text, paper in texts(root) if text.startswith("xx")]
    assert [text[-1] for text, _ in drawn] == ["x", "…"]
    assert all(paper.bounds[2] < 0.68 * WIDTH for _, paper in drawn)
    assert overlapping(root) == []


def drawn_part(root, view, part):
    return root.findall(f".//s:g[@data-view='{view}']//s:*[@data-part='{part}']", NS) or [
        one for one in root.find(f".//s:g[@data-view='{view}']", NS).iter() if one.get("data-part") == part
    ]


@pytest.mark.parametrize("name", SUBJECTS)
def test_strap_leads_from_the_first_hinge_round_the_tube_and_is_as_long_as_it_is(name):
    subject = SUBJECTS[name]
    geometry = subject.geometry
    strap = drawn_part(parsed(section_svg(subject)), "head-closed", "strap")[0]
    points = [tuple(map(float, pair.split(","))) for pair in strap.get("points").split()]
    assert points[0] == pytest.approx(geometry.closed.hinges[0], abs=0.001)
    centre = Point(geometry.bracket)
    for point in points[1:]:
        assert centre.distance(Point(point)) == pytest.approx(geometry.tube_radius_mm, abs=ROUNDING_MM)
    length = subject.job.hardware.running.strap_length_mm
    assert LineString(points).length == pytest.approx(length, rel=0.01)
    assert not drawn_part(parsed(section_svg(subject)), "head-open", "strap")


@pytest.mark.parametrize("name", SUBJECTS)
def test_top_seal_reaches_from_header_to_curtain_and_the_rail_lies_under_the_header(name):
    subject = SUBJECTS[name]
    root = parsed(section_svg(subject))
    header, gap = subject.job.opening.header_thickness_mm, subject.answer.seals.top_gap_mm
    left, low, right, high = corners(drawn_part(root, "detail", "top-seal")[0]).bounds
    assert (left, right) == pytest.approx((header, header + gap), abs=ROUNDING_MM)
    rails = drawn_part(root, "detail", "drip-rail")
    assert len(rails) == (subject.answer.drip_rail is not None)
    for rail in rails:
        _, rail_low, rail_right, rail_high = corners(rail).bounds
        assert (rail_right, rail_high) == pytest.approx((header, 0.0), abs=ROUNDING_MM)
        assert rail_low == pytest.approx(-subject.job.hardware.header.drip_rail_high_mm)
        assert (low, high) == pytest.approx((rail_low, rail_high))
    if not rails:
        assert low == 0.0


@pytest.mark.parametrize("name", SUBJECTS)
def test_handle_lip_stands_outwards_over_the_bars_underside(name):
    subject = SUBJECTS[name]
    bar = subject.job.hardware.bar
    root = parsed(section_svg(subject))
    for position in frame.POSITIONS:
        lip = corners(root.find(f".//s:g[@id='curtain-{position}']/s:polygon[@data-part='handle-lip']", NS))
        outer, base, inner, _ = lip.bounds
        assert inner - outer == pytest.approx(bar.lip_deep_mm)
        corner = pose(subject, position).bar[0]
        assert (inner, base) == pytest.approx((corner[0], corner[1] + bar.lip_above_underside_mm), abs=ROUNDING_MM)


def test_obstacles_are_drawn_where_they_are_and_named():
    subject = SUBJECTS["obstacles"]
    root = parsed(section_svg(subject))
    drawn = root.findall(".//s:g[@data-part='obstacle']", NS)
    assert len(drawn) == 2 * 5  # in every view
    assert list(root.itertext()).count("obstacle: box") == 1  # the other lies 600 below the header


def clip_of(root, position, seen):
    """What the head's picture shows of the section's frame [mm]."""
    clip = root.find(f".//s:clipPath[@id='clip-head-{position}']/s:rect", NS)
    a, _, _, d, e, f = map(float, re.findall(r"-?[\d.e-]+", seen.get("transform")))
    left, top, width, height = (float(clip.get(name)) for name in ("x", "y", "width", "height"))
    return box((left - e) / a, (top + height - f) / d, (left + width - e) / a, (top - f) / d)


def lettered(root):
    """How often each letter of the closed head stands, in the picture and in its legend."""
    letters = [text for text in root.itertext() if re.fullmatch("[a-z]", text)]
    return {letter: letters.count(letter) for letter in letters}


ROOM = {"width_mm": 1750.0, "height_mm": 420.0, "headroom_mm": 260.0, "depth_mm": 420.0}
LAMPS = [(x, deep, high) for x in (250.0, 330.0, 360.0, 380.0) for deep, high in ((60.0, 50.0), (40.0, 30.0))] + [
    (400.0, 40.0, 30.0)
]


@pytest.mark.parametrize("lamp", LAMPS)
def test_a_lamp_in_the_head_is_whole_in_the_picture_and_has_its_letter(lamp):
    x, deep, high = lamp
    one = subject(job({**ROOM, "obstacles": (obstacle(x, 200.0, deep, high),)}, fitted_from="inside"))
    root = parsed(heads_alone(one))
    assert list(root.itertext()).count("obstacle: box") == 1
    for position, head in zip(("closed", "open"), heads(root), strict=True):
        assert clip_of(root, position, head).covers(box(x, 200.0, x + deep, 200.0 + high))
    assert set(lettered(root).values()) == {2}


@pytest.mark.parametrize("name", SUBJECTS)
def test_what_the_legend_of_the_head_names_is_in_the_picture(name):
    root = parsed(heads_alone(SUBJECTS[name]))
    assert set(lettered(root).values()) == {2}


def test_set_out_sizes_stand_at_the_closed_head():
    subject = SUBJECTS["usual"]
    told = list(parsed(heads_alone(subject)).itertext())
    for hole in subject.chosen_holes:
        assert f"{hole.from_front_mm:g}" in told
        assert f"{hole.from_base_mm:g}" in told
    assert "plate's lower edge 12 below the header's base ↓" in told


def test_no_header_no_name_for_it():
    assert "header" in parsed(section_svg(SUBJECTS["usual"])).itertext()
    assert "header" not in parsed(section_svg(SUBJECTS["no header"])).itertext()


@pytest.mark.parametrize("title", [True, False])
@pytest.mark.parametrize("name", SUBJECTS)
def test_section_says_plainly_what_must_not_be_cut(name, title):
    said = "Does not fit: do not cut or drill" in parsed(section_svg(SUBJECTS[name], title=title)).itertext()
    assert said is (name in FAILING)


def test_a_picture_without_title_is_the_picture_alone():
    root = parsed(section_svg(SUBJECTS["usual"], title=False))
    assert root.find(".//s:g[@data-part='title-block']", NS) is None
    assert root.find(".//s:g[@data-part='checks']", NS) is None
    assert float(root.get("viewBox").split()[3]) < HEIGHT
    assert outside(root) == []


def test_head_alone_shows_the_same_curtain():
    subject = SUBJECTS["usual"]
    whole, head = parsed(section_svg(subject)), parsed(heads_alone(subject))
    assert [one.wkt for one in slats(head, "open")] == [one.wkt for one in slats(whole, "open")]

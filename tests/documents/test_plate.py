"""The drilling picture and its DXF are read back by other programs and compared with the answer's plate coordinates."""

from io import StringIO

import ezdxf
import pytest
from documents.cases import FAILING, SPOKEN, SUBJECTS, TITLE, referred, spoken, subject
from documents.paper import outside, overlapping, parsed, texts
from samples import job, side_plate

from service.documents.plate import plate_svg, plates_svg
from service.documents.plate_dxf import GAP_MM, plate_dxf


def plates_alone(one):
    return plates_svg(one, 104.0)


NS = {"s": "http://www.w3.org/2000/svg"}


def chosen_places(one):
    """Wheel and bracket from the plate's front and lower edges, as the answer tells them."""
    wheel, bracket = one.answer.wheel, one.answer.bracket
    return [
        (wheel.from_plate_front_mm, wheel.from_plate_base_mm),
        (bracket.from_plate_front_mm, bracket.from_plate_base_mm),
    ]


@pytest.mark.parametrize("hand", ["left", "right"])
@pytest.mark.parametrize("name", SUBJECTS)
def test_picture_shows_the_chosen_holes_to_scale(name, hand):
    one = SUBJECTS[name]
    plate = parsed(plate_svg(one)).find(f".//s:g[@data-plate='{hand}']", NS)
    ratio = next(float(text[4:]) for text in plate.itertext() if text.startswith("1 : "))
    outline = [tuple(map(float, pair.split(","))) for pair in plate.find("s:polygon", NS).get("points").split()]
    front, base = outline[0]
    inwards = 1 if hand == "left" else -1
    read = [
        ((float(hole.get("cx")) - front) * inwards * ratio, (base - float(hole.get("cy"))) * ratio)
        for hole in plate.findall(".//s:circle[@data-hole='chosen']", NS)
    ]
    # coordinates are written to 0.001 of paper
    assert read == [pytest.approx(place, abs=0.002 * ratio) for place in chosen_places(one)]
    fixing = plate.findall(".//s:circle[@data-hole='fixing']", NS)
    assert [2 * float(hole.get("r")) * ratio for hole in fixing] == [pytest.approx(6.5, abs=0.01)] * 4
    edge = {
        (round((float(hole.get("cx")) - front) * inwards * ratio), round((base - float(hole.get("cy"))) * ratio))
        for hole in fixing
    }
    deep, high = one.plate.deep_mm, one.plate.high_mm
    assert edge == {(20, 20), (deep - 20, 20), (20, high - 20), (deep - 20, high - 20)}
    spare = plate.findall(".//s:path[@data-hole='spare']", NS)
    assert len(spare) == len(one.plate.wheel_holes) + len(one.plate.bracket_holes) - 2
    told = list(plate.itertext())
    for what, (u, v) in zip(("wheel", "bracket"), chosen_places(one), strict=True):
        assert f"{what} {u:g}" in told
        assert f"{what} {v:g}" in told
    assert f"wheel {one.wheel_hole.name} Ø 10.5, bracket {one.bracket_hole.name} Ø 8.5" in told


@pytest.mark.parametrize("picture", [plate_svg, plates_alone])
@pytest.mark.parametrize(("name", "language"), SPOKEN)
def test_texts_stay_on_the_page_and_off_each_other(name, language, picture):
    root = parsed(picture(spoken(name, language)))
    assert outside(root) == []
    assert overlapping(root) == []


@pytest.mark.parametrize("column", range(0, 24, 3))
def test_no_number_stands_so_near_that_another_column_is_read(column):
    plate = side_plate("P360", deep_mm=360.0, high_mm=320.0, rows_mm=[160.0])
    one = subject(job({"headroom_mm": 400.0, "depth_mm": 1200.0}, side_plates=(plate,)))
    one.answer.bracket.column = column
    one.answer.bracket.from_plate_front_mm = 110.0 + 10 * column
    root = parsed(plate_svg(one))
    named = [paper for text, paper in texts(root) if text == f"column {column}"]
    numbers = [paper for text, paper in texts(root) if text.isdecimal()]
    assert len(named) == 2
    assert len(numbers) >= 4
    for paper in named:
        assert min(paper.distance(other) for other in numbers) > 1.5


@pytest.mark.parametrize("hand", ["left", "right"])
@pytest.mark.parametrize("name", SUBJECTS)
def test_names_of_holes_are_drawn_over_the_lines(name, hand):
    plate = parsed(plate_svg(SUBJECTS[name])).find(f".//s:g[@data-plate='{hand}']", NS)
    drawn = list(plate.iter())
    last_line = max(index for index, one in enumerate(drawn) if one.tag.endswith("}line"))
    bold = [index for index, one in enumerate(drawn) if one.text and one.get("font-weight") == "bold"]
    names = [index for index in bold if "plate" not in drawn[index].text and "Ø" not in drawn[index].text]
    assert len(names) == 3  # wheel hole, row, column
    assert min(names) > last_line
    for index in names:
        ground = drawn[index - 1]
        assert (ground.get("fill"), ground.get("fill-opacity")) == ("#fff", None)


@pytest.mark.parametrize("name", SUBJECTS)
def test_picture_says_plainly_what_must_not_be_drilled(name):
    told = list(parsed(plate_svg(SUBJECTS[name])).itertext())
    assert ("Does not fit: do not cut or drill" in told) is (name in FAILING)
    assert sum(one.endswith(": do not drill") for one in told) == (2 if name in FAILING else 0)


def read_dxf(one):
    drawing = ezdxf.read(StringIO(plate_dxf(one).decode()))
    audit = drawing.audit()
    assert audit.errors == []
    assert audit.fixes == []
    return drawing


@pytest.mark.parametrize("name", SUBJECTS)
def test_dxf_carries_the_answers_coordinates_in_millimetres(name):
    one = SUBJECTS[name]
    drawing = read_dxf(one)
    assert drawing.header["$INSUNITS"] == 4
    space, deep = drawing.modelspace(), one.plate.deep_mm
    made = [(*tuple(hole.dxf.center)[:2], 2 * hole.dxf.radius) for hole in space.query("CIRCLE[layer=='CHOSEN']")]
    left = chosen_places(one)
    right = [(2 * deep + GAP_MM - u, v) for u, v in left]
    expected = zip((*left, *right), (10.5, 8.5) * 2, strict=True)
    assert made == [pytest.approx((*place, diameter), abs=0.001) for place, diameter in expected]
    fixing = [2 * hole.dxf.radius for hole in space.query("CIRCLE[layer=='HOLES']")]
    assert fixing == [pytest.approx(6.5)] * 8
    spare = {tuple(point.dxf.location)[:2] for point in space.query("POINT[layer=='HOLES']")}
    holes = [(hole.from_front_mm, hole.from_base_mm) for hole in (*one.plate.wheel_holes, *one.plate.bracket_holes)]
    unused = {place for place in holes if place not in left}
    assert spare == unused | {(2 * deep + GAP_MM - u, v) for u, v in unused}
    assert {entity.dxftype() for entity in space if entity.dxf.layer == "CHOSEN"} == {"CIRCLE"}
    outlines = [[tuple(point) for point in line.get_points("xy")] for line in space.query("LWPOLYLINE[layer=='OUTLINE']")]
    assert outlines[0] == [(0, 0), (deep, 0), (deep, one.plate.high_mm), (0, one.plate.high_mm)]
    assert {x for x, _ in outlines[1]} == {deep + GAP_MM, 2 * deep + GAP_MM}
    assert {entity.dxf.layer for entity in space} == {"OUTLINE", "HOLES", "CHOSEN", "TEXT"}


def test_dxf_says_whose_it_is():
    told = [text.dxf.text for text in read_dxf(SUBJECTS["too shallow"]).modelspace().query("TEXT")]
    assert TITLE.reference in told
    assert TITLE.digest[:32] in told
    assert TITLE.digest[32:] in told
    assert told.count("Does not fit: do not cut or drill") == 2
    assert told.count("Left and right as seen from outside.") == 2


def test_dxf_does_not_take_a_reference_for_commands():
    one = referred("a%%ub ^J \\U+0041 \\P{x}")
    told = [text.dxf.text for text in read_dxf(one).modelspace().query("TEXT")]
    assert told.count("a%ub ˆJ /U+0041 /P{x}") == 2


@pytest.mark.parametrize(
    ("reference", "em_share"), [("閘門工作車左側" * 12, 1.0), ("x" * 200, 0.6), ("lock-gate truck " * 12, 0.55)]
)
def test_references_of_both_plates_in_the_dxf_stay_off_each_other(reference, em_share):
    one = referred(reference)
    space = read_dxf(one).modelspace()
    written = [text for text in space.query("TEXT") if text.dxf.text in reference]
    rooms = {text.dxf.insert[0] for text in written}
    assert len(rooms) == 2
    # a letter's share of its size in a wide face; capitals are 0.71 of that size
    longest = max(len(text.dxf.text) * em_share * 1.4 * text.dxf.height for text in written)
    assert longest < max(rooms) - min(rooms)
    left = [text.dxf.text for text in written if text.dxf.insert[0] == min(rooms)]
    assert "".join("".join(left).split()) == "".join(reference.split())

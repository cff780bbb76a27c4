"""The drilling picture and its DXF are read back by other programs and compared with the answer's plate coordinates."""

from io import StringIO

import ezdxf
import pytest
from documents.cases import SUBJECTS, TITLE, referred
from ezdxf.document import Drawing
from lxml import etree

from service.documents.plate import plate_svg
from service.documents.plate_dxf import GAP_MM, plate_dxf
from service.documents.subject import Subject

NS = {"s": "http://www.w3.org/2000/svg"}


def chosen_places(one: Subject) -> list[tuple[float, float]]:
    """Wheel and bracket from the plate's front and lower edges, as the answer tells them."""
    wheel, bracket = one.answer.wheel, one.answer.bracket
    return [
        (wheel.from_plate_front_mm, wheel.from_plate_base_mm),
        (bracket.from_plate_front_mm, bracket.from_plate_base_mm),
    ]


@pytest.mark.parametrize("hand", ["left", "right"])
@pytest.mark.parametrize("name", SUBJECTS)
def test_picture_shows_the_chosen_holes_to_scale(name: str, hand: str) -> None:
    one = SUBJECTS[name]
    plate = etree.fromstring(plate_svg(one).encode()).find(f".//s:g[@data-plate='{hand}']", NS)
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
    free = plate.findall(".//s:circle[@data-hole='free']", NS)
    assert len(free) == len(one.plate.wheel_holes) + len(one.plate.bracket_holes) - 2
    told = list(plate.itertext())
    for what, (u, v) in zip(("wheel", "bracket"), chosen_places(one), strict=True):
        assert f"{what} {u:.1f}" in told
        assert f"{what} {v:.1f}" in told


def read_dxf(one: Subject) -> Drawing:
    drawing = ezdxf.read(StringIO(plate_dxf(one).decode()))
    audit = drawing.audit()
    assert audit.errors == []
    assert audit.fixes == []
    return drawing


@pytest.mark.parametrize("name", SUBJECTS)
def test_dxf_carries_the_answers_coordinates_in_millimetres(name: str) -> None:
    one = SUBJECTS[name]
    drawing = read_dxf(one)
    assert drawing.header["$INSUNITS"] == 4
    space, deep = drawing.modelspace(), one.plate.deep_mm
    centres = [tuple(circle.dxf.center)[:2] for circle in space.query("CIRCLE[layer=='CHOSEN']")]
    left = chosen_places(one)
    right = [(2 * deep + GAP_MM - u, v) for u, v in left]
    assert centres == [pytest.approx(place, abs=0.001) for place in (*left, *right)]
    free = {tuple(circle.dxf.center)[:2] for circle in space.query("CIRCLE[layer=='HOLES']")}
    holes = [(hole.from_front_mm, hole.from_base_mm) for hole in (*one.plate.wheel_holes, *one.plate.bracket_holes)]
    expected = {place for place in holes if place not in left}
    assert free == expected | {(2 * deep + GAP_MM - u, v) for u, v in expected}
    outlines = [[tuple(point) for point in line.get_points("xy")] for line in space.query("LWPOLYLINE[layer=='OUTLINE']")]
    assert outlines[0] == [(0, 0), (deep, 0), (deep, one.plate.high_mm), (0, one.plate.high_mm)]
    assert {x for x, _ in outlines[1]} == {deep + GAP_MM, 2 * deep + GAP_MM}
    assert {entity.dxf.layer for entity in space} == {"OUTLINE", "HOLES", "CHOSEN", "TEXT"}


def test_dxf_says_whose_it_is() -> None:
    told = [text.dxf.text for text in read_dxf(SUBJECTS["too shallow"]).modelspace().query("TEXT")]
    assert TITLE.reference in told
    assert TITLE.digest[:32] in told
    assert TITLE.digest[32:] in told
    assert "Does not fit" in told


def test_dxf_does_not_take_a_reference_for_commands() -> None:
    one = referred("a%%ub ^J \\U+0041 \\P{x}")
    told = [text.dxf.text for text in read_dxf(one).modelspace().query("TEXT")]
    assert told.count("a%ub ˆJ /U+0041 /P{x}") == 2

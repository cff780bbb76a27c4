"""Plan cut and front view are read back and compared with the answer's lengths."""

import re

import pytest
from documents.cases import DIGEST, FAILING, SPOKEN, SUBJECTS, TITLE, spoken
from documents.paper import outside, overlapping, parsed

from service.documents.front import front_svg
from service.documents.plan import plan_svg

NS = {"s": "http://www.w3.org/2000/svg"}


def parts(root, name):
    """Every rectangle of a name: left, top, width, height on paper."""
    return [
        tuple(float(one.get(side)) for side in ("x", "y", "width", "height"))
        for one in root.findall(f".//s:rect[@data-part='{name}']", NS)
    ]


def ratios(root):
    return [float(one[4:]) for one in root.itertext() if re.fullmatch(r"1 : [\d.]+", one)]


@pytest.mark.parametrize("picture", [plan_svg, front_svg])
@pytest.mark.parametrize(("name", "language"), SPOKEN)
def test_texts_stay_on_the_page_and_off_each_other(name, language, picture):
    root = parsed(picture(spoken(name, language)))
    assert outside(root) == []
    assert overlapping(root) == []


@pytest.mark.parametrize("picture", [plan_svg, front_svg])
@pytest.mark.parametrize("name", SUBJECTS)
def test_pictures_say_whose_they_are_and_what_must_not_be_cut(name, picture):
    subject = SUBJECTS[name]
    told = " ".join(parsed(picture(subject)).itertext())
    assert DIGEST in told
    assert TITLE.reference in told
    alone = " ".join(parsed(picture(subject, title=False)).itertext())
    assert DIGEST not in alone
    for text in (told, alone):
        assert ("Does not fit: do not cut or drill" in text) is (name in FAILING)


@pytest.mark.parametrize("name", SUBJECTS)
def test_slat_stands_in_the_slot_as_far_as_it_is_engaged(name):
    subject = SUBJECTS[name]
    answer, track = subject.answer, subject.job.hardware.track
    root = parsed(plan_svg(subject))
    ratio = ratios(root)[-1]
    (left, _, width, thick), _ = parts(root, "slat")
    assert thick * ratio == pytest.approx(subject.job.slat.thickness_mm, abs=0.01)
    outline = root.find(".//s:polygon[@data-part='track']", NS).get("points")
    points = [tuple(map(float, pair.split(","))) for pair in outline.split()]
    outer, lips = points[0][0], points[1][0]
    assert (lips - outer) * ratio == pytest.approx(track.wall_mm, abs=0.01)
    engaged = (answer.curtain.slat_length_mm - answer.tracks.lips_mm) / 2
    assert (lips - left) * ratio == pytest.approx(engaged, abs=0.01)
    slot = abs(points[3][1] - points[4][1]) * ratio
    assert slot == pytest.approx(subject.job.slat.slot_width_mm, abs=0.01)
    assert width > 0


@pytest.mark.parametrize("name", SUBJECTS)
def test_plate_bracket_and_tube_stand_across_as_they_are_made(name):
    subject = SUBJECTS[name]
    fixing, root = subject.job.hardware.plate, parsed(plan_svg(subject))
    ratio = ratios(root)[0]
    (plate_left, _, plate_thick, deep), _ = parts(root, "plate")
    (bracket_left, _, bracket_thick, _), _ = parts(root, "bracket")
    (tube_left, _, _, diameter), _ = parts(root, "tube")
    assert plate_thick * ratio == pytest.approx(fixing.thickness_mm, abs=0.01)
    assert deep * ratio == pytest.approx(subject.plate.deep_mm, abs=0.01)
    assert bracket_left == pytest.approx(plate_left + plate_thick, abs=0.002)
    assert bracket_thick * ratio == pytest.approx(fixing.bracket_thickness_mm, abs=0.01)
    assert tube_left == pytest.approx(bracket_left + bracket_thick, abs=0.002)
    assert diameter * ratio == pytest.approx(2 * subject.geometry.tube_radius_mm, abs=0.01)


def test_survey_shows_its_packing_and_nobody_else_any():
    root = parsed(plan_svg(SUBJECTS["surveyed"]))
    ratio = ratios(root)[-1]
    middle = {one.side: one.thickness_mm for one in SUBJECTS["surveyed"].answer.opening.packing if 700 < one.at_mm < 720}
    drawn = [width * ratio for _, _, width, _ in parts(root, "packing")]
    assert drawn == [pytest.approx(middle["left"], abs=0.01), pytest.approx(middle["right"], abs=0.01)]
    told = list(root.itertext())
    for one in SUBJECTS["surveyed"].answer.opening.packing:
        assert f"packing {one.side}, {one.at_mm:g} below the header" in told
    assert parts(parsed(plan_svg(SUBJECTS["usual"])), "packing") == []


@pytest.mark.parametrize("name", SUBJECTS)
def test_front_is_to_scale(name):
    subject = SUBJECTS[name]
    answer, root = subject.answer, parsed(front_svg(subject))
    ratio = ratios(root)[0]
    ((_, top, width, height),) = parts(root, "opening")
    sizes = (answer.opening.width_mm, answer.opening.height_mm)
    assert (width * ratio, height * ratio) == pytest.approx(sizes, abs=0.002 * ratio)
    ((_, clear_top, half, clear),) = parts(root, "daylight")
    daylight = (answer.daylight.width_mm / 2, answer.daylight.height_mm)
    assert (half * ratio, clear * ratio) == pytest.approx(daylight, abs=0.002 * ratio)
    assert clear_top + clear == pytest.approx(top + height, abs=0.002)
    tracks = parts(root, "track")
    assert (tracks[1][0] + tracks[1][2] - tracks[0][0]) * ratio == pytest.approx(
        answer.tracks.outer_width_mm, abs=0.01 * ratio
    )
    assert [track[3] * ratio for track in tracks] == [pytest.approx(answer.tracks.length_mm, abs=0.002 * ratio)] * 2
    for _, y, _, high in parts(root, "striker"):
        over = (top + height - y - high / 2) * ratio
        assert over == pytest.approx(answer.striker.height_above_sill_mm, abs=0.01 * ratio)
    rails = parts(root, "drip-rail")
    assert len(rails) == (answer.drip_rail is not None)
    for _, _, long, _ in rails:
        assert long * ratio == pytest.approx(answer.drip_rail.length_mm, abs=0.01 * ratio)


def test_coil_that_hangs_into_the_opening_is_shown():
    subject = SUBJECTS["measured"]
    root = parsed(front_svg(subject))
    hangs = subject.answer.daylight.coil_intrusion_mm
    assert hangs > 0
    assert len(root.findall(".//s:line[@data-part='coil']", NS)) == 1
    assert any("below the header's base" in text for text in root.itertext())
    assert parsed(front_svg(SUBJECTS["usual"])).find(".//s:line[@data-part='coil']", NS) is None

"""Limits against brute force on a grid of 1 mm, at the ends of the ranges, and what ends them.

The catalogue here is the made-up one of the samples.
"""

from dataclasses import replace
from functools import cache
from types import SimpleNamespace
from typing import get_args, get_type_hints

import pytest
import samples

from service.calculation import limits, place
from service.calculation.fitting import fit, verdict
from service.calculation.job import Survey
from service.calculation.limits import DEPTH, HEADROOM, HEIGHT, WIDTH

ENDS = {
    "height_max_mm": (HEIGHT, 1),
    "width_max_mm": (WIDTH, 1),
    "width_min_mm": (WIDTH, -1),
    "headroom_min_mm": (HEADROOM, -1),
    "depth_min_mm": (DEPTH, -1),
}
FEW_HOLES = samples.side_plate("few", deep_mm=240.0, high_mm=200.0, rows_mm=[100.0, 70.0], columns_mm=[140.0, 170.0])
FEW_HOLES_DEEPER = samples.side_plate("few, deeper", deep_mm=270.0, high_mm=210.0, rows_mm=[90.0], columns_mm=[180.0, 200.0])
NARROW = replace(samples.SLIM, width_max_mm=1300.4)


def cramped(opening=None, **changes):
    """A job whose limits all lie within their ranges, with few places so that a whole grid is soon tried."""
    given = {"height_mm": 1300.0, "headroom_mm": 260.0, "depth_mm": 290.0, **(opening or {})}
    rows = {"slat": NARROW, "side_plates": (FEW_HOLES, FEW_HOLES_DEEPER), **changes}
    return samples.job(given, **rows)


@cache
def cramped_limits():
    """The limits of the cramped job."""
    return limits.limits(cramped())


def at(job, dimension, value_mm):
    return samples.reopened(job, survey=None, **{dimension.field: float(value_mm)})


GRIDS = {
    "slim": cramped(),
    "slats given": cramped(slat_count=50, tubes=(samples.T50,)),
    "stout, given in tenths": cramped(
        {"height_mm": 990.6, "headroom_mm": 279.3, "depth_mm": 321.7},
        slat=samples.STOUT,
        tubes=(samples.T70,),
        mount=samples.FACE,
    ),
}


@pytest.mark.slow
@pytest.mark.parametrize("job", GRIDS.values(), ids=GRIDS)
@pytest.mark.parametrize("name", ENDS)
def test_limit_is_the_end_of_the_range_that_brute_force_finds(job, name):
    # independent program: every whole millimetre from the asked value outwards, by the whole fitting
    dimension, way = ENDS[name]
    asked = round(getattr(job.opening, dimension.field))
    found = limits.limits(job)
    for limit, good in (
        (getattr(found.built, name), {"fits", "fits_with_cautions"}),
        (getattr(found.without_cautions, name), {"fits"}),
    ):
        value = asked
        if limit is not None and verdict(at(job, dimension, value)) not in good:
            continue  # the nearest range is elsewhere: the millimetre beyond is tried with random openings
        if limit is None:
            tried = range(dimension.least_mm, dimension.most_mm + 1, 7)
            assert not any(verdict(at(job, dimension, value)) in good for value in tried)
            continue
        while dimension.least_mm <= value + way <= dimension.most_mm and verdict(at(job, dimension, value + way)) in good:
            value += way
        assert limit == value


@pytest.mark.parametrize("name", ENDS)
def test_all_end_within_the_range_by_a_must_that_fails(name):
    dimension, way = ENDS[name]
    found = cramped_limits()
    limit, ended = getattr(found.built, name), found.ended_by[name]
    assert dimension.least_mm < limit < dimension.most_mm
    beyond = fit(at(cramped(), dimension, limit + way)).answer
    told = samples.check_of(beyond, ended.id)
    assert (told.state, told.kind, told.value) == ("fails", "must", ended.value)


@pytest.mark.slow
@pytest.mark.parametrize("name", ENDS)
def test_an_opening_at_its_limit_has_the_same_limit(name):
    found = getattr(cramped_limits().built, name)
    again = limits.limits(at(cramped(), ENDS[name][0], found))
    assert getattr(again.built, name) == found


def test_width_ends_where_the_slat_s_profile_does():
    # hand: made for 1300.4
    found = cramped_limits()
    assert (found.built.width_max_mm, found.ended_by["width_max_mm"].id) == (1300, "slat_width")
    assert (found.slat, found.mount) == ("slim", "reveal")


def test_narrow_openings_have_no_room_for_a_spring():
    found = cramped_limits()
    assert found.ended_by["width_min_mm"].id == "spring_made"
    assert found.built.width_min_mm > WIDTH.least_mm


def test_what_fits_without_cautions_is_no_more_than_what_can_be_built():
    found = limits.limits(cramped({"headroom_mm": 300.0, "depth_mm": 400.0}))
    built, calm = found.built, found.without_cautions
    assert calm.height_max_mm <= built.height_max_mm
    assert calm.width_max_mm <= built.width_max_mm
    assert calm.width_min_mm >= built.width_min_mm
    assert calm.headroom_min_mm >= built.headroom_min_mm + 1  # what is tight by the tape is a caution
    assert calm.depth_min_mm >= built.depth_min_mm + 1


def test_none_fits_where_another_dimension_is_short():
    found = limits.limits(samples.job({"depth_mm": 200.0}))
    # hand: the smallest plate is 240 deep behind a header of 40, and the rear stands at 40 + 200
    assert (found.built.height_max_mm, found.built.width_max_mm, found.built.headroom_min_mm) == (None, None, None)
    ended = found.ended_by["height_max_mm"]
    assert (ended.kind, ended.state) == ("must", "fails")
    assert found.built.depth_min_mm is not None
    assert found.without_cautions.height_max_mm is None


def test_a_hinge_that_the_wheel_bends_too_much_fits_nowhere():
    # hand: 2·asin(14/30) = 55.636° on the wheel, against a limit made up to be less; the tubes bend a hinge by 51.5° at most
    found = limits.limits(samples.job(slat=replace(samples.SLIM, hinge_limit_deg=55.0)))
    for name in ENDS:
        assert getattr(found.built, name) is None
        assert found.ended_by[name].id == "hinge_on_wheel"
        assert found.ended_by[name].value == pytest.approx(55.636, abs=5e-4)


def test_a_survey_counts_with_its_size():
    survey = Survey(widths_mm=(1180.0, 1180.0), heights_mm=(1303.0, 1300.0), diagonals_mm=(1755.48, 1755.48))
    surveyed = cramped({"width_mm": 0.0, "height_mm": 0.0, "survey": survey})
    assert samples.plain(limits.limits(surveyed).built) == samples.plain(cramped_limits().built)


def test_given_slats_end_at_the_height_that_they_cover():
    # hand: at one place one slat more covers one pitch more
    place = samples.fixed(samples.job({"headroom_mm": 900.0, "depth_mm": 1500.0}, slat_count=61))
    sixty, one_more = (limits.limits(replace(place, slat_count=count)) for count in (60, 61))
    assert sixty.ended_by["height_max_mm"].id == one_more.ended_by["height_max_mm"].id == "curtain_covers"
    assert one_more.built.height_max_mm - sixty.built.height_max_mm == 28


@pytest.mark.parametrize("dimension", [HEIGHT, WIDTH, HEADROOM, DEPTH], ids=lambda dimension: dimension.field)
def test_ranges_are_those_of_the_contract(dimension):
    requests = pytest.importorskip("service.contract.requests")
    hint = get_type_hints(requests.Opening, include_extras=True)[dimension.field]
    hints = [hint, *get_args(hint)]
    [meta] = [one for hint in hints for one in getattr(hint, "__metadata__", ()) if one.ge is not None]
    assert (dimension.least_mm, dimension.most_mm) == (meta.ge, meta.le)


@pytest.mark.parametrize(
    ("opening", "most"),
    [
        # a box at the curtain above a low header: no place anywhere, which every value of every dimension was asked for
        ({"width_mm": 250.0, "height_mm": 250.0, "headroom_mm": 1500.0, "depth_mm": 60.0, "z_mm": -62.6}, 40),
        # the box below the header, in the curtain's way: places only where the opening is lower
        ({"width_mm": 900.0, "height_mm": 3000.0, "headroom_mm": 700.0, "depth_mm": 900.0, "z_mm": -900.0}, 400),
    ],
)
def test_an_obstacle_in_the_way_is_not_asked_for_at_every_millimetre(monkeypatch, opening, most):
    asked = []

    def first_that_passes(job, tube):
        asked.append(tube)
        return place.first_that_passes(job, tube)

    monkeypatch.setattr(limits, "place", SimpleNamespace(first_that_passes=first_that_passes))
    box = samples.box(54.7, opening.pop("z_mm"), 50.0, 50.0)
    limits.limits(samples.job({**opening, "obstacles": (box,)}))
    assert 0 < len(asked) <= most

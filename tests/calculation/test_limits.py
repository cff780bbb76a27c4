"""Limits against brute force on a grid of 1 mm, at the ends of the ranges, and the reasons they give.

The catalogue here is the made-up one of the samples.
"""

from typing import get_args, get_type_hints

import pytest
import samples

from service.calculation import limits
from service.calculation.fitting import fit
from service.calculation.job import Job, Survey
from service.calculation.limits import DEPTH, HEADROOM, HEIGHT, WIDTH, Dimension
from service.contract import requests

DIMENSIONS = {"height_max": HEIGHT, "width_max": WIDTH, "headroom_min": HEADROOM, "depth_min": DEPTH}
FEW_HOLES = samples.side_plate("few", deep_mm=240.0, high_mm=200.0, rows_mm=[100.0, 70.0], columns_mm=[140.0, 170.0])
FEW_HOLES_DEEPER = samples.side_plate("few, deeper", deep_mm=270.0, high_mm=210.0, rows_mm=[90.0], columns_mm=[180.0, 200.0])
NARROW = samples.SLIM._replace(width_max_mm=1300.4)


def cramped(opening: dict[str, object] | None = None, **changes: object) -> Job:
    """A job whose four limits all lie within their ranges, with few places so that a whole grid is soon tried."""
    given = {"height_mm": 1300.0, "headroom_mm": 260.0, "depth_mm": 290.0, **(opening or {})}
    rows = {"slat": NARROW, "side_plates": (FEW_HOLES, FEW_HOLES_DEEPER), **changes}
    return samples.job(given, **rows)


def at(job: Job, dimension: Dimension, value_mm: float) -> Job:
    return job._replace(opening=job.opening._replace(survey=None, **{dimension.field: float(value_mm)}))


def fits(job: Job) -> bool:
    return fit(job).verdict != "does_not_fit"


@pytest.mark.heavy
@pytest.mark.parametrize(
    "job",
    [
        cramped(),
        cramped(slat_count=50, tubes=(samples.T50,)),
        cramped(
            {"height_mm": 990.6, "headroom_mm": 279.3, "depth_mm": 321.7},
            slat=samples.STOUT,
            tubes=(samples.T70,),
            mount=samples.FACE,
        ),
    ],
    ids=["slim", "slats given", "stout, given in tenths"],
)
@pytest.mark.parametrize("name", DIMENSIONS)
def test_limit_is_what_brute_force_finds_on_a_grid(job: Job, name: str) -> None:
    # independent program: every whole millimetre of the range, from the easiest, by the whole fitting
    values = DIMENSIONS[name].values_mm
    grid = [fits(at(job, DIMENSIONS[name], value)) for value in values]
    fitting = sum(grid)
    assert grid == [True] * fitting + [False] * (len(grid) - fitting)
    found = getattr(limits.limits(job), name)
    assert found.value_mm == (values[fitting - 1] if fitting else None)
    assert (found.ended_by is None) == (fitting == len(grid))


@pytest.mark.parametrize("name", DIMENSIONS)
def test_all_four_end_within_the_range(name: str) -> None:
    values = DIMENSIONS[name].values_mm
    found = getattr(limits.limits(cramped()), name)
    assert found.value_mm in values[1:-1]
    beyond = fit(at(cramped(), DIMENSIONS[name], found.value_mm + values.step))
    failing = {one.id: one for one in beyond.checks if one.state == "fails"}
    assert found.ended_by in failing
    # the figure in the reason is that of the whole fitting, one millimetre further
    assert f" {failing[found.ended_by].value:.3f}".rstrip("0").rstrip(".") in found.reason
    assert f"{found.value_mm} mm; at {found.value_mm + values.step} mm, on T" in found.reason


@pytest.mark.parametrize("name", DIMENSIONS)
def test_an_opening_at_its_limit_has_the_same_limit(name: str) -> None:
    found = getattr(limits.limits(cramped()), name)
    again = limits.limits(at(cramped(), DIMENSIONS[name], found.value_mm))
    assert getattr(again, name) == found


def test_reasons_in_words() -> None:
    found = limits.limits(cramped())
    # regression: the figures are checked above; hand: the width's own
    assert found.width_max == limits.Limit(
        1300,
        "slat_width",
        "Greatest width 1300 mm; at 1301 mm, on T50 with side plate few, "
        "width of the opening: 1301 mm, at most 1300.4 mm; 0.6 mm too much.",
    )
    assert found.reason == " ".join(getattr(found, name).reason for name in DIMENSIONS)
    assert (found.slat, found.mount) == ("slim", "reveal")


def test_the_end_of_the_range_is_no_end_of_the_shutter() -> None:
    roomy = samples.job({"width_mm": 900.0}, slat=samples.SLIM._replace(width_max_mm=3000.0))
    found = limits.limits(roomy)
    assert found.height_max == limits.Limit(
        3000, None, "Greatest height 3000 mm: the end of what is calculated, where it still fits."
    )
    assert (found.width_max.value_mm, found.width_max.ended_by) == (3000, None)


def test_none_fits_where_another_dimension_is_short() -> None:
    found = limits.limits(samples.job({"depth_mm": 200.0}))
    # hand: the smallest plate is 240 deep behind a header of 40, and the rear stands at 40 + 200
    told = "on T50 with side plate P240, side plate before the rear obstruction: 280 mm, at most 240 mm; 40 mm too much."
    assert found.height_max == limits.Limit(None, "plate_depth", f"No greatest height: even at 250 mm, {told}")
    assert found.headroom_min == limits.Limit(None, "plate_depth", f"No least headroom: even at 1500 mm, {told}")
    assert found.width_max.value_mm is None
    assert found.depth_min.value_mm is not None


def test_a_hinge_that_the_wheel_bends_too_much_fits_nowhere() -> None:
    # hand: 2·asin(14/30) = 55.636° on the wheel, against a limit made up to be less; the tubes bend a hinge by 51.5° at most
    found = limits.limits(samples.job(slat=samples.SLIM._replace(hinge_limit_deg=55.0)))
    for name in DIMENSIONS:
        one = getattr(found, name)
        assert (one.value_mm, one.ended_by) == (None, "hinge_on_wheel")
        assert "55.636 deg, at most 55 deg" in one.reason


def test_a_survey_counts_with_its_size() -> None:
    surveyed = cramped({"width_mm": 0.0, "height_mm": 0.0})
    survey = Survey((1180.0, 1182.0), (1303.0, 1300.0), (1755.0, 1756.0))
    surveyed = surveyed._replace(opening=surveyed.opening._replace(survey=survey))
    assert limits.limits(surveyed) == limits.limits(cramped())


def test_given_slats_end_at_the_height_that_they_cover() -> None:
    # hand: at one place one slat more covers one pitch more
    place = samples.fixed(samples.job({"headroom_mm": 900.0, "depth_mm": 1500.0}, slat_count=61))
    sixty, one_more = (limits.limits(place._replace(slat_count=count)).height_max for count in (60, 61))
    assert sixty.ended_by == one_more.ended_by == "curtain_covers"
    assert one_more.value_mm - sixty.value_mm == 28


def test_a_measured_coil_does_not_grow_with_the_height() -> None:
    found = limits.limits(samples.job(measured_coil_radius_mm=81.5)).height_max
    assert (found.value_mm, found.ended_by) == (3000, None)
    assert found.reason.endswith("since the coil counts as measured, 81.5 mm, whatever the height.")


@pytest.mark.parametrize("dimension", DIMENSIONS.values(), ids=DIMENSIONS)
def test_ranges_are_those_of_the_contract(dimension: Dimension) -> None:
    ends = (dimension.values_mm[0], dimension.values_mm[-1])
    hint = get_type_hints(requests.Opening, include_extras=True)[dimension.field]
    hints = [hint, *get_args(hint)]
    [meta] = [one for hint in hints for one in getattr(hint, "__metadata__", ()) if one.ge is not None]
    assert (min(ends), max(ends)) == (meta.ge, meta.le)

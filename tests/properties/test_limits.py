"""What the search for limits rests on, tried on random openings: fitting is monotone in each dimension."""

import draws
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.calculation import limits
from service.calculation.fitting import fit
from service.calculation.job import Job
from service.calculation.limits import DEPTH, HEADROOM, HEIGHT, WIDTH, Dimension

pytestmark = pytest.mark.slow

DIMENSIONS = {"height_max": HEIGHT, "width_max": WIDTH, "headroom_min": HEADROOM, "depth_min": DEPTH}


def fits(job: Job, dimension: Dimension, value_mm: float) -> bool:
    opening = job.opening._replace(survey=None, **{dimension.field: value_mm})
    return fit(job._replace(opening=opening)).verdict != "does_not_fit"


@settings(max_examples=150)
@given(st.one_of(draws.jobs(), draws.odd_jobs()), st.sampled_from([*DIMENSIONS.values()]), st.data())
def test_what_fits_a_harder_opening_fits_an_easier_one(job: Job, dimension: Dimension, data: st.DataObject) -> None:
    ends = dimension.values_mm[0], dimension.values_mm[-1]
    tenths = st.integers(10 * min(ends), 10 * max(ends))
    easier, harder = sorted((data.draw(tenths) / 10, data.draw(tenths) / 10), reverse=ends[0] > ends[1])
    assert fits(job, dimension, easier) >= fits(job, dimension, harder)


@settings(max_examples=60)
@given(st.one_of(draws.jobs(), draws.odd_jobs()), st.data())
def test_every_limit_fits_and_one_millimetre_more_does_not(job: Job, data: st.DataObject) -> None:
    found = limits.limits(job)
    for name, dimension in DIMENSIONS.items():
        values, limit = dimension.values_mm, getattr(found, name).value_mm
        at = -1 if limit is None else values.index(limit)
        if limit is not None:
            assert fits(job, dimension, float(limit))
            assert fits(job, dimension, float(values[data.draw(st.integers(0, at))]))
        if at + 1 < len(values):
            assert not fits(job, dimension, float(values[at + 1]))
            assert not fits(job, dimension, float(values[data.draw(st.integers(at + 1, len(values) - 1))]))


@settings(max_examples=60)
@given(draws.jobs(), st.integers(1, 50))
def test_more_room_never_lowers_the_height(job: Job, more_mm: int) -> None:
    opening = job.opening
    roomier = opening._replace(headroom_mm=opening.headroom_mm + more_mm, depth_mm=opening.depth_mm + more_mm)
    before, after = (limits.limits(job._replace(opening=one)).height_max.value_mm for one in (opening, roomier))
    assert (after or 0) >= (before or 0)

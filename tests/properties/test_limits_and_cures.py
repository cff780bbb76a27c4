"""Limits and cures of random openings: every limit is one, every cure cures."""

from dataclasses import replace

import draws
import pytest
import samples
from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st

from service.calculation.cures import cures
from service.calculation.fitting import fit, verdict
from service.calculation.limits import DEPTH, HEADROOM, HEIGHT, WIDTH, Along, limits

ENDS = {
    "height_max_mm": (HEIGHT, 1),
    "width_max_mm": (WIDTH, 1),
    "width_min_mm": (WIDTH, -1),
    "headroom_min_mm": (HEADROOM, -1),
    "depth_min_mm": (DEPTH, -1),
}
"""Each limit's dimension and the way that leads beyond it."""

VERDICTS = {"built": ("fits", "fits_with_cautions"), "without_cautions": ("fits",)}


def check_limits(job):
    """At each limit the shutter fits, a millimetre beyond it does not."""
    found = limits(job)
    for range_name, good in VERDICTS.items():
        for name, (dimension, way) in ENDS.items():
            value = getattr(getattr(found, range_name), name)
            if value is None:
                continue
            assert dimension.least_mm <= value <= dimension.most_mm
            assert verdict(samples.reopened(job, **{dimension.field: float(value)})) in good
            beyond = value + way
            if dimension.least_mm <= beyond <= dimension.most_mm:
                assert verdict(samples.reopened(job, **{dimension.field: float(beyond)})) not in good
            if range_name == "built" and name in found.ended_by:
                ended = found.ended_by[name]
                there = fit(samples.reopened(job, **{dimension.field: float(beyond)})).answer
                assert (samples.check_of(there, ended.id).state, ended.kind) == ("fails", "must")
    for name in ENDS:
        built, calm = getattr(found.built, name), getattr(found.without_cautions, name)
        assert built is not None or calm is None
    return found


def check_cures(job, *, tube_named):
    """Every cure makes the shutter fit when its changes are made, and tells the verdict that it leads to."""
    found = cures(job, samples.OFFER, tube_named=tube_named)
    assert len(found) <= 8
    assert len({len(cure.changes) for cure in found if job.opening.survey is None}) <= 1
    for cure in found:
        changed = cure.changes[-1].job
        assert cure.verdict in {"fits", "fits_with_cautions"}
        assert fit(changed).answer.verdict == cure.verdict
        # what the pointers say leads to the same job
        assert samples.plain(applied(job, cure)) == samples.plain(changed)
    return found


def row(rows, id):
    """The catalogue's row with an id."""
    return next(one for one in rows if one.id == id)


def applied(job, cure):
    """The job with the changes made that a cure's pointers name."""
    for change in cure.changes:
        group, name = change.pointer.strip("/").split("/")
        if group == "opening":
            job = samples.reopened(job, **{name: change.value})
        elif group == "duty":
            job = replace(job, duty=replace(job.duty, **{name: change.value}))
        elif name == "tube":
            job = replace(job, tubes=(row(samples.OFFER.tubes_of_slat[job.slat.id], change.value),))
        elif name == "side_plate":
            job = replace(job, side_plates=(row(samples.OFFER.side_plates, change.value),))
        elif name == "mount":
            job = replace(job, mount=row(samples.OFFER.mounts, change.value))
        elif name == "slat":
            takes = samples.OFFER.tubes_of_slat[change.value]
            named = len(job.tubes) == 1 and cure_keeps_tube(cure)
            tubes = tuple(tube for tube in takes if tube in job.tubes) if named else takes
            job = replace(job, slat=row(samples.OFFER.slats, change.value), tubes=tubes)
        elif name == "slat_count":
            job = replace(job, slat_count=int(change.value))
        else:
            job = replace(job, **{name: change.value})
    return job


def cure_keeps_tube(cure):
    """Whether a change of slat keeps the tube: the changed job says so."""
    return len(cure.changes[-1].job.tubes) == 1


@settings(max_examples=3, suppress_health_check=[HealthCheck.too_slow])
@given(draws.usual_jobs())
def test_every_limit_is_a_limit(job):
    check_limits(job)


@pytest.mark.slow
@settings(max_examples=60, phases=[Phase.generate], suppress_health_check=[HealthCheck.too_slow])
@given(draws.jobs())
def test_every_limit_is_a_limit_of_many_jobs(job):
    check_limits(job)


@settings(max_examples=6, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])
@given(draws.jobs())
def test_every_cure_cures(job):
    assume(verdict(job) == "does_not_fit")
    check_cures(job, tube_named=len(job.tubes) == 1)


@pytest.mark.slow
@settings(
    max_examples=150, phases=[Phase.generate], suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much]
)
@given(draws.jobs())
def test_every_cure_cures_of_many_jobs(job):
    assume(verdict(job) == "does_not_fit")
    check_cures(job, tube_named=len(job.tubes) == 1)


@settings(max_examples=10, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])
@given(draws.surveyed_jobs(), draws.tenths(60, 240))
def test_every_cure_of_a_surveyed_opening_cures(job, headroom):
    job = samples.reopened(job, headroom_mm=headroom)
    assume(verdict(job) == "does_not_fit")
    check_cures(job, tube_named=False)


@pytest.mark.parametrize("dimension", [HEIGHT, WIDTH, HEADROOM, DEPTH], ids=lambda one: one.field)
@settings(max_examples=60)
@given(job=draws.jobs(), share=st.floats(0, 1), further=st.floats(0, 1))
def test_where_a_place_passes_one_passes_wherever_there_is_more_room(dimension, job, share, further):
    """What the search for limits rests on: it halves towards the first value that has a place."""
    along, tightest = Along(job, dimension), dimension.least_mm + dimension.most_mm - dimension.roomiest_mm
    value = round(tightest + (dimension.roomiest_mm - tightest) * share)
    roomier = round(value + (dimension.roomiest_mm - value) * further)
    assert along.has_place(roomier) or not along.has_place(value)

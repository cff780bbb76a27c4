"""Alternatives: every combination at its best place, the order, and what the failing ones lack.

The catalogue here is the made-up one of the samples.
"""

from dataclasses import replace
from itertools import pairwise

import pytest
import samples

from service.calculation import alternatives
from service.calculation.alternatives import worst_must
from service.calculation.checks import ROWS, Check
from service.calculation.fitting import fit
from service.calculation.job import Offer

OPENINGS = {
    "roomy": {},
    "low": {"headroom_mm": 225.0},
    "shallow": {"depth_mm": 330.0, "height_mm": 2100.0},
    "wide": {"width_mm": 1700.0},
    "hopeless": {"depth_mm": 90.0},
}
every_opening = pytest.mark.parametrize("opening", OPENINGS.values(), ids=OPENINGS)


def ids(one):
    """Slat, tube, plate and mount."""
    combination = one.combination if isinstance(one, alternatives.Alternative) else one
    return tuple(part.id for part in vars(combination).values())


@every_opening
def test_every_combination_is_there_once_with_the_answer_it_gets_alone(opening):
    found = alternatives.rank(samples.job(opening), samples.OFFER)
    # hand: slim on 2 tubes and stout on 1, on 3 plates in 2 mounts
    assert len(found) == len({ids(one) for one in found}) == 18
    for one in found:
        rows = one.combination
        alone = fit(
            samples.job(opening, slat=rows.slat, tubes=(rows.tube,), side_plates=(rows.side_plate,), mount=rows.mount)
        ).answer
        assert samples.plain(one.answer) == samples.plain(alone)
        assert one.verdict == alone.verdict


def kind(one):
    """Slat and mount."""
    return one.combination.slat.id, one.combination.mount.id


@every_opening
def test_the_best_of_each_slat_and_mount_come_first(opening):
    found = alternatives.rank(samples.job(opening), samples.OFFER)
    # hand: slim and stout, each in 2 mounts
    assert len({kind(one) for one in found[:4]}) == 4
    for one in found[:4]:
        assert one.merit == min(other.merit for other in found if kind(other) == kind(one))


@every_opening
def test_order_is_verdict_then_worst_margin_then_mass_then_catalogue(opening):
    verdicts = ["fits", "fits_with_cautions", "does_not_fit"]
    listed = [ids(one) for one in alternatives.combinations(samples.OFFER)]
    found = alternatives.rank(samples.job(opening), samples.OFFER)
    for first, second in (*pairwise(found[:4]), *pairwise(found[4:])):
        merits = [
            (
                verdicts.index(one.verdict),
                -round(one.worst.margin_mm, 3),
                round(one.answer.curtain.mass_kg, 3),
                listed.index(ids(one)),
            )
            for one in (first, second)
        ]
        assert merits[0] < merits[1]


@every_opening
def test_what_fails_is_listed_and_the_worst_is_one_of_them(opening):
    for one in alternatives.rank(samples.job(opening), samples.OFFER):
        stops = {warning.check for warning in one.answer.warnings if warning.severity == "stop"}
        assert {failing.id for failing in one.failing} == stops
        assert bool(one.failing) == (one.verdict == "does_not_fit")
        assert all(failing.margin < 0 and failing.kind == "must" for failing in one.failing)
        if one.failing:
            assert one.worst.margin_mm == min(failing.margin_mm for failing in one.failing)


def test_some_fit_and_some_do_not():
    found = alternatives.rank(samples.job(OPENINGS["shallow"]), samples.OFFER)
    assert 0 < sum(one.verdict == "does_not_fit" for one in found) < len(found)


def test_an_existing_shutter_s_count_and_coil_do_not_carry_over():
    plain = alternatives.rank(samples.JOB, samples.OFFER)
    existing = alternatives.rank(samples.job(slat_count=12, measured_coil_radius_mm=140.0), samples.OFFER)
    assert [ids(one) for one in existing] == [ids(one) for one in plain]
    assert [samples.plain(one.answer) for one in existing] == [samples.plain(one.answer) for one in plain]


def test_margins_that_are_the_same_in_every_opening_rank_only_where_they_fail():
    def made(id, margin):
        value = 50.0 - margin if ROWS[id].direction == "at_most" else 50.0 + margin
        return Check(ROWS[id], value=value, limit=50.0, tolerance_mm=2.0)

    roof, entry, bend = made("roof_clearance", 5.5), made("track_entry", 0.9), made("hinge_on_tube", -0.5)
    assert worst_must([roof, entry]) is roof
    assert worst_must([roof, entry, bend]) is bend
    assert worst_must([roof, made("slat_stress", -30.0)]) is roof  # a should never ranks


def test_no_combination_is_an_error():
    nothing = Offer(slats=(), tubes_of_slat={}, side_plates=(), mounts=())
    with pytest.raises(ValueError, match="at least one"):
        alternatives.rank(samples.JOB, nothing)


def test_ties_keep_the_catalogue_s_order():
    twins = replace(samples.OFFER, side_plates=(samples.P240, replace(samples.P240, id="twin")), mounts=(samples.REVEAL,))
    found = [ids(one) for one in alternatives.rank(samples.JOB, twins)]
    for slat, tube, plate, mount in found:
        if plate == "twin":
            assert found.index((slat, tube, "P240", mount)) < found.index((slat, tube, "twin", mount))
    assert {plate for _, _, plate, _ in found[:2]} == {"P240"}

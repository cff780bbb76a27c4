"""Alternatives: every combination at its best place, the order, what the failing ones lack, and the reason in words.

The catalogue here is the made-up one of the samples.
"""

from itertools import pairwise

import pytest
import samples

from service.calculation import alternatives, place
from service.calculation.checks import KINDS, check
from service.calculation.fitting import fit
from service.calculation.job import Job

SHELF = {
    "slats": {"slim": samples.SLIM, "stout": samples.STOUT},
    "tubes_of_slat": {"slim": {"T50": samples.T50, "T70": samples.T70}, "stout": {"T70": samples.T70}},
    "side_plates": {plate.id: plate for plate in samples.PLATES},
    "mounts": {"reveal": samples.REVEAL, "face": samples.FACE},
}
OPENINGS = {
    "roomy": {},
    "low": {"headroom_mm": 225.0},
    "shallow": {"depth_mm": 330.0, "height_mm": 2100.0},
    "wide": {"width_mm": 1700.0},
    "hopeless": {"depth_mm": 90.0},
}


def ranked(opening: dict[str, float], **changes: object) -> tuple[alternatives.Alternative, ...]:
    return alternatives.rank(samples.job(opening), **{**SHELF, **changes}).alternatives


def narrowed(job: Job, one: alternatives.Combination) -> Job:
    return job._replace(slat=one.slat, tubes=(one.tube,), side_plates=(one.side_plate,), mount=one.mount)


def ids(one: alternatives.Alternative) -> tuple[str, str, str, str]:
    return tuple(part.id for part in one.combination)


@pytest.mark.parametrize("opening", OPENINGS.values(), ids=OPENINGS)
def test_every_combination_is_there_once_with_the_answer_it_gets_alone(opening: dict[str, float]) -> None:
    found = ranked(opening)
    # hand: slim on 2 tubes and stout on 1, on 3 plates in 2 mounts
    assert len(found) == len({ids(one) for one in found}) == 18
    for one in found:
        alone = fit(narrowed(samples.job(opening), one.combination))
        assert one.answer == alone
        assert (one.verdict, one.mass_kg) == (alone.verdict, alone.curtain.mass_kg)


@pytest.mark.parametrize("opening", OPENINGS.values(), ids=OPENINGS)
def test_order_is_verdict_then_worst_margin_then_mass_then_catalogue(opening: dict[str, float]) -> None:
    verdicts = ["fits", "fits_with_cautions", "does_not_fit"]
    listed = [tuple(part.id for part in one) for one in alternatives.combinations(**SHELF)]
    for first, second in pairwise(ranked(opening)):
        merits = [
            (verdicts.index(one.verdict), -round(one.worst_margin_mm, 3), round(one.mass_kg, 3), listed.index(ids(one)))
            for one in (first, second)
        ]
        assert merits[0] < merits[1]


@pytest.mark.parametrize("opening", OPENINGS.values(), ids=OPENINGS)
def test_worst_margin_is_the_one_by_which_the_place_was_chosen(opening: dict[str, float]) -> None:
    # independent program: the choice of a place works its margins out in another way; tolerance: rounding
    for one in ranked(opening):
        chosen = place.choose(narrowed(samples.job(opening), one.combination))
        if one.worst_check in {"slat_width", "hinge_on_wheel"}:
            assert one.worst_margin_mm <= chosen.worst_margin_mm
        elif chosen.passes and KINDS[chosen.worst_check].rests_on == "catalogue":
            # the same in every opening, so it does not rank: what rests on the tape leaves more
            assert one.worst_margin_mm >= chosen.worst_margin_mm
        else:
            assert one.worst_check == chosen.worst_check
            assert one.worst_margin_mm == pytest.approx(chosen.worst_margin_mm, abs=1e-9)


def test_what_fails_is_listed_by_how_much() -> None:
    found = ranked(OPENINGS["shallow"])
    assert 0 < sum(one.verdict == "does_not_fit" for one in found) < len(found)
    for one in found:
        short = {told.check for told in one.answer.warnings if told.severity == "stop"}
        assert {failing.id for failing in one.failing} == short
        assert bool(one.failing) == (one.verdict == "does_not_fit")
        assert all(failing.margin < 0 and KINDS[failing.id].role == "fit" for failing in one.failing)


def test_an_existing_shutter_s_count_and_coil_do_not_carry_over() -> None:
    plain = alternatives.rank(samples.job(), **SHELF)
    existing = samples.job(slat_count=12, measured_coil_radius_mm=140.0)
    assert alternatives.rank(existing, **SHELF) == plain


def test_margins_count_as_lengths() -> None:
    def margin(id: str, value: float, limit: float) -> float:
        compared = check(id=id, value=value, limit=limit, measuring_tolerance_mm=2.0)
        return alternatives.margin_mm(compared, samples.SLIM)

    # hand: 1 rad is 57.29577951308232°, slim's pitch 28, its path on the wheel 26 + 8/2
    assert margin("roof_clearance", 25.5, 20.0) == 5.5
    assert margin("curtain_covers", 48.0, 50.0) == -56.0
    assert margin("hinge_on_tube", 60.0 - 57.29577951308232, 60.0) == pytest.approx(28.0, rel=1e-12)
    assert margin("path_over_wheel", 90.0 + 57.29577951308232, 90.0) == pytest.approx(-30.0, rel=1e-12)


def test_no_combination_is_an_error() -> None:
    with pytest.raises(ValueError, match="at least one"):
        alternatives.rank(samples.job(), **{**SHELF, "mounts": {}})


# The alternatives below are made up by hand from calculated ones, so that one difference at a time decides.

FIRST, SECOND = (
    alternatives.evaluate(
        samples.job(), alternatives.Combination(samples.SLIM, tube, samples.P300, samples.REVEAL)
    )._replace(verdict="fits", worst_check="roof_clearance", worst_margin_mm=12.25, mass_kg=14.5, failing=())
    for tube in (samples.T50, samples.T70)
)
ONE, OTHER = FIRST.combination.name, SECOND.combination.name
TOLD = f"The best, {ONE}, fits with 12.25 mm to spare at its worst (clearance from coil to roof); the next, {OTHER}, "
SHORT = (
    check(id="roof_clearance", value=8.5, limit=20.0, measuring_tolerance_mm=2.0),
    check(id="hinge_on_tube", value=62.0, limit=60.0, measuring_tolerance_mm=2.0),
)
MISFIT = FIRST._replace(verdict="does_not_fit", worst_margin_mm=-11.5, failing=SHORT)
SHORTFALLS = "clearance from coil to roof 11.5 mm too little; bend of a hinge on the tube 2 deg too much"


def test_names_of_the_two() -> None:
    assert ONE == "slim on T50 with side plate P300, mount reveal"
    assert OTHER == "slim on T70 with side plate P300, mount reveal"


@pytest.mark.parametrize(
    ("following", "told"),
    [
        (SECOND._replace(worst_margin_mm=9.1, worst_check="wheel_clearance"), "has 9.1 mm (clearance from coil to wheel)."),
        (SECOND._replace(mass_kg=15.0), "has as much but weighs 15 kg against 14.5 kg."),
        (SECOND, "has as much and weighs as much, 14.5 kg, but stands after it in the catalogue."),
        (SECOND._replace(worst_margin_mm=12.2501, mass_kg=14.5001), "has as much and weighs as much, 14.5 kg, but stands"),
        (MISFIT._replace(combination=SECOND.combination), f"does not fit: {SHORTFALLS}."),
    ],
    ids=["margin", "mass", "order", "below what is reported", "does not fit"],
)
def test_reason_says_what_puts_the_second_behind(following: alternatives.Alternative, told: str) -> None:
    assert alternatives.reason_best([FIRST, following]).startswith(TOLD + told)


def test_reason_names_the_cautions() -> None:
    answer = fit(samples.job({"headroom_mm": 225.0}, slat=samples.STOUT, tubes=(samples.T70,), mount=samples.FACE))
    cautions = [one.code for one in answer.warnings if one.severity == "caution"]
    assert "coil_hangs_into_opening" in cautions  # regression
    following = SECOND._replace(verdict="fits_with_cautions", answer=answer)
    assert alternatives.reason_best([FIRST, following]) == f"{TOLD}fits with cautions ({', '.join(cautions)})."


def test_reason_where_none_fits_says_what_the_nearest_lacks() -> None:
    told = f"None of 2 fits; the nearest is {ONE}: {SHORTFALLS}."
    assert alternatives.reason_best([MISFIT, SECOND._replace(verdict="does_not_fit")]) == told


def test_reason_where_only_one_is_there() -> None:
    told = f"The only one, {ONE}, fits with 12.25 mm to spare at its worst (clearance from coil to roof)."
    assert alternatives.reason_best([FIRST]) == told


def test_the_ranking_carries_the_reason_of_its_own_order() -> None:
    found = alternatives.rank(samples.job({"depth_mm": 270.0}), **SHELF)
    assert found.reason_best == alternatives.reason_best(found.alternatives)
    # regression: the coil of the nearest is 0.876 mm too near the rear
    assert found.reason_best == (
        "None of 18 fits; the nearest is slim on T50 with side plate P240, mount reveal: "
        "clearance from coil to the rear 0.876 mm too little."
    )

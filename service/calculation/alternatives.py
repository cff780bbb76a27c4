"""What else would fit: every slat, tube, side plate and mount of a catalogue in one opening, the best first.

Each combination is calculated by itself with its best place. They are ranked by verdict, then by the worst margin of the
fit checks (larger first), then by the curtain's mass (lighter first), then as the catalogue lists them. Margins and masses
count as they are reported, to 0.001, so that no rounding noise decides.

A slat count or a measured coil radius describes one shutter that exists already. Alternatives ask which shutter to make, so
both are left out here, for the requested combination too: all stand on the same footing.
"""

from collections.abc import Iterator, Mapping, Sequence
from math import radians
from typing import NamedTuple

from service.calculation import wheel
from service.calculation.answer import Answer
from service.calculation.checks import KINDS, Check, Verdict
from service.calculation.fitting import fit
from service.calculation.job import Job, Mount, SidePlate, Slat, Tube
from service.calculation.warnings import figure

VERDICTS: tuple[Verdict, ...] = ("fits", "fits_with_cautions", "does_not_fit")
"""Verdicts from the best."""

DIGITS = 3
"""Decimals that margins and masses are compared by: those that are reported."""


class Combination(NamedTuple):
    """One shutter that the catalogue can make."""

    slat: Slat
    tube: Tube
    side_plate: SidePlate
    mount: Mount

    @property
    def name(self) -> str:
        """The combination in words."""
        return f"{self.slat.id} on {self.tube.id} with side plate {self.side_plate.id}, mount {self.mount.id}"


class Alternative(NamedTuple):
    """One combination in the opening.

    `worst_margin_mm` is the least margin of the fit checks as a length; `failing` holds the fit checks that fail, each with
    its margin in its own unit, and is empty where the combination fits.
    """

    combination: Combination
    verdict: Verdict
    worst_check: str
    worst_margin_mm: float
    mass_kg: float
    failing: tuple[Check, ...]
    answer: Answer


class Ranking(NamedTuple):
    """All alternatives, the best first, and why it is the best."""

    alternatives: tuple[Alternative, ...]
    reason_best: str


def rank(
    job: Job,
    *,
    slats: Mapping[str, Slat],
    tubes_of_slat: Mapping[str, Mapping[str, Tube]],
    side_plates: Mapping[str, SidePlate],
    mounts: Mapping[str, Mount],
) -> Ranking:
    """Calculate every combination in the job's opening and rank them.

    Args:
        job: the opening, the hardware, the duty and the options; its slat, tubes, plates and mount are replaced in turn
        slats: every slat by id
        tubes_of_slat: by slat id, the tubes that it may be wound on
        side_plates: every side plate by id
        mounts: every mount by id

    Raises:
        ValueError: there is no combination at all.
        IndexError: more slats than a coil table covers.
    """
    every = combinations(slats=slats, tubes_of_slat=tubes_of_slat, side_plates=side_plates, mounts=mounts)
    ranked = sorted((evaluate(job, combination) for combination in every), key=_merit)
    if not ranked:
        raise ValueError("a ranking needs at least one slat, tube, side plate and mount")
    return Ranking(tuple(ranked), reason_best(ranked))


def combinations(
    *,
    slats: Mapping[str, Slat],
    tubes_of_slat: Mapping[str, Mapping[str, Tube]],
    side_plates: Mapping[str, SidePlate],
    mounts: Mapping[str, Mount],
) -> Iterator[Combination]:
    """Every combination in the order of the catalogue: slats, in each the tubes, the plates, the mounts."""
    for id, slat in slats.items():
        for tube in tubes_of_slat[id].values():
            for plate in side_plates.values():
                for mount in mounts.values():
                    yield Combination(slat, tube, plate, mount)


def evaluate(job: Job, combination: Combination) -> Alternative:
    """One combination in the job's opening, at its best place."""
    answer = fit(
        job._replace(
            slat=combination.slat,
            tubes=(combination.tube,),
            side_plates=(combination.side_plate,),
            mount=combination.mount,
            slat_count=None,
            measured_coil_radius_mm=None,
        )
    )
    worst, margin = worst_fit_check(answer.checks, combination.slat)
    return Alternative(
        combination=combination,
        verdict=answer.verdict,
        worst_check=worst.id,
        worst_margin_mm=margin,
        mass_kg=answer.curtain.mass_kg,
        failing=tuple(one for one in answer.checks if one.state == "fails" and KINDS[one.id].role == "fit"),
        answer=answer,
    )


def worst_fit_check(checks: tuple[Check, ...], slat: Slat) -> tuple[Check, float]:
    """The fit check with the least margin, and that margin as a length [mm].

    Checks that compare the catalogue with itself only count where they fail: their margins are the same in every opening,
    and the least of them would hide how much room this one leaves.
    """
    margins = [
        (one, margin_mm(one, slat))
        for one in checks
        if KINDS[one.id].role == "fit" and (KINDS[one.id].rests_on == "tape" or one.state == "fails")
    ]
    return min(margins, key=lambda pair: pair[1])


def margin_mm(check: Check, slat: Slat) -> float:
    """A check's margin as a length [mm], as the choice of a place counts it.

    A slat counts as its pitch, the bend of a hinge as its arc at one pitch, the rise of the curtain as its arc on the wheel.
    """
    if check.unit == "slats":
        return check.margin * slat.pitch_mm
    if check.unit == "deg":
        radius = slat.pitch_mm
        if check.id == "path_over_wheel":
            radius = wheel.wheel_path_radius_mm(wheel_radius_mm=slat.wheel_radius_mm, thickness_mm=slat.thickness_mm)
        return radians(check.margin) * radius
    return check.margin


def _merit(one: Alternative) -> tuple[int, float, float]:
    """What alternatives are ranked by: less is better. Sorting keeps the catalogue's order where it is equal."""
    return VERDICTS.index(one.verdict), -round(one.worst_margin_mm, DIGITS), round(one.mass_kg, DIGITS)


def reason_best(ranked: Sequence[Alternative]) -> str:
    """One sentence that says why the first of ranked alternatives is the best, or by how much the nearest fails."""
    best = ranked[0]
    if best.verdict == "does_not_fit":
        return f"None of {len(ranked)} fits; the nearest is {best.combination.name}: {_shortfalls(best)}."
    room = f"{figure(best.worst_margin_mm)} mm to spare at its worst ({KINDS[best.worst_check].title})"
    told = f"{best.combination.name}, {_verdict_in_words(best)} with {room}"
    if len(ranked) == 1:
        return f"The only one, {told}."
    return f"The best, {told}; the next, {ranked[1].combination.name}, {_why_after(best, ranked[1])}."


def _why_after(best: Alternative, following: Alternative) -> str:
    """What puts the second behind the first."""
    by_verdict, by_margin, by_mass = (mine != other for mine, other in zip(_merit(best), _merit(following), strict=True))
    if by_verdict:
        return _verdict_in_words(following)
    if by_margin:
        return f"has {figure(following.worst_margin_mm)} mm ({KINDS[following.worst_check].title})"
    if by_mass:
        return f"has as much but weighs {figure(following.mass_kg)} kg against {figure(best.mass_kg)} kg"
    return f"has as much and weighs as much, {figure(best.mass_kg)} kg, but stands after it in the catalogue"


def _verdict_in_words(one: Alternative) -> str:
    """The verdict with what makes it no better: the failing checks, or the codes of the cautions."""
    if one.verdict == "does_not_fit":
        return f"does not fit: {_shortfalls(one)}"
    if one.verdict == "fits_with_cautions":
        codes = dict.fromkeys(told.code for told in one.answer.warnings if told.severity == "caution")
        return f"fits with cautions ({', '.join(codes)})"
    return "fits"


def _shortfalls(one: Alternative) -> str:
    """Every failing fit check and by how much it fails, in its own unit."""
    return "; ".join(
        f"{KINDS[check.id].title} {figure(-check.margin)} {check.unit} "
        f"too {'much' if check.direction == 'at_most' else 'little'}"
        for check in one.failing
    )

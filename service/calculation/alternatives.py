"""What else would fit: every slat, tube, side plate and mount of a catalogue in one opening, the best first.

Each combination is calculated by itself with its best place. The best of each slat and mount come first, since that is what
one chooses between; tubes and plates of the same slat and mount hardly differ. In both parts they are ranked by verdict,
then by the worst margin of the musts that rest on the tape (larger first), then by the curtain's mass (lighter first), then
as the catalogue lists them. Margins and masses count as they are reported, to 0.001, so that no rounding noise decides.

A slat count or a measured coil radius describes one shutter that exists already. Alternatives ask which shutter to make, so
both are left out here, for the requested combination too: all stand on the same footing.
"""

from collections.abc import Iterator
from dataclasses import replace
from typing import Final, final

from .answer import Answer
from .checks import Check, Verdict
from .fitting import fit
from .job import Job, Mount, Offer, SidePlate, Slat, Tube

VERDICTS: Final[tuple[Verdict, ...]] = ("fits", "fits_with_cautions", "does_not_fit")
"""Verdicts from the best."""

DIGITS: Final = 3
"""Decimals that margins and masses are compared by: those that are reported."""


@final
class Combination:
    """One shutter that the catalogue can make."""

    def __init__(self, *, slat: Slat, tube: Tube, side_plate: SidePlate, mount: Mount) -> None:
        self.slat = slat
        self.tube = tube
        self.side_plate = side_plate
        self.mount = mount


@final
class Alternative:
    """One combination in the opening.

    `worst` is the must that speaks most against it; `failing` holds the musts that fail and is empty where it fits.
    """

    def __init__(self, *, combination: Combination, worst: Check, failing: list[Check], answer: Answer) -> None:
        self.combination = combination
        self.worst = worst
        self.failing = failing
        self.answer = answer

    @property
    def verdict(self) -> Verdict:
        """The combination's verdict."""
        return self.answer.verdict

    @property
    def merit(self) -> tuple[int, float, float]:
        """What alternatives are ranked by: less is better. Sorting keeps the catalogue's order where it is equal."""
        return (
            VERDICTS.index(self.answer.verdict),
            -round(self.worst.margin_mm, DIGITS),
            round(self.answer.curtain.mass_kg, DIGITS),
        )


def rank(job: Job, offer: Offer) -> list[Alternative]:
    """Every combination in the job's opening: the best of each slat and mount first, then the others, both ranked.

    The job gives the opening, the hardware, the duty and the options; its slat, tubes, plates and mount are replaced.

    Raises:
        ValueError: there is no combination at all.
        IndexError: more slats than a coil table covers.
    """
    ranked = sorted((evaluate(job, combination) for combination in combinations(offer)), key=lambda one: one.merit)
    if not ranked:
        raise ValueError("a ranking needs at least one slat, tube, side plate and mount")
    best: dict[tuple[str, str], Alternative] = {}
    for one in ranked:
        best.setdefault((one.combination.slat.id, one.combination.mount.id), one)
    firsts = [*best.values()]  # in the order in which they were found: ranked
    return [*firsts, *(one for one in ranked if one not in firsts)]


def combinations(offer: Offer) -> Iterator[Combination]:
    """Every combination in the order of the catalogue: slats, in each the tubes, the plates, the mounts."""
    for slat in offer.slats:
        for tube in offer.tubes_of_slat[slat.id]:
            for plate in offer.side_plates:
                for mount in offer.mounts:
                    yield Combination(slat=slat, tube=tube, side_plate=plate, mount=mount)


def evaluate(job: Job, combination: Combination) -> Alternative:
    """One combination in the job's opening, at its best place."""
    answer = fit(
        replace(
            job,
            slat=combination.slat,
            tubes=(combination.tube,),
            side_plates=(combination.side_plate,),
            mount=combination.mount,
            slat_count=None,
            measured_coil_radius_mm=None,
        )
    ).answer
    return Alternative(
        combination=combination,
        worst=worst_must(answer.checks),
        failing=[check for check in answer.checks if check.rules_out],
        answer=answer,
    )


def worst_must(checks: list[Check]) -> Check:
    """The must with the least margin as a length.

    Musts that compare the catalogue with itself only count where they fail: their margins are the same in every opening,
    and the least of them would hide how much room this one leaves.
    """
    counted = [check for check in checks if check.kind == "must" and (check.row.on_tape or check.state == "fails")]
    return min(counted, key=lambda check: check.margin_mm)

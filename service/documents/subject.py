"""What every document is drawn from: a calculated fitting, its words, and what identifies the two."""

from collections.abc import Callable
from functools import cached_property
from typing import Final, NamedTuple, final

from service.calculation.fitting import Calculated
from service.calculation.geometry import Geometry
from service.calculation.job import WheelHoleName
from service.documents.wording import clean
from service.words import verdict_label
from service.words.languages import language_of, marked
from service.words.model import Words

WHEEL_HOLES: Final[dict[WheelHoleName, str]] = {"low": marked("low"), "mid": marked("mid"), "high": marked("high")}
"""What the wheel holes are called."""

SPELLED: Final = marked("The name has letters that no typeface of this document has: each is spelled by its number, \\u….")


class Title(NamedTuple):
    """What identifies a document. `reference` is the caller's own text; `digest` the result's SHA-256 in hexadecimal.

    `link` is what the sheet's QR code holds: the address at which the case opens; empty where there is none, and the code
    then holds the digest alone.
    """

    reference: str
    catalogue: str
    calculation_version: str
    digest: str
    link: str = ""


class Hole(NamedTuple):
    """A hole of the side plate, from its front and lower edges; without a diameter where it is not to be made."""

    name: str
    from_front_mm: float
    from_base_mm: float
    diameter_mm: float | None


@final
class Subject:
    """One calculated fitting with its title and its words; `write` is how texts of the caller's are written."""

    def __init__(self, calculated: Calculated, title: Title, words: Words, write: Callable[[str], str] = clean) -> None:
        """Take them as they are."""
        self.calculated: Final = calculated
        self.title: Final = title
        self.words: Final = words
        self.write: Final = write
        self.job: Final = calculated.job
        self.answer: Final = calculated.answer
        self.language: Final = language_of(words.language)
        self.plate: Final = calculated.trial.position.side_plate

    def written(self, write: Callable[[str], str]) -> "Subject":
        """The same with the caller's texts written in another way."""
        return Subject(self.calculated, self.title, self.words, write)

    @property
    def spelling(self) -> str:
        """What must be said where the reference is not shown in its own letters; empty where it is."""
        reference = self.title.reference
        return "" if self.write(reference) == clean(reference) else self.language.name(SPELLED)

    def say(self, text: str, **figures: str | int) -> str:
        """A marked text in the document's language."""
        return self.language.say(text, **{place: str(figure) for place, figure in figures.items()})

    def mm(self, length: float) -> str:
        """A length as a tape tells it, without its unit."""
        return self.language.numbers.tenths(length)

    @property
    def verdict(self) -> str:
        """The verdict in words."""
        return verdict_label(self.answer.verdict, language=self.language.code)

    @property
    def stopped(self) -> bool:
        """Whether nothing may be cut or drilled, since the shutter does not fit."""
        return self.answer.verdict == "does_not_fit"

    @property
    def spring_made(self) -> bool:
        """Whether the figures that rest on a spring are those of one that can be made."""
        return self.calculated.choice.made

    @cached_property
    def geometry(self) -> Geometry:
        """The section's points."""
        return self.calculated.section()

    @property
    def coil_radius_mm(self) -> float:
        """The radius that clearances are counted from: the measured coil's where somebody measured one [mm]."""
        return self.calculated.trial.radius_checked_mm

    @cached_property
    def check_numbers(self) -> dict[str, int]:
        """The number that a check has in drawings and lists, by its id."""
        return {check.id: number for number, check in enumerate(self.answer.checks, start=1)}

    @cached_property
    def check_labels(self) -> dict[str, str]:
        """What a check is called, by its id."""
        return {one.id: one.label for one in self.words.checks}

    @property
    def wheel_hole(self) -> Hole:
        """The chosen wheel hole."""
        wheel, diameter = self.answer.wheel, self.job.hardware.plate.wheel_hole_diameter_mm
        return Hole(self.say(WHEEL_HOLES[wheel.hole]), wheel.from_plate_front_mm, wheel.from_plate_base_mm, diameter)

    @property
    def bracket_hole(self) -> Hole:
        """The chosen bracket hole."""
        bracket, diameter = self.answer.bracket, self.job.hardware.plate.bracket_hole_diameter_mm
        name = self.say(marked("row {row}, column {column}"), row=bracket.row, column=bracket.column)
        return Hole(name, bracket.from_plate_front_mm, bracket.from_plate_base_mm, diameter)

    @property
    def chosen_holes(self) -> tuple[Hole, Hole]:
        """Wheel and bracket."""
        return self.wheel_hole, self.bracket_hole

    @property
    def fixing_holes(self) -> tuple[Hole, ...]:
        """The countersunk holes that the plate is screwed on with."""
        fixing, plate = self.job.hardware.plate, self.plate
        edge, diameter = fixing.fixing_hole_edge_mm, fixing.fixing_hole_diameter_mm
        return tuple(
            Hole("fixing", from_front, from_base, diameter)
            for from_base in (edge, plate.high_mm - edge)
            for from_front in (edge, plate.deep_mm - edge)
        )

    @property
    def spare_holes(self) -> tuple[Hole, ...]:
        """Places for a wheel or a bracket that this fitting does not use: nothing is drilled there."""
        wheel, bracket = self.answer.wheel, self.calculated.trial.bracket_hole
        return (
            *(
                Hole(one.name, one.from_front_mm, one.from_base_mm, None)
                for one in self.plate.wheel_holes
                if one.name != wheel.hole
            ),
            *(
                Hole(one.name, one.from_front_mm, one.from_base_mm, None)
                for one in self.plate.bracket_holes
                if one is not bracket
            ),
        )

"""What every document is drawn from: the job, its answer and what identifies the two."""

from collections.abc import Callable
from typing import NamedTuple

from service.calculation.answer import Answer
from service.calculation.geometry import Geometry
from service.calculation.job import Job, SidePlate


class Title(NamedTuple):
    """What identifies a document. `reference` is the caller's own text; `digest` the result's SHA-256 in hexadecimal."""

    reference: str
    catalogue: str
    calculation_version: str
    digest: str


class Hole(NamedTuple):
    """A hole of the side plate, from its front and lower edges."""

    name: str
    from_front_mm: float
    from_base_mm: float


class Subject(NamedTuple):
    """One answered job with its title. The answer carries its geometry."""

    job: Job
    answer: Answer
    title: Title

    def written(self, write: Callable[[str], str]) -> "Subject":
        """The same with its title's texts written in some way."""
        title = self.title
        return self._replace(title=title._replace(reference=write(title.reference), catalogue=write(title.catalogue)))

    @property
    def stopped(self) -> bool:
        """Whether nothing may be cut or drilled, since the shutter does not fit."""
        return self.answer.verdict == "does_not_fit"

    @property
    def spring_fits(self) -> bool:
        """Whether the figures that rest on a spring are those of one that can be made."""
        return all(one.code != "no_spring_fits" for one in self.answer.warnings)

    @property
    def geometry(self) -> Geometry:
        """The section's points.

        Raises:
            ValueError: the answer was made without them.
        """
        if self.answer.geometry is None:
            raise ValueError("documents need an answer with geometry")
        return self.answer.geometry

    @property
    def plate(self) -> SidePlate:
        """The chosen side plate with all its holes.

        Raises:
            StopIteration: the job does not have the answer's side plate.
        """
        return next(one for one in self.job.side_plates if one.id == self.answer.side_plate.id)

    @property
    def wheel_hole(self) -> Hole:
        """The chosen wheel hole."""
        wheel = self.answer.wheel
        return Hole(wheel.hole, wheel.from_plate_front_mm, wheel.from_plate_base_mm)

    @property
    def bracket_hole(self) -> Hole:
        """The chosen bracket hole."""
        bracket = self.answer.bracket
        return Hole(bracket.hole, bracket.from_plate_front_mm, bracket.from_plate_base_mm)

    @property
    def chosen_holes(self) -> tuple[Hole, Hole]:
        """Wheel and bracket."""
        return self.wheel_hole, self.bracket_hole

    @property
    def free_holes(self) -> tuple[Hole, ...]:
        """Every other hole of the plate."""
        wheel, bracket = self.answer.wheel, self.answer.bracket
        return (
            *(
                Hole(one.name, one.from_front_mm, one.from_base_mm)
                for one in self.plate.wheel_holes
                if one.name != wheel.hole
            ),
            *(
                Hole(f"row {one.row}, column {one.column}", one.from_front_mm, one.from_base_mm)
                for one in self.plate.bracket_holes
                if (one.row, one.column) != (bracket.row, bracket.column)
            ),
        )

    @property
    def coil_radius_mm(self) -> float:
        """The radius that clearances are counted from: the measured coil's where somebody measured one [mm]."""
        return self.answer.coil.measured_radius_mm or self.answer.coil.radius_mm

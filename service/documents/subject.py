"""What every document is drawn from: the job, its answer and what identifies the two."""

from typing import NamedTuple

from service.calculation.answer import Answer
from service.calculation.geometry import Geometry
from service.calculation.job import BracketHole, Job, SidePlate, WheelHole


class Title(NamedTuple):
    """What identifies a document. `reference` is the caller's own text; `digest` the result's SHA-256 in hexadecimal."""

    reference: str
    catalogue: str
    calculation_version: str
    digest: str


class Subject(NamedTuple):
    """One answered job with its title. The answer carries its geometry."""

    job: Job
    answer: Answer
    title: Title

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
    def wheel_hole(self) -> WheelHole:
        """The chosen wheel hole."""
        return next(one for one in self.plate.wheel_holes if one.name == self.answer.wheel.hole)

    @property
    def bracket_hole(self) -> BracketHole:
        """The chosen bracket hole."""
        chosen = (self.answer.bracket.row, self.answer.bracket.column)
        return next(one for one in self.plate.bracket_holes if (one.row, one.column) == chosen)

    @property
    def coil_radius_mm(self) -> float:
        """The radius that clearances are counted from: the measured coil's where somebody measured one [mm]."""
        return self.answer.coil.measured_radius_mm or self.answer.coil.radius_mm

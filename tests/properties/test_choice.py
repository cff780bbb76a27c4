"""The choice of tube, plate and holes against an independent program, and against the trials it is made from.

The independent program below was written from the specification's words alone. It tries every candidate in plain loops and
uses other means than the core: Brent's method for the chord angle and for the tangent, a dense grid for the pinch at the
mouth, complex numbers for the path. Two things it takes from the core, because the specification is silent: a coil keeps
the running clearance from the header as well, and misfits are ranked by (worst margin, worst margin of the coil to its
surroundings), with bends as arcs at one pitch, the rise as an arc on the wheel and missing slats as pitches.
"""

import cmath
from collections.abc import Iterator
from functools import cache
from math import ceil, degrees, pi, radians, sqrt

import draws
import numpy as np
import pytest
from hypothesis import given, settings
from scipy.optimize import brentq

from service.calculation import place
from service.calculation.checks import RESOLUTION
from service.calculation.job import Job

pytestmark = pytest.mark.slow

LONGEST = 260
"""Slats in the independent coil tables: more than any job here needs."""

ROUNDING = 1e-7
"""Tolerance [mm] where two programs solve the same equations by different iterations."""


@cache
def hinge_radii(tube_radius: float, pitch: float, thickness: float, nesting: float, count: int) -> tuple[float, ...]:
    """Hinge radii of a coil; each chord angle is the root of the law of cosines."""
    radii = [abs(complex(tube_radius + thickness / 2, pitch / 2))]
    for _ in range(count):
        inner = radii[-1]
        spacing = thickness + nesting * (inner - sqrt(inner**2 - (pitch / 2) ** 2))

        def chord_error(angle: float, inner: float = inner, spacing: float = spacing) -> float:
            return abs(inner - cmath.rect(inner + spacing * angle / (2 * pi), angle)) - pitch

        radii.append(inner + spacing * brentq(chord_error, 0.0, pi, xtol=1e-14) / (2 * pi))
    return tuple(radii)


@cache
def pinch(above_mouth: float, path_radius: float, pitch: float) -> float:
    """The greatest offset of a slat at the mouth, from a grid over β that is refined twice around its best point."""
    low, high = 0.0, pi / 2
    best = 0.0
    for _ in range(3):
        turned = np.linspace(low, high, 20001)
        across = path_radius * (1 - np.cos(turned))
        along = np.sqrt(np.maximum(pitch**2 - across**2, (1e-3 * pitch) ** 2))
        below = -(above_mouth + path_radius * np.sin(turned) - along)
        offset = np.maximum(below, 0.0) * across / along
        at = int(offset.argmax())
        best = max(best, float(offset[at]))
        low, high = turned[max(at - 1, 0)], turned[min(at + 1, 20000)]
    return best


def rise_and_length(wheel: complex, bracket: complex, around_wheel: float, around_bracket: float) -> tuple[float, float]:
    """Direction of the common tangent over the top, and arc plus free length between the wheel's flank and the coil."""
    way = bracket - wheel
    towards = cmath.phase(way)

    def gap(rise: float) -> float:
        normal = cmath.rect(1.0, rise + pi / 2)
        return (way * normal.conjugate()).real + around_bracket - around_wheel

    low, high = towards - pi / 2, towards + pi / 2
    if gap(low) * gap(high) > 0:  # one circle inside the other: as if they just touched
        rise = high if around_bracket > around_wheel else low
        return rise, around_wheel * (pi / 2 - rise)
    rise = brentq(gap, low, high, xtol=1e-14)
    normal = cmath.rect(1.0, rise + pi / 2)
    free = abs((bracket + around_bracket * normal) - (wheel + around_wheel * normal))
    return rise, around_wheel * (pi / 2 - rise) + free


def every_candidate(job: Job) -> Iterator[tuple[tuple[str, str, str, int, int], int, float, dict[str, float]]]:
    """Name, slat count, coil radius and margins of every candidate in the order of trial."""
    opening, slat, mount, hardware = job.opening, job.slat, job.mount, job.hardware
    clearance, pitch, thickness = hardware.running.clearance_mm, slat.pitch_mm, slat.thickness_mm
    around_wheel = slat.wheel_radius_mm + thickness / 2
    bar_top = -opening.height_mm + 2 / 3 * hardware.bar.seal_free_mm + hardware.bar.height_mm
    front = opening.header_thickness_mm + mount.plate_setback_mm
    base = mount.mouth_z_mm + opening.plate_offset_mm
    rear = opening.header_thickness_mm + opening.depth_mm
    for tube in job.tubes:
        first = abs(complex(tube.radius_mm + thickness / 2, pitch / 2))
        bend = 2 * degrees(cmath.phase(complex(tube.radius_mm + thickness / 2, pitch / 2)))
        for plate in job.side_plates:
            for wheel_hole in plate.wheel_holes:
                wheel = complex(front + wheel_hole.from_front_mm, base + wheel_hole.from_base_mm)
                for hole in plate.bracket_holes:
                    bracket = complex(front + hole.from_front_mm, base + hole.from_base_mm)
                    rise_bare, beyond = rise_and_length(wheel, bracket, around_wheel, first)
                    length = wheel.imag - bar_top + beyond
                    length += hardware.running.reserve_turns * 2 * pi * first - hardware.running.strap_length_mm
                    needed = max(1, ceil(length / pitch))
                    count = job.slat_count or needed
                    outer = hinge_radii(tube.radius_mm, pitch, thickness, slat.nesting, LONGEST)[count] + thickness / 2
                    if job.measured_coil_radius_mm is not None:
                        outer = job.measured_coil_radius_mm
                    rise_full, _ = rise_and_length(wheel, bracket, around_wheel, outer - thickness / 2)
                    nearest_header = complex(opening.header_thickness_mm, max(0.0, bracket.imag))
                    margins = {
                        "plate_height": opening.headroom_mm - (base + plate.high_mm),
                        "plate_depth": rear - (front + plate.deep_mm),
                        "wheel_above_header": wheel.imag,
                        "track_entry": (slat.slot_width_mm - thickness) / 2
                        - pinch(wheel.imag - mount.mouth_z_mm, around_wheel, pitch),
                        "hinge_on_tube": radians(slat.hinge_limit_deg - bend) * pitch,
                        "roof_clearance": opening.headroom_mm - bracket.imag - (outer + clearance),
                        "wheel_clearance": abs(bracket - wheel) - (outer + clearance + slat.wheel_allowance_mm),
                        "rear_clearance": rear - bracket.real - (outer + clearance),
                        "header_clearance": abs(bracket - nearest_header) - (outer + clearance),
                        "path_over_wheel": around_wheel * (pi / 2 - max(rise_bare, rise_full)),
                    }
                    if job.slat_count is not None:
                        margins["curtain_covers"] = (job.slat_count - needed) * pitch
                    name = (tube.id, plate.id, wheel_hole.name, hole.row, hole.column)
                    yield name, count, outer, margins


def rank(margins: dict[str, float]) -> tuple[float, float]:
    """Worst margin, then the worst of the coil to its surroundings."""
    return min(margins.values()), min(margin for name, margin in margins.items() if name.endswith("_clearance"))


def independent_choice(job: Job) -> tuple[tuple[str, str, str, int, int], int, float, dict[str, float]]:
    """The first candidate that passes everything, else the one of the best rank."""
    candidates = list(every_candidate(job))
    passing = [one for one in candidates if rank(one[3])[0] >= -RESOLUTION]
    return passing[0] if passing else max(candidates, key=lambda one: rank(one[3]))


def name_of(candidate: place.Candidate) -> tuple[str, str, str, int, int]:
    """A candidate's name as the independent program gives it."""
    tube, plate, wheel_hole, hole = candidate
    return tube.id, plate.id, wheel_hole.name, hole.row, hole.column


@settings(max_examples=200)
@given(draws.jobs())
def test_choice_agrees_with_an_independent_program(job: Job) -> None:
    name, count, radius, margins = independent_choice(job)
    chosen = place.choose(job)
    assert name_of(chosen.candidate) == name
    assert chosen.slat_count == count
    assert chosen.coil_radius_mm == pytest.approx(radius, abs=ROUNDING)
    assert chosen.rank == pytest.approx(rank(margins), abs=ROUNDING)
    assert margins[chosen.worst_check] == pytest.approx(rank(margins)[0], abs=ROUNDING)


@settings(max_examples=60)
@given(draws.odd_jobs())
def test_choice_agrees_with_an_independent_program_on_made_up_rows(job: Job) -> None:
    name, count, radius, margins = independent_choice(job)
    chosen = place.choose(job)
    assert chosen.rank == pytest.approx(rank(margins), abs=ROUNDING)
    assert name_of(chosen.candidate) == name
    assert chosen.slat_count == count
    assert chosen.coil_radius_mm == pytest.approx(radius, abs=ROUNDING)

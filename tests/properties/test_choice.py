"""The choice of tube, plate and holes against an independent program, and against the trials it is made from.

The independent program below was written from the specification's words alone. It tries every candidate in plain loops and
uses other means than the core: Brent's method for the chord angle and for the tangent, a dense grid for the pinch at the
mouth, complex numbers for the path. What it takes from the core, because the specification is silent: misfits are ranked by
(worst margin, worst margin of the coil to its surroundings), with bends as arcs at one pitch, the rise as an arc on the
wheel and missing slats as pitches. Obstacles are left to the checks against shapely.
"""

import cmath
from functools import cache
from math import ceil, degrees, pi, radians, sqrt

import draws
import numpy as np
import pytest
import samples
from hypothesis import given, settings
from scipy.optimize import brentq

from service.calculation import place
from service.calculation.checks import RESOLUTION

pytestmark = pytest.mark.slow

LONGEST = 260
"""Slats in the independent coil tables: more than any job here needs."""

ROUNDING = 1e-7
"""Tolerance [mm] where two programs solve the same equations by different iterations."""


@cache
def hinge_radii(tube_radius, pitch, thickness, nesting, count):
    """Hinge radii of a coil; each chord angle is the root of the law of cosines."""
    radii = [abs(complex(tube_radius + thickness / 2, pitch / 2))]
    for _ in range(count):
        inner = radii[-1]
        spacing = thickness + nesting * (inner - sqrt(inner**2 - (pitch / 2) ** 2))

        def chord_error(angle, inner=inner, spacing=spacing):
            return abs(inner - cmath.rect(inner + spacing * angle / (2 * pi), angle)) - pitch

        radii.append(inner + spacing * brentq(chord_error, 0.0, pi, xtol=1e-14) / (2 * pi))
    return tuple(radii)


@cache
def pinch(above_mouth, path_radius, pitch):
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


def rise_and_length(wheel, bracket, around_wheel, around_bracket):
    """Direction of the common tangent over the top, and arc plus free length between the wheel's flank and the coil."""
    way = bracket - wheel
    towards = cmath.phase(way)

    def gap(rise):
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


def every_candidate(job):
    """Name, slat count, coil radius and margins of every candidate in the order of trial."""
    opening, slat, mount, hardware = job.opening, job.slat, job.mount, job.hardware
    clearance, pitch, thickness = hardware.running.clearance_mm, slat.pitch_mm, slat.thickness_mm
    around_wheel = slat.wheel_radius_mm + thickness / 2
    bar_top = -opening.height_mm + 2 / 3 * hardware.bar.seal_free_mm + hardware.bar.height_mm
    front = opening.header_thickness_mm + mount.plate_setback_mm
    base = mount.mouth_z_mm + opening.plate_offset_mm
    rear = opening.header_thickness_mm + opening.depth_mm
    for tube in job.tubes:
        strap = tube.radius_mm + hardware.running.strap_thickness_mm / 2
        bend = 2 * degrees(cmath.phase(complex(tube.radius_mm + thickness / 2, pitch / 2)))
        for plate in job.side_plates:
            for wheel_hole in plate.wheel_holes:
                wheel = complex(front + wheel_hole.from_front_mm, base + wheel_hole.from_base_mm)
                for hole in plate.bracket_holes:
                    bracket = complex(front + hole.from_front_mm, base + hole.from_base_mm)
                    rise_strap, beyond = rise_and_length(wheel, bracket, around_wheel, strap)
                    length = wheel.imag - bar_top + beyond
                    length += hardware.running.reserve_turns * 2 * pi * strap - hardware.running.strap_length_mm
                    needed = max(1, ceil(length / pitch - 1e-9))
                    count = job.slat_count or needed
                    outer = hinge_radii(tube.radius_mm, pitch, thickness, slat.nesting, LONGEST)[count] + thickness / 2
                    if job.measured_coil_radius_mm is not None:
                        outer = job.measured_coil_radius_mm
                    rise_full, _ = rise_and_length(wheel, bracket, around_wheel, outer - thickness / 2)
                    nearest_header = complex(
                        min(max(bracket.real, 0.0), opening.header_thickness_mm),
                        min(max(bracket.imag, 0.0), opening.headroom_mm),
                    )
                    margins = {
                        "plate_height": opening.headroom_mm - (base + plate.high_mm),
                        "plate_depth": rear - (front + plate.deep_mm),
                        "wheel_above_header": wheel.imag,
                        "track_entry": (slat.slot_width_mm - thickness) / 2
                        - pinch(wheel.imag - mount.mouth_z_mm, around_wheel, pitch),
                        "header_gap": wheel.real
                        - around_wheel
                        - thickness / 2
                        - opening.header_thickness_mm
                        - hardware.running.header_gap_min_mm,
                        "hinge_on_tube": radians(slat.hinge_limit_deg - bend) * pitch,
                        "roof_clearance": opening.headroom_mm - bracket.imag - (outer + clearance),
                        "wheel_clearance": abs(bracket - wheel) - (outer + clearance + slat.wheel_allowance_mm),
                        "rear_clearance": rear - bracket.real - (outer + clearance),
                        "header_clearance": abs(bracket - nearest_header) - (outer + clearance),
                        "path_over_wheel": around_wheel * (pi / 2 - max(rise_strap, rise_full)),
                    }
                    if job.slat_count is not None:
                        margins["curtain_covers"] = (job.slat_count - needed) * pitch
                    name = (tube.id, plate.id, wheel_hole.name, hole.row, hole.column)
                    yield name, count, outer, margins


def rank(margins):
    """Worst margin, then the worst of the coil to its surroundings."""
    return min(margins.values()), min(margin for name, margin in margins.items() if name.endswith("_clearance"))


def independent_choice(job):
    """The first candidate that passes everything, else the one of the best rank."""
    candidates = list(every_candidate(job))
    passing = [one for one in candidates if rank(one[3])[0] >= -RESOLUTION]
    return passing[0] if passing else max(candidates, key=lambda one: rank(one[3]))


def chosen_place(job):
    """The place that the core takes, springs left aside."""
    for tube in job.tubes:
        trial = place.first_that_passes(job, tube)
        if trial is not None:
            return trial
    return place.nearest(job)


def check_choice(job):
    """The core's place is the independent program's."""
    job = samples.reopened(job, obstacles=())
    name, count, radius, margins = independent_choice(job)
    chosen = chosen_place(job)
    position, hole = chosen.position, chosen.bracket_hole
    assert (position.tube.id, position.side_plate.id, position.wheel_hole.name, hole.row, hole.column) == name
    assert chosen.slat_count == count
    assert chosen.radius_checked_mm == pytest.approx(radius, abs=ROUNDING)
    assert (chosen.worst_margin_mm, chosen.room_margin_mm) == pytest.approx(rank(margins), abs=ROUNDING)
    assert margins[chosen.worst.id] == pytest.approx(rank(margins)[0], abs=ROUNDING)


@settings(max_examples=60)
@given(draws.jobs())
def test_choice_agrees_with_an_independent_program(job):
    check_choice(job)


@settings(max_examples=30)
@given(draws.odd_jobs())
def test_choice_agrees_with_an_independent_program_on_made_up_rows(job):
    check_choice(job)

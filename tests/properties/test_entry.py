"""The pinch at the mouth against a dense grid over the angle turned on the wheel."""

from math import pi

import draws
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar

from service.calculation import wheel

GRID = np.linspace(0.0, pi / 2, 20001)


def offset_mm(turned_rad, *, above_mm, radius_mm, pitch_mm):
    """Offset of the hinge line at the mouth: a line from the hinge on the wheel to the one in the track, cut at z = 0."""
    upper_x = radius_mm * (1 - np.cos(turned_rad))
    upper_z = above_mm + radius_mm * np.sin(turned_rad)
    with np.errstate(invalid="ignore", divide="ignore"):
        lower_z = upper_z - np.sqrt(pitch_mm**2 - upper_x**2)
        share = (0.0 - lower_z) / (upper_z - lower_z)
    return np.where(lower_z < 0, share * upper_x, 0.0)


def greatest_offset_mm(**place):
    """The greatest offset: the best point of the grid, then scipy's bounded search around it."""
    at = int(offset_mm(GRID, **place).argmax())
    found = minimize_scalar(
        lambda turned: -float(offset_mm(np.array(turned), **place)),
        bounds=(GRID[max(0, at - 1)], GRID[min(len(GRID) - 1, at + 1)]),
        method="bounded",
        options={"xatol": 1e-10},
    )
    return max(float(offset_mm(GRID, **place)[at]), -float(found.fun))


@settings(max_examples=300)
@given(draws.tenths(0, 80), draws.tenths(10, 60), draws.tenths(10, 70))
def test_greatest_offset_agrees_with_a_grid(above_mm, radius_mm, pitch_mm):
    # independent program: numpy's grid refined by scipy; tolerance: the search ends at 1e-10 rad, the top is flat
    shift = wheel.entry_shift_mm(above_mouth_mm=above_mm, wheel_path_radius_mm=radius_mm, pitch_mm=pitch_mm)
    assert shift == pytest.approx(greatest_offset_mm(above_mm=above_mm, radius_mm=radius_mm, pitch_mm=pitch_mm), abs=1e-6)


@settings(max_examples=200)
@given(draws.tenths(0, 80), draws.tenths(0, 20), draws.tenths(10, 60), draws.tenths(10, 70))
def test_a_higher_wheel_never_pinches_more(above_mm, raised_mm, radius_mm, pitch_mm):
    low, high = (
        wheel.entry_shift_mm(above_mouth_mm=above, wheel_path_radius_mm=radius_mm, pitch_mm=pitch_mm)
        for above in (above_mm, above_mm + raised_mm)
    )
    assert high <= low + 1e-9


@given(draws.tenths(10, 60), st.integers(100, 700).map(lambda tenth: tenth / 10), draws.tenths(0, 30))
def test_a_wheel_a_pitch_above_the_mouth_never_pinches(radius_mm, pitch_mm, raised_mm):
    shift = wheel.entry_shift_mm(above_mouth_mm=pitch_mm + raised_mm, wheel_path_radius_mm=radius_mm, pitch_mm=pitch_mm)
    assert shift == 0.0

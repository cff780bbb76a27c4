"""Properties of balance, strength, parcel and order of work for random jobs."""

from math import isfinite

import draws
import forces
import pytest
import samples
from hypothesis import given, settings
from hypothesis import strategies as st
from service.calculation.work import work_of

from service.calculation.fitting import fit
from service.calculation.job import Job
from service.calculation.parts import parts_of
from service.calculation.strength import strength_of

pytestmark = pytest.mark.slow


@settings(max_examples=100, deadline=None)
@given(draws.jobs(), st.floats(1.0, 3.0))
def test_a_heavier_curtain_never_needs_less_torque(job: Job, heavier: float) -> None:
    # hand: every term of the tension is in proportion to a mass, so all torques grow by the same factor
    slat = job.slat._replace(mass_kg_per_m=job.slat.mass_kg_per_m * heavier)
    bar = job.hardware.bar._replace(mass_kg_per_m=job.hardware.bar.mass_kg_per_m * heavier)
    light = forces.balanced(job).balance.curve
    heavy = forces.balanced(job, slat=slat, bar=bar).balance.curve
    only_slats = forces.balanced(job, slat=slat).balance.curve
    assert heavy[0].torque_needed_n_m >= light[0].torque_needed_n_m
    assert heavy[0].torque_needed_n_m == pytest.approx(heavier * light[0].torque_needed_n_m, rel=1e-9)
    assert only_slats[0].torque_needed_n_m >= light[0].torque_needed_n_m * (1 - 1e-12)


@settings(max_examples=150, deadline=None)
@given(st.one_of(draws.jobs(), draws.odd_jobs()))
def test_every_job_gets_finite_figures_and_a_reason_where_no_spring_fits(job: Job) -> None:
    told = forces.balanced(job)
    checks = {name: (value, limit) for name, value, limit in told.checks}
    assert list(checks) == ["spring_stress", "spring_length", "spring_bore", "hand_force", "holds_open"]
    assert all(isfinite(number) for pair in checks.values() for number in pair)
    kept = (
        checks["spring_stress"][0] <= checks["spring_stress"][1] + 1e-6
        and checks["spring_length"][0] <= checks["spring_length"][1] + 1e-6
        and checks["spring_bore"][0] >= checks["spring_bore"][1] - 1e-6
        and checks["holds_open"][0] >= checks["holds_open"][1] - 1e-6
    )
    assert kept == (told.needed is None)


@settings(max_examples=60, deadline=None)
@given(draws.jobs(), draws.tenths(0, 160))
def test_wind_bows_slats_and_no_wind_does_not(job: Job, speed: float) -> None:
    made = fit(job).curtain

    def at(speed_km_h: float) -> tuple[float, ...]:
        return strength_of(
            slat=job.slat,
            tube=forces.tube_of(job, fit(job)),
            slat_length_mm=made.slat_length_mm,
            engagement_mm=made.engagement_mm,
            engagement_min_mm=6.0,
            curtain_mass_kg=made.mass_kg,
            road_speed_km_h=speed_km_h,
        ).strength

    still, moving = at(0.0), at(speed)
    assert still.slat_bow_mm == 0.0
    assert still.engagement_left_mm == made.engagement_mm
    assert moving.slat_bow_mm >= 0.0
    assert moving.engagement_left_mm <= made.engagement_mm
    assert moving.tube_sag_mm == still.tube_sag_mm


@settings(max_examples=40, deadline=None)
@given(draws.tenths(0, 80), draws.tenths(0, 80), st.sampled_from([samples.REVEAL, samples.FACE]))
def test_swapping_the_wall_gaps_swaps_the_packers_only(left: float, right: float, mount: object) -> None:
    one, other = (
        forces.figures_of(samples.job({"wall_gap_left_mm": near, "wall_gap_right_mm": far}, mount=mount))
        for near, far in ((left, right), (right, left))
    )
    assert one.balance == other.balance

    def swapped(text: str) -> str:
        return text.replace("left", "?").replace("right", "left").replace("?", "right")

    def packed(part: str) -> bool:
        return part.startswith("packer") or " mm longer, " in part

    through = {swapped(part.part) for part in parts_of(one) if packed(part.part)}
    assert through == {part.part for part in parts_of(other) if packed(part.part)}
    assert len(through) == 2 * ((left > 0) + (right > 0))
    assert [part for part in parts_of(one) if not packed(part.part)] == [
        part for part in parts_of(other) if not packed(part.part)
    ]
    assert [step for step in work_of(one) if step.step != "packers"] == [
        step for step in work_of(other) if step.step != "packers"
    ]


@settings(max_examples=60, deadline=None)
@given(draws.jobs(), st.sets(st.sampled_from(["perimeter_seal", "drip_rail", "strip_light"])))
def test_parts_are_cut_to_the_answers_lengths(job: Job, options: set[str]) -> None:
    figures = forces.figures_of(job, options=frozenset(options))
    known = {
        figures.slat_length_mm,
        figures.track_length_mm,
        figures.outer_width_mm,
        figures.top_cut_length_mm,
        figures.drip_rail_length_mm,
        figures.strap_length_mm,
        figures.plate_high_mm,
        1000 * figures.cable_run_m,
        None,
    }
    parts = parts_of(figures)
    assert {part.cut_length_mm for part in parts} <= known
    slats = next(part for part in parts if part.part.startswith("slat "))
    assert (slats.quantity, slats.cut_length_mm) == (figures.slat_count, figures.slat_length_mm)
    tracks = [part for part in parts if part.part.startswith("track ")]
    assert [part.cut_length_mm for part in tracks] == [figures.track_length_mm] * 2

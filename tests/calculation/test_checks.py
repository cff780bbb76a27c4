"""States of checks and the verdict they give. Expected values: hand."""

import pytest

from service.calculation.checks import KINDS, Check, check, margin_of, verdict


def made(name: str, margin: float) -> Check:
    """A check with a margin, compared at a measuring tolerance of 2."""
    limit = 100.0
    value = limit - margin if KINDS[name].direction == "at_most" else limit + margin
    return check(id=name, value=value, limit=limit, measuring_tolerance_mm=2.0)


def test_margin_is_positive_on_the_good_side() -> None:
    assert margin_of(direction="at_most", value=3.0, limit=5.0) == 2.0
    assert margin_of(direction="at_least", value=3.0, limit=5.0) == -2.0


@pytest.mark.parametrize(
    ("margin", "state"),
    [(5.0, "ok"), (2.0, "ok"), (1.999, "tight"), (0.0, "tight"), (-0.0004, "tight"), (-0.001, "fails"), (-9.0, "fails")],
)
@pytest.mark.parametrize("name", ["plate_height", "roof_clearance"])
def test_taped_checks(name: str, margin: float, state: str) -> None:
    one = made(name, margin)
    assert one.state == state
    assert one.margin == pytest.approx(margin, abs=1e-12)


@pytest.mark.parametrize(("margin", "state"), [(5.0, "ok"), (0.5, "ok"), (0.0, "ok"), (-0.001, "fails")])
@pytest.mark.parametrize("name", ["hinge_on_tube", "curtain_covers"])
def test_a_tape_does_not_make_catalogue_numbers_tight(name: str, margin: float, state: str) -> None:
    assert made(name, margin).state == state


@pytest.mark.parametrize(
    ("checks", "cautions", "expected"),
    [
        ([("roof_clearance", 5.0), ("engagement", 3.0)], False, "fits"),
        ([("roof_clearance", 1.0)], False, "fits_with_cautions"),
        ([("engagement", -1.0)], False, "fits_with_cautions"),
        ([("engagement", 1.0)], False, "fits"),
        ([("roof_clearance", 5.0)], True, "fits_with_cautions"),
        ([("roof_clearance", -1.0)], True, "does_not_fit"),
        ([("roof_clearance", -1.0), ("engagement", -1.0)], False, "does_not_fit"),
    ],
)
def test_verdict(checks: list[tuple[str, float]], *, cautions: bool, expected: str) -> None:
    assert verdict(checks=tuple(made(*one) for one in checks), cautions=cautions) == expected


def test_no_check_without_its_kind() -> None:
    with pytest.raises(KeyError):
        check(id="no_such_check", value=1.0, limit=2.0, measuring_tolerance_mm=2.0)

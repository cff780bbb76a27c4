"""What checks and warnings say."""

import pytest
import samples
from words import jobs

from service.calculation.checks import ROWS
from service.calculation.fitting import fit
from service.calculation.warnings import CODES
from service.words import check_label, warning_text, words_of


def found(code, language="en", **changes):
    """The finding of a code for a changed sample job."""
    return next(one for one in words_of(fit(jobs.job(**changes)), language=language).warnings if one.code == code)


@pytest.mark.parametrize("code", CODES)
def test_every_code_has_a_meaning_and_a_remedy(code):
    meaning, remedy = warning_text(code)
    assert meaning.endswith(".")
    assert remedy.endswith(".")


@pytest.mark.parametrize("id", ROWS)
def test_every_check_has_a_name(id):
    assert check_label(id, language="de") != check_label(id)


def test_an_unknown_code_or_language_is_an_error():
    with pytest.raises(KeyError):
        warning_text("no_such_code")
    with pytest.raises(KeyError):
        warning_text("hand_force", language="nl")


def test_a_failing_check_tells_value_limit_and_shortfall():
    one = words_of(jobs.with_check("roof_clearance", value=16.6, limit=20.0, remedy_value=3.4)).warnings[0]
    assert one.message == "The coil clears the roof by 16.6 mm; at least 20 mm are needed, 3.4 mm more."
    assert one.remedy.startswith("For this check alone: 3.4 mm more headroom, or a slat count of ")


def test_a_measured_coil_is_not_told_to_have_fewer_slats():
    one = found("roof_clearance", measured_coil_radius_mm=200.0)
    assert "slat count" not in one.remedy


def test_a_remedy_beside_a_check_says_that_it_is_for_this_check_alone():
    begins = {"en": "For this check alone: ", "de": "Nur für diese Prüfung: ", "fr": "Pour ce seul contrôle\u00a0: "}
    for language, begin in begins.items():
        for one in jobs.drawn_fittings():
            spoken = words_of(one, language=language)
            for warning, finding in zip(one.answer.warnings, spoken.warnings, strict=True):
                if warning.check == warning.code and warning.severity != "note" and warning.code != "spring_made":
                    assert finding.remedy.startswith(begin)


def test_a_tight_check_asks_to_measure_again():
    one = found("plate_height", headroom_mm=189.0, side_plates=samples.PLATES[:1])
    assert one.message == (
        "Top of the side plate below the roof: 188 mm, 189 mm at most. The 1 mm to spare are less than the measuring "
        "tolerance of 2 mm."
    )
    assert one.remedy.startswith("Measure again to within 1 mm")


def test_a_bow_of_more_than_a_tenth_is_said_to_be_outside_the_formulas():
    changes = {"width_mm": 2900.0, "road_speed_km_h": 160.0}
    assert "more than a tenth of its length" in found("slat_bow", **changes).message
    spoken = words_of(fit(jobs.job(**changes)), language="de")
    assert sum("mehr als ein Zehntel ihrer Länge" in line for line in spoken.lines) == 1
    assert not any("a tenth" in line for line in words_of(fit(jobs.JOB)).lines)


def test_slats_that_come_out_of_the_track_are_told():
    one = found("held_in_track", width_mm=1590.0, road_speed_km_h=160.0)
    assert one.message.endswith("The slats come out of the track.")


def test_a_brace_in_a_callers_name_does_no_harm():
    assert all("{x}" not in one.message for c in jobs.drawn_fittings() for one in words_of(c).warnings)

"""Every text is there in every language, with its places for figures, and none lies unused."""

import string
from dataclasses import replace
from pathlib import Path

import msgspec
import pytest
import samples
from babel.messages.extract import extract_from_dir
from babel.messages.pofile import read_po
from words import jobs

from service import words
from service.calculation.alternatives import Alternative, rank
from service.calculation.checks import ROWS, Check
from service.calculation.cures import Change, Cure
from service.calculation.limits import Limits, Range
from service.calculation.warnings import CODES
from service.words import coils, findings, parcel, work
from service.words.languages import BY_CODE, LOCALE, Language, language_of

SERVICE = Path(words.__file__).parents[1]
TRANSLATED = tuple(code for code in words.LANGUAGES if code != "en")


def _marked(folder=SERVICE):
    """Every text that the code marks."""
    found = extract_from_dir(folder, method_map=[("**.py", "python")], keywords={"marked": None})
    return {str(message) for _, _, message, _, _ in found}


def _catalog(code):
    with (LOCALE / f"{code}.po").open("rb") as file:
        return read_po(file, locale=code, abort_invalid=True)


def _places(text):
    """The named places of a text."""
    return {name for _, name, _, _ in string.Formatter().parse(text)} - {None}


@pytest.mark.parametrize("code", TRANSLATED)
def test_every_text_is_translated_and_no_translation_is_left_over(code):
    catalog = _catalog(code)
    assert {str(one.id) for one in catalog if one.id} == _marked()
    assert not catalog.obsolete
    assert [one.id for one in catalog if one.id and (not one.string or one.fuzzy)] == []


@pytest.mark.parametrize("code", TRANSLATED)
def test_translations_have_the_same_places(code):
    assert [one.id for one in _catalog(code) if one.id and _places(str(one.id)) != _places(str(one.string))] == []


@pytest.mark.parametrize("language", words.LANGUAGES)
def test_words_have_no_sign_that_json_escapes(language):
    for text in _marked(SERVICE / "words"):
        told = language_of(language).name(text)
        assert msgspec.json.encode(told).decode() == f'"{told}"'


def test_no_two_checks_parts_or_cautions_are_told_alike():
    """A language keeps what it says of each by its text."""
    tables = (findings.LABELS, {**parcel.LABELS, "face": parcel.LABELS_ON_FACE["track_left"]}, work.CAUTIONS)
    told = [text for table in tables for text in table.values()]
    assert len(set(told)) == len(told) > 90


@pytest.mark.parametrize("code", TRANSLATED)
def test_translations_end_as_the_english_does(code):
    ends = {one.id: str(one.string)[-1] for one in _catalog(code) if one.id}
    assert [text for text, end in ends.items() if (text[-1] == ".") != (end == ".")] == []


def test_french_signs_stand_behind_a_space_that_does_not_break():
    told = [str(one.string) for one in _catalog("fr") if one.id]
    assert [text for text in told for sign in ":;%" if f" {sign}" in text] == []


class _Noted(dict[str, str]):
    """Translations that note what is asked for."""

    def __init__(self):
        super().__init__()
        self.asked = set()

    def get(self, text, default=""):  # type: ignore[override]
        self.asked.add(text)
        return default


@pytest.fixture
def asked(monkeypatch):
    """The texts that an English that has not said anything yet is asked for."""
    noted = _Noted()
    monkeypatch.setitem(BY_CODE, "en", Language("en", noted))
    return noted.asked


def cures():
    """A cure of each kind."""
    values = {
        "/shutter/tube": ["T70"],
        "/shutter/side_plate": ["P300"],
        "/opening/plate_offset_mm": [12.0, 0.0, -12.0],
        "/shutter/mount": ["face", "reveal"],
        "/shutter/slat": ["stout"],
        "/shutter/slat_count": [46.0],
        "/shutter/measured_coil_radius_mm": [None],
        "/opening/headroom_mm": [322.0],
        "/opening/depth_mm": [400.0],
        "/opening/survey": [None],
        "/opening/width_mm": [1100.0],
        "/opening/height_mm": [1300.0],
        "/duty/road_speed_km_h": [90.0],
    }
    return [
        Cure(changes=[Change(pointer=pointer, value=value, job=jobs.JOB)], verdict="fits")
        for pointer, each in values.items()
        for value in each
    ]


def limits(built_mm):
    """Limits that a check ends, or that are the end of what is calculated."""
    check = Check(ROWS["roof_clearance"], value=10.0, limit=20.0, tolerance_mm=2.0)
    every = Range(
        height_max_mm=built_mm,
        width_max_mm=built_mm,
        width_min_mm=built_mm,
        headroom_min_mm=built_mm,
        depth_min_mm=built_mm,
    )
    return Limits(slat="slim", mount="reveal", built=every, without_cautions=every, ended_by={"height_max_mm": check})


def rankings():
    """Rankings in which verdict, margin, mass or the catalogue's order decides, a single one, and one where nothing fits."""
    offer = replace(samples.OFFER, slats=(samples.SLIM,), side_plates=samples.PLATES[:1])
    ranked = rank(jobs.JOB, offer)
    fits, worse = ranked[0], next(one for one in ranked if one.verdict != ranked[0].verdict)
    tighter = Alternative(
        combination=fits.combination,
        worst=Check(fits.worst.row, value=fits.worst.value - 1.0, limit=fits.worst.limit, tolerance_mm=2.0),
        failing=[],
        answer=fits.answer,
    )
    heavier = rank(jobs.job(), replace(offer, tubes_of_slat={"slim": (samples.T50,)}, mounts=(samples.REVEAL,)))[0]
    heavier.answer.curtain.mass_kg += 1.0
    failing = rank(jobs.job(headroom_mm=100.0), replace(offer, mounts=(samples.FACE,)))
    return [[fits, worse], [fits, tighter], [fits, heavier], [fits, fits], [fits], failing]


def _say_everything(language):
    """All that can be said, over many fittings."""
    said = []
    for one in jobs.drawn_fittings():
        spoken = words.words_of(one, language=language)
        said += [spoken.headline, *spoken.lines]
        said += [label.label for label in (*spoken.checks, *spoken.parts)]
        said += [text for finding in spoken.warnings for text in (finding.message, finding.remedy)]
        said += [text for step in spoken.work for text in (step.title, step.text)]
        said += [caution.text for caution in spoken.cautions]
    said += [label.label for label in words.cure_labels(cures(), language=language)]
    said += [text for code in CODES for text in words.warning_text(code, language=language)]
    said += [words.severity_label(one, language=language) for one in ("stop", "caution", "note")]
    said += [words.verdict_label(one, language=language) for one in ("fits", "fits_with_cautions", "does_not_fit")]
    said += [
        language_of(language).say(text, **{str(place): "1" for place in _places(text)})
        for text in coils.CONTRADICTIONS.values()
    ]
    said += [words.limits_reason(limits(value), language=language) for value in (1500, None)]
    said += [words.best_reason(ranked, language=language) for ranked in rankings()]
    return [*said, words.no_cure_line(language=language)]


def test_every_text_is_said_somewhere(asked):
    labels = {text for text in _marked() if text in words.findings.LABELS.values()}  # looked up once, at start
    _say_everything("en")
    assert _marked(SERVICE / "words") - asked - labels == set()


@pytest.mark.parametrize("language", words.LANGUAGES)
def test_nothing_is_said_half(language):
    for text in _say_everything(language):
        assert text
        assert text == text.strip()
        assert "{" not in text
        assert "None" not in text.removeprefix("None of")
        assert "  " not in text
        assert "nan" not in text.split()


def test_languages_differ_in_words_and_agree_in_figures():
    said = {language: _say_everything(language) for language in words.LANGUAGES}
    for english, german, french in zip(said["en"], said["de"], said["fr"], strict=True):
        numbers = [_numbers(text, mark) for text, mark in ((english, "."), (german, ","), (french, ","))]
        assert numbers[0] == numbers[1] == numbers[2], english
    different = sum(one != other for one, other in zip(said["en"], said["de"], strict=True))
    assert different > 0.99 * len(said["en"])


def _numbers(text, decimal_mark):
    """The numbers of a text with decimals, in a fixed order."""
    figures = text.replace(decimal_mark, "·")
    kept = "".join(sign if sign.isdigit() or sign == "·" else " " for sign in figures)
    return sorted(piece.strip("·") for piece in kept.split() if piece.strip("·"))


def test_keys_and_codes_are_short():
    for one in jobs.drawn_fittings():
        spoken = words.words_of(one)
        keys = [label.id for label in (*spoken.checks, *spoken.parts)]
        keys += [finding.code for finding in spoken.warnings]
        keys += [step.key for step in spoken.work] + [caution.code for caution in spoken.cautions]
        assert all(0 < len(key) <= 24 for key in keys)


def test_words_follow_the_order_of_the_figures():
    for one in jobs.drawn_fittings():
        spoken = words.words_of(one, language="fr")
        assert [label.id for label in spoken.checks] == [check.id for check in one.answer.checks]
        assert [label.id for label in spoken.parts] == [part.key for part in one.answer.parts]
        assert [finding.code for finding in spoken.warnings] == [warning.code for warning in one.answer.warnings]

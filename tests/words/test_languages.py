"""The language that a caller asks for."""

import json

import pytest

from service.words import LANGUAGES, chosen_language
from service.words.languages import Instruction, Language
from service.words.page import Page


@pytest.mark.parametrize(
    ("header", "language"),
    [
        ("", "en"),
        ("de", "de"),
        ("fr-CA", "fr"),
        ("DE-at", "de"),
        ("fr;q=0.5, de;q=0.9", "de"),
        ("fr, de", "fr"),
        ("nl, de;q=0.3", "de"),
        ("nl, pl", "en"),
        ("en;q=0.2, fr;q=0.1", "en"),
        ("de;q=0", "en"),
        ("de;q=0, fr;q=0.1", "fr"),
        ("*", "en"),
        ("en;q=0, *", "de"),
        ("de;q=0.3, *;q=0.5", "en"),
        ("de;q=0.5, *;q=0.3", "de"),
        ("de;q=2, fr;q=0.1", "fr"),
        ("de;q=x, fr;q=0.1", "fr"),
        ("de;q=nan, fr;q=0.1", "fr"),
        (" de ; q=1.0 ,", "de"),
        (";;;,,,=", "en"),
        ("deutsch", "en"),
    ],
)
def test_the_greatest_weight_counts(header, language):
    assert chosen_language(header) == language


def test_english_is_the_first_of_the_languages():
    assert LANGUAGES == ("en", "de", "fr")


def test_a_text_is_filled_by_name_wherever_its_places_stand():
    said = Language("de", {"{a} of {b}, {a}": "{b}: {a}, {a}, {{so}} 100 %"})
    # hand: each place by its name, doubled braces as one, nothing in a figure is a place
    assert said.say("{a} of {b}, {a}", a="{b}", b="×") == "×: {b}, {b}, {so} 100 %"
    assert said.say("{a} of {b}, {a}", a="1", b="2") == "2: 1, 1, {so} 100 %"
    assert said.say("nothing to fill") == "nothing to fill"


def test_what_an_answer_has_is_its_json_in_utf_8():
    said = Language("fr", {"Slat {id}": "Lame {id} ×", "Fix it.": "Fixer.", "{told}": "{told}", "Fit": "Monter"})
    page = Page(said, {"id": b"slim", "told": "Ça.".encode()})
    page.begin(b"[")
    page.put(said.line("Slat {id}"))
    page.put(said.entry("key", "slat", "label", "Slat {id}"))
    page.put(said.step(Instruction("tracks", "Fit", ("Fix it.", "{told}"), ("pinch", "sharp"))))
    page.put(said.step(Instruction("tracks", "Fit", ("Fix it.",), ())))
    page.end(b"]")
    line, entry, step, bare = json.loads(b"".join(page.pieces))
    assert line == "Lame slim ×"
    assert entry == {"key": "slat", "label": "Lame slim ×"}
    assert step == {"cautions": ["pinch", "sharp"], "key": "tracks", "text": "Fixer. Ça.", "title": "Monter"}
    assert bare == {"cautions": [], "key": "tracks", "text": "Fixer.", "title": "Monter"}
    assert list(step) == sorted(step)


def test_a_list_without_entries_is_empty():
    page = Page(Language("en", {}), {})
    page.begin(b"[")
    page.end(b"]")
    assert b"".join(page.pieces) == b"[]"


def test_a_text_for_whose_place_there_is_no_figure_is_refused():
    said = Language("en", {})
    with pytest.raises(KeyError):
        Page(said, {"wide": b"1"}).put(said.line("{high} mm"))

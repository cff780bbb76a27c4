"""The language that a caller asks for."""

import pytest

from service.words import LANGUAGES, chosen_language


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

"""Why a body is no JSON: the place of its first fault, and the likely cause."""

import json
import re
from typing import Any, NamedTuple

import msgspec

from service.contract.problems import Refusal, mistake
from service.words.languages import marked

PLACE = re.compile(r"\(byte (?P<byte>\d+)\)$")
WHOLE_PAIRS = re.compile(r"(?:[^\\]++|\\[^u]|\\u(?![dD][89a-fA-F])....|\\u[dD][89abAB]..\\u[dD][c-fC-F]..)*+")
"""A text as far as its escaped characters are whole: no half of a surrogate pair stands alone."""
SEEN = 80
"""Characters before and behind a place by which the cause is found."""


class Cause(NamedTuple):
    """What is likely wrong where a pattern is found; `@` in the pattern stands for the place where the decoder stopped.

    Where the pattern has a group, the fault is told to be where that begins: a comma at fault stands before that place.
    """

    code: str
    pattern: re.Pattern[str]
    words: str


def _cause(code: str, pattern: str, words: str) -> Cause:
    before, behind = pattern.split("@")
    return Cause(code, re.compile(f"(?:{before})\0(?:{behind})"), words)


CAUSES = (
    _cause(
        "comma_in_number",
        r"[0-9](,)\s*@[0-9]",
        marked(
            "Line {line}, column {column}: a comma in a number. JSON has a decimal point, and no mark for thousands: 1180.5."
        ),
    ),
    _cause(
        "comma_too_many",
        r"(,)\s*@[\]}]",
        marked("Line {line}, column {column}: nothing follows the comma. Leave the comma out."),
    ),
    _cause(
        "empty_value",
        r"[:,\[]\s*@[,\]}]",
        marked("Line {line}, column {column}: a value is empty. Write one, or leave the member out."),
    ),
    _cause(
        "single_quotes",
        r"[:,\[{]\s*@'",
        marked("Line {line}, column {column}: a single quotation mark. JSON has double ones."),
    ),
    _cause(
        "unknown_word",
        r"[:,\[]\s*-?@(?:NaN|nan|Infinity|inf|None|True|False|undefined)\b",
        marked("Line {line}, column {column}: a word that JSON does not have. Its words are true, false and null."),
    ),
    _cause(
        "number_form",
        r"[:,\[]\s*@[+.]",
        NUMBER_FORM := marked(
            "Line {line}, column {column}: a number in another form. JSON has no plus sign and no zero in front, and digits "
            "on both sides of the point."
        ),
    ),
    _cause("number_form", r"[0-9]\.@", NUMBER_FORM),
    _cause("number_form", r"[:,\[]\s*-?0@[0-9]", NUMBER_FORM),
    _cause(
        "unit_after_number",
        r"[0-9]\s*@[A-Za-zµ°%']",
        marked("Line {line}, column {column}: something follows a number. Write it without its unit, which the name has."),
    ),
    _cause(
        "comma_missing",
        r"[\w\"\]}]\s*@[\"{\[]",
        marked("Line {line}, column {column}: a comma is missing before this, or a quotation mark."),
    ),
    _cause(
        "quote_missing",
        r"[:,\[{]\s*@[^\W\d]",
        QUOTE := marked("Line {line}, column {column}: a quotation mark is missing. Names and texts stand between two."),
    ),
    _cause("quote_missing", r"\"@[^\s,:\]}\\]", QUOTE),
    _cause("quote_missing", r"@[\n\r\t]", QUOTE),
)
"""In the order in which they are tried."""
TRAILING = marked("Line {line}, column {column}: something follows the JSON document. Send one alone.")
CUT_SHORT = marked(
    "Line {line}, column {column}: the JSON document ends before it is complete. A brace, a bracket or a quotation mark is "
    "missing."
)
NOT_JSON = marked("Line {line}, column {column}: this is not JSON from here on.")
NOT_UTF8 = marked("Line {line}, column {column}: this is not UTF-8.")
EMPTY = marked("The body is empty; send one JSON document.")
TOO_DEEP = marked("The body is nested too deep.")
NUMBER = marked("The body holds a number that is too long or too large.")


def unreadable(body: bytes, error: Exception | None = None) -> Refusal:
    """The refusal of a body that is no JSON, or with which a decoder failed so."""
    if not body.strip():
        return _refusal("empty_body", EMPTY)
    if isinstance(error, RecursionError):
        return _refusal("nested_too_deep", TOO_DEEP)
    try:
        text = body.decode()
        msgspec.json.decode(body, type=msgspec.Raw)
    except UnicodeDecodeError as fault:
        before = body[: fault.start].decode()
        return _placed("not_utf8", NOT_UTF8, before, len(before))
    except RecursionError:
        return _refusal("nested_too_deep", TOO_DEEP)
    except msgspec.DecodeError as fault:
        return _not_json(text, str(fault))
    return _refusal("number_form", NUMBER)


def in_stream(refused: Refusal, line: int) -> Refusal:
    """The refusal of a document that is one line of a stream, told by the number of that line."""
    if "line" not in refused.figures:
        return refused
    return _refusal(refused.faults[0].code, refused.words, **{**refused.figures, "line": line})


def _not_json(text: str, reason: str) -> Refusal:
    """The refusal of a text that is no JSON, for the decoder's reason."""
    found = PLACE.search(reason)
    place = _place_of_end(text) if found is None else len(text.encode()[: int(found["byte"])].decode(errors="replace"))
    if place is None or "surrogate" in reason:
        whole = WHOLE_PAIRS.match(text)
        return _placed("not_json", NOT_JSON, text, whole.end() if whole else 0)
    if "trailing characters" in reason:
        return _placed("trailing_text", TRAILING, text, place - 1)  # the decoder has read its first character
    if found is None and text[place : place + 1] in {"", '"'}:
        return _placed("cut_short", CUT_SHORT, text, place)
    for start in (place, _start_of_word(text, place)):
        seen_from = max(0, start - SEEN)
        seen = f"{text[seen_from:start]}\0{text[start : start + SEEN]}"
        for cause in CAUSES:
            if match := cause.pattern.search(seen):
                return _placed(cause.code, cause.words, text, seen_from + match.start(1) if match.lastindex else start)
    return _placed("not_json", NOT_JSON, text, place)


def _place_of_end(text: str) -> int | None:
    """Where a text that ends too early does so, or where what is not closed begins; the decoder does not say.

    None where it does not end too early: half a surrogate pair, which the standard library takes, is told alike.
    """
    try:
        json.loads(text)
    except json.JSONDecodeError as error:
        return error.pos
    except (ValueError, RecursionError):
        return len(text)
    return None


def _start_of_word(text: str, place: int) -> int:
    """Where the word begins that a place is in: the decoder may know its first letters from a word of its own."""
    while place and text[place - 1].isalpha():
        place -= 1
    return place


def _placed(code: str, words: str, text: str, place: int) -> Refusal:
    """The refusal of a text at a place."""
    line_start = text.rfind("\n", 0, place) + 1
    return _refusal(code, words, line=text.count("\n", 0, place) + 1, column=place - line_start + 1)


def _refusal(code: str, words: str, **figures: Any) -> Refusal:
    return Refusal("malformed-body", words, faults=[mistake(code, words, **figures)], **figures)

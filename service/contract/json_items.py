"""The items of a JSON batch, cut out one by one and not decoded, so that a bad one harms no other.

Whole decoders keep the interpreter for as long as they work, a second and more for a long body of tiny items. Here others
get their turn between two items, and who wants only so many stops there.
"""

import json
import re
from collections.abc import Iterator

from service.contract.decoding import UNREADABLE
from service.contract.problems import Refusal

START = re.compile(r'[ \t\n\r]*\{[ \t\n\r]*"items"[ \t\n\r]*:[ \t\n\r]*\[[ \t\n\r]*')
NEXT = re.compile(r"[ \t\n\r]*(?P<sign>[,\]])[ \t\n\r]*")
END = re.compile(r"[ \t\n\r]*\}[ \t\n\r]*\Z")
USUAL_LENGTH = 4096
"""Characters that most items have at most: what is looked at first."""

_item = json.JSONDecoder(parse_float=str, parse_int=str).raw_decode


def cut(body: bytes, *, item_length_max: int) -> Iterator[str]:
    """The items' texts, in order.

    Raises:
        Refusal: the body is no JSON, is not an object with `items` alone, or has an item that is too long.
    """
    try:
        text = body.decode()
    except UnicodeDecodeError as error:
        raise Refusal("malformed-body", UNREADABLE) from error
    found = START.match(text)
    if found is None:
        raise _no_batch()
    place, sign = found.end(), ","
    if text.startswith("]", place):
        place, sign = place + 1, "]"
    while sign == ",":
        end = _end(text, place, item_length_max)
        yield text[place:end]
        following = NEXT.match(text, end)
        if following is None:
            raise Refusal("malformed-body", UNREADABLE)
        place, sign = following.end(), following["sign"]
    if END.match(text, place) is None:
        raise _no_batch()


def _end(text: str, start: int, length_max: int) -> int:
    """Where an item ends.

    Raises:
        Refusal: it is no JSON, or too long.
    """
    for length in (min(USUAL_LENGTH, length_max), length_max):
        part = text[start : start + length + 1]
        try:
            _, end = _item(part)
        except (ValueError, RecursionError):
            continue
        if end < len(part):  # else a number may go on behind the part
            return start + end
    raise Refusal("malformed-body", f"The body is not JSON, or one of its items has more than {length_max} characters.")


def _no_batch() -> Refusal:
    return Refusal("invalid-request", 'The body is not an object with the member "items", a list, alone.')

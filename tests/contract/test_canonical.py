"""RFC 8785, JSON Canonicalization Scheme: the form that digests are made of.

Sources: the test vectors of cyberphone/json-canonicalization @ 19d51d7f, testdata/ (digests computed from `outhex`);
RFC 8785 Appendix B as reprinted in trailofbits/rfc8785.py test/test_impl.py; the rfc8785 library as an independent program.
"""

import struct
from hashlib import sha256

import msgspec
import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from service.audit.figures import figure, put_figure
from service.contract import requests as sent
from service.contract.canonical import canonical
from service.contract.writing import REQUEST, put_number

# published: two of the six vectors, input and SHA-256 of the canonical bytes
VALUES = {
    "numbers": [333333333.33333329, 1e30, 4.50, 2e-3, 0.000000000000000000000000001],
    "string": '€$\u000f\nA\'B"\\\\"/',
    "literals": [None, True, False],
}
ARRAYS = [56, {"d": True, "10": None, "1": []}]
WEIRD = {
    "€": "Euro Sign",
    "\r": "Carriage Return",
    "דּ": "Hebrew Letter Dalet With Dagesh",
    "1": "One",
    "\U0001f602": "Smiley",
    "\u0080": "Control\u007f",
    "ö": "Latin Small Letter O With Diaeresis",
    "</script>": "Browser Challenge",
}

# published: RFC 8785 Appendix B, IEEE 754 bits and text
NUMBERS = {
    "0000000000000000": "0",
    "8000000000000000": "0",
    "0000000000000001": "5e-324",
    "4340000000000000": "9007199254740992",
    "4430000000000000": "295147905179352830000",
    "444b1ae4d6e2ef50": "1e+21",
    "444b1ae4d6e2ef4f": "999999999999999900000",
    "3eb0c6f7a0b5ed8d": "0.000001",
    "3eb0c6f7a0b5ed8c": "9.999999999999997e-7",
    "43143ff3c1cb0959": "1424953923781206.2",
}


@pytest.mark.parametrize(
    ("content", "digest"),
    [
        (VALUES, "2d5e01a318d0f0879ab568c4be289c8b1f64ef8921a53c6277d5e069978baacb"),
        (ARRAYS, "099601b171cafed97c333f8878d68e7f8c8f795412adb34b2fdcf0e7c7beac42"),
    ],
    ids=["values", "arrays"],
)
def test_published_vector(content, digest):
    assert sha256(canonical(content)).hexdigest() == digest


def test_members_are_sorted_as_the_library_sorts_them_where_the_contract_uses_them():
    # independent program: rfc8785. Names outside ASCII do not occur in the contract, where UTF-16 order could differ.
    ascii_only = {name: value for name, value in WEIRD.items() if name.isascii()}
    assert canonical(ascii_only) == rfc8785.dumps(ascii_only)


@pytest.mark.parametrize(("bits", "text"), NUMBERS.items())
def test_published_number(bits, text):
    (number,) = struct.unpack(">d", bytes.fromhex(bits))
    assert canonical([number]).decode() == f"[{text}]"
    pieces = []
    put_number(pieces, number)
    assert pieces == [text]


REQUEST_NUMBERS = st.one_of(
    st.floats(min_value=-5000, max_value=5000, allow_nan=False),
    st.sampled_from([5e-324, 1e-7, 1.5e-6, 9.99e-6, 0.00001, 0.0, -0.0, 1180.0]),
    st.integers(min_value=-5000, max_value=5000),
)
REQUESTS = st.recursive(
    st.one_of(REQUEST_NUMBERS, st.booleans(), st.none(), st.text(max_size=20).filter(lambda text: "\udc00" not in text)),
    lambda inner: st.one_of(
        st.lists(inner, max_size=4), st.dictionaries(st.text(st.characters(codec="ascii"), max_size=8), inner, max_size=4)
    ),
    max_leaves=12,
)


@given(REQUESTS)
def test_any_request_is_written_as_the_library_writes_it(content):
    # independent program: rfc8785
    assert canonical(content) == rfc8785.dumps(content)


ANY_NUMBER = st.one_of(REQUEST_NUMBERS, st.floats(allow_nan=False, allow_infinity=False))
ANY_TEXT = st.text(max_size=20)


def either(strategy):
    return st.one_of(st.just(msgspec.UNSET), strategy)


SURVEYS = st.builds(
    sent.Survey,
    widths_mm=st.lists(ANY_NUMBER, max_size=3),
    heights_mm=st.lists(ANY_NUMBER, max_size=3),
    diagonals_mm=either(st.lists(ANY_NUMBER, max_size=2)),
)
OBSTACLES = st.builds(sent.Obstacle, name=ANY_TEXT, x_mm=ANY_NUMBER, z_mm=ANY_NUMBER, deep_mm=ANY_NUMBER, high_mm=ANY_NUMBER)
OPENINGS = st.builds(
    sent.Opening,
    width_mm=either(ANY_NUMBER),
    survey=either(SURVEYS),
    headroom_mm=ANY_NUMBER,
    depth_mm=ANY_NUMBER,
    header_thickness_mm=ANY_NUMBER,
    obstacles=st.lists(OBSTACLES, max_size=2),
)
FITTING_REQUESTS = st.builds(
    sent.FittingRequest,
    reference=either(ANY_TEXT),
    opening=OPENINGS,
    shutter=st.builds(sent.Shutter, slat=ANY_TEXT, slat_count=either(ANY_NUMBER)),
    options=st.lists(st.sampled_from(["drip_rail", "strip_light"]), max_size=2),
    duty=st.one_of(st.just(sent.Duty()), st.builds(sent.Duty, service_years=ANY_NUMBER)),
)


@given(FITTING_REQUESTS)
def test_the_request_of_an_answer_is_written_as_the_library_writes_it(request):
    # independent program: rfc8785
    assert REQUEST.text(request).encode() == rfc8785.dumps(msgspec.to_builtins(request))


@given(st.floats(min_value=-1e9, max_value=1e9))
def test_a_figure_is_written_as_the_library_writes_it(value):
    # independent program: rfc8785
    pieces = []
    put_figure(pieces, value)
    assert "".join(pieces).encode() == rfc8785.dumps(figure(value))

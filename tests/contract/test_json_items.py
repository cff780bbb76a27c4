"""Items cut out of a JSON batch: what a JSON reader finds there, whatever it looks like, and nothing else."""

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.contract.json_items import USUAL_LENGTH, cut
from service.contract.problems import Refusal

LONGEST = 3 * USUAL_LENGTH
JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner),
)


def items(body: str | bytes) -> list[str]:
    return list(cut(body.encode() if isinstance(body, str) else body, item_length_max=LONGEST))


@given(
    content=st.lists(JSON), form=st.fixed_dictionaries({"indent": st.sampled_from([None, 1]), "ensure_ascii": st.booleans()})
)
def test_the_items_are_what_a_json_reader_finds(content: list[Any], form: dict[str, Any]) -> None:
    body = json.dumps({"items": content}, **form)
    assert [json.loads(item) for item in items(body)] == content


@pytest.mark.parametrize("length", [USUAL_LENGTH - 1, USUAL_LENGTH, USUAL_LENGTH + 1, LONGEST])
def test_long_items_are_cut_whole(length: int) -> None:
    for item in ("1" * length, '"' + "x" * (length - 2) + '"', "[" + " " * (length - 2) + "]"):
        assert items(f'{{"items":[7,{item},{item}]}}') == ["7", item, item]


def test_who_wants_only_so_many_need_not_wait_for_the_rest() -> None:
    endless = b'{"items":[' + b"1," * 1_000_000
    cutting = cut(endless, item_length_max=LONGEST)
    assert [next(cutting) for _ in range(3)] == ["1"] * 3


@pytest.mark.parametrize(
    ("body", "kind"),
    [
        (b"", "invalid-request"),
        (b"[]", "invalid-request"),
        (b'{"things":[]}', "invalid-request"),
        (b'{"items":{}}', "invalid-request"),
        (b'{"items":[],"items":[]}', "invalid-request"),
        (b'{"items":[1],"more":1}', "invalid-request"),
        (b'{"items":[1]} x', "invalid-request"),
        (b'{"items":[1}', "malformed-body"),
        (b'{"items":[1 2]}', "malformed-body"),
        (b'{"items":[1,]}', "malformed-body"),
        (b'{"items":[,1]}', "malformed-body"),
        (b'{"items":[', "malformed-body"),
        (b'{"items":["\xff"]}', "malformed-body"),
        (b'{"items":[' + b"[" * LONGEST, "malformed-body"),
        (b'{"items":["' + b"x" * LONGEST + b'"]}', "malformed-body"),
    ],
)
def test_what_is_no_batch_is_refused(body: bytes, kind: str) -> None:
    with pytest.raises(Refusal) as refused:
        items(body)
    assert refused.value.kind == kind

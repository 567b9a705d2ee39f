"""Strict JSON (RFC 8259) with the limits of this service: what is read, what is refused and where."""

import json
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.wire.parse import MAX_DEPTH, UnreadableJson, parse_json
from tests.wire.hostile_texts import REFUSED


@pytest.mark.parametrize(("body", "code"), REFUSED.values(), ids=REFUSED.keys())
def test_refused_text(body: bytes, code: str) -> None:
    with pytest.raises(UnreadableJson) as refused:
        parse_json(body)
    assert refused.value.code == code
    assert len(refused.value.detail) < 120


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        (b'{"a": [0, {"x/y": 1e999}]}', "/a/1/x~1y"),
        (b'{"a": [{"b": {"c": 1, "c": 2}}]}', "/a/0/b/c"),
        (b'{"t": "a : b", "k": 1, "k": 1}', "/k"),
        (rb'{"t": "\":\"", "q\"": 1, "q\"": 1}', '/q"'),
        (b"[]", ""),
    ],
)
def test_refused_text_names_the_place(body: bytes, pointer: str) -> None:
    with pytest.raises(UnreadableJson) as refused:
        parse_json(body)
    assert refused.value.pointer == pointer


def test_syntax_error_names_line_and_column() -> None:
    with pytest.raises(UnreadableJson, match=r"line 2, column 7"):
        parse_json(b'{"a": 1,\n "b": x}')


@pytest.mark.parametrize(
    "text",
    [
        '{"colons": ":::", "a": {":": ":"}, "b\\\\": "\\\\\\":", "c": "\\""}',
        '{"brackets": "[[[[{{{{", "quote": "\\"}"}',
        '{"numbers in names 99999999999999999999999999999999999999": "1e400 NaN Infinity"}',
        '{"a": 0.1000000000000000055511151231257827021181583404541015625, "b": -0.0, "c": 1E-400}',
        '{"emoji": "\\ud83d\\ude00", "mixed": "\\u00e5 å", "empty": {}, "none": [null, true, false]}',
        '{"a": 9007199254740992, "b": -9007199254740992, "c": 1.7976931348623157e308}',
    ],
)
def test_reads_what_the_standard_library_reads(text: str) -> None:
    assert parse_json(text.encode()) == json.loads(text)


def test_strings_come_in_normal_form_c() -> None:
    composed = {"name": "Åsgård é"}
    assert parse_json('{"name": "A\u030asga\u030ard e\u0301"}'.encode()) == composed
    assert parse_json(rb'{"name": "A\u030asga\u030ard e\u0301"}') == composed
    assert parse_json('{"name": "\\u0041\u030asga\u030ard \\u0065\u0301"}'.encode()) == composed


def test_depth_is_counted_to_the_limit() -> None:
    def nested(depth: int) -> bytes:
        return b'{"a":' * depth + b"1" + b"}" * depth

    assert parse_json(nested(MAX_DEPTH))
    with pytest.raises(UnreadableJson):
        parse_json(nested(MAX_DEPTH + 1))
    assert parse_json(nested(5), max_depth=5)
    with pytest.raises(UnreadableJson):
        parse_json(nested(5), max_depth=4)


_plain = st.recursive(
    st.none() | st.booleans() | st.floats(allow_nan=False, allow_infinity=False)
    | st.integers(-(2**53), 2**53) | st.text(st.characters(max_codepoint=0x2FF), max_size=20),
    lambda inner: st.lists(inner, max_size=4)
    | st.dictionaries(st.text(st.characters(max_codepoint=0x2FF), max_size=8), inner, max_size=4),
    max_leaves=20,
)  # fmt: skip


@given(st.dictionaries(st.text(st.characters(max_codepoint=0x2FF), max_size=8), _plain), st.booleans())
def test_agrees_with_the_standard_library(document: dict[str, object], ascii_only: bool) -> None:
    body = json.dumps(document, ensure_ascii=ascii_only).encode()
    assert parse_json(body) == document


@given(st.binary(max_size=200))
def test_any_bytes_are_read_or_refused(body: bytes) -> None:
    try:
        document = parse_json(body)
    except UnreadableJson:
        return
    assert isinstance(document, dict)


@given(st.text(max_size=60))
def test_any_text_as_a_value_is_read_or_refused(text: str) -> None:
    body = ('{"a": ' + text + "}").encode("utf-8", "surrogatepass")
    try:
        document = parse_json(body)
    except UnreadableJson:
        return
    value = document.get("a")
    assert not (isinstance(value, float) and not math.isfinite(value))

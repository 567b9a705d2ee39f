"""Strict JSON (RFC 8259) with the limits of this service: what is read, what is refused and where."""

import contextlib
import json
import math
import time
import unicodedata

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
        f'{{"a": "{"[{" * 60_000}"}}',
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


@pytest.mark.parametrize(("text", "pointer"), [
    (b'{"a": [1, {"b": "e' + 31 * "\u0301".encode() + b'"}]}', "/a/1/b"),
    (b'{"a": [1, {"b": "e' + 31 * rb"\u0301" + b'"}]}', "/a/1/b"),
    (b'{"a": {"' + 60 * "\u0301".encode() + b'": 1}}', "/a/" + "\u0301" * 39 + "…"),
    (b'{"a": [{"b": 1, "c": {"d": 1, "e": 2, "d": 1}}, {"c": 1}], "f": {"g": 1, "h": [{}]}}', "/a/0/c/d"),
    (b'{"a": {"x": [[2, {"y": 1e400}]]}}', "/a/x/0/1/y"),
    (b'{"a": {"x": [[2, {"y": 9007199254740993}]]}}', "/a/x/0/1/y"),
    (b'{"' + 100 * b"n" + b'": 1, "' + 100 * b"n" + b'": 2}', "/" + 39 * "n" + "…"),
])  # fmt: skip
def test_the_place_of_a_refused_text(text: bytes, pointer: str | None) -> None:
    """The member is named where the parser reached it; a long name is repeated in part."""
    with pytest.raises(UnreadableJson) as refused:
        parse_json(text)
    assert refused.value.pointer == pointer


def test_many_marks_outside_any_json_have_a_line_and_a_column() -> None:
    with pytest.raises(UnreadableJson, match=r"at line 2, column 33\.") as refused:
        parse_json(b'{"a": \n"e' + 31 * "\u0301".encode())
    assert refused.value.pointer is None


MEGABYTE = 1_000_000
LONG_TEXTS = {
    "escaped quotes, not closed": b'{"a": "' + rb"\"" * (MEGABYTE // 2),
    "quotes, not closed": b'{"a": ' + b'"' * (MEGABYTE - 1),
    "backslashes, not closed": b'{"a": "' + b"\\" * (MEGABYTE - 1),
    "marks of falling classes": ('{"a": "' + "\u0301" * 250_000 + "\u0323" * 250_000 + '"}').encode(),
    "escaped marks": b'{"a": "' + rb"\u0301" * 80_000 + rb"\u0323" * 80_000 + b'"}',
    "marks in pairs": ('{"a": "' + "\u0f73" * 300_000 + '"}').encode(),
    "thirty marks to a letter": ('{"a": "' + ("e" + "\u0301" * 15 + "\u0323" * 15) * 16_000 + '"}').encode(),
    "letters beyond Latin": ('{"a": "' + "船" * 330_000 + '"}').encode(),
    "twins far apart": b'{"a": 1, "b": [' + b"1," * 490_000 + b'1], "a": 1}',
    "names": b"{" + b",".join(b'"a%d":1' % n for n in range(90_000)) + b"}",
    "digits": b'{"a": 0.' + b"1" * MEGABYTE + b"}",
    "minus signs": b'{"a": ' + b"-" * MEGABYTE + b"}",
    "spaces": b'{"a":' + b" " * MEGABYTE,
}


@pytest.mark.parametrize("text", LONG_TEXTS.values(), ids=LONG_TEXTS.keys())
def test_no_text_takes_time_with_the_square_of_its_length(text: bytes) -> None:
    """A megabyte of each is read or refused in a fraction of a second; a square would be minutes."""
    began = time.process_time()
    with contextlib.suppress(UnreadableJson):
        parse_json(text)
    assert time.process_time() - began < 5.0


def test_marks_and_letters_beyond_latin_are_read() -> None:
    """Thirty combining characters in a row are within the Stream-Safe Text Format, and letters are no marks."""
    text = "e" + "\u0323" * 15 + "\u0301" * 15
    composed = unicodedata.normalize("NFC", text)
    long = "日本丸" * 40
    read = parse_json(json.dumps({"raw": text, "long": long}, ensure_ascii=False).encode())
    assert read == {"raw": composed, "long": long}
    assert parse_json(json.dumps({"escaped": text, "long": long}).encode()) == {
        "escaped": composed,
        "long": long,
    }

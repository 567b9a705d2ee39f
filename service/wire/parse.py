"""Reading a posted JSON text strictly and fast.

The compiled parser does the reading; what it lets through is found with a few passes over text and result:

- names are put into Unicode normal form C, so that the same name typed on two keyboards is the same name;
- an object that names a member twice is found by counting: colons outside strings against members read;
- numbers that overflow and nesting are found on one walk over the result.

Where a text is refused, slower code looks for the place.
"""

import json
import re
import unicodedata
from collections.abc import Iterable
from math import isinf
from typing import Any

import pydantic_core

from service.wire.pointer import pointer_of

MAX_DEPTH = 32
MAX_INTEGER = 2**53

_NOT_QUOTE_OR_COLON = bytes(code for code in range(256) if code not in b'":')
# A string that is not closed goes to the end: nothing is looked at twice, whatever the text.
_STRING = re.compile(rb'"(?:[^"\\]|\\.)*+(?:"|\\?\Z)', re.DOTALL)
# Below U+0300 no character composes with the one before it.
_ESCAPE_PAST_LATIN = re.compile(rb"\\u(?!0[0-2])")
MAX_MARKS = 30
"""Combining characters in a row, as in the Stream-Safe Text Format (Unicode Standard Annex 15, section 13): putting
them in order takes time with the square of their number."""
_LONG_RUN = re.compile(f"[\u0300-\U0010ffff]{{{MAX_MARKS + 1},}}")
_DECOMPOSED_TO_MARKS = frozenset("\u0f73\u0f75\u0f81")
_NOT_FINITE = re.compile(rb"-?\b(?:NaN|Infinity)\b")
_PLACE = re.compile(r" at line (\d+) column (\d+)$")


class UnreadableJson(ValueError):
    """A posted text that is not strict JSON, or not within the limits.

    `code` is stable, `detail` a sentence for a person, `pointer` (RFC 6901) the place where it is known.
    """

    def __init__(self, code: str, detail: str, pointer: str | None = None) -> None:
        super().__init__(detail)
        self.code = code
        self.detail = detail
        self.pointer = pointer

    def __reduce__(self) -> tuple[type["UnreadableJson"], tuple[str, str, str | None]]:
        """So that a worker process can hand it on."""
        return UnreadableJson, (self.code, self.detail, self.pointer)


def parse_json(body: bytes, *, max_depth: int = MAX_DEPTH) -> dict[str, Any]:
    """The object that `body` holds: UTF-8, RFC 8259, no member named twice, finite numbers.

    Raises `UnreadableJson` for anything else.
    """
    if not body.isascii():
        body = _normalised(body)
    try:
        document: Any = pydantic_core.from_json(body, allow_inf_nan=False, cache_strings="keys")
    except ValueError as error:
        raise _why_unreadable(body, str(error), max_depth) from None
    if not isinstance(document, dict):
        raise UnreadableJson("not_an_object", "The top level of the text is not a JSON object.", "")
    members = _measure(document, max_depth)
    if members != _colons_outside_strings(body):
        pointer = _duplicate(body)
        raise UnreadableJson("duplicate_member", "An object names the same member twice.", pointer)
    if b"\\u" in body and (not body.isascii() or _ESCAPE_PAST_LATIN.search(body)):
        return _normalised_members(document)
    return document


def _normalised(body: bytes) -> bytes:
    """`body` with every raw character in normal form C; refuses byte order marks and anything but UTF-8."""
    if body.startswith((b"\xef\xbb\xbf", b"\xff\xfe", b"\xfe\xff")):
        raise UnreadableJson("not_utf8", "The text starts with a byte order mark; send plain UTF-8.")
    try:
        text = body.decode("utf-8")
    except UnicodeDecodeError as error:
        raise UnreadableJson("not_utf8", f"The text is not UTF-8 at byte {error.start}.") from None
    composed = _composed(text)
    return body if composed == text else composed.encode("utf-8")


def _composed(text: str) -> str:
    """`text` in normal form C; refuses one that would take long."""
    for run in _LONG_RUN.finditer(text):
        marks = 0
        for character in run[0]:
            is_mark = unicodedata.combining(character) or character in _DECOMPOSED_TO_MARKS
            marks = marks + 1 if is_mark else 0
            if marks > MAX_MARKS:
                raise UnreadableJson(
                    "too_many_marks", f"More than {MAX_MARKS} combining characters stand in a row."
                )
    return unicodedata.normalize("NFC", text)


def _measure(document: dict[str, Any], max_depth: int) -> int:
    """Count of members in every object of `document`; refuses deep nesting and infinite numbers."""
    members = depth = 0
    level: list[Any] = [document]
    while level:
        depth += 1
        if depth > max_depth:
            raise _too_deep(max_depth)
        below: list[Any] = []
        for container in level:
            if type(container) is dict:
                members += len(container)
                values: Iterable[Any] = container.values()
            else:
                values = container
            for value in values:
                # `type(...) is` and not isinstance: this loop sees every number of the text.
                kind = type(value)
                if kind is float:
                    if value - value:  # 0.0 for a finite number, NaN (true) for an infinite one
                        raise _too_large(document)
                elif kind is dict or kind is list:
                    below.append(value)
                elif kind is int and not -MAX_INTEGER <= value <= MAX_INTEGER:
                    raise _too_large(document)
        level = below
    return members


def _too_deep(max_depth: int) -> UnreadableJson:
    return UnreadableJson("too_deep", f"The text is nested deeper than {max_depth} levels.")


def _too_large(document: dict[str, Any]) -> UnreadableJson:
    """The refusal of the first number that cannot be held, with its place."""
    pointer = None
    stack: list[tuple[tuple[str | int, ...], Any]] = [((), document)]
    while stack and pointer is None:
        path, value = stack.pop()
        if isinstance(value, dict):
            stack.extend(((*path, name), member) for name, member in value.items())
        elif isinstance(value, list):
            stack.extend(((*path, index), item) for index, item in enumerate(value))
        elif (isinstance(value, float) and isinf(value)) or (type(value) is int and abs(value) > MAX_INTEGER):
            pointer = pointer_of(path)
    return UnreadableJson("number_too_large", "A number is too large.", pointer)


def _colons_outside_strings(body: bytes) -> int:
    if b"\\" in body:
        body = body.replace(b"\\\\", b"").replace(b'\\"', b"")
    marks = body.translate(None, _NOT_QUOTE_OR_COLON).replace(b'""', b"")
    if b'"' not in marks:
        return len(marks)
    return sum(len(part) for part in marks.split(b'"')[::2])


def _why_unreadable(body: bytes, message: str, max_depth: int) -> UnreadableJson:
    """What is wrong with a text the parser refused. `message` is read for its kind and place only."""
    if not body.strip():
        return UnreadableJson("empty", "The text is empty.")
    if b"\x00" in body[:4]:
        return UnreadableJson("not_utf8", "The text is not UTF-8.")
    if "number out of range" in message:
        return UnreadableJson("number_too_large", "A number is too large.")
    if "recursion limit" in message:
        return _too_deep(max_depth)
    where = _PLACE.search(message)
    place = f" at line {where[1]}, column {where[2]}" if where else ""
    if "hex escape" in message or "surrogate" in message:
        return UnreadableJson("lone_surrogate", f"An escape that is half a character{place}.")
    outside = _STRING.sub(b'""', body)
    if _NOT_FINITE.search(outside):
        return UnreadableJson("not_a_number", f"NaN and Infinity are not JSON numbers{place}.")
    return UnreadableJson("not_json", f"The text is not JSON{place}.")


class _Members(list[tuple[str, Any]]):
    """An object's members in the order they were written, twins included."""


def _duplicate(body: bytes) -> str | None:
    """Pointer of the first member that is named twice."""
    level: list[tuple[tuple[str | int, ...], Any]] = [((), json.loads(body, object_pairs_hook=_Members))]
    while level:
        below: list[tuple[tuple[str | int, ...], Any]] = []
        for path, value in level:
            if isinstance(value, _Members):
                names: set[str] = set()
                for name, member in value:
                    if name in names:
                        return pointer_of((*path, name))
                    names.add(name)
                    below.append(((*path, name), member))
            elif isinstance(value, list):
                below.extend(((*path, index), item) for index, item in enumerate(value))
        level = below
    return None


def _normalised_members(document: dict[str, Any]) -> dict[str, Any]:
    """`document` with every string in normal form C: an escape can hide what the text does not show."""
    clean = {_composed(name): _normalised_value(value) for name, value in document.items()}
    if len(clean) != len(document):
        raise UnreadableJson("duplicate_member", "An object names the same member twice.")
    return clean


def _normalised_value(value: Any) -> Any:
    if isinstance(value, str):
        return _composed(value)
    if isinstance(value, list):
        return [_normalised_value(item) for item in value]
    return _normalised_members(value) if isinstance(value, dict) else value

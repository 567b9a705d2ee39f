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
from collections.abc import Callable, Iterable
from math import isinf
from typing import Any

import pydantic_core

from service.wire.pointer import pointer_of
from service.wire.problem import shortened

Path = tuple[str | int, ...]

MAX_DEPTH = 32
MAX_INTEGER = 2**53
MAX_CONTAINERS = 100_000
"""Objects and lists of one text: a parser of a million of them keeps the interpreter for half a second."""

_NOT_QUOTE_OR_COLON = bytes(code for code in range(256) if code not in b'":')
# A string that is not closed goes to the end: nothing is looked at twice, whatever the text.
_STRING = re.compile(rb'"(?:[^"\\]|\\.)*+(?:"|\\?\Z)', re.DOTALL)
# Below U+0300 no character composes with the one before it.
_ESCAPE_PAST_LATIN = re.compile(rb"\\u(?!0[0-2])")
MAX_MARKS = 30
"""Combining characters in a row, as in the Stream-Safe Text Format (Unicode Standard Annex 15, section 13): putting
them in order takes time with the square of their number."""
_LONG_RUN = re.compile(f"[\u0300-\U0010ffff]{{{MAX_MARKS + 1},}}")
_TOO_MANY_MARKS = f"More than {MAX_MARKS} combining characters stand in a row"
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
    if body.count(b"[") + body.count(b"{") > MAX_CONTAINERS:
        _refuse_many_containers(body)
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


def _refuse_many_containers(body: bytes) -> None:
    """Raise `UnreadableJson` where brackets that are not in strings are too many."""
    outside = _STRING.sub(b"", body)
    if outside.count(b"[") + outside.count(b"{") > MAX_CONTAINERS:
        raise UnreadableJson(
            "too_many_containers", f"The text holds more than {MAX_CONTAINERS:,} objects and lists."
        )


def _normalised(body: bytes) -> bytes:
    """`body` with every raw character in normal form C; refuses byte order marks and anything but UTF-8."""
    if body.startswith((b"\xef\xbb\xbf", b"\xff\xfe", b"\xfe\xff")):
        raise UnreadableJson("not_utf8", "The text starts with a byte order mark; send plain UTF-8.")
    try:
        text = body.decode("utf-8")
    except UnicodeDecodeError as error:
        raise UnreadableJson("not_utf8", f"The text is not UTF-8 at byte {error.start}.") from None
    at = _many_marks(text)
    if at is not None:
        raise _too_many_marks(body, text, at)
    composed = unicodedata.normalize("NFC", text)
    return body if composed == text else composed.encode("utf-8")


def _many_marks(text: str) -> int | None:
    """Where more than `MAX_MARKS` combining characters in a row are found; None where they are not."""
    for run in _LONG_RUN.finditer(text):
        marks = 0
        for at, character in enumerate(run[0], run.start()):
            is_mark = unicodedata.combining(character) or character in _DECOMPOSED_TO_MARKS
            marks = marks + 1 if is_mark else 0
            if marks > MAX_MARKS:
                return at
    return None


def has_many_marks(text: str) -> bool:
    """Whether more than `MAX_MARKS` combining characters stand in a row."""
    return not text.isascii() and _many_marks(text) is not None


def _too_many_marks(body: bytes, text: str, at: int) -> UnreadableJson:
    """The refusal of a run of combining characters that ends at `at`, with its member where there is one."""
    where = f" at line {text.count(chr(10), 0, at) + 1}, column {at - text.rfind(chr(10), 0, at)}"
    try:
        path = _path_to(
            pydantic_core.from_json(body), lambda value: type(value) is str and _many_marks(value) is not None
        )
    except ValueError:
        path = None
    return UnreadableJson("too_many_marks", _TOO_MANY_MARKS + where + ".", _pointer(path))


def _path_to(value: Any, is_it: Callable[[Any], bool]) -> Path | None:
    """The path of the first name or value that `is_it`, None where there is none; as deep as the parser lets it."""
    if isinstance(value, dict):
        for name, member in value.items():
            below = () if is_it(name) else _path_to(member, is_it)
            if below is not None:
                return (name, *below)
        return None
    if isinstance(value, list):
        for index, item in enumerate(value):
            below = _path_to(item, is_it)
            if below is not None:
                return (index, *below)
        return None
    return () if is_it(value) else None


def _pointer(path: Path | None) -> str | None:
    """The pointer of a path, names repeated only as far as a name may be long."""
    if path is None:
        return None
    return pointer_of(shortened(step) if isinstance(step, str) else step for step in path)


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
    path = _path_to(
        document,
        lambda value: (
            (isinstance(value, float) and isinf(value)) or (type(value) is int and abs(value) > MAX_INTEGER)
        ),
    )
    return UnreadableJson("number_too_large", "A number is too large.", _pointer(path))


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


def _first_twice(names: list[str]) -> str:
    seen: set[str] = set()
    for name in names:
        if name in seen:
            break
        seen.add(name)
    return name


class _Twin:
    """Stands for an object that has a member named twice in it: `path`, innermost step first, says which."""

    def __init__(self) -> None:
        self.path: list[str | int] = []


def _duplicate(body: bytes) -> str | None:
    """Pointer of the first member that is named twice.

    Objects without one are forgotten as soon as they are read: a text of a million of them is not built up."""
    twin = _Twin()

    def read(members: list[tuple[str, Any]]) -> _Twin | None:
        if not twin.path:
            if len(members) < 2 or len(dict(members)) == len(members):
                return None
            twin.path.append(_first_twice([name for name, _ in members]))
            return twin
        for name, value in members:
            if value is twin or (type(value) is list and is_within(value)):
                twin.path.append(name)
                return twin
        return None

    def is_within(items: list[Any]) -> bool:
        for index, item in enumerate(items):
            if item is twin or (type(item) is list and is_within(item)):
                twin.path.append(index)
                return True
        return False

    json.loads(body, object_pairs_hook=read)
    return _pointer(tuple(reversed(twin.path))) if twin.path else None


def _normalised_members(document: dict[str, Any], at: Path = ()) -> dict[str, Any]:
    """`document` with every string in normal form C: an escape can hide what the text does not show."""
    clean = {
        name if name.isascii() else _composed(name, (*at, name)): _normalised_value(value, at, name)
        for name, value in document.items()
    }
    if len(clean) != len(document):
        raise UnreadableJson("duplicate_member", "An object names the same member twice.", _pointer(at))
    return clean


def _normalised_value(value: Any, at: Path, step: str | int) -> Any:
    kind = type(value)
    if kind is str:
        return value if value.isascii() else _composed(value, (*at, step))
    if not value or (kind is not list and kind is not dict):
        return value
    path = (*at, step)
    if kind is dict:
        return _normalised_members(value, path)
    return [_normalised_value(item, path, index) for index, item in enumerate(value)]


def _composed(text: str, path: Path) -> str:
    """`text`, which stands at `path`, in normal form C; refuses one that would take long."""
    if _many_marks(text) is not None:
        raise UnreadableJson("too_many_marks", _TOO_MANY_MARKS + ".", _pointer(path))
    return unicodedata.normalize("NFC", text)

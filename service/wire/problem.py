"""The problem document (RFC 9457) that every refusal is answered with, and its entries."""

from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from typing import Any, NotRequired

from pydantic import BaseModel, ValidationError
from typing_extensions import TypedDict

from service.wire.pointer import pointer_of
from service.wire.record import FeedHead

MAX_ERRORS = 50
MAX_ECHO = 40
MANY_ERRORS = 2_000
"""Errors beyond which not all of them are asked for: the compiled validator tells them in one go, for seconds."""

MEDIA_TYPE = "application/problem+json"


class ProblemError(TypedDict):
    """One thing that is wrong with the posted document."""

    pointer: str
    """Place in the posted document, as a JSON pointer (RFC 6901)."""
    code: str
    """Stable code of this kind of error."""
    detail: str
    """What is wrong, in a sentence."""
    parameter: NotRequired[str]
    """Name of the parameter of the address that is wrong; absent where it is the document."""
    allowed: NotRequired[list[str]]
    """What may stand there instead: names of parameters or values; absent where they are no list."""


class Problem(TypedDict):
    """Why a request was refused (RFC 9457)."""

    type: str
    """Path of a page on this service that describes this kind of problem."""
    title: str
    """The kind of problem, in words; the same for every occurrence."""
    status: int
    """HTTP status."""
    detail: str
    """What happened this time."""
    code: str
    """Stable code of the kind of problem; the last part of `type`."""
    request_id: str
    """Reference to quote when asking about this answer."""
    instance: NotRequired[str]
    """Path of the request."""
    reference: NotRequired[str]
    """The sender's own name for the request, where it gave one that could be read."""
    errors: NotRequired[list[ProblemError]]
    """Each place that is wrong, at most 50."""
    errors_not_listed: NotRequired[int]
    """How many further places are wrong; absent where all are listed."""
    head: NotRequired[FeedHead]
    """Where the feed of changes ends, with `feed_rewound`."""


def shortened(text: str, limit: int = MAX_ECHO) -> str:
    """`text` cut to what may be repeated in an answer."""
    return text if len(text) <= limit else text[: limit - 1] + "…"


def error(path: Iterable[str | int], code: str, detail: str) -> ProblemError:
    """One entry of `errors`; steps of the path are echoed only as far as a name may be long."""
    steps = [shortened(step) if isinstance(step, str) else step for step in path]
    return {"pointer": pointer_of(steps), "code": code, "detail": detail}


# pydantic's own words for these kinds either repeat what was posted or speak of Python.
_WORDS = {
    "missing": "This member is required.",
    "extra_forbidden": "This member is not known here.",
    "float_type": "This must be a number.",
    "int_type": "This must be a whole number.",
    "int_from_float": "This must be a whole number.",
    "string_type": "This must be a text.",
    "string_unicode": "This must be a text without half characters.",
    "bool_type": "This must be true or false.",
    "list_type": "This must be a list.",
    "dict_type": "This must be an object.",
    "model_type": "This must be an object.",
    "model_attributes_type": "This must be an object.",
    "finite_number": "This must be a finite number.",
    "int_parsing": "This must be a whole number.",
    "bool_parsing": "This must be true or false.",
}
MAX_PATTERN = 60
"""Characters of a pattern beyond which it says nothing to a person."""
_NUMBER_WORDS = {
    "greater_than": ("gt", "This must be greater than {}."),
    "greater_than_equal": ("ge", "This must be at least {}."),
    "less_than": ("lt", "This must be less than {}."),
    "less_than_equal": ("le", "This must be at most {}."),
    "string_too_short": ("min_length", "This must have at least {} character(s)."),
    "string_too_long": ("max_length", "This must have at most {} characters."),
    "too_short": ("min_length", "This must have at least {} entries."),
    "too_long": ("max_length", "This must have at most {} entries."),
    "literal_error": ("expected", "This must be one of {}."),
    "string_pattern_mismatch": ("words", "This has the wrong form or holds a character not allowed{}."),
}


def errors_of(
    invalid: ValidationError, at: Sequence[str | int] = (), most: int = MAX_ERRORS
) -> list[ProblemError]:
    """Entries for what a document's validation found, the document standing at `at` in what was posted.

    Values are never repeated: neither the posted ones nor pydantic's messages, which may hold them.
    """
    found = invalid.errors(include_url=False, include_input=False)[:most]
    return [
        error((*at, *_place(entry["loc"])), *code_and_words(entry["type"], entry.get("ctx", {})))
        for entry in found
    ]


def first_errors(
    model: type[BaseModel], document: Any, invalid: ValidationError, at: Sequence[str | int] = ()
) -> list[ProblemError]:
    """The same for what `model` found in `document`, in little time however many errors there are.

    Of very many, those are told that the beginnings of the document's lists and objects show."""
    if invalid.error_count() > MANY_ERRORS:
        try:
            model.model_validate(_beginnings(document, _names_of(model)))
        except ValidationError as fewer:
            if fewer.error_count() <= MANY_ERRORS * MAX_ERRORS:
                return errors_of(fewer, at)
    return errors_of(invalid, at)


def _beginnings(value: Any, names: frozenset[str]) -> Any:
    """A document with the first items of each list, and with the first members whose names are not in `names`."""
    if isinstance(value, list):
        return [_beginnings(item, names) for item in value[:MAX_ERRORS]]
    if not isinstance(value, dict):
        return value
    unknown = [name for name in value if name not in names]
    left_out = set(unknown[MAX_ERRORS:])
    return {name: _beginnings(member, names) for name, member in value.items() if name not in left_out}


@lru_cache(maxsize=32)
def _names_of(model: type[BaseModel]) -> frozenset[str]:
    """Every name of a member that a document of `model` knows at any place."""
    schema = model.model_json_schema()
    shapes = (schema, *schema.get("$defs", {}).values())
    return frozenset(name for shape in shapes for name in shape.get("properties", ()))


def _place(path: tuple[str | int, ...]) -> tuple[str | int, ...]:
    """The path of an error; where the name of a member is wrong, pydantic adds a step that no document has."""
    return path[:-1] if path and path[-1] == "[key]" else path


def code_and_words(kind: str, context: Mapping[str, Any]) -> tuple[str, str]:
    """The code of a kind of error that validation finds, and what it says of the place."""
    if kind in _WORDS:
        return kind, _WORDS[kind]
    if kind in _NUMBER_WORDS:
        key, words = _NUMBER_WORDS[kind]
        if kind == "string_pattern_mismatch":
            return kind, words.format(_form(str(context.get("pattern", ""))))
        return kind, words.format(context.get(key, ""))
    return "invalid", "This is not valid here."


def _form(pattern: str) -> str:
    """The form that is wanted, where people can read its pattern; nothing otherwise."""
    readable = pattern.isascii() and "\\x" not in pattern and 0 < len(pattern) <= MAX_PATTERN
    return f"; it must match {pattern}" if readable else ""

"""The JSON Canonicalization Scheme (RFC 8785), by the fastest way that gives the same bytes.

The encoder of the standard library writes strings and sorts ASCII names exactly as the scheme wants (RFC 8785,
sections 3.2.2.2 and 3.2.3), and numbers whenever Python and ECMAScript agree on them. Values where they do not agree
(rare in ships' documents) go through the `rfc8785` package, which is fifteen times slower.
"""

import json
from typing import Any

import rfc8785

_encode = json.JSONEncoder(
    ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False, check_circular=False
).encode


class _OtherForm(Exception):
    """Python would write this value in another form than ECMAScript."""


def canonical(value: Any) -> str:
    """The canonical JSON text of plain dicts, lists, tuples, strings, numbers, booleans and None.

    Documents are handed to storage in this form. Raises ValueError for what JSON cannot carry (NaN, infinities,
    integers beyond 2**53, lone surrogates).
    """
    try:
        text = _encode(_agreed(value))
        text.encode()
    except _OtherForm:
        return _by_the_book(value)
    except UnicodeEncodeError as error:
        raise ValueError(f"no canonical form: {error.reason}") from error
    return text


def _by_the_book(value: Any) -> str:
    try:
        return rfc8785.dumps(value).decode()
    except (rfc8785.CanonicalizationError, UnicodeEncodeError) as error:
        raise ValueError(f"no canonical form: {error}") from error


def _agreed(value: Any) -> Any:
    """The value with whole floats as integers, if both languages write all of it alike; else raises _OtherForm."""
    kind = type(value)
    if kind is str or value is None or kind is bool:
        return value
    if kind is float:
        size = abs(value)
        if size < 2**53 and value.is_integer():
            return int(value)
        # Below this range Python writes an exponent, above it `.0`.
        if 1e-4 <= size < 2**53:
            return value
    elif kind is int:
        if -(2**53) < value < 2**53:
            return value
    elif kind is dict:
        if all(type(name) is str and name.isascii() for name in value):
            return {name: _agreed(item) for name, item in value.items()}
    elif kind is list or kind is tuple:
        return [_agreed(item) for item in value]
    raise _OtherForm

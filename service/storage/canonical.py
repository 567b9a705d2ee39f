"""The JSON Canonicalization Scheme (RFC 8785), by the fastest way that gives the same bytes.

orjson writes strings and sorts ASCII names exactly as the scheme wants (RFC 8785, sections 3.2.2.2 and 3.2.3), and
numbers whenever it and ECMAScript agree on them. Values where they do not agree (rare in ships' documents) go through
the `rfc8785` package, which is many times slower.
"""

from typing import Any

import orjson
import rfc8785

_WHOLE = 2**53
"""Below it every whole number is exact."""


class _OtherForm(Exception):
    """orjson would write this value in another form than ECMAScript."""


def canonical(value: Any) -> str:
    """The canonical JSON text of plain dicts, lists, tuples, strings, numbers, booleans and None.

    Documents are handed to storage in this form. Raises ValueError for what JSON cannot carry (NaN, infinities,
    integers beyond 2**53, lone surrogates).
    """
    try:
        return orjson.dumps(_agreed(value), option=orjson.OPT_SORT_KEYS).decode()
    except _OtherForm:
        return _by_the_book(value)
    except orjson.JSONEncodeError as error:
        raise ValueError(f"no canonical form: {error}") from error


def _by_the_book(value: Any) -> str:
    try:
        return rfc8785.dumps(value).decode()
    except (rfc8785.CanonicalizationError, UnicodeEncodeError) as error:
        raise ValueError(f"no canonical form: {error}") from error


def _agreed(value: Any) -> Any:
    """The value with whole floats as integers, if both write all of it alike; else raises _OtherForm."""
    kind = type(value)
    if kind is dict:
        members = {}
        for name, member in value.items():
            if type(name) is not str or not name.isascii():
                raise _OtherForm
            kind = type(member)
            # Most members are these: a call for each of them costs as much as writing it.
            if kind is str or member is None:
                members[name] = member
            elif kind is float and 1e-4 <= abs(member) < _WHOLE:
                members[name] = int(member) if member.is_integer() else member
            else:
                members[name] = _agreed(member)
        return members
    if kind is float:
        if value.is_integer() and -_WHOLE < value < _WHOLE:
            return int(value)
        # Below this range orjson writes an exponent elsewhere than ECMAScript, above it `.0`.
        if 1e-4 <= abs(value) < _WHOLE:
            return value
    elif kind is str or value is None or kind is bool:
        return value
    elif kind is int:
        if -_WHOLE < value < _WHOLE:
            return value
    elif kind is list or kind is tuple:
        return [_agreed(item) for item in value]
    raise _OtherForm

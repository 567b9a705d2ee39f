"""Texts that are not strict JSON, or not within the limits, with the code of their refusal."""

from functools import lru_cache

from service.wire.parse import MAX_DEPTH

REFUSED = {
    "empty": (b"", "empty"),
    "blank": (b" \n\t", "empty"),
    "NaN": (b'{"a": NaN}', "not_a_number"),
    "minus NaN": (b'{"a": -NaN}', "not_a_number"),
    "Infinity": (b'{"a": Infinity}', "not_a_number"),
    "minus Infinity": (b'{"a": [1, -Infinity]}', "not_a_number"),
    "overflowing exponent": (b'{"a": 1e400}', "number_too_large"),
    "negative overflow": (b'{"a": -1e309}', "number_too_large"),
    "long integer": (b'{"a": ' + b"9" * 40 + b"}", "number_too_large"),
    "integer of 100,000 digits": (b'{"a": ' + b"9" * 100_000 + b"}", "number_too_large"),
    "integer past 2**53": (b'{"a": 9007199254740993}', "number_too_large"),
    "lone surrogate in a value": (rb'{"a": "\ud800"}', "lone_surrogate"),
    "lone low surrogate": (rb'{"a": "\udc00x"}', "lone_surrogate"),
    "lone surrogate in a name": (rb'{"\ud83d": 1}', "lone_surrogate"),
    "surrogate as raw bytes": (b'{"a": "\xed\xa0\x80"}', "not_utf8"),
    "byte order mark": (b'\xef\xbb\xbf{"a": 1}', "not_utf8"),
    "UTF-16 with mark": ('{"a": 1}'.encode("utf-16"), "not_utf8"),
    "UTF-16 without mark": ('{"a": 1}'.encode("utf-16-le"), "not_utf8"),
    "UTF-32": ('{"a": 1}'.encode("utf-32-be"), "not_utf8"),
    "Latin-1": ('{"a": "Höjd"}'.encode("latin-1"), "not_utf8"),
    "twins on top": (b'{"a": 1, "a": 2}', "duplicate_member"),
    "twins below": (b'{"a": [{"b": {"c": 1, "d": 2, "c": 1}}]}', "duplicate_member"),
    "twins by escape": (rb'{"a": 1, "\u0061": 2}', "duplicate_member"),
    "twins by normal form": ('{"\u00e9": 1, "e\u0301": 2}'.encode(), "duplicate_member"),
    "twins by escaped normal form": (rb'{"\u00e9": 1, "e\u0301": 2}', "duplicate_member"),
    "empty twins": (b'{"": 1, "": 2}', "duplicate_member"),
    "array on top": (b"[{}]", "not_an_object"),
    "number on top": (b"1", "not_an_object"),
    "null on top": (b"null", "not_an_object"),
    "trailing text": (b'{"a": 1} x', "not_json"),
    "two documents": (b"{}{}", "not_json"),
    "single quotes": (b"{'a': 1}", "not_json"),
    "trailing comma": (b'{"a": 1,}', "not_json"),
    "comment": (b'{"a": 1 /* t */}', "not_json"),
    "leading zero": (b'{"a": 012}', "not_json"),
    "hexadecimal": (b'{"a": 0x10}', "not_json"),
    "bare fraction": (b'{"a": .5}', "not_json"),
    "plus sign": (b'{"a": +1}', "not_json"),
    "raw control character": (b'{"a": "\x01"}', "not_json"),
    "unknown escape": (rb'{"a": "\x41"}', "not_json"),
    "cut off": (b'{"a": [1, 2', "not_json"),
    "deep lists": (b'{"a": ' + b"[" * MAX_DEPTH + b"]" * MAX_DEPTH + b"}", "too_deep"),
    "deep objects": (b'{"a":' * 40 + b"1" + b"}" * 40, "too_deep"),
    "very deep": (b'{"a": ' + b"[" * 99_999 + b"]" * 99_999 + b"}", "too_deep"),
    "many objects": (b'{"a": [' + b"{}," * 99_999 + b"{}]}", "too_many_containers"),
    "many lists, not closed": (b'{"a": [' + b"[]," * 99_999, "too_many_containers"),
    "31 combining characters": (b'{"a": "e' + 31 * "\u0301".encode() + b'"}', "too_many_marks"),
    "31 escaped ones": (b'{"a": "e' + 31 * rb"\u0301" + b'"}', "too_many_marks"),
    "31 of two classes in a name": (
        b'{"' + 15 * "\u0301".encode() + 16 * "\u0323".encode() + b'": 1}',
        "too_many_marks",
    ),
    "16 that fall into two each, twice": (b'{"a": "' + 32 * "\u0f73".encode() + b'"}', "too_many_marks"),
    "string not closed": (b'{"a": "' + 100 * rb"\"", "not_json"),
    "string not closed, backslash": (b'{"a": "' + 100 * rb"\"" + b"\\", "not_json"),
    "NaN after a string not closed": (b'{"a": NaN, "b": "' + 100 * rb"\"", "not_a_number"),
    "deep and unclosed": (b"[" * 100_000, "too_deep"),
}


@lru_cache(maxsize=2)
def at_length(length: int) -> dict[str, bytes]:
    """JSON texts of `length` bytes, each meant to keep a reader busy."""

    def filled(head: bytes, unit: bytes, tail: bytes = b"") -> bytes:
        return head + unit * ((length - len(head) - len(tail)) // len(unit)) + tail

    acute, dot = "\u0301".encode(), "\u0323".encode()
    names = b"".join(b'"%d":1,' % number for number in range(length // 13))
    return {
        "escaped quotes, not closed": filled(b'{"a":"', rb"\""),
        "quotes": filled(b'{"a":', b'"'),
        "backslashes, not closed": filled(b'{"a":"', b"\\"),
        "backslashes": filled(b'{"a":"', rb"\\", b'"}'),
        "colons": filled(b'{"a":"', b":", b'"}'),
        "combining characters": filled(b'{"a":"e', acute, b'"}'),
        "combining characters of falling classes": filled(b'{"a":"', acute + dot, b'"}'),
        "thirty to a letter": filled(b'{"a":"', b"e" + 15 * (acute + dot), b'"}'),
        "thirty to a letter, escaped": filled(b'{"a":"', b"e" + 15 * rb"\u0301\u0323", b'"}'),
        "escaped combining characters": filled(b'{"a":"', rb"\u0301\u0323", b'"}'),
        "many at the end of many lists": filled(b'{"a":[[]', b",[]", b',"' + 40 * acute + b'"]}'),
        "letters beyond Latin": filled(b'{"a":"', "船".encode(), b'"}'),
        "parts of syllables": filled(b'{"a":"', "\u1100\u1161\u11a8".encode(), b'"}'),
        "characters that fall into three": filled(b'{"a":"', "\U0001d160".encode(), b'"}'),
        "surrogates": filled(b'{"a":"', rb"\ud83d\ude00", rb'\ud83d"}'),
        "not UTF-8 at the end": filled(b'{"a":"', "é".encode(), b'\xff"}'),
        "one number": filled(b'{"a":', b"9", b"}"),
        "one fraction": filled(b'{"a":0.', b"9", b"}"),
        "numbers of 4,300 digits": filled(b'{"a":[1', b"," + b"9" * 4300, b"]}"),
        "short numbers": filled(b'{"a":[1', b",1", b"]}"),
        "a number too large at the end": filled(b'{"a":[{}', b",{}", b",9007199254740993]}"),
        "empty objects": filled(b'{"a":[{}', b",{}", b"]}"),
        "empty objects and twins": filled(b'{"a":1,"a":[{}', b",{}", b"]}"),
        "objects and twins at their end": filled(b'{"a":[{}', b',{"":1}', b',{"a":1,"a":1}]}'),
        "deep objects and twins": filled(
            b'{"b":1,"b":1,"a":[{}', b"," + b'{"":' * 29 + b"1" + b"}" * 29, b"]}"
        ),
        "names": b'{"a":{' + names + b'"b":1}}',
        "names and twins": b'{"a":1,"a":{' + names + b'"b":1}}',
        "short texts and an escape": filled(b'{"a":["\\u0301"', b',""', b"]}"),
        "empty objects and an escape": filled(b'{"a":["\\u0301"', b",{}", b"]}"),
        "not numbers": filled(b'{"a":[1', b",NaN", b"]}"),
        "minus signs": filled(b'{"a":', b"-", b"}"),
        "spaces": filled(b'{"a":', b" ", b"x}"),
        "line breaks": filled(b'{"a":', b"\n", b"x}"),
        "opened lists": filled(b"", b"["),
        "opened objects": filled(b"", b'{"":'),
        "NUL": filled(b"", b"\0"),
        "weights without members": filled(b'{"condition":{"weights":[{}', b",{}", b"]}}"),
    }

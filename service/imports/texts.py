"""Texts and figures as cells keep them: what is written so that exactly the same comes back.

A text that a cell would not keep, or that means something else in its place, is written as a JSON string in quotes.
"""

import json
import re
import unicodedata
from collections.abc import Collection

from service.imports.layout import LIST_NONE, plain

_BREAKS = re.compile(r"[ \u00a0]*[\r\n\t]+[ \u00a0]*")
_SPACES = " \t\r\n\u00a0\u2007\u2009\u202f\u3000"
_PARTS = re.compile(r"[:\\/]")
_ESCAPED = re.compile(r"_x[0-9A-Fa-f]{4}_")
_NOT_IN_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff\ud800-\udfff]")
_AMBIGUOUS = re.compile(r"-?[1-9][0-9]{0,2}\.[0-9]{3}\Z")
DITTO = frozenset(('"', "''", "″", "”", "„", "〃", "do", "do.", "ditto", "dto", "dto.", "idem"))


def cleaned(text: str) -> str:
    """A text as it is read: normal form C, no line breaks, no spaces round it."""
    if not text.isascii():
        text = unicodedata.normalize("NFC", text)
    if "\n" in text or "\r" in text or "\t" in text:
        text = _BREAKS.sub(" ", text)
    return text.strip(_SPACES)


def decoded(text: str) -> str:
    """A cleaned text with the quotes of `encoded` taken off."""
    if len(text) > 1 and text[0] == text[-1] == '"':
        try:
            inner = json.loads(text)
        except ValueError:
            return text
        return inner if isinstance(inner, str) else text
    return text


def is_quoted(text: str) -> bool:
    """Whether a cleaned text stands in the quotes of `encoded`: then it is no word of the sheet's own."""
    return len(text) > 1 and text[0] == '"' and decoded(text) is not text


def encoded(text: str, reserved: Collection[str] = ()) -> str:
    """A text as it is written: as it stands where it comes back the same, else as a JSON string in quotes."""
    word = plain(_PARTS.split(text)[0])
    stays = (
        text != ""
        and cleaned(text) == text
        and text[0] != '"'
        and not _ESCAPED.search(text)
        and not _NOT_IN_XML.search(text)
        and word != LIST_NONE
        and text.casefold() not in DITTO
        and (not word or word not in reserved)
    )
    if stays:
        return text
    return json.dumps(text, ensure_ascii=bool(_NOT_IN_XML.search(text) or _ESCAPED.search(text)))


def kept_by_a_cell(value: float) -> bool:
    """Whether a cell of a workbook, written with 16 digits, gives the same number back."""
    return float(f"{value:.16G}") == value


def csv_number(value: float) -> str:
    """A number as text that can be read in one way only: 1.476 is written 1.4760."""
    if isinstance(value, int) or (value.is_integer() and abs(value) < 1e15):
        return str(int(value))
    text = repr(value)
    return f"{text}0" if _AMBIGUOUS.match(text) else text

"""Headings as people write them: which column one names, in which unit, and from where positions are said to be."""

import re
from collections.abc import Iterator, Mapping
from difflib import SequenceMatcher
from typing import NamedTuple

from service.imports.layout import Entry, plain
from service.imports.quantities import Unit, units_named
from service.imports.texts import cleaned

_BRACKETS = re.compile(r"([^\[\](){}]*)[\[({]\s*([^\[\](){}]*?)\s*[\])}]\s*([^\[\](){}]*)\Z")
_IN = re.compile(r"(.*\S)\s+in\s+(\S.*)\Z", re.IGNORECASE)
_COMMA = re.compile(r"(.*\S)\s*[,;/]\s*([^,;]+)\Z")
_LAST = re.compile(r"(.*\S)\s+(\S+)\Z")
_ORIGINS = {
    "aft_perpendicular": r"a\.?\s?p\.?|aft(?:er)?\s+perp\w*\.?",
    "midship": r"(?:a?midships?|m\.?s\.?|l(?:pp|bp)/2|midship\s+section)",
    "forward_perpendicular": r"f\.?\s?p\.?|(?:fore|forward|fwd)\s+perp\w*\.?",
    "": r"c\.?\s?l\.?|centre\s?line|center\s?line|b\.?\s?l\.?|base\s?line|keel",
}
_ORIGIN = re.compile(
    r"[\s,(]*\b(?P<direction>forward|fwd|aft|above|abt|about|off|from|rel\w*\s+to|ref\w*\s+to)\s*(?:of\s+|the\s+|from\s+)*(?:"
    + "|".join(f"(?P<{name or 'other'}>{words})" for name, words in _ORIGINS.items())
    + r")(?=$|[\s),\]])\)?",
    re.IGNORECASE,
)
NEARLY = 0.78


class Heading(NamedTuple):
    """What a heading says. `origin`: where positions are from (None: nothing said), `unit`: as written, `bracketed`:
    in square brackets, so that it has to be a unit."""

    entry: Entry
    unit: str = ""
    origin: str | None = None
    forward: str | None = None
    bracketed: bool = False


def heading_named(text: str, names: Mapping[str, Entry]) -> Heading | None:
    """The column a heading names; None where it names none of them."""
    text = cleaned(text).rstrip(":")
    if not text or len(text) > 120:
        return None
    found = names.get(plain(text))
    if found is not None and not _ORIGIN.search(text):
        unit = _unit_in(text)
        return Heading(found, *unit) if unit else Heading(found)
    return _heading_within(text, names)


def _unit_in(text: str) -> tuple[str] | None:
    """The unit in a heading that is a column's name as a whole: `TPC (t/cm)` is not, `Capacity 100 %` is."""
    inside = _BRACKETS.match(text)
    return (inside[2],) if inside and units_named(inside[2]) else None


def _heading_within(text: str, names: Mapping[str, Entry]) -> Heading | None:
    origin, forward = None, None
    said = _ORIGIN.search(text)
    candidates = [text]
    if said:
        origin = next((name for name in _ORIGINS if name and said[name]), None)
        word = said["direction"].casefold()
        forward = {"forward": "forward", "fwd": "forward", "aft": "aft"}.get(word)
        candidates = [text[: said.start()] + " " + text[said.end() :], text]
    for candidate in candidates:
        for name, unit, bracketed in _split(candidate.strip()):
            entry = names.get(plain(name)) if plain(name) else None
            if entry is not None:
                return Heading(entry, unit, origin, forward, bracketed)
    return None


def _split(text: str) -> Iterator[tuple[str, str, bool]]:
    """Ways to part a heading into a name and a unit, the likeliest first."""
    yield text, "", False
    inside = _BRACKETS.match(text)
    if inside:
        square = "[" in text
        yield f"{inside[1]} {inside[3]}", inside[2], square
        for name, unit, _ in _split_words(f"{inside[1]} {inside[3]}".strip()):
            yield name, unit, False
        return
    yield from _split_words(text)


def _split_words(text: str) -> Iterator[tuple[str, str, bool]]:
    for pattern in (_IN, _COMMA, _LAST):
        parts = pattern.match(text)
        if parts and units_named(parts[2]):
            yield parts[1], parts[2], False
    parts = _LAST.match(text)
    if parts:  # two words of a unit: long tons
        before = _LAST.match(parts[1])
        if before and units_named(f"{before[2]} {parts[2]}"):
            yield before[1], f"{before[2]} {parts[2]}", False


def is_unit(text: str) -> bool:
    """Whether a cell holds nothing but a unit."""
    return bool(units_named(text.strip("[]() ")))


def unit_for(text: str, quantity: str | None, system: str | None) -> tuple[Unit | None, str]:
    """The unit of a quantity that `text` names, or the code of what is wrong with it (empty: no unit at all)."""
    found = units_named(text)
    if not found:
        return None, ""
    right = [unit for unit in found if unit.quantity == quantity]
    if not right:
        return None, "wrong_unit"
    usable = [unit for unit in right if system is None or unit.system in (None, system)]
    return (usable[0], "") if usable else (None, "other_system")


def nearest(text: str, names: Mapping[str, str]) -> str | None:
    """The name (by its plain form) that `text` nearly is; None where it is far from all."""
    wanted = plain(text)
    if len(wanted) < 3 or len(wanted) > 60:
        return None
    best, most = None, NEARLY
    for name, shown in names.items():
        if abs(len(name) - len(wanted)) <= 3:
            ratio = SequenceMatcher(None, wanted, name).ratio()
            if ratio > most:
                best, most = shown, ratio
    return best

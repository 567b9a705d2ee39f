"""A place of a document as people say it: "tank No. 3 double bottom, row 5, volume", and no JSON pointer."""

from collections.abc import Mapping
from typing import Any, Final

from service.wire.figures import words

_ENTRIES: Final = {
    "tanks": "tank",
    "holds": "hold",
    "openings": "opening",
    "weights": "weight",
    "stages": "stage",
    "gm_limits": "limit curve",
    "printed_conditions": "printed condition",
    "draft_marks": "draft mark",
    "columns": "column",
    "rule_sets": "rule set",
}
"""Lists whose entries have a noun of their own."""
_UNSAID: Final = frozenset(("vessel", "condition", "document", "table"))
"""Steps that a person needs no word for: the whole of what was sent, the one table of a tank."""
_SYMBOLS: Final = frozenset(
    ("lcg", "vcg", "tcg", "lcb", "vcb", "lcf", "km", "gm", "kn", "tpc", "tpi", "mctc", "imo")
)


def place_in_words(pointer: str, document: Any = None) -> str:
    """The place that a JSON pointer (RFC 6901) names, entries of `document` by their names, rows and columns counted
    from 1; empty for the whole document."""
    steps = [step.replace("~1", "/").replace("~0", "~") for step in pointer.split("/")[1:]]
    parts: list[str] = []
    node = document
    before = ""
    for place, step in enumerate(steps):
        inner = _inside(node, step)
        if step.isdecimal():
            parts += _entry(before, int(step), inner)
        elif not (step in _UNSAID and (place == 0 or step == "table")) and not _has_entry(
            step, steps[place + 1 :]
        ):
            parts.append(_member(step))
        before, node = step, inner
    return ", ".join(parts)


def error_in_words(pointer: str, detail: str, document: Any = None) -> str:
    """What is wrong as a line of a list: its place in words before it, where it has one."""
    place = place_in_words(pointer, document)
    return f"{place[0].upper()}{place[1:]}: {detail}" if place else detail


def _inside(node: Any, step: str) -> Any:
    if isinstance(node, Mapping):
        # the documents of a request stand one step deeper in its pointers
        return node.get(step, node if step in _UNSAID else None)
    if isinstance(node, list) and step.isdecimal() and int(step) < len(node):
        return node[int(step)]
    return None


def _has_entry(step: str, rest: list[str]) -> bool:
    """Whether an entry follows that says the noun itself."""
    return (step == "rows" or step in _ENTRIES) and bool(rest) and rest[0].isdecimal()


def _entry(of: str, index: int, entry: Any) -> list[str]:
    """An entry of the list `of`; an entry of an entry is a column."""
    name = _name(entry)
    noun = _ENTRIES.get(of)
    if noun is not None:
        return [f"{noun} {name or index + 1}"]
    return [name or f"{'column' if of.isdecimal() else 'row'} {index + 1}"]


def _name(entry: Any) -> str:
    if not isinstance(entry, Mapping):
        return ""
    found = next((entry[key] for key in ("name", "tank", "id") if isinstance(entry.get(key), str)), "")
    return found.strip()


def _member(step: str) -> str:
    spelt = {"length_bp": "length between perpendiculars"}.get(step, words(step))
    return " ".join(part.upper() if part in _SYMBOLS else part for part in spelt.split(" "))

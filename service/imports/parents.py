"""Which entry of another list the lines of a child sheet belong to: by its name, or by its number."""

import re
from typing import Any

from service.imports.headings import nearest
from service.imports.layout import Parent, Path, plain
from service.imports.problems import Findings, Place
from service.imports.tables import at

_NUMBER = re.compile(r"0*([0-9]{1,6})(?:\.0*)?\Z")
_WITH_A_WORD = re.compile(r"(?:stage|no|nr|number|#)\.?\s*0*([0-9]{1,6})\Z", re.IGNORECASE)
"""No. 3, stage 3: where no entry has this name."""


def find_parent(
    document: dict[str, Any], parent: Parent, key: Any, place: Place, findings: Findings
) -> tuple[Path, dict[str, Any]] | None:
    """Path and entry that a key names; None with a problem noted."""
    entries = at(document, parent.path) or []
    named = [
        (i, entry)
        for i, entry in enumerate(entries)
        if isinstance(entry, dict) and entry.get(parent.key) == key
    ]
    if parent.by_number:
        found = _by_number(document, parent, key, entries, _NUMBER)
        if found is None and not named:
            found = _by_number(document, parent, key, entries, _WITH_A_WORD)
        if found is not None:
            return found
        if len(named) > 1:
            findings.problem(place, "ambiguous_stage", key)
            return None
    if named:
        return (*parent.path, named[0][0]), named[0][1]
    names = {plain(e[parent.key]): e[parent.key] for e in entries if isinstance(e, dict) and parent.key in e}
    near = names.get(plain(str(key))) or nearest(str(key), names)
    findings.problem(
        place,
        parent.unknown,
        key,
        noun=parent.entry.heading.lower(),
        sheet=parent.sheet,
        near=f"; is “{near}” meant?" if near else ".",
    )
    return None


def _by_number(
    document: dict[str, Any], parent: Parent, key: Any, entries: list[Any], pattern: re.Pattern[str]
) -> tuple[Path, dict[str, Any]] | None:
    owner = at(document, parent.path[:-1])
    if parent.itself and plain(str(key)) == plain(parent.itself) and isinstance(owner, dict):
        return parent.path[:-1], owner
    number = pattern.match(str(key))
    i = int(number[1]) - 1 if number else -1
    return ((*parent.path, i), entries[i]) if 0 <= i < len(entries) else None

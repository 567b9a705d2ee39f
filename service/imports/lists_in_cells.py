"""Lists in one cell: names parted by semicolons, and groups of tanks in order: 1P + 1S; 2P + 2S.

A name that would be read otherwise stands in quotes, as JSON writes it. A list too long for one cell goes on in the
lines below, where everything else is blank; a line that begins with + goes on with the group above it.
"""

import json
import re
from collections.abc import Iterable, Sequence

from service.imports.layout import LIST_NONE, plain
from service.imports.texts import cleaned

LONGEST = 450
"""Characters of a list that are written into one cell."""
_QUOTED = re.compile(r'"(?:[^"\\]|\\.)*"')
_NAME_ENDS = re.compile(r'"(?:[^"\\]|\\.)*"|;')
_GROUP_ENDS = re.compile(r'"(?:[^"\\]|\\.)*"|;|>|\bthen\b|\+|,|&|\band\b', re.IGNORECASE)
_WITHIN = ("+", ",", "&", "and")
_DASHES = ("-", "–", "—")


class GoesOn(list[list[str]]):
    """Groups whose first one belongs to the group before them."""


def names_in(text: str) -> list[str] | None:
    """The names in a text; None where one is empty or its quotes are wrong."""
    parts = _parts(text, _NAME_ENDS)
    return None if parts is None else [name for name, _ in parts]


def groups_in(text: str) -> list[list[str]] | None:
    """The groups in a text; None where a group or a name is empty or quotes are wrong."""
    goes_on = text.startswith("+")
    parts = _parts(text[1:] if goes_on else text, _GROUP_ENDS)
    if parts is None:
        return None
    groups: list[list[str]] = [[]]
    for name, end in parts:
        groups[-1].append(name)
        if end and end.casefold() not in _WITHIN:
            groups.append([])
    found = [group for group in groups if group]
    return GoesOn(found) if goes_on else found


def _parts(text: str, ends: re.Pattern[str]) -> list[tuple[str, str]] | None:
    """Names with the sign that ends each (empty: the last)."""
    found: list[tuple[str, str]] = []
    name, at = "", 0
    for match in ends.finditer(text):
        name += text[at : match.start()]
        at = match.end()
        if match[0].startswith('"'):
            name += match[0]
            continue
        found.append((name.strip(), match[0]))
        name = ""
    last = (name + text[at:]).strip()
    if last or not found:
        found.append((last, ""))
    read = [(_unquoted(name), end) for name, end in found]
    return None if any(not name for name, _ in read) else [(name or "", end) for name, end in read]


def _unquoted(name: str) -> str | None:
    if '"' not in name:
        return name
    if not _QUOTED.fullmatch(name):
        return name if not name.startswith('"') and name.count('"') == 1 else None
    try:
        return str(json.loads(name))
    except ValueError:
        return None


def _quoted(name: str, ends: re.Pattern[str]) -> str:
    """A name as it comes back."""
    stays = (
        not ends.search(name)
        and '"' not in name
        and cleaned(name) == name
        and name not in _DASHES
        and plain(name) != LIST_NONE
    )
    return name if stays else json.dumps(name, ensure_ascii=False)


def names_text(names: Sequence[str]) -> list[str]:
    """Names as the texts of cells, one below another."""
    if not names:
        return [LIST_NONE]
    return _cells((("; " if i else "", _quoted(name, _NAME_ENDS)) for i, name in enumerate(names)))


def groups_text(groups: Sequence[Sequence[str]]) -> list[str]:
    """Groups as the texts of cells, one below another."""
    if not groups:
        return [LIST_NONE]
    return _cells(
        ("" if not i and not j else " + " if j else "; ", _quoted(name, _GROUP_ENDS))
        for i, group in enumerate(groups)
        for j, name in enumerate(group)
    )


def _cells(parts: Iterable[tuple[str, str]]) -> list[str]:
    """Texts of at most `LONGEST` characters where names allow it; a new one begins with its group, or with +."""
    found: list[str] = []
    for sign, name in parts:
        if not found or len(found[-1]) + len(name) > LONGEST:
            found.append(("+ " if "+" in sign else "") + name)
        else:
            found[-1] += sign + name
    return found

"""Three states of one condition put together: where both changed the same thing, somebody chooses."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from service.pages.sheet.layout import SINGLES, TABLES, Row, member_at, plan_in_words, set_member
from service.pages.sheet.numbers import as_typed
from service.pages.sheet.tanks import basis_of, unit_words
from service.wire.fields import UnitSystem
from service.wire.figures import unit, words
from service.wire.pointer import pointer_of

Key = tuple[str, ...]
_LISTS: Final = {("tanks",): "tank", ("weights",): "name", **{t.path: t.columns[0].name for t in TABLES}}
_LABELS: Final = {one.path: one.label for one in SINGLES}
_TITLES: Final = {table.path: table.title for table in TABLES}
ABSENT: Final = None


@dataclass(frozen=True)
class Change:
    """One thing that somebody changed: its name, and what it was, is by you and is by them, in words."""

    name: str
    label: str
    was: str
    mine: str
    theirs: str


@dataclass(frozen=True)
class Merged:
    """The document both make, what only they and only you changed, and what both did."""

    document: Row
    theirs: list[Change]
    mine: list[Change]
    both: list[Change]


def merge(base: Row, mine: Row, theirs: Row, vessel: Row, picks: Mapping[str, str]) -> Merged:
    """Put `mine` and `theirs`, both made from `base`, together.

    picks: "mine" or "theirs" by the name of a change that both made; yours where nothing is picked yet."""
    was, own, other = entries(base), entries(mine), entries(theirs)
    naming = _Naming(vessel)
    found = Merged({}, [], [], [])
    result = dict(other)
    for key in dict.fromkeys((*other, *own, *was)):
        a, b, c = was.get(key), own.get(key), other.get(key)
        if _same(key, b, c):
            continue
        change = naming.change(key, a, b, c)
        if _same(key, b, a):
            found.theirs.append(change)
        elif _same(key, c, a):
            found.mine.append(change)
            result[key] = b
        else:
            found.both.append(change)
            if picks.get(change.name, "mine") == "mine":
                result[key] = b
    found.document.update(document_of(result))
    return found


def _same(key: Key, one: Any, other: Any) -> bool:
    """Whether both say the same: a tank without a line and one with nothing in it do."""
    if key[0] == "tanks" and _is_empty(one) and _is_empty(other):
        return True
    return bool(one == other)


def _is_empty(line: Row | None) -> bool:
    basis = None if line is None else basis_of(line)
    return line is None or (basis in ("mass", "volume", "fill") and line[basis] == 0.0)


def entries(document: Row) -> dict[Key, Any]:
    """A document as single things by their names: tanks and weights by theirs, other members by their path."""
    found: dict[Key, Any] = {}
    for path, value in _leaves(document, ()):
        if path in _LISTS and isinstance(value, list):
            seen: dict[str, int] = {}
            for row in value:
                name = str(row.get(_LISTS[path], ""))
                seen[name] = seen.get(name, 0) + 1
                found[(*path, "", name, str(seen[name]))] = row
        else:
            found[path] = value
    return found


def _leaves(value: Row, path: Key) -> Iterator[tuple[Key, Any]]:
    for name, inner in value.items():
        inside = (*path, name)
        is_reading = inside[:2] == ("observed", "drafts") and len(inside) == 3
        if isinstance(inner, dict) and name != "plan" and not is_reading:
            yield from _leaves(inner, inside)
        else:
            yield inside, inner


def document_of(found: Mapping[Key, Any]) -> Row:
    """The document of single things."""
    document: Row = {"tanks": [], "weights": []}
    for key, value in found.items():
        if value is ABSENT:
            continue
        if "" in key:
            path = key[: key.index("")]
            rows = member_at(document, path)
            if rows is None:
                set_member(document, path, rows := [])
            rows.append(value)
        else:
            set_member(document, key, value)
    return document


@dataclass(frozen=True)
class _Naming:
    """Says what a thing is and what it holds."""

    vessel: Row

    def change(self, key: Key, was: Any, mine: Any, theirs: Any) -> Change:
        """A change in words."""
        told = [self.value(key, value) for value in (was, mine, theirs)]
        return Change(pointer_of(key), self.label(key), *told)

    def label(self, key: Key) -> str:
        """What it is: the name of the tank, of the weight, of the field."""
        if "" in key:
            at = key.index("")
            name = key[at + 1]
            if key[0] == "tanks":
                return next((t["name"] for t in self.vessel["tanks"] if t["id"] == name), name)
            return name if key[0] == "weights" else f"{_TITLES[key[:at]]}: {words(name)}"
        if key[:2] == ("observed", "drafts"):
            return f"Draft read {key[2]}"
        return _LABELS.get(key) or words(key[-1]).capitalize()

    def value(self, key: Key, value: Any) -> str:
        """What it holds: "10 % full", "1700 t", "empty", "not aboard"."""
        system: UnitSystem = self.vessel["units"]
        if value is ABSENT:
            return (
                {"tanks": "empty", "weights": "not aboard"}.get(key[0], "nothing") if "" in key else "nothing"
            )
        if key[0] == "tanks":
            return self._tank(value, system)
        if key[0] == "weights":
            return self._weight(value, system)
        if key == ("plan",):
            return plan_in_words(value)
        return _plain(value)

    def _tank(self, line: Row, system: UnitSystem) -> str:
        basis = basis_of(line)
        parts = [f"{as_typed(line[basis])} {unit_words(basis, system)}"] if basis else []
        parts += [words(line["contents"])] if line.get("contents") else []
        parts += [f"at {as_typed(line['density'])} t/m³"] if line.get("density") is not None else []
        return ", ".join(parts) or "nothing"

    def _weight(self, weight: Row, system: UnitSystem) -> str:
        length = unit("length", system)
        parts = (
            [f"{as_typed(weight['mass'])} {unit('mass', system)}"] if weight.get("mass") is not None else []
        )
        parts += [
            f"{member.upper()} {as_typed(weight[member])} {length}"
            for member in ("lcg", "vcg", "tcg")
            if weight.get(member)
        ]
        beside = [
            member for member in weight if member not in ("name", "category", "mass", "lcg", "vcg", "tcg")
        ]
        parts += [f"with {words(member)}" for member in beside]
        return ", ".join(parts)


def _plain(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return as_typed(value)
    if isinstance(value, Mapping):
        return ", ".join(f"{words(name)} {_plain(inner)}" for name, inner in value.items())
    if isinstance(value, list):
        return ", ".join(_plain(inner) for inner in value) or "none"
    return words(str(value))

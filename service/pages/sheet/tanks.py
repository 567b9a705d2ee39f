"""Tanks on the sheet: grouped by liquid, pairs on one line, one unit a group.

`q:<tank>` is the figure as it stands in its field, `k:<tank>` what it was shown for: a figure nobody touched keeps the
quantity and the digits it was entered with, whatever unit its group is shown in. `u:<group>` is the unit of a group,
`p:<group>` the density of its liquid, `c:<tank>` and `d:<tank>` contents and density of one tank where they differ.
"""

from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final, NamedTuple

from service.pages.sheet.layout import CONTENTS, Read, Row
from service.pages.sheet.numbers import NotANumber, as_typed, number_in
from service.translation.tank import usual_density
from service.wire.fields import UnitSystem
from service.wire.figures import unit

QUANTITIES: Final = ("volume", "mass", "fill", "sounding", "ullage")
_DECIMALS: Final = {"volume": 1, "mass": 1, "fill": 1, "sounding": 3, "ullage": 3}
_SIDES: Final = {"port": 0, "centre": 1, "starboard": 2}
_SIDE_WORDS: Final = (
    ", port",
    ", starboard",
    ", centre",
    " port",
    " starboard",
    " centre",
    " (P)",
    " (S)",
    " (C)",
)
Reads = Callable[[str, float], float]


class Shown(NamedTuple):
    """What a field shows: the quantity and value it stands for, and the unit and text they are shown in."""

    basis: str
    value: str
    unit: str
    text: str

    def packed(self) -> str:
        """As a hidden field carries it."""
        return ";".join(self)


@dataclass(frozen=True)
class TankField:
    """One tank with what stands in its fields. `unit`: the unit its figure is in, where it is not the group's.
    `was`: the figure of the revision the sheet started from, in the same unit; None where nothing changed."""

    tank: Row
    text: str
    kept: str
    contents: str
    density: str
    unit: str
    was: str | None


@dataclass(frozen=True)
class Line:
    """A line of the sheet: a tank to port or on the centreline, one to starboard, or both."""

    label: str
    capacity: str
    left: TankField | None
    right: TankField | None

    @property
    def tanks(self) -> list[TankField]:
        """Those that are there."""
        return [tank for tank in (self.left, self.right) if tank is not None]


@dataclass(frozen=True)
class Group:
    """The tanks of one liquid. `differs`: whether one of them has other contents or a density of its own."""

    contents: str
    unit: str
    units: tuple[str, ...]
    density: str
    usual_density: float
    lines: list[Line]
    differs: bool

    @property
    def tanks(self) -> list[TankField]:
        """Every tank of the group."""
        return [tank for line in self.lines for tank in line.tanks]

    @property
    def has_pairs(self) -> bool:
        """Whether one side can be made the same as the other."""
        return any(line.left and line.right for line in self.lines)


def unit_words(quantity: str, system: UnitSystem) -> str:
    """A quantity of a tank by its unit: "m³", "% full", "sounding, m"."""
    length = unit("length", system)
    return {
        "fill": "% full",
        "volume": unit("volume", system),
        "mass": unit("mass", system),
        "sounding": f"sounding, {length}",
        "ullage": f"ullage, {length}",
    }[quantity]


def bases_of(tank: Row) -> tuple[str, ...]:
    """What a quantity may be typed as: soundings and ullages only where her table has them."""
    rows = (tank.get("table") or {}).get("rows") or [{}]
    return tuple(q for q in QUANTITIES if q not in ("sounding", "ullage") or rows[0].get(q) is not None)


def in_ship_order(vessel: Row) -> list[Row]:
    """Her tanks from forward to aft, port, centre, starboard."""
    ahead = -1.0 if (vessel.get("axes") or {}).get("x_positive", "forward") == "forward" else 1.0
    return sorted(vessel["tanks"], key=lambda t: (round(ahead * t["lcg"], 1), _SIDES[t["side"]], t["name"]))


def grouped(vessel: Row) -> list[tuple[str, list[Row]]]:
    """Her tanks by their usual contents, in ship order."""
    ordered = in_ship_order(vessel)
    found = [(contents, [t for t in ordered if t["contents"] == contents]) for contents in CONTENTS]
    return [(contents, tanks) for contents, tanks in found if tanks]


def tank_fields(document: Row, vessel: Row) -> dict[str, str]:
    """The tanks of a document as fields, each figure as it was entered."""
    fields: dict[str, str] = {}
    lines = {line.get("tank"): line for line in document.get("tanks") or ()}
    for contents, tanks in grouped(vessel):
        own = [lines[tank["id"]] for tank in tanks if tank["id"] in lines]
        densities = {line.get("density") for line in own}
        common = len(densities) == 1 and None not in densities
        bases = Counter(basis for line in own if (basis := basis_of(line)))
        fields[f"u:{contents}"] = bases.most_common(1)[0][0] if bases else "volume"
        fields[f"p:{contents}"] = as_typed(densities.pop()) if common else ""
        for line in own:
            id, basis = line["tank"], basis_of(line)
            if basis is not None:
                text = as_typed(line[basis])
                fields[f"q:{id}"], fields[f"k:{id}"] = text, Shown(basis, text, basis, text).packed()
            fields[f"c:{id}"] = line.get("contents") or ""
            given = line.get("density")
            fields[f"d:{id}"] = "" if given is None or common else as_typed(given)
    return fields


def basis_of(line: Row) -> str | None:
    """The quantity a line of tanks is entered by."""
    return next((q for q in QUANTITIES if line.get(q) is not None), None)


def read_tanks(found: Read, fields: Mapping[str, str], base: Row, vessel: Row, *, comma: bool) -> list[Row]:
    """The lines that the fields say, those of `base` first and in its order."""
    by_id = {tank["id"]: tank for tank in vessel["tanks"]}
    before = [line["tank"] for line in base.get("tanks") or () if line.get("tank") in by_id]
    lines: list[Row] = []
    for id in (*before, *(id for id in by_id if id not in before)):
        text = fields.get(f"q:{id}", "").strip()
        if text:
            lines.append(_line(found, fields, by_id[id], text, len(lines), comma))
    return lines


def _line(found: Read, fields: Mapping[str, str], tank: Row, text: str, place: int, comma: bool) -> Row:
    id, basis = tank["id"], basis_typed(fields, tank)
    shown = shown_in(fields.get(f"k:{id}", ""))
    line: Row = {"tank": id}
    if shown is not None and text == shown.text:
        basis, text = shown.basis, shown.value
    density = fields.get(f"d:{id}", "").strip() or fields.get(f"p:{tank['contents']}", "").strip()
    own = f"d:{id}" if fields.get(f"d:{id}", "").strip() else f"p:{tank['contents']}"
    for name, member, typed, most in (
        (f"q:{id}", basis, text, _most(tank, basis)),
        (own, "density", density, 5.0),
    ):
        if not typed:
            continue
        try:
            line[member] = number_in(typed, comma=comma, most=most)
        except NotANumber as wrong:
            line[member] = typed
            found.wrong[name] = str(wrong)
            found.broken["tanks", place] = tank["name"]
    if fields.get(f"c:{id}"):
        line["contents"] = fields[f"c:{id}"]
    return line


def basis_typed(fields: Mapping[str, str], tank: Row) -> str:
    """The quantity of a figure typed for this tank: the unit of its group, its volume where it has no such table."""
    asked = fields.get(f"u:{tank['contents']}", "volume")
    return asked if asked in bases_of(tank) else "volume"


def _most(tank: Row, basis: str) -> float:
    """The greatest figure that can be meant."""
    rows = (tank.get("table") or {}).get("rows") or []
    levels = (
        [row[basis] for row in rows if row.get(basis) is not None] if basis in ("sounding", "ullage") else []
    )
    if levels:
        return 1.1 * float(max(levels)) + 1.0
    capacity = float(tank["capacity"])
    return {"fill": 200.0, "volume": 1.2 * capacity, "mass": 2.4 * capacity}.get(basis, float("inf"))


def shown_in(packed: str) -> Shown | None:
    """What a hidden field carries; None where it is none of ours."""
    parts = packed.split(";", 3)
    return Shown(*parts) if len(parts) == 4 and parts[0] in QUANTITIES and parts[2] in QUANTITIES else None


def groups_of(
    fields: Mapping[str, str],
    document: Row,
    vessel: Row,
    states: Mapping[str, Any],
    before: Mapping[str, Any],
    base: Row,
    *,
    compare: bool,
) -> list[Group]:
    """Every group as it is shown. states, before: tanks of the answer now, and of the revision it started from."""
    lines = {line["tank"]: line for line in document["tanks"]}
    old = {line["tank"]: line for line in base.get("tanks") or () if "tank" in line}
    shown = _Showing(fields, lines, states, old, before, compare, vessel["units"])
    groups = []
    for contents, tanks in grouped(vessel):
        density = fields.get(f"p:{contents}", "")
        rows = [
            Line(*label, *(shown.field(t) if t else None for t in pair))
            for pair, label in _labelled(list(_pairs(tanks)), vessel["units"])
        ]
        differs = any(tank.contents or tank.density for row in rows for tank in row.tanks)
        units = tuple(q for q in QUANTITIES if any(q in bases_of(tank) for tank in tanks))
        asked = fields.get(f"u:{contents}", "volume")
        usual = usual_density(tanks[0])
        groups.append(
            Group(
                contents,
                asked if asked in units else "volume",
                units,
                density,
                usual,
                rows,
                differs or bool(density),
            )
        )
    return groups


@dataclass(frozen=True)
class _Showing:
    """Turns lines into fields."""

    fields: Mapping[str, str]
    lines: Mapping[str, Row]
    states: Mapping[str, Any]
    old: Mapping[str, Row]
    before: Mapping[str, Any]
    compare: bool
    system: UnitSystem

    def field(self, tank: Row) -> TankField:
        """One tank."""
        id, line = tank["id"], self.lines.get(tank["id"])
        asked = basis_typed(self.fields, tank)
        shown = None if line is None else self._quantity_shown(id, line, asked)
        was = None
        if self.compare and line != self.old.get(id):
            earlier = in_unit(self.old[id], asked, self.before.get(id)) if id in self.old else None
            was = "empty" if earlier is None else earlier.text
            if earlier is not None and earlier.unit != asked:
                was += f" {unit_words(earlier.unit, self.system)}"
        return TankField(
            tank,
            shown.text if shown else self.fields.get(f"q:{id}", ""),
            shown.packed() if shown else "",
            self.fields.get(f"c:{id}", ""),
            self.fields.get(f"d:{id}", ""),
            shown.unit if shown else asked,
            was,
        )

    def _quantity_shown(self, id: str, line: Row, asked: str) -> Shown | None:
        """What was typed since the last showing stays as it was typed; the rest goes into the unit asked for."""
        text, kept = self.fields.get(f"q:{id}", ""), shown_in(self.fields.get(f"k:{id}", ""))
        if kept is None or text != kept.text:
            return Shown(asked, text, asked, text)
        return kept if kept.unit == asked else in_unit(line, asked, self.states.get(id))


def in_unit(line: Row, asked: str, state: Mapping[str, Any] | None) -> Shown | None:
    """The figure of a line in the unit asked for; in its own where the answer has no such figure."""
    basis = basis_of(line)
    if basis is None:
        return None
    own = as_typed(line[basis])
    readable = not isinstance(line[basis], str)
    if basis != asked and readable and state is not None and state.get(asked) is not None:
        return Shown(basis, own, asked, f"{state[asked]:.{_DECIMALS[asked]}f}")
    return Shown(basis, own, basis, own)


def _pairs(tanks: list[Row]) -> Iterator[tuple[Row | None, Row | None]]:
    """Tanks two and two: her booklet's pairs, then those of one size that lie opposite."""
    taken: set[str] = set()
    for tank in tanks:
        if tank["id"] in taken:
            continue
        partner = next((t for t in tanks if t["id"] not in taken and _is_partner(tank, t)), None)
        taken |= {tank["id"], *((partner["id"],) if partner else ())}
        port, starboard = (partner, tank) if tank["side"] == "starboard" else (tank, partner)
        yield port, starboard


def _is_partner(tank: Row, other: Row) -> bool:
    if {tank["side"], other["side"]} != {"port", "starboard"}:
        return False
    if tank.get("pair") or other.get("pair"):
        return bool(tank.get("pair") == other["id"] or other.get("pair") == tank["id"])
    return bool(tank["lcg"] == other["lcg"] and tank["capacity"] == other["capacity"])


def _labelled(
    pairs: list[tuple[Row | None, Row | None]], system: UnitSystem
) -> list[tuple[tuple[Row | None, Row | None], tuple[str, str]]]:
    """Each line with its label and capacity; a tank alone keeps its side where another line is called the same."""
    labels = [_label(pair, system) for pair in pairs]
    counted = Counter(name for name, _ in labels)
    found = []
    for pair, (name, capacity) in zip(pairs, labels, strict=True):
        alone = [tank for tank in pair if tank]
        own = alone[0]["name"] if counted[name] > 1 and len(alone) == 1 else name
        found.append((pair, (own, capacity)))
    return found


def _label(pair: tuple[Row | None, Row | None], system: UnitSystem) -> tuple[str, str]:
    tanks = [tank for tank in pair if tank]
    names = list(dict.fromkeys(_without_side(tank["name"]) for tank in tanks))
    decimals = 1 if system == "metric" else 0
    sizes = list(dict.fromkeys(f"{tank['capacity']:.{decimals}f}" for tank in tanks))
    return " / ".join(names), f"{' and '.join(sizes)} {unit('volume', system)}"


def _without_side(name: str) -> str:
    for word in _SIDE_WORDS:
        if name.endswith(word):
            return name.removesuffix(word)
    return name

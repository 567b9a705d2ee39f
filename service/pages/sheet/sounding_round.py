"""A round of soundings: one tank after another, each written into what is kept as unfinished."""

import json
from bisect import bisect_left
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from service.pages.sheet.numbers import NotANumber, number_in
from service.pages.sheet.tanks import bases_of, in_ship_order
from service.wire.fields import UnitSystem
from service.wire.figures import Quantity, figure, unit

Row = dict[str, Any]
EMPTY: Final = "empty"
LEVELS: Final = ("sounding", "ullage")
_MOST: Final = 1.1
_AMOUNTS: Final[dict[str, Quantity]] = {
    "sounding": "length",
    "ullage": "length",
    "volume": "volume",
    "mass": "mass",
    "fill": "percent",
}


@dataclass(frozen=True)
class Round:
    """Where a round is: her tanks in ship order, which one is asked for, and which are taken already."""

    tanks: list[Row]
    at: int
    taken: frozenset[int]

    @property
    def tank(self) -> Row:
        """The tank that is asked for."""
        return self.tanks[self.at]

    @property
    def following(self) -> int:
        """The next tank that is not taken yet; the next one where all are."""
        after = [*range(self.at + 1, len(self.tanks)), *range(self.at)]
        return next((i for i in after if i not in self.taken), (self.at + 1) % len(self.tanks))

    @property
    def before(self) -> int:
        """The tank before this one."""
        return (self.at - 1) % len(self.tanks)

    @property
    def mask(self) -> str:
        """The taken ones as an address carries them."""
        return f"{sum(1 << i for i in self.taken):x}"

    def with_taken(self) -> "Round":
        """This one taken too."""
        return Round(self.tanks, self.at, self.taken | {self.at})


def round_at(vessel: Row, tank: str, mask: str) -> Round:
    """The round at a tank (empty: at the first that is not taken). mask: the taken ones, as `Round.mask` gives them."""
    tanks = in_ship_order(vessel)
    bits = int(mask, 16) if mask and len(mask) <= 130 and all(c in "0123456789abcdef" for c in mask) else 0
    taken = frozenset(i for i in range(len(tanks)) if bits >> i & 1)
    first = next((i for i in range(len(tanks)) if i not in taken), 0)
    return Round(tanks, next((i for i, one in enumerate(tanks) if one["id"] == tank), first), taken)


def ways_of(tank: Row) -> list[str]:
    """What can be measured in a tank: sounding and ullage where her table has them, else the volume."""
    own = [basis for basis in bases_of(tank) if basis in LEVELS]
    return [*(own or ["volume"]), EMPTY]


def line_for(tank: Row, way: str, text: str, before: Row | None, system: UnitSystem = "metric") -> Row | None:
    """The line of the condition that a reading says; None for an empty tank. Contents and density stay as they are.
    system: the units of the reading.

    Raises NotANumber, also for a reading off her table: nothing could be said of it, and it must not look taken."""
    if way == EMPTY:
        return None
    levels = [row[way] for row in (tank.get("table") or {}).get("rows", ()) if row.get(way) is not None]
    most = _MOST * max(levels) if levels and way != "volume" else _MOST * tank["capacity"]
    beside: Row = {name: value for name, value in (before or {}).items() if name in ("contents", "density")}
    reading = number_in(text, comma=False, most=most)
    if levels and not min(levels) <= reading <= max(levels):
        ends = f"{min(levels):g} to {max(levels):g} {unit('volume' if way == 'volume' else 'length', system)}"
        raise NotANumber(f"{reading:g} is off her table, which goes from {ends}.")
    return {"tank": tank["id"], **beside, way: reading}


def read_so_far(line: Row) -> Row:
    """A line without the figures that stand in it as text."""
    texts = {name for name in (*_AMOUNTS, "density") if isinstance(line.get(name), str)}
    return {name: value for name, value in line.items() if name not in texts}


def with_line(document: Row, tank: str, line: Row | None) -> Row:
    """The document with this line in the place of the tank's."""
    lines = [one for one in document["tanks"] if one.get("tank") != tank]
    place = next((i for i, one in enumerate(document["tanks"]) if one.get("tank") == tank), len(lines))
    if line is not None:
        lines.insert(place, line)
    return {**document, "tanks": lines}


def rows_in_words(tank: Row, line: Row | None, system: UnitSystem) -> str:
    """The rows of her table that a reading lies between: "Between her rows 0.60 m (49.6 m³) and 0.65 m (53.9 m³)"."""
    way = next((basis for basis in LEVELS if line and basis in line), None)
    rows = [row for row in (tank.get("table") or {}).get("rows", ()) if way and row.get(way) is not None]
    if line is None or way is None or not rows:
        return ""
    rows = sorted(rows, key=lambda row: float(row[way]))
    value, levels = line[way], [row[way] for row in rows]
    full = f"Full at {figure(_full(rows, way), 'length', system)}."
    if not levels[0] <= value <= levels[-1]:
        ends = f"{figure(levels[0], 'length', system)} to {figure(levels[-1], 'length', system)}"
        return f"Off her table, which goes from {ends}."
    above = bisect_left(levels, value)
    if levels[above] == value:
        return f"Her row {_row_in_words(rows[above], way, system)}. {full}"
    below, upper = rows[above - 1], rows[above]
    return f"Between her rows {_row_in_words(below, way, system)} and {_row_in_words(upper, way, system)}. {full}"


def _full(rows: list[Row], way: str) -> float:
    return float(max(rows, key=lambda row: row["volume"])[way])


def _row_in_words(row: Row, way: str, system: UnitSystem) -> str:
    return f"{figure(row[way], 'length', system)} ({figure(row['volume'], 'volume', system)})"


def taken_lines(found: Round, document: Row, states: Mapping[str, Any]) -> list[tuple[Row, Row | None, Any]]:
    """The tanks that are taken, with their line and what the answer makes of it."""
    lines = {line.get("tank"): line for line in document["tanks"]}
    tanks = [found.tanks[i] for i in sorted(found.taken)]
    return [(tank, lines.get(tank["id"]), states.get(tank["id"])) for tank in tanks]


def line_as_text(line: Row | None) -> str:
    """A line so that two of them can be compared; empty for an empty tank."""
    return "" if line is None else json.dumps(line, sort_keys=True)


def line_in_words(line: Row | None, system: UnitSystem) -> str:
    """What a line says of the quantity: "sounding 1.20 m"."""
    for member, quantity in _AMOUNTS.items():
        if line is not None and line.get(member) is not None:
            return f"{member} {figure(line[member], quantity, system)}"
    return EMPTY


def round_as_text(found: Round, document: Row, system: UnitSystem) -> str:
    """What a browser needs to go on without a signal: the tanks with what can be measured and what is written."""
    lines = {line.get("tank"): line for line in document["tanks"]}
    tanks = [
        {
            "id": tank["id"],
            "name": tank["name"],
            "ways": ways_of(tank),
            "unit": unit("volume" if "volume" in ways_of(tank) else "length", system),
            "before": line_as_text(lines.get(tank["id"])),
        }
        for tank in found.tanks
    ]
    return json.dumps({"at": found.at, "taken": sorted(found.taken), "tanks": tanks}, ensure_ascii=False)

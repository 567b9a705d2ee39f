"""Tanks: how full each is, where its liquid lies, and what the quantity aboard makes of its surface."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from .errors import OutsideTable, Refusals, UnusableBooklet
from .frame import Bools, Floats, Ints
from .interpolation import TableStack

CONTENTS = (
    "fuel_oil",
    "diesel_oil",
    "lubricating_oil",
    "fresh_water",
    "ballast",
    "cargo_liquid",
    "waste",
    "other",
)
CONSUMABLE = np.array([True, True, True, True, False, False, False, False])
CARGO_LIQUID = CONTENTS.index("cargo_liquid")
GROUP_DENSITY = np.array([0.95, 0.86, 0.90, 1.0, 1.025, 1.0, 1.0, 1.0])
"""t/m3 where neither condition nor booklet gives one; shown in every answer. Common practice, no source."""
USUAL_DENSITY = np.array(
    [
        (0.80, 1.02),
        (0.78, 0.92),
        (0.84, 0.98),
        (0.99, 1.01),
        (0.99, 1.04),
        (0.5, 2.0),
        (0.8, 1.2),
        (0.5, 2.0),
    ]
)
"""t/m3 between which a liquid of each group is unremarkable. Common practice, no source."""

QUANTITIES = ("mass", "volume", "fill", "sounding", "ullage")
STATES = ("empty", "slack", "at_limit", "pressed_up", "overfull")
EMPTY, SLACK, AT_LIMIT, PRESSED_UP, OVERFULL = range(5)

AT_THE_LIMIT = 0.05
"""Percent of capacity within which a filling counts as being at the limit."""
BEYOND_BELIEF = 1.10
"""A quantity above this part of the capacity is refused: it is a slip of the pen, not an over-full tank."""
ROUNDING = 1e-9


@dataclass(frozen=True)
class TankTable:
    """Rows of a sounding table: volume [R] m3 increasing, centres [R] m, sounding and ullage [R] m or NaN,
    transverse inertia of the free surface [R] m4 about its own centroid (or NaN)."""

    volume: Floats
    lcg: Floats
    vcg: Floats
    tcg: Floats
    sounding: Floats
    ullage: Floats
    inertia: Floats


@dataclass(frozen=True)
class PrintedColumn:
    """One liquid of a booklet that prints moments: t.m at the limit (limit_mass, t) and below it (slack).

    `limit_tolerance` is half the last printed digit of limit_mass, t."""

    contents: str
    density: float
    limit_mass: float
    slack_moment: float
    limit_moment: float
    limit_tolerance: float


@dataclass(frozen=True)
class RectangularSurface:
    """A surface of constant length and breadth (m), divided into equal compartments side by side."""

    length: float
    breadth: float
    compartments: int = 1

    @property
    def inertia(self) -> float:
        """m4: l b^3 / 12 / n^2. Source: Derrett and Barrass, Ship Stability, chapter on free surface."""
        return self.length * self.breadth**3 / 12.0 / self.compartments**2


@dataclass(frozen=True)
class HeeledMoments:
    """Volumetric shift moments [F, H] (m4) of the liquid by filling [F] (percent) and heel [H] (degrees).

    Source: MSC/Circ.920 3.3 (volumetric heeling moments of wide tanks)."""

    fillings: Floats
    heels: Floats
    moments: Floats


@dataclass(frozen=True)
class Tank:
    """One tank of the booklet; capacity m3 is the 100 % volume with its centre (m), normal_limit in percent."""

    id: str
    name: str
    side: str
    contents: str
    density: float | None
    capacity: float
    lcg: float
    vcg: float
    tcg: float
    normal_limit: float = 98.0
    unpumpable: float = 0.0
    pair: str | None = None
    table: TankTable | None = None
    printed: tuple[PrintedColumn, ...] = ()
    rectangular: RectangularSurface | None = None
    heeled: HeeledMoments | None = None


@dataclass(frozen=True)
class Fillings:
    """Every tank line of a batch, one after the other: [P] each.

    `condition` is the index in the batch, `tank` the index in the booklet, `kind` the index in QUANTITIES of what
    `value` means (t, m3, percent, m, m), `density` t/m3, `contents` the index in CONTENTS."""

    condition: Ints
    tank: Ints
    kind: Ints
    value: Floats
    density: Floats
    contents: Ints


@dataclass(frozen=True)
class Liquids:
    """What `Fillings` amount to: [P] each; sounding and ullage are NaN where the table has none."""

    volume: Floats
    mass: Floats
    fill: Floats
    lcg: Floats
    vcg: Floats
    tcg: Floats
    inertia: Floats
    sounding: Floats
    ullage: Floats
    state: Ints


COLUMNS = ("lcg", "vcg", "tcg", "inertia", "sounding", "ullage")


@dataclass(frozen=True)
class Levels:
    """Volumes of every tank by sounding (sense +1) or by ullage (sense -1: less is more); `tabled` [T] tells which
    tanks print them."""

    sense: float
    tabled: Bools
    stack: TableStack

    @classmethod
    def of(cls, tanks: Sequence[Tank], name: str) -> "Levels":
        """Look-ups by the column `name`, sounding or ullage. Source: the vessel's booklet."""
        sense = 1.0 if name == "sounding" else -1.0
        tabled = [t.table is not None and not np.isnan(getattr(t.table, name)).any() for t in tanks]
        nothing = np.array([0.0, 1.0]), np.zeros((2, 1))
        rows = [
            (sense * getattr(tank.table, name), tank.table.volume[:, None])
            if there and tank.table is not None
            else nothing
            for tank, there in zip(tanks, tabled)
        ]
        stack = TableStack([level for level, _ in rows], [volume for _, volume in rows])
        return cls(sense, np.array(tabled, dtype=bool), stack)


class TankBook:
    """All tanks of a ship as padded arrays, so that any number of tank lines is looked up in a few numpy calls."""

    def __init__(self, tanks: Sequence[Tank]) -> None:
        self.tanks = tuple(tanks)
        self.index = {tank.id: i for i, tank in enumerate(tanks)}
        self.capacity = np.array([t.capacity for t in tanks])
        self.limit = np.array([t.normal_limit for t in tanks])
        self.unpumpable = np.array([t.unpumpable for t in tanks])
        self.contents = np.array([CONTENTS.index(t.contents) for t in tanks], dtype=np.int64)
        tables = [_whole_table(i, tank) for i, tank in enumerate(tanks)]
        volumes, columns = [volume for volume, _ in tables], [values for _, values in tables]
        self.stack = TableStack(volumes, columns, len(COLUMNS))
        self.levels = {name: Levels.of(tanks, name) for name in ("sounding", "ullage")}
        self.inertia_at_98 = self._inertia_at(0.98 * self.capacity)
        self.greatest_inertia = self._greatest_inertia()

    def default_density(self, tank: int, contents: int) -> float:
        """t/m3 of a liquid the condition gives none for: the booklet's, else its group's.

        Source: common practice, no source."""
        own = self.tanks[tank].density
        if own is not None and contents == int(self.contents[tank]):
            return own
        return float(GROUP_DENSITY[contents])

    def liquids(self, fillings: Fillings, refusals: Refusals) -> Liquids:
        """Volumes, masses, centres and states of every tank line.

        Refuses a sounding or ullage off the tank's table, and a quantity beyond belief. Source: method of sounding
        tables (common practice, no source); normal full limit 98 %, 2008 IS Code Part B 3.1.2.
        """
        tank = fillings.tank
        capacity = self.capacity[tank]
        volume = self._volumes(fillings, capacity, refusals)
        columns = dict(zip(COLUMNS, self.stack.at(tank, volume).T))
        fill = 100.0 * volume / capacity
        state = self._states(tank, volume, fill)
        return Liquids(
            volume,
            volume * fillings.density,
            fill,
            columns["lcg"],
            columns["vcg"],
            columns["tcg"],
            columns["inertia"],
            columns["sounding"],
            columns["ullage"],
            state,
        )

    def _volumes(self, fillings: Fillings, capacity: Floats, refusals: Refusals) -> Floats:
        kind, value = fillings.kind, fillings.value
        volume = np.where(
            kind == 0, value / fillings.density, np.where(kind == 1, value, value * capacity * 0.01)
        )
        for name, levels in self.levels.items():
            lines = np.flatnonzero(kind == QUANTITIES.index(name))
            if len(lines):
                volume[lines] = self._volumes_at(levels, name, fillings, lines, refusals)
        above = volume > BEYOND_BELIEF * capacity
        first = self.stack.lowest[fillings.tank]
        below = (volume < first * (1.0 - ROUNDING)) & (volume > self.unpumpable[fillings.tank])
        if above.any() or below.any():
            for p in np.flatnonzero(above | below):
                low, high = float(first[p]), float(BEYOND_BELIEF * capacity[p])
                error = OutsideTable("volume", float(volume[p]), low, high, "volume", int(fillings.tank[p]))
                refusals.add(int(fillings.condition[p]), error)
        return volume

    def _volumes_at(
        self, levels: "Levels", name: str, fillings: Fillings, lines: Ints, refusals: Refusals
    ) -> Floats:
        """Volumes m3 of the tank lines [L] given by sounding or ullage; refuses those off or without a table."""
        tank, value = fillings.tank[lines], fillings.value[lines]
        argument = levels.sense * value
        low, high = levels.stack.lowest[tank], levels.stack.highest[tank]
        room = ROUNDING * np.maximum(1.0, np.abs(high))
        off = ~levels.tabled[tank] | (argument < low - room) | (argument > high + room)
        for k in np.flatnonzero(off):
            t, ends = int(tank[k]), sorted((levels.sense * float(low[k]), levels.sense * float(high[k])))
            words = name if levels.tabled[t] else f"{name} (her table has none)"
            error = OutsideTable(words, float(value[k]), ends[0], ends[1], "length", t)
            refusals.add(int(fillings.condition[lines[k]]), error)
        volume: Floats = levels.stack.at(tank, argument)[:, 0]
        return volume

    def _states(self, tank: Ints, volume: Floats, fill: Floats) -> Ints:
        limit = self.limit[tank]
        state = np.where(
            fill < limit - AT_THE_LIMIT, SLACK, np.where(fill > limit + AT_THE_LIMIT, PRESSED_UP, AT_LIMIT)
        )
        state = np.where(fill > 100.0 * (1.0 + ROUNDING), OVERFULL, state)
        result: Ints = np.where(volume <= np.maximum(self.unpumpable[tank], 0.0), EMPTY, state)
        return result

    def _inertia_at(self, volume: Floats) -> Floats:
        every = np.arange(len(self.tanks))
        result: Floats = self.stack.at(every, volume)[:, COLUMNS.index("inertia")]
        return result

    def _greatest_inertia(self) -> Floats:
        """Greatest inertia [T] (m4) below the limit of each tank, the limit itself included."""
        limit = self.capacity * self.limit * 0.01
        inertia = self.stack.values[:, :, COLUMNS.index("inertia")]
        below = np.where(self.stack.arguments < limit[:, None], inertia, 0.0)
        result: Floats = np.maximum(below.max(axis=1, initial=0.0), self._inertia_at(limit))
        return result

    def halves(self) -> list[tuple[int, ...]]:
        """Transverse pairs and single tanks, as the rules for consumables count them.

        A tank's partner is the one its booklet names, else the one that mirrors its centre on the other side (0.5 m).
        Source: 2008 IS Code Part B 3.1.4 (at least one transverse pair or a single centreline tank).
        """
        units: list[tuple[int, ...]] = []
        taken: Bools = np.zeros(len(self.tanks), dtype=bool)
        for i in range(len(self.tanks)):
            if taken[i]:
                continue
            partner = self._partner(i, taken)
            taken[i] = True
            if partner is None:
                units.append((i,))
            else:
                taken[partner] = True
                units.append((i, partner))
        return units

    def _partner(self, i: int, taken: Bools) -> int | None:
        tank = self.tanks[i]
        if tank.pair is not None:
            return self.index.get(tank.pair)
        if tank.side == "centre":
            return None
        for j, other in enumerate(self.tanks):
            mirrored = (
                abs(other.tcg + tank.tcg) < 0.5
                and abs(other.lcg - tank.lcg) < 0.5
                and abs(other.vcg - tank.vcg) < 0.5
            )
            if j != i and not taken[j] and {tank.side, other.side} == {"port", "starboard"} and mirrored:
                return j
        return None


def _whole_table(index: int, tank: Tank) -> tuple[Floats, Floats]:
    """Volume [R] and COLUMNS [R, C] from the first printed row to the 100 % volume; checks the printed order."""
    constant = tank.rectangular.inertia if tank.rectangular is not None else np.nan
    table = tank.table
    if table is None:
        centre = (tank.lcg, tank.vcg, tank.tcg, constant, np.nan, np.nan)
        return np.array([0.0, tank.capacity]), np.array([centre, centre])
    place: tuple[str | int, ...] = ("tanks", index, "table", "rows")
    if len(table.volume) < 2:
        raise UnusableBooklet("a tank table needs at least two rows", place)
    for name, sign in (("volume", 1.0), ("sounding", 1.0), ("ullage", -1.0)):
        column = getattr(table, name)
        wrong = np.flatnonzero(~(sign * np.diff(column) > 0.0) & ~np.isnan(column[1:]))
        if len(wrong):
            way = "increase" if sign > 0 else "decrease"
            raise UnusableBooklet(f"{name} must {way} from row to row", (*place, int(wrong[0]) + 1, name))
    last = len(table.volume) - 1
    if table.volume[last] > tank.capacity * (1.0 + 1e-3):
        raise UnusableBooklet("the table goes above the capacity of the tank", (*place, last, "volume"))
    inertia = np.where(np.isnan(table.inertia), constant, table.inertia)
    columns = np.column_stack([table.lcg, table.vcg, table.tcg, inertia, table.sounding, table.ullage])
    if table.volume[last] >= tank.capacity * (1.0 - ROUNDING):
        return table.volume, columns
    full = (tank.lcg, tank.vcg, tank.tcg, inertia[last], np.nan, np.nan)
    return np.append(table.volume, tank.capacity), np.vstack([columns, full])

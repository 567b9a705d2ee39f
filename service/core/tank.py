"""Tanks: how full each is, where its liquid lies, and what the quantity aboard makes of its surface."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import NamedTuple

from .condition import TankLine
from .errors import CoreError, NotTabulated, OutsideTable, SeveralErrors, UnusableBooklet
from .interpolation import held, interval

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
CONSUMABLE = frozenset(("fuel_oil", "diesel_oil", "lubricating_oil", "fresh_water"))
CARGO_LIQUID = "cargo_liquid"
GROUP_DENSITY = dict(zip(CONTENTS, (0.95, 0.86, 0.90, 1.0, 1.025, 1.0, 1.0, 1.0)))
"""t/m3 where neither condition nor booklet gives one; shown in every answer. Common practice, no source."""
USUAL_DENSITY = {
    "fuel_oil": (0.80, 1.02),
    "diesel_oil": (0.78, 0.92),
    "lubricating_oil": (0.84, 0.98),
    "fresh_water": (0.99, 1.01),
    "ballast": (0.99, 1.04),
    "cargo_liquid": (0.5, 2.0),
    "waste": (0.8, 1.2),
    "other": (0.5, 2.0),
}
"""t/m3 between which a liquid of each group is unremarkable. Common practice, no source."""

QUANTITIES = ("mass", "volume", "fill", "sounding", "ullage")
STATES = ("empty", "slack", "at_limit", "pressed_up", "overfull")
EMPTY, SLACK, AT_LIMIT, PRESSED_UP, OVERFULL = STATES

AT_THE_LIMIT = 0.05
"""Percent of capacity within which a filling counts as being at the limit."""
BEYOND_BELIEF = 1.10
"""A quantity above this part of the capacity is refused: it is a slip of the pen, not an over-full tank."""
ROUNDING = 1e-9


@dataclass(frozen=True)
class TankTable:
    """Rows of a sounding table: volume [R] m3 increasing, centres [R] m; sounding and ullage [R] m, and transverse
    inertia of the free surface [R] m4 about its own centroid, each None where the booklet does not print it."""

    volume: Sequence[float]
    lcg: Sequence[float]
    vcg: Sequence[float]
    tcg: Sequence[float]
    sounding: Sequence[float] | None
    ullage: Sequence[float] | None
    inertia: Sequence[float] | None


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

    fillings: Sequence[float]
    heels: Sequence[float]
    moments: Sequence[Sequence[float]]


class Liquid(NamedTuple):
    """What a quantity in a tank amounts to: m3, t, percent of capacity, centre in m, inertia of the surface in m4
    (0 for a tank with printed moments), and its state."""

    volume: float
    mass: float
    fill: float
    lcg: float
    vcg: float
    tcg: float
    inertia: float
    state: str


@dataclass(frozen=True)
class Tank:
    """One tank of the booklet; capacity m3 is the 100 % volume with its centre (m), normal_limit in percent, extent its
    ends (m, the aft one first).

    `limit_tolerance` (percent) is how near a filling counts as being at the limit, `capacity_tolerance` (m3) half the
    last printed digit of the capacity. Raises UnusableBooklet where its tables contradict themselves, with the place
    inside the tank.
    """

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
    limit_tolerance: float = AT_THE_LIMIT
    capacity_tolerance: float = 0.0
    extent: tuple[float, float] | None = None
    volumes: list[float] = field(init=False, repr=False, compare=False)
    rows: list[tuple[float, float, float, float]] = field(init=False, repr=False, compare=False)
    levels: dict[str, list[float]] = field(init=False, repr=False, compare=False)
    level_volumes: list[float] = field(init=False, repr=False, compare=False)
    greatest_inertia: float = field(init=False, repr=False, compare=False)
    inertia_at_98: float = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Check the printed order and prepare the look-up."""
        self._check_source()
        volumes, rows = self._whole_table()
        limit = self.capacity * self.normal_limit * 0.01
        prepared = {
            "volumes": volumes,
            "rows": rows,
            "levels": self._levels(),
            "level_volumes": volumes if self.table is None else volumes[: len(self.table.volume)],
            "greatest_inertia": max(
                0.0,
                held(volumes, [row[3] for row in rows], limit),
                *(row[3] for volume, row in zip(volumes, rows) if volume < limit),
            ),
            "inertia_at_98": held(volumes, [row[3] for row in rows], 0.98 * self.capacity),
        }
        for name, value in prepared.items():
            object.__setattr__(self, name, value)

    def liquid(self, line: TankLine) -> Liquid:
        """What the quantity of a line amounts to.

        Raises OutsideTable for a sounding or ullage off the table, and for a quantity beyond belief. Source: method
        of sounding tables (common practice, no source); normal full limit 98 %, 2008 IS Code Part B 3.1.2."""
        volume = self._volume(line)
        i, part = interval(self.volumes, volume)
        x, z, y, inertia = self.rows[i]
        if part:
            x1, z1, y1, inertia1 = self.rows[i + 1]
            x += part * (x1 - x)
            z += part * (z1 - z)
            y += part * (y1 - y)
            inertia += part * (inertia1 - inertia)
        mass = volume * line.density
        fill = 100.0 * volume / self.capacity
        state = self._state(volume, fill)
        if self.printed and state not in (EMPTY, OVERFULL):
            state = self._printed_state(self.column(line), mass, line.density)
        return Liquid(volume, mass, fill, x, z, y, inertia, state)

    def level(self, quantity: str, volume: float) -> float | None:
        """Sounding or ullage (m) at a volume; None where the table has none, or above its last printed row.

        Source: the vessel's booklet."""
        levels = self.levels.get(quantity)
        if levels is None:
            return None
        if len(levels) < len(self.volumes) and volume > self.level_volumes[-1]:
            return None
        level = held(self.level_volumes, levels, volume)
        return level if quantity == "sounding" else -level

    def greatest_inertia_between(self, first: float, last: float) -> float:
        """Greatest inertia (m4) of the surface between two volumes (m3), both included, in either order.

        Source: 2008 IS Code Part B 3.1.5 (surfaces while tanks are filled or emptied)."""
        low, high = min(first, last), max(first, last)
        inertia = [row[3] for row in self.rows]
        ends = (held(self.volumes, inertia, low), held(self.volumes, inertia, high))
        return max(*ends, *(value for v, value in zip(self.volumes, inertia) if low < v < high))

    def column(self, line: TankLine) -> PrintedColumn:
        """The printed column of the liquid aboard, the nearest in density. Source: common practice, no source."""
        if len(self.printed) == 1:
            return self.printed[0]
        return min(
            self.printed,
            key=lambda c: abs(c.density - line.density) + 1e3 * (c.contents != line.contents),
        )

    def default_density(self, contents: str) -> float:
        """t/m3 of a liquid the condition gives none for: the booklet's, else its group's.

        Source: common practice, no source."""
        if self.density is not None and contents == self.contents:
            return self.density
        return GROUP_DENSITY[contents]

    def _volume(self, line: TankLine) -> float:
        quantity, value = line.quantity, line.value
        if quantity == "mass":
            volume = value / line.density
        elif quantity == "volume":
            volume = value
        elif quantity == "fill":
            volume = value * self.capacity * 0.01
        else:
            volume = self._volume_at_level(quantity, value, line.tank)
        low, high = self.volumes[0], BEYOND_BELIEF * self.capacity
        if volume > high or self.unpumpable < volume < low * (1.0 - ROUNDING):
            raise OutsideTable("volume", volume, low, high, "volume", line.tank)
        return volume

    def _volume_at_level(self, quantity: str, value: float, index: int) -> float:
        """Volume at a sounding or an ullage, m3."""
        levels = self.levels.get(quantity)
        if levels is None:
            raise NotTabulated(quantity, index)
        sense = 1.0 if quantity == "sounding" else -1.0
        level, low, high = sense * value, levels[0], levels[-1]
        room = ROUNDING * max(1.0, abs(high))
        if not low - room <= level <= high + room:
            ends = sorted((sense * low, sense * high))
            raise OutsideTable(quantity, value, ends[0], ends[1], "length", index)
        return held(levels, self.volumes, level)

    def _state(self, volume: float, fill: float) -> str:
        if volume <= self.unpumpable:
            return EMPTY
        if fill < self.normal_limit - self.limit_tolerance:
            return SLACK
        if volume - self.capacity > max(self.capacity_tolerance, 0.01 * AT_THE_LIMIT * self.capacity):
            return OVERFULL
        return PRESSED_UP if fill > self.normal_limit + self.limit_tolerance else AT_LIMIT

    def _printed_state(self, column: PrintedColumn, mass: float, density: float) -> str:
        """The state where a printed limit mass decides instead of the filling.

        The limit is a volume: its mass scales with the density aboard. Source: common practice, no source."""
        scale = density / column.density
        limit = column.limit_mass * scale
        if abs(mass - limit) <= column.limit_tolerance * scale * (1.0 + 1e-9):
            return AT_LIMIT
        return SLACK if mass < limit else PRESSED_UP

    def _levels(self) -> dict[str, list[float]]:
        """Soundings and ullages of the printed rows, ullages negated so that both increase with the volume."""
        if self.table is None:
            return {}
        printed = {
            "sounding": self.table.sounding,
            "ullage": None if self.table.ullage is None else [-ullage for ullage in self.table.ullage],
        }
        return {name: list(levels) for name, levels in printed.items() if levels is not None}

    def _whole_table(self) -> tuple[list[float], list[tuple[float, float, float, float]]]:
        """Volumes [R] and (LCG, VCG, TCG, inertia) [R], from the first printed row to the 100 % volume."""
        constant = 0.0 if self.rectangular is None else self.rectangular.inertia
        table = self.table
        if table is None:
            centre = (self.lcg, self.vcg, self.tcg, constant)
            return [0.0, self.capacity], [centre, centre]
        self._check_order(table)
        inertia = [constant] * len(table.volume) if table.inertia is None else table.inertia
        volumes, rows = list(table.volume), list(zip(table.lcg, table.vcg, table.tcg, inertia))
        if volumes[-1] < self.capacity * (1.0 - ROUNDING):
            volumes.append(self.capacity)
            rows.append((self.lcg, self.vcg, self.tcg, inertia[-1]))
        return volumes, rows

    def _check_order(self, table: TankTable) -> None:
        place: tuple[str | int, ...] = ("table", "rows")
        if len(table.volume) < 2:
            raise UnusableBooklet("a tank table needs at least two rows", place)
        errors: list[CoreError] = []
        for name, way in (("volume", "increase"), ("sounding", "increase"), ("ullage", "decrease")):
            column = getattr(table, name) or ()
            for i, (before, after) in enumerate(pairwise(column), 1):
                if not (after > before if way == "increase" else after < before):
                    errors.append(UnusableBooklet(f"{name} must {way} from row to row", (*place, i, name)))
        last = len(table.volume) - 1
        if table.volume[last] > self.capacity * (1.0 + 1e-3):
            words = "the table goes above the capacity of the tank"
            errors.append(UnusableBooklet(words, (*place, last, "volume")))
        SeveralErrors.raise_if_any(errors)

    def _check_source(self) -> None:
        """A tank needs exactly one source of its free surface."""
        tabled = self.table is not None and self.table.inertia is not None
        if tabled + bool(self.printed) + (self.rectangular is not None) != 1:
            raise UnusableBooklet(
                "a tank needs exactly one source of its free surface: a column of its table, printed moments, or a "
                "rectangular surface",
                (),
            )


def pairs_of(tanks: Sequence[Tank]) -> list[tuple[int, ...]]:
    """Transverse pairs and single tanks by their index, as the rules for consumables count them.

    A tank's partner is the one its booklet names, else the one that mirrors its centre on the other side (0.5 m).
    Source: 2008 IS Code Part B 3.1.4 (at least one transverse pair or a single centreline tank).
    """
    index = {tank.id: i for i, tank in enumerate(tanks)}
    units: list[tuple[int, ...]] = []
    paired: set[int] = set()
    for i, tank in enumerate(tanks):
        if i in paired:
            continue
        if tank.pair is not None:
            partner = index.get(tank.pair)
        else:
            partner = next(
                (j for j, other in enumerate(tanks) if j not in paired and _mirrors(tank, other)), None
            )
        unit = (i,) if partner is None else (i, partner)
        paired.update(unit)
        units.append(unit)
    return units


def _mirrors(tank: Tank, other: Tank) -> bool:
    return (
        {tank.side, other.side} == {"port", "starboard"}
        and abs(other.tcg + tank.tcg) < 0.5
        and abs(other.lcg - tank.lcg) < 0.5
        and abs(other.vcg - tank.vcg) < 0.5
    )

"""Other fillings of a tank: the pieces of its range on which nothing jumps, and a condition with other fillings.

A free surface appears and goes with a jump: between the jumps every figure is a smooth function of the mass.
"""

from collections.abc import Collection, Mapping
from dataclasses import replace
from itertools import pairwise
from typing import NamedTuple

from .condition import Condition, TankLine
from .errors import CoreError
from .free_surface import FULL_BY_THE_CODE, surface_of
from .tank import EMPTY, SLACK, Tank
from .vessel import Vessel

EDGE = 1e-6
"""Part of the capacity that keeps a filling off the very end of a piece. Common practice, no source."""
FULL = 1.0 - 1e-9
"""Part of the 100 % mass from which a tank counts as filled to it: rounding."""


class Piece(NamedTuple):
    """Fillings from `low` to `high` (t) of one state, one of tank.STATES; `counted_as` is the state as far as the
    surface goes. An empty tank is a piece of one mass."""

    low: float
    high: float
    state: str
    counted_as: str

    def contains(self, mass: float) -> bool:
        """Whether a mass in t lies in it, its ends included. Source: definition."""
        return self.low <= mass <= self.high


class Filling(NamedTuple):
    """What may be in a tank: by index, the contents and density (t/m3) of the liquid, the mass aboard in t, the masses
    when emptied and when filled to 100 %, and the pieces from empty to full."""

    tank: int
    contents: str
    density: float
    mass: float
    emptied: float
    full: float
    pieces: tuple[Piece, ...]

    def piece_of(self, mass: float) -> Piece:
        """The piece that a mass in t lies in or below, the last one above all of them. Source: definition."""
        return next((piece for piece in self.pieces if mass <= piece.high), self.pieces[-1])

    @property
    def slack(self) -> Piece | None:
        """The piece next to empty on which she has a free surface; None where she has none. Source: definition."""
        return next((piece for piece in self.pieces if piece.counted_as == SLACK), None)

    def line(self, mass: float) -> TankLine:
        """A tank line of this mass in t, by percent where it is the 100 % mass. Source: definition."""
        if mass >= FULL * self.full and mass <= self.full / FULL:
            return TankLine(self.tank, "fill", 100.0, self.density, self.contents)
        return TankLine(self.tank, "mass", mass, self.density, self.contents)


def filling_of(
    vessel: Vessel,
    condition: Condition,
    tank: int,
    by_the_code: bool,
    densities: Mapping[str, Collection[float]] = {},
) -> Filling:
    """The fillings of a tank by index with the liquid that is in it. An empty one takes its usual contents, in the
    density that `densities` gives for them where that is one alone. `by_the_code`: the IS Code binds.

    Raises CoreError for a line off its table. Source: definition."""
    booklet = vessel.tanks[tank]
    line = next((line for line in condition.tanks if line.tank == tank), None)
    mass = 0.0
    if line is not None:
        mass = line.value if line.quantity == "mass" else booklet.liquid(line).mass
    else:
        given = densities.get(booklet.contents, ())
        (density,) = given if len(given) == 1 else (booklet.default_density(booklet.contents),)
        line = TankLine(tank, "mass", 0.0, density, booklet.contents)
    return Filling(
        tank,
        line.contents,
        line.density,
        mass,
        booklet.unpumpable * line.density,
        booklet.capacity * line.density,
        tuple(_pieces(booklet, line, by_the_code)),
    )


def refilled(condition: Condition, lines: Collection[TankLine]) -> Condition:
    """The condition with these lines in the place of those of their tanks, new tanks at the end. Source: definition."""
    by_tank = {line.tank: line for line in lines}
    kept = [by_tank.pop(line.tank, line) for line in condition.tanks]
    return replace(condition, tanks=(*kept, *by_tank.values()))


def _pieces(tank: Tank, line: TankLine, by_the_code: bool) -> list[Piece]:
    """From empty to full, neighbours of one kind joined."""
    capacity, density = tank.capacity, line.density
    edge = EDGE * capacity
    low = max(tank.unpumpable, tank.volumes[0])
    breaks = [low, capacity]
    for percent in (
        tank.normal_limit - tank.limit_tolerance,
        tank.normal_limit + tank.limit_tolerance,
        FULL_BY_THE_CODE,
    ):
        breaks.append(0.01 * percent * capacity)
    if tank.printed:
        column = tank.column(line)
        for mass in (
            column.limit_mass - column.limit_tolerance,
            column.limit_mass + column.limit_tolerance,
        ):
            breaks.append(mass / column.density)
    inside = sorted({volume for volume in breaks if low <= volume <= capacity})
    emptied = tank.unpumpable * density
    pieces = [Piece(0.0, emptied, EMPTY, EMPTY)]
    for start, end in pairwise(inside):
        if end - start <= 2.0 * edge:
            continue
        state, counted_as = _kind(tank, line, 0.5 * (start + end), by_the_code)
        piece = Piece(
            (start + edge) * density, (end if end == capacity else end - edge) * density, state, counted_as
        )
        last = pieces[-1]
        if (last.state, last.counted_as) == (state, counted_as):
            pieces[-1] = last._replace(high=piece.high)
        else:
            pieces.append(piece)
    return pieces


def _kind(tank: Tank, line: TankLine, volume: float, by_the_code: bool) -> tuple[str, str]:
    """State and what it counts as at a volume in m3."""
    there = line._replace(quantity="volume", value=volume)
    try:
        liquid = tank.liquid(there)
    except CoreError:
        return EMPTY, EMPTY
    return liquid.state, surface_of(tank, there, liquid, by_the_code).counted_as

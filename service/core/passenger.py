"""Passengers: the spaces they stand in, their mass aboard, and the moment when they crowd to one side."""

from collections.abc import Sequence
from math import fsum
from typing import NamedTuple

from .added_weight import PASSENGERS, AddedWeight
from .weight import Weight

MASS_EACH, LEAST_MASS_EACH = 0.075, 0.060
"""t of one passenger, and the least that may be taken. Source: A.749(18) 3.5.2.6, twin of 2008 IS Code Part A 3.1.1."""
STANDING = 1.0
"""m from the deck to the centre of gravity of a standing passenger. Source: A.749(18) 3.5.2.7."""
PER_AREA = 4.0
"""Passengers that stand on 1 m2. Source: 2008 IS Code Part A 3.1.1 (read in a secondary text)."""


class PassengerSpace(NamedTuple):
    """A deck on which passengers may stand: x of its centre, height of the deck, length and half-breadth in m; its area
    in m2, None: the rectangle of both."""

    id: str
    x: float
    deck_z: float
    length: float
    half_breadth: float
    area: float | None = None

    @property
    def room(self) -> float:
        """How many may stand in it. Source: 2008 IS Code Part A 3.1.1 (4 on 1 m2; secondary)."""
        area = 2.0 * self.half_breadth * self.length if self.area is None else self.area
        return PER_AREA * area


class PassengerLine(NamedTuple):
    """Passengers in a space (by index among the vessel's): how many, and t of each."""

    space: int
    number: int
    mass_each: float = MASS_EACH

    @property
    def mass(self) -> float:
        """t of all of them. Source: definition."""
        return self.number * self.mass_each


def on_board(lines: Sequence[PassengerLine], spaces: Sequence[PassengerSpace]) -> list[AddedWeight]:
    """Each line as a weight on the centreline of its space, 1.0 m above the deck, t and m.

    Source: A.749(18) 3.5.2.6 and 3.5.2.7, twin of 2008 IS Code Part A 3.1.1."""
    added = []
    for i, line in enumerate(lines):
        if line.number:
            space = spaces[line.space]
            weight = Weight(line.mass, space.x, space.deck_z + STANDING, 0.0, "other")
            name = f"Passengers, {space.id}"
            added.append(AddedWeight(name, PASSENGERS, i, weight, "number x mass of one"))
    return added


def crowded_at(line: PassengerLine, space: PassengerSpace) -> float:
    """Distance in m from the centreline at which they are when all stand at one side, 4 on 1 m2, over the length of
    the space; 0 where they fill more than its breadth.

    Source: 2008 IS Code Part A 3.1.1 (the worst distribution; 4 on 1 m2: secondary)."""
    strip = line.number / (PER_AREA * space.length)
    return max(space.half_breadth - 0.5 * strip, 0.0)


def crowding_moment(lines: Sequence[PassengerLine], spaces: Sequence[PassengerSpace]) -> float:
    """t.m of all passengers at one side. Source: 2008 IS Code Part A 3.1.1."""
    return fsum(line.mass * crowded_at(line, spaces[line.space]) for line in lines)


def is_overcrowded(line: PassengerLine, space: PassengerSpace) -> bool:
    """Whether more are in a space than can stand there. Source: 2008 IS Code Part A 3.1.1 (4 on 1 m2; secondary)."""
    return line.number > space.room

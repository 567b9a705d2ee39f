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


def crowd_of(line: PassengerLine, space: PassengerSpace) -> float:
    """How many of them stand at one side when all crowd to it: as many as reach from the side to the centreline, 4 on
    1 m2. Those beyond would stand on the other side and lessen the moment.

    Source: 2008 IS Code Part A 3.1.1 (the most unfavourable combination; 4 on 1 m2: secondary)."""
    return min(float(line.number), PER_AREA * space.length * space.half_breadth)


def crowded_at(line: PassengerLine, space: PassengerSpace) -> float:
    """Distance in m from the centreline at which the crowd stands: the middle of its strip along the side, over the
    length of the space.

    Source: 2008 IS Code Part A 3.1.1 (the most unfavourable combination; 4 on 1 m2: secondary)."""
    return space.half_breadth - 0.5 * crowd_of(line, space) / (PER_AREA * space.length)


def crowding_moment(lines: Sequence[PassengerLine], spaces: Sequence[PassengerSpace]) -> float:
    """t.m of the crowds at one side. Source: 2008 IS Code Part A 3.1.1."""
    crowds = [(line, spaces[line.space]) for line in lines]
    return fsum(crowd_of(line, space) * line.mass_each * crowded_at(line, space) for line, space in crowds)


def is_overcrowded(line: PassengerLine, space: PassengerSpace) -> bool:
    """Whether more are in a space than can stand there. Source: 2008 IS Code Part A 3.1.1 (4 on 1 m2; secondary)."""
    return line.number > space.room

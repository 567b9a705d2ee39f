"""Timber on deck: what its stowage makes of the criteria, and the water it absorbs."""

from collections.abc import Sequence
from typing import NamedTuple

from .added_weight import ABSORPTION, AddedWeight
from .weight import Weight


class TimberLine(NamedTuple):
    """What is said about one weight of timber on deck (by index among the weights).

    `absorption` in percent of its mass (None: not said). It extends between superstructures, over the full breadth
    (with at most 4 % of the breadth for a rounded gunwale, and uprights), and is secured at large angles of heel.
    `buoyant`: its buoyancy may be counted."""

    weight: int
    absorption: float | None
    between_superstructures: bool
    full_breadth: bool
    secured: bool
    buoyant: bool = False

    @property
    def is_stowed_so(self) -> bool:
        """Whether it meets the three conditions for the alternative criteria. Source: 2008 IS Code Part A 3.3.1
        (read in secondary texts)."""
        return self.between_superstructures and self.full_breadth and self.secured


def alternative_applies(lines: Sequence[TimberLine]) -> bool:
    """Whether there is timber on deck and all of it is stowed as the alternative criteria ask.

    Source: 2008 IS Code Part A 3.3.1 (read in secondary texts)."""
    return bool(lines) and all(line.is_stowed_so for line in lines)


def floats_on_timber(lines: Sequence[TimberLine]) -> bool:
    """Whether all timber on deck is said to be buoyant, so that cross curves with its buoyancy hold.

    Source: 2008 IS Code Part A 3.3 (buoyancy of the timber deck cargo may be counted; value from memory)."""
    return bool(lines) and all(line.buoyant for line in lines)


def absorbed(lines: Sequence[TimberLine], weights: Sequence[Weight]) -> list[AddedWeight]:
    """Water absorbed by each line: its percent of the mass, at the timber's own centre and over its extent.

    Source: 2008 IS Code Part A 3.3 and B 3.6 (absorption is to be counted; the percent is whoever's enters it)."""
    added = []
    for line in lines:
        weight = weights[line.weight]
        if line.absorption and weight.mass:
            mass = weight.mass * line.absorption / 100.0
            water = weight._replace(mass=mass, category="other")
            added.append(AddedWeight(None, ABSORPTION, line.weight, water, "mass x percent absorbed"))
    return added

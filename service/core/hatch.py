"""Hatch coamings, as they add to the depth of a containership."""

from typing import NamedTuple


class HatchCoamings(NamedTuple):
    """Sum of the lengths, mean breadth and mean height in m of the coamings within a quarter of the length forward and
    aft of amidships. Source: 2008 IS Code Part B 2.3."""

    length_sum: float
    breadth: float
    height: float

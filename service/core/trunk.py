"""The trunk on the deck of a tank barge."""

from typing import NamedTuple


class BargeTrunk(NamedTuple):
    """Length, breadth and height in m. Source: 46 CFR 172.090(b)."""

    length: float
    breadth: float
    height: float

"""Linear interpolation that refuses to extrapolate."""

import numpy as np

from .errors import OutsideTable, Refusals
from .frame import Floats, Ints

SLACK_AT_THE_ENDS = 1e-9
"""Relative allowance at both ends of a table, so that the last tabulated value itself is inside after a change
of units and back."""


def locate(argument: Floats, value: Floats) -> tuple[Ints, Floats]:
    """Interval and fraction of each value in a strictly increasing argument column.

    argument [R] with R >= 2, value [N]; returns index [N] (0..R-2) and fraction [N] in 0..1: values beyond an end
    are held at that end, the caller refuses them with `refuse_outside`. Source: definition of linear interpolation.
    """
    index = np.clip(np.searchsorted(argument, value, side="right") - 1, 0, len(argument) - 2)
    low = argument[index]
    fraction = np.clip((value - low) / (argument[index + 1] - low), 0.0, 1.0)
    return index, fraction


def blend(rows: Floats, index: Ints, fraction: Floats) -> Floats:
    """Rows [R, C] (or [R]) at the places found by `locate`: [N, C] (or [N]). Source: definition."""
    low = rows[index]
    weight = fraction if rows.ndim == 1 else fraction[:, None]
    result: Floats = low + weight * (rows[index + 1] - low)
    return result


def outside(value: Floats, low: float, high: float) -> np.ndarray:
    """True where a value lies beyond low..high by more than rounding, or is not a number. Source: definition."""
    room = SLACK_AT_THE_ENDS * max(abs(low), abs(high))
    result: np.ndarray = ~((value >= low - room) & (value <= high + room))
    return result


def refuse_outside(
    refusals: Refusals, quantity: str, value: Floats, argument: Floats, dimension: str
) -> None:
    """Refuse every condition whose value [N] lies beyond the argument column [R]. Source: definition."""
    low, high = float(argument[0]), float(argument[-1])
    wrong = outside(value, low, high)
    if wrong.any():
        for n in np.flatnonzero(wrong):
            refusals.add(int(n), OutsideTable(quantity, float(value[n]), low, high, dimension))

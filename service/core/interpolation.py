"""Linear interpolation that does not extrapolate."""

from bisect import bisect_right
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from .conventions import Floats

ROOM_AT_THE_ENDS = 1e-9
"""Relative allowance at both ends of a table, so that the last tabulated value itself is inside after a change
of units and back."""


def interval(arguments: Sequence[float], value: float) -> tuple[int, float]:
    """Index of the interval of increasing arguments [R], R >= 2, that holds a value, and the fraction of it below
    the value; held at both ends. Source: definition of linear interpolation."""
    i = bisect_right(arguments, value, 1, len(arguments) - 1) - 1
    low = arguments[i]
    part = (value - low) / (arguments[i + 1] - low)
    return i, 0.0 if part < 0.0 else 1.0 if part > 1.0 else part


def intervals(arguments: Floats, values: Floats) -> tuple[NDArray[np.intp], Floats]:
    """`interval` for many values [N] at once. Source: definition of linear interpolation."""
    i = np.clip(np.searchsorted(arguments, values, side="right") - 1, 0, len(arguments) - 2)
    low = arguments[i]
    return i, np.clip((values - low) / (arguments[i + 1] - low), 0.0, 1.0)


def interpolated(arguments: Sequence[float], values: Sequence[float], value: float) -> float | None:
    """The column `values` [R] at one argument; None outside the table, its ends included.

    Source: definition of linear interpolation."""
    if not arguments[0] <= value <= arguments[-1]:
        return None
    return held(arguments, values, value)


def held(arguments: Sequence[float], values: Sequence[float], value: float) -> float:
    """The column `values` [R] at one argument, constant beyond both ends.

    Source: definition of linear interpolation."""
    if len(arguments) == 1:
        return values[0]
    i, part = interval(arguments, value)
    return values[i] + part * (values[i + 1] - values[i])


def is_outside(value: float, low: float, high: float) -> bool:
    """Whether a value lies beyond low..high by more than rounding, or is not a number. Source: definition."""
    room = ROOM_AT_THE_ENDS * max(abs(low), abs(high))
    return not low - room <= value <= high + room

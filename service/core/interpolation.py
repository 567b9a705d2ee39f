"""Linear interpolation that refuses to extrapolate."""

from collections.abc import Sequence

import numpy as np

from .errors import Dimension, OutsideTable, Refusals
from .frame import Bools, Floats, Ints

SLACK_AT_THE_ENDS = 1e-9
"""Relative allowance at both ends of a table, so that the last tabulated value itself is inside after a change
of units and back."""


class TableStack:
    """Tables of the same columns side by side, so that any number of look-ups costs a few numpy calls.

    `arguments` [K, R] increase along each row and are padded with inf; `values` [K, R, C] go with them.
    """

    def __init__(self, arguments: Sequence[Floats], values: Sequence[Floats], columns: int = 0) -> None:
        """arguments: K strictly increasing columns [R_k], R_k >= 2; values: K arrays [R_k, C]; columns: C if K is 0."""
        self.last = np.array([len(argument) - 2 for argument in arguments], dtype=np.int64)
        rows = int(self.last.max(initial=0)) + 2
        self.arguments = np.full((len(arguments), rows), np.inf)
        self.values = np.zeros((len(arguments), rows, values[0].shape[1] if len(values) else columns))
        for k, (argument, value) in enumerate(zip(arguments, values)):
            self.arguments[k, : len(argument)] = argument
            self.values[k, : len(argument)] = value
        self.lowest = self.arguments[:, 0]
        self.highest = self.arguments[np.arange(len(arguments)), self.last + 1]

    def at(self, table: Ints, argument: Floats) -> Floats:
        """Values [P, C] of tables [P] at arguments [P], held at the ends of each table.

        Source: definition of linear interpolation."""
        arguments = self.arguments[table]
        row = (arguments <= argument[:, None]).sum(axis=1) - 1
        row = np.minimum(np.maximum(row, 0), self.last[table])
        line = np.arange(len(table))
        low, high = arguments[line, row], arguments[line, row + 1]
        part = np.minimum(np.maximum((argument - low) / (high - low), 0.0), 1.0)
        first = self.values[table, row]
        step = part[:, None] * (self.values[table, row + 1] - first)
        # a row's own value holds although the row after it lacks one
        values: Floats = first + np.where(part[:, None] > 0.0, step, 0.0)
        return values

    def at_all(self, argument: Floats) -> Floats:
        """Values [K, N, C] of every table at arguments [N]. Source: definition of linear interpolation."""
        tables, count = len(self.last), len(argument)
        values = self.at(np.repeat(np.arange(tables), count), np.tile(argument, tables))
        return values.reshape(tables, count, -1)

    def off(self, argument: Floats) -> Bools:
        """Where arguments [N] lie beyond an end of each table, or are not a number: [K, N]. Source: definition."""
        room = SLACK_AT_THE_ENDS * np.abs(self.highest[:, None])
        result: Bools = ~(
            (argument >= self.lowest[:, None] - room) & (argument <= self.highest[:, None] + room)
        )
        return result


def between(points: Floats, value: Floats) -> tuple[Ints, Floats]:
    """Interval and fraction of each value [N] among increasing points [K], K >= 2; held at both ends.

    Source: definition of linear interpolation."""
    index = np.minimum(np.maximum(points.searchsorted(value, side="right") - 1, 0), len(points) - 2)
    low = points[index]
    fraction = np.minimum(np.maximum((value - low) / (points[index + 1] - low), 0.0), 1.0)
    return index, fraction


def refuse(
    refusals: Refusals,
    wrong: Bools,
    quantity: str,
    value: Floats,
    low: float,
    high: float,
    dimension: Dimension,
) -> None:
    """Refuse the conditions that are `wrong` [N]: their `quantity` of `value` [N] is not within low..high.

    Source: definition."""
    for n in np.flatnonzero(wrong):
        refusals.add(int(n), OutsideTable(quantity, float(value[n]), low, high, dimension))


def outside(value: Floats, low: float, high: float) -> Bools:
    """True where a value [N] lies beyond low..high by more than rounding, or is not a number. Source: definition."""
    room = SLACK_AT_THE_ENDS * max(abs(low), abs(high))
    result: Bools = ~((value >= low - room) & (value <= high + room))
    return result

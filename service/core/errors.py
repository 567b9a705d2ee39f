"""What can be wrong with a booklet or a condition, as data; no HTTP here.

CoreError
+-- UnusableBooklet   the ship's tables contradict themselves; carries the place in the document
+-- OutsideTable      a quantity lies beyond the table it is looked up in
+-- NoEquilibrium     she has no angle at which she floats
"""

from typing import Literal

Dimension = Literal["length", "mass", "volume"]


class CoreError(Exception):
    """Root of the tree. `args[0]` is a sentence for a person."""


class UnusableBooklet(CoreError):
    """A table of the vessel that cannot be used.

    `place` is the path in the vessel document, such as ("tanks", 3, "table", "rows", 7, "volume").
    """

    def __init__(self, message: str, place: tuple[str | int, ...]) -> None:
        super().__init__(message)
        self.message = message
        self.place = place


class OutsideTable(CoreError):
    """`quantity` was asked at `value` but her table runs from `low` to `high` (all in `dimension` of the core).

    `tank` names the tank by index where the table is a tank's.
    """

    def __init__(
        self,
        quantity: str,
        value: float,
        low: float,
        high: float,
        dimension: Dimension,
        tank: int | None = None,
    ) -> None:
        super().__init__(f"{quantity} {value:g} is outside {low:g} to {high:g}")
        self.quantity, self.value, self.low, self.high = quantity, value, low, high
        self.dimension: Dimension = dimension
        self.tank = tank


class NoEquilibrium(CoreError):
    """The righting lever does not rise through zero at any angle of the cross curves: she would capsize."""

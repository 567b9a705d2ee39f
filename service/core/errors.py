"""What can be wrong with a booklet or a condition, as data; no HTTP here.

CoreError
+-- SeveralErrors     more than one of the others
+-- UnusableBooklet   the ship's tables contradict themselves; carries the place in the document
+-- OutsideTable      a quantity lies beyond the table it is looked up in
+-- NotTabulated      a quantity that her table does not give
+-- NoEquilibrium     she has no angle at which she floats
"""

from collections.abc import Sequence
from typing import Literal

Dimension = Literal["length", "mass", "volume"]


class CoreError(Exception):
    """Root of the tree. `args[0]` is a sentence for a person."""

    @property
    def cause(self) -> str:
        """What is wrong, without numbers, for the reason of a criterion. Source: definition."""
        return str(self)


class SeveralErrors(CoreError):
    """Everything that was found wrong, in the order of the document."""

    def __init__(self, errors: Sequence[CoreError]) -> None:
        super().__init__("; ".join(str(error) for error in errors))
        self.errors = errors

    @classmethod
    def raise_if_any(cls, errors: "Sequence[CoreError]") -> None:
        """Raise what was found, if anything. Source: definition."""
        if errors:
            raise errors[0] if len(errors) == 1 else cls(errors)


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

    @property
    def cause(self) -> str:
        """Which table does not reach, without numbers. Source: definition."""
        return f"her {self.quantity} lies outside the table"


class NotTabulated(CoreError):
    """The table of tank number `tank` gives no `quantity` ("sounding" or "ullage")."""

    def __init__(self, quantity: str, tank: int) -> None:
        super().__init__(f"the table of this tank gives no {quantity}s")
        self.quantity, self.tank = quantity, tank


class NoEquilibrium(CoreError):
    """The righting lever does not rise through zero at any angle of the cross curves: she would capsize."""

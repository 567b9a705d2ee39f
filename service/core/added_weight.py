"""Masses that a calculation adds to what the mate entered: water that timber absorbs, ice."""

from typing import NamedTuple

from .weight import Weight

ABSORPTION, ICE = "absorption", "ice"


class AddedWeight(NamedTuple):
    """A weight of reason ABSORPTION or ICE. `name` is None where it belongs to a weight of the condition (`of`, by
    index); `formula` says how its mass came about, `from_memory` what of that was recalled, not read."""

    name: str | None
    reason: str
    of: int | None
    weight: Weight
    formula: str
    from_memory: str | None = None

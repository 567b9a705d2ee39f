"""Masses that a calculation adds to what the mate entered: a load on the hook, passengers, water that timber absorbs,
ice."""

from typing import NamedTuple

from .weight import Weight

HOOK_LOAD, PASSENGERS, ABSORPTION, ICE = "hook_load", "passengers", "absorption", "ice"


class AddedWeight(NamedTuple):
    """A weight of reason HOOK_LOAD, PASSENGERS, ABSORPTION or ICE. `of` is the index of the condition's line it comes
    from (of passengers, or of weights for ABSORPTION), None where there is but one or none. `name` is None where it
    belongs to a weight of the condition; `formula` says how its mass came about, `from_memory` what of that was
    recalled, not read."""

    name: str | None
    reason: str
    of: int | None
    weight: Weight
    formula: str
    from_memory: str | None = None

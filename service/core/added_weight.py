"""Masses that a calculation adds to what the mate entered: a load on the hook, passengers."""

from typing import NamedTuple

from .weight import Weight

HOOK_LOAD, PASSENGERS = "hook_load", "passengers"


class AddedWeight(NamedTuple):
    """A weight of reason HOOK_LOAD or PASSENGERS. `of` is the index of the condition's line it comes from, None where
    there is but one; `formula` says how its mass came about, `from_memory` what of that was recalled, not read."""

    name: str | None
    reason: str
    of: int | None
    weight: Weight
    formula: str
    from_memory: str | None = None

"""A lift over the side: its load hangs at the head of the crane."""

from typing import NamedTuple

from .added_weight import HOOK_LOAD, AddedWeight
from .weight import Weight

AT_THE_HEAD = "that the load acts at the head of the crane is recalled, not read"


class Lift(NamedTuple):
    """Mass in t of the load and its gear, and where the head of the crane is, m."""

    name: str | None
    mass: float
    x: float
    y: float
    z: float

    @property
    def heeling_moment(self) -> float:
        """t.m about the centreline, whatever the side. Source: 46 CFR 173.005(b); 2008 IS Code Part B 2.9.1.2."""
        return self.mass * abs(self.y)

    @property
    def hook_load(self) -> AddedWeight:
        """The load as a weight at the head of the crane, t and m. Source: 2008 IS Code Part B 2.9.1 (the displacement
        includes the load; at the head: value from memory)."""
        weight = Weight(self.mass, self.x, self.z, self.y, "other")
        return AddedWeight(self.name or "Hook load", HOOK_LOAD, None, weight, "load on the hook", AT_THE_HEAD)


def threshold(displacement: float, gm: float, freeboard: float, breadth: float) -> float:
    """Heeling moment in t.m from which the rules for lifting apply: 0.67 W GM F / B, t and m.

    Source: 46 CFR 173.005(b)."""
    return 0.67 * displacement * gm * (freeboard / breadth)

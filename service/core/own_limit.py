"""Limits that bind one ship or one voyage: of her booklet or class, of a berth, a bar, a charter."""

from typing import NamedTuple

QUANTITIES = (
    "draft_forward",
    "draft_aft",
    "draft_midship",
    "draft_greatest",
    "trim",
    "list",
    "propeller_immersion",
    "air_draft",
    "displacement",
    "gm_corrected",
    "freeboard_least",
)
ALWAYS, AT_SEA, IN_PORT = "always", "at_sea", "in_port"


class OwnLimit(NamedTuple):
    """One of QUANTITIES (m, degrees, percent or t) at least or at most (one of them is given), ALWAYS, AT_SEA or
    IN_PORT; clause and source as whoever entered it wrote them."""

    quantity: str
    at_least: float | None
    at_most: float | None
    when: str = ALWAYS
    clause: str | None = None
    source: str | None = None

"""What her drafts mean above and below water: propeller immersion, air draft, least freeboard, the view ahead."""

from collections.abc import Sequence
from math import inf, radians, sin, tan
from typing import TYPE_CHECKING, NamedTuple

from .flotation import Flotation

if TYPE_CHECKING:
    from .vessel import Bridge, Propeller

AHEAD = 10.0
"""Degrees to either side of ahead that must be in view. Source: SOLAS V/22.1.1."""
BESIDE = tan(radians(AHEAD))
"""How far to either side that is, for each m ahead. Source: definition of the tangent."""
LENGTHS, FARTHEST = 2.0, 500.0
"""Lengths over all, and m, for which the sea may be hidden at most. Source: SOLAS V/22.1.1."""
SHORTEST = 55.0
"""m: SOLAS V/22 applies to ships of this length over all or more."""
NOT_COVERED = (
    "blind sectors within the view ahead, at most 10 degrees each and 20 degrees in all, are not computed",
    "the view abeam and astern is not computed",
)
"""What of SOLAS V/22.1 is not judged here, for whoever reads the row."""


class AirDraftPoint(NamedTuple):
    """A point that may be the highest above the water: x, z, y in m."""

    name: str
    x: float
    z: float
    y: float = 0.0


class Obstruction(NamedTuple):
    """What may hide the sea ahead: x and z in m, from y_from to y_to (m to port; None: on the centreline)."""

    name: str
    x: float
    z: float
    y_from: float | None = None
    y_to: float | None = None


class Hidden(NamedTuple):
    """Sea hidden ahead of the bow, m (inf: to the horizon), the limit (m; None without a length over all), by which
    obstruction (None: nothing stands ahead) and from which height of eye above the water, m."""

    distance: float
    limit: float | None
    obstruction: str | None
    eye_height: float


def propeller_immersion(propeller: "Propeller", flotation: Flotation) -> float:
    """Percent: 100 (draft at the propeller - shaft height + D / 2) / D; 100 is the tip awash.

    Source: immersion ratio I / D, common practice; MARPOL Annex I regulation 18.3 (full immersion)."""
    draft = flotation.draft_at(propeller.x)
    return 100.0 * (draft - propeller.shaft_height + 0.5 * propeller.diameter) / propeller.diameter


def air_draft(
    points: Sequence[AirDraftPoint], flotation: Flotation, list_angle: float
) -> tuple[float, AirDraftPoint]:
    """Height (m) of the highest point above the water, and the point; at a list (degrees) either side may be the higher
    one. Source: definition."""
    lean = sin(radians(abs(list_angle)))
    heights = [(point.z - flotation.draft_at(point.x) + abs(point.y) * lean, point) for point in points]
    return max(heights, key=lambda each: each[0])


def freeboard_least(
    points: Sequence[tuple[float, float, float]], flotation: Flotation, list_angle: float
) -> float:
    """Least height (m) of the deck edge (x, half-breadth, z) above the water on the lower side at a list (degrees).

    Source: definition."""
    lean = tan(radians(min(abs(list_angle), 89.0)))
    return min(z - flotation.draft_at(x) - y * lean for x, y, z in points)


def hidden_sea(
    bridge: "Bridge",
    obstructions: Sequence[Obstruction],
    flotation: Flotation,
    length_overall: float | None,
) -> Hidden:
    """How much of the sea ahead of the bow is hidden from the conning position.

    h_e (x_o - x_e) / (h_e - h_o) - (x_bow - x_e), heights above the trimmed waterline, the greatest over what stands
    within 10 degrees either side of ahead. Source: SOLAS V/22.1.1."""
    eye = bridge.eye_z - flotation.draft_at(bridge.eye_x)
    to_bow = bridge.bow_x - bridge.eye_x
    worst, name = 0.0, None
    for obstruction in obstructions:
        ahead = obstruction.x - bridge.eye_x
        if not is_ahead(obstruction, ahead):
            continue
        top = obstruction.z - flotation.draft_at(obstruction.x)
        distance = eye * ahead / (eye - top) - to_bow if eye > top else inf
        if distance > worst or name is None:
            worst, name = max(distance, 0.0), obstruction.name
    limit = None if length_overall is None else min(LENGTHS * length_overall, FARTHEST)
    return Hidden(worst, limit, name, eye)


def is_ahead(obstruction: Obstruction, distance: float) -> bool:
    """Whether any part of it stands within 10 degrees either side of ahead, `distance` m before the eye.

    Source: SOLAS V/22.1.1."""
    if distance <= 0.0:
        return False
    ends = [y for y in (obstruction.y_from, obstruction.y_to) if y is not None] or [0.0]
    half = distance * BESIDE
    return min(ends) <= half and max(ends) >= -half

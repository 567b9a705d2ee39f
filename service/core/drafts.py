"""What her drafts mean above and below water, for one condition; each figure None where her booklet does not tell."""

from typing import NamedTuple

from .flotation import Flotation
from .situation import Situation
from .view import Hidden, Obstruction, air_draft, freeboard_least, hidden_sea, propeller_immersion


class DraftFigures(NamedTuple):
    """Percent of the propeller's diameter immersed; air draft (m) and its point, least freeboard (m); least draft
    amidships and most trim (m) of MARPOL Annex I regulation 18; the sea hidden ahead."""

    flotation: Flotation
    propeller_immersion: float | None
    air_draft: float | None
    air_draft_point: str | None
    freeboard_least: float | None
    ballast: tuple[float, float] | None
    hidden: Hidden | None


def least_midship(length: float) -> float:
    """Least moulded draft (m) amidships for a length (m). Source: MARPOL Annex I, regulation 18.3."""
    return 2.0 + 0.02 * length


def most_trim(length: float) -> float:
    """Most trim by the stern (m) for a length (m). Source: MARPOL Annex I, regulation 18.3."""
    return 0.015 * length


def obstructions(ship: Situation) -> tuple[Obstruction, ...]:
    """Everything that stands before the bridge: her own obstructions and those of the condition.

    Source: SOLAS V/22.1.1 (under all conditions of deck cargo)."""
    bridge = ship.vessel.bridge
    if bridge is None:
        return ()
    own = Obstruction("her own", bridge.obstruction_x, bridge.obstruction_z)
    return (own, *ship.vessel.obstructions, *ship.condition.obstructions)


def draft_figures(ship: Situation) -> DraftFigures | None:
    """None where her drafts are not known. Source: SOLAS V/22.1.1; MARPOL Annex I, regulation 18.3."""
    vessel, flotation, angle = ship.vessel, ship.flotation, ship.rest.list_angle
    if flotation is None:
        return None
    highest = None
    if vessel.air_draft_points and angle is not None:
        highest = air_draft(vessel.air_draft_points, flotation, angle)
    freeboard = None
    if vessel.deck_edge is not None and vessel.deck_edge.points and angle is not None:
        freeboard = freeboard_least(vessel.deck_edge.points, flotation, angle)
    length, hidden = vessel.particulars.length_load_line, None
    if vessel.bridge is not None:
        hidden = hidden_sea(vessel.bridge, obstructions(ship), flotation, vessel.particulars.length_overall)
    return DraftFigures(
        flotation=flotation,
        propeller_immersion=None
        if vessel.propeller is None
        else propeller_immersion(vessel.propeller, flotation),
        air_draft=None if highest is None else highest[0],
        air_draft_point=None if highest is None else highest[1].name,
        freeboard_least=freeboard,
        ballast=None if length is None else (least_midship(length), most_trim(length)),
        hidden=hidden,
    )

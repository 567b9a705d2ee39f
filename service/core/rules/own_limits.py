"""Limits of the ship's own: of her booklet or class, of a berth, a bar or a charter, on one figure each."""

from collections.abc import Callable
from dataclasses import replace
from typing import NamedTuple

from ..own_limit import AT_SEA, IN_PORT, QUANTITIES, OwnLimit
from ..situation import Situation
from ..view import air_draft, freeboard_least, propeller_immersion
from .limit import (
    ALWAYS,
    AT_LEAST,
    AT_MOST,
    CONDITION,
    NOT_APPLICABLE,
    NOT_COMPUTABLE,
    Criterion,
    Limit,
    RuleSet,
    Ruling,
    judge,
    without,
)


class _Figure(NamedTuple):
    """What a quantity is called, its unit, where it comes from, and why it may be missing."""

    title: str
    unit: str
    value: Callable[[Situation], float | None]
    gap: str
    missing: str


def _floating(name: str) -> Callable[[Situation], float | None]:
    return lambda ship: None if ship.flotation is None else getattr(ship.flotation, name)


def _amidships(ship: Situation) -> float | None:
    """As her marks there would read, with her sag or hog."""
    return None if ship.flotation is None else ship.flotation.draft_midship + ship.condition.deflection


def _greatest(ship: Situation) -> float | None:
    """Of both ends and amidships, where she may sag."""
    flotation, amidships = ship.flotation, _amidships(ship)
    if flotation is None or amidships is None:
        return None
    return max(flotation.draft_forward, flotation.draft_aft, amidships)


def _list(ship: Situation) -> float | None:
    return None if ship.rest.list_angle is None else abs(ship.rest.list_angle)


def _immersion(ship: Situation) -> float | None:
    propeller, flotation = ship.vessel.propeller, ship.flotation
    return None if propeller is None or flotation is None else propeller_immersion(propeller, flotation)


def _air_draft(ship: Situation) -> float | None:
    points, flotation, angle = ship.vessel.air_draft_points, ship.flotation, ship.rest.list_angle
    if not points or flotation is None or angle is None:
        return None
    return air_draft(points, flotation, angle)[0]


def _freeboard(ship: Situation) -> float | None:
    edge, flotation, angle = ship.vessel.deck_edge, ship.flotation, ship.rest.list_angle
    if edge is None or not edge.points or flotation is None or angle is None:
        return None
    return freeboard_least(edge.points, flotation, angle)


_DRAFT, _LIST = "her drafts are not known", "her list is not known"
FIGURES: dict[str, _Figure] = {
    "draft_forward": _Figure("Draft forward", "m", _floating("draft_forward"), "flotation", _DRAFT),
    "draft_aft": _Figure("Draft aft", "m", _floating("draft_aft"), "flotation", _DRAFT),
    "draft_midship": _Figure("Draft amidships", "m", _amidships, "flotation", _DRAFT),
    "draft_greatest": _Figure("Greatest draft", "m", _greatest, "flotation", _DRAFT),
    "trim": _Figure("Trim by the stern", "m", _floating("trim"), "flotation", _DRAFT),
    "list": _Figure("List to either side", "degree", _list, "list", _LIST),
    "propeller_immersion": _Figure(
        "Propeller immersion", "%", _immersion, "flotation", "the booklet has no propeller"
    ),
    "air_draft": _Figure(
        "Air draft", "m", _air_draft, "list", "the booklet has no points that may be the highest"
    ),
    "displacement": _Figure("Displacement", "t", lambda ship: ship.displacement.mass, "flotation", _DRAFT),
    "gm_corrected": _Figure("Corrected GM", "m", lambda ship: ship.gm_corrected, "stability", "no GM"),
    "freeboard_least": _Figure(
        "Least freeboard", "m", _freeboard, "list", "the booklet has no points of the deck edge"
    ),
}
SOURCE = "entered with the vessel or the condition"


def row_of(quantity: str, comparison: str) -> Limit:
    """The row of a quantity, at least or at most, without a number. Source: definition."""
    figure = FIGURES[quantity]
    kind = "at-least" if comparison == AT_LEAST else "at-most"
    return Limit(
        f"own-limits-{quantity}-{kind}",
        "own limit",
        figure.title,
        figure.title.lower(),
        comparison,
        None,
        figure.unit,
        SOURCE,
        quantity,
    )


ROWS = tuple(row_of(quantity, comparison) for quantity in QUANTITIES for comparison in (AT_LEAST, AT_MOST))


def evaluate(ship: Situation) -> list[Criterion]:
    """Every limit, those of the vessel before those of the condition. Source: whoever entered them."""
    limits = (*ship.vessel.own_limits, *ship.condition.own_limits)
    return [_judge(ship, limit, number) for number, limit in enumerate(limits, 1)]


def _judge(ship: Situation, limit: OwnLimit, number: int) -> Criterion:
    comparison = AT_MOST if limit.at_least is None else AT_LEAST
    required = limit.at_most if limit.at_least is None else limit.at_least
    row = row_of(limit.quantity, comparison)
    row = replace(
        row, id=f"{row.id}-{number}", clause=limit.clause or row.clause, source=limit.source or row.source
    )
    figure = FIGURES[limit.quantity]
    value, unless = figure.value(ship), None
    if limit.when == (AT_SEA if ship.condition.in_port else IN_PORT):
        words = "holds at sea only" if limit.when == AT_SEA else "holds in port only"
        unless = Ruling(NOT_APPLICABLE, words, CONDITION)
    elif value is None:
        gap = without(ship, "flotation") or without(ship, figure.gap)
        unless = gap or Ruling(NOT_COMPUTABLE, figure.missing)
    # a GM that may be too great does not come to its limit as the centre rises
    effect = 1.0 if limit.quantity == "gm_corrected" and comparison == AT_LEAST else None
    return judge(row, value, required, unless=unless, vcg_effect=effect)


RULE_SET = RuleSet(
    "own-limits",
    "Limits of the ship and of the voyage",
    "as entered",
    "as entered with the vessel or the condition",
    ROWS,
    evaluate_upright=evaluate,
    binds=lambda vessel, condition: bool(vessel.own_limits or condition.own_limits),
    judges_stability=False,
    applies=ALWAYS,
)

"""MARPOL Annex I, regulation 18: drafts of an oil tanker in ballast.

Segregated ballast must let her sail at a draft amidships, a trim and a draft aft that need no oil tanks for ballast.
Judged only where the condition is said to be a ballast condition; lengths are those of the Load Line Convention.
"""

from ..drafts import least_midship, most_trim
from ..situation import Situation
from ..view import propeller_immersion
from .limit import (
    AT_LEAST,
    AT_MOST,
    CONDITION,
    FAIL,
    NOT_APPLICABLE,
    NOT_COMPUTABLE,
    ROUNDING,
    Criterion,
    Intermediate,
    Limit,
    RuleSet,
    Ruling,
    judge,
    without,
)

_DOCUMENT = "MARPOL Annex I"
MIDSHIP = Limit(
    "marpol-annex-1-reg-18-midship",
    "18.3.1",
    "Moulded draft amidships in ballast",
    "draft",
    AT_LEAST,
    None,
    "m",
    f"{_DOCUMENT}, regulation 18.3: not less than 2.0 + 0.02 L, without deflection",
    "ballast_draft_midship",
)
TRIM = Limit(
    "marpol-annex-1-reg-18-trim",
    "18.3.2",
    "Trim in ballast",
    "trim by the stern",
    AT_MOST,
    None,
    "m",
    f"{_DOCUMENT}, regulation 18.3: by the stern, not more than 0.015 L",
    "ballast_trim",
)
PROPELLER = Limit(
    "marpol-annex-1-reg-18-propeller",
    "18.3.3",
    "Propeller immersion in ballast",
    "immersion in percent of the diameter",
    AT_LEAST,
    100.0,
    "%",
    f"{_DOCUMENT}, regulation 18.3: full immersion of the propeller",
    "propeller_immersion",
)
NOT_IN_BALLAST = Ruling(NOT_APPLICABLE, "not said to be a ballast condition", CONDITION)
NO_LENGTH = Ruling(NOT_COMPUTABLE, "the booklet has no load line length")
NO_PROPELLER = Ruling(NOT_COMPUTABLE, "the booklet has no propeller")
BY_THE_HEAD = Ruling(FAIL, "she trims by the head")


def evaluate(ship: Situation) -> list[Criterion]:
    """Draft amidships, trim, propeller. Source: MARPOL Annex I, regulation 18.3."""
    rows = (MIDSHIP, TRIM, PROPELLER)
    if not ship.condition.ballast:
        return [judge(row, None, unless=NOT_IN_BALLAST) for row in rows]
    flotation, length = ship.flotation, ship.vessel.particulars.length_load_line
    if flotation is None:
        return [judge(row, None, unless=without(ship, "flotation")) for row in rows]
    propeller = ship.vessel.propeller
    immersed = None if propeller is None else propeller_immersion(propeller, flotation)
    last = judge(PROPELLER, immersed, unless=NO_PROPELLER if propeller is None else None)
    if length is None:
        return [*(judge(row, None, unless=NO_LENGTH) for row in rows[:2]), last]
    details = (Intermediate("length", "load line length", "m", length),)
    head = BY_THE_HEAD if flotation.trim < -ROUNDING else None
    return [
        judge(MIDSHIP, flotation.draft_midship, least_midship(length), details=details),
        judge(TRIM, flotation.trim, most_trim(length), unless=head, details=details),
        last,
    ]


RULE_SET = RuleSet(
    "marpol-annex-1-reg-18",
    "Drafts of an oil tanker in ballast",
    _DOCUMENT,
    "regulation 18.3",
    (MIDSHIP, TRIM, PROPELLER),
    evaluate_upright=evaluate,
    judges_stability=False,
)

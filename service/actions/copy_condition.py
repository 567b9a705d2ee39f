"""A new condition from one that is kept: as it is, or as an arrival with less of what is consumed.

Nothing is carried over that was true of that moment alone: id, reference, drafts and roll that were read; with
consumables neither the plan, which lies behind her then.
"""

from collections.abc import Mapping
from typing import Any, NamedTuple

import pydantic_core

from service.actions.access import Caller
from service.actions.assess import Assessor
from service.actions.keep_condition import Draft, draft_new
from service.actions.records.transactions import Records
from service.storage import ConditionRevision
from service.wire.copy import Consumables, CopyRequest
from service.wire.problem import error
from service.wire.refusal import Refusal

Row = dict[str, Any]
CONSUMED = frozenset({"fuel_oil", "diesel_oil", "lubricating_oil", "fresh_water"})
SCALED = ("mass", "volume", "fill")
DECIMALS = 6
MAX_TITLE = 200
_NOT_CARRIED = ("id", "reference", "observed")


class Copied(NamedTuple):
    """The draft of the new condition, and where it comes from, in words."""

    draft: Draft
    reason: str


def copied_condition(
    records: Records, assessor: Assessor, caller: Caller, id: str, request: CopyRequest
) -> Copied:
    """A draft made of the latest revision of condition `id`.

    Raises Refusal: invalid_request unless consumables give one of percent and days; consumption_missing where days are
    given and the plan says no consumption; not_computable where a stock is used up before.
    """
    caller.require("write_condition")
    used = request.consumables
    if used is not None and (used.percent is None) == (used.days is None):
        wrong = [error(("consumables",), "exactly_one", "Give percent or days, one of them.")]
        raise Refusal("invalid_request", "How much is used up is given once.", wrong)
    with records.reading() as tx:
        head = tx.conditions.get(id)
        caller.require_vessel(head.vessel, "condition")
        kept = tx.conditions.revision(id, head.head_number)
    document = pydantic_core.from_json(kept.document)
    title = document["title"]
    document = {name: value for name, value in document.items() if name not in _NOT_CARRIED}
    if used is None:
        words, fallback = "", f"Copy of {title}"
    else:
        document = (
            _after_days(assessor, kept, document, used) if used.days else _after_percent(kept, document, used)
        )
        words = f", {used.days:g} days later" if used.days else f", {used.percent:g} % of consumables used up"
        fallback = f"Arrival from: {title}"
    document["title"] = request.title or fallback[:MAX_TITLE]
    return Copied(
        draft_new(caller, kept.vessel, document), f"From {title}, revision {kept.number}{words}"[:500]
    )


def _after_percent(kept: ConditionRevision, document: Row, used: Consumables) -> Row:
    """Tanks of consumables and stores with `percent` less; a line that was sounded becomes a mass."""
    left = 1.0 - (used.percent or 0.0) / 100.0
    answered = {row["tank"]: row for row in pydantic_core.from_json(kept.assessment)["tanks"]}
    tanks = [_after_use(line, answered[line["tank"]], left) for line in document.get("tanks", ())]
    weights = [
        {**weight, "mass": round(weight["mass"] * left, DECIMALS)}
        if weight["category"] == "stores"
        else weight
        for weight in document.get("weights", ())
    ]
    return _arrived({**document, "tanks": tanks, "weights": weights})


def _after_use(line: Row, answered: Mapping[str, Any], left: float) -> Row:
    if answered["contents"] not in CONSUMED:
        return line
    given = next((name for name in SCALED if line.get(name) is not None), None)
    if given is not None:
        return {**line, given: round(line[given] * left, DECIMALS)}
    typed = {name: value for name, value in line.items() if name not in ("sounding", "ullage")}
    return {**typed, "mass": round(answered["mass"] * left, DECIMALS)}


def _after_days(assessor: Assessor, kept: ConditionRevision, document: Row, used: Consumables) -> Row:
    """The end of a plan of one stage that takes so many days, as it would be typed out."""
    plan = document.get("plan") or {}
    given = [plan.get("consumption"), *(stage.get("consumption") for stage in plan.get("stages", ()))]
    consumption = next((lines for lines in given if lines), None)
    if consumption is None:
        detail = "The plan of the condition says nothing of what is used a day."
        raise Refusal(
            "consumption_missing", detail, [error(("consumables", "days"), "consumption_missing", detail)]
        )
    stage = {"name": "Passage", "days": used.days, "transition": "ends"}
    sailed = {"kind": "voyage", "every_days": 1000.0, "consumption": consumption, "stages": [stage]}
    request = {"vessel_id": kept.vessel, "condition": {**document, "plan": sailed}}
    points = assessor.assessment(request)["plan"]["points"]
    if points[-1]["reason"] is not None:
        raise Refusal("not_computable", f"After {used.days:g} days: {points[-1]['reason']}")
    arrived = assessor.point(request, points[-1]["index"])["condition"]
    return _arrived(pydantic_core.from_json(pydantic_core.to_json(arrived)))


def _arrived(document: Row) -> Row:
    """Without the plan, and as an arrival where it was a departure."""
    document = {name: value for name, value in document.items() if name != "plan"}
    voyage = document.get("voyage")
    if voyage and voyage.get("phase") in ("departure", "at_sea"):
        document["voyage"] = {**voyage, "phase": "arrival"}
    return document

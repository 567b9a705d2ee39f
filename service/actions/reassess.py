"""Kept revisions judged again, by another revision of the vessel's data or today's calculation. Nothing is kept."""

from collections.abc import Iterator
from typing import Any

import pydantic_core

from service.actions.access import Caller
from service.actions.assess import Assessor, as_json
from service.actions.comparison.assessments import criterion_changes, figure_changes
from service.actions.records.transactions import Records, not_found
from service.actions.show_condition import NOT_WITHDRAWN
from service.storage import Condition, ConditionRevision, Filter, NotFound, Transaction, now
from service.translation.calculation_version import CALCULATION_VERSION
from service.translation.older_answer import in_present_shape
from service.translation.rule_sets import present_name
from service.wire.assessment import CAUTION, Assessment
from service.wire.comparison import MovedNumber, Reassessed
from service.wire.pointer import pointer_of
from service.wire.reassessment import ReassessedCondition, ReassessmentRequest
from service.wire.refusal import Refusal, foreign_cursor

MAX_MOVED = 500
Position = tuple[str, int]


def reassessed(assessor: Assessor, kept: ConditionRevision, vessel_revision: int | None = None) -> Reassessed:
    """One kept revision as it would be judged now; by the vessel's data it was judged by unless told otherwise."""
    return _again(assessor, kept, vessel_revision or kept.vessel_revision)[0]


def reassess_conditions(
    records: Records,
    assessor: Assessor,
    caller: Caller,
    request: ReassessmentRequest,
    *,
    position: Position | None,
    limit: int,
) -> tuple[dict[str, Any], list[ReassessedCondition], Position | None]:
    """The head of a report, a page of its items, and where the page ends."""
    caller.require("assess")
    caller.require_vessel(request.vessel)
    with records.reading() as tx:
        revision = tx.vessels.revision(request.vessel, request.vessel_revision).number
        wanted = list(_revisions_to_assess(tx, caller, request, position, limit))
    items = [_item(assessor, kept, revision)[0] for kept in wanted]
    head = {
        "created": now(),
        "vessel": request.vessel,
        "vessel_revision": revision,
        "calculation_version": CALCULATION_VERSION,
        "units": None,
        "verdicts_changed": sum(item["verdict"] != item["kept_verdict"] for item in items),
        "caution": CAUTION,
    }
    last = (wanted[-1].condition, wanted[-1].number) if wanted else None
    return head, items, last


def reassess_revision(
    records: Records, assessor: Assessor, caller: Caller, condition: str, number: int
) -> tuple[ReassessedCondition, Assessment | None]:
    """One kept revision judged again by the vessel's data it was judged by, and today's answer in its units (None
    where it cannot be judged now). Nothing is kept."""
    caller.require("assess")
    with records.reading() as tx:
        caller.require_vessel(tx.conditions.get(condition).vessel, "condition")
        kept = tx.conditions.revision(condition, number)
    return _item(assessor, kept, kept.vessel_revision)


def moved_numbers(kept: Any, now: Any, path: tuple[str | int, ...] = ()) -> Iterator[MovedNumber]:
    """Every number (or word) of a kept answer that is another one now; provenance apart.

    A member that the kept answer does not have is no number that moved: an earlier calculation did not give it."""
    if isinstance(kept, dict) and isinstance(now, dict):
        for name in kept:
            if path or name != "provenance":
                yield from moved_numbers(kept[name], now.get(name), (*path, name))
    elif path == ("criteria",):
        yield from _moved_criteria(kept, now)
    elif isinstance(kept, list) and isinstance(now, list) and len(kept) == len(now):
        for place, (old, new) in enumerate(zip(kept, now, strict=True)):
            yield from moved_numbers(old, new, (*path, place))
    elif kept != now:
        yield {"path": pointer_of(path), "kept": kept, "now": now}


def _moved_criteria(kept: list[dict[str, Any]], now: list[dict[str, Any]]) -> Iterator[MovedNumber]:
    """Clause by clause: another calculation may judge more of them. Intermediate values by their names."""
    today = {(present_name(row["rule_set"]), row["id"]): row for row in now}
    for place, old in enumerate(kept):
        path = ("criteria", place)
        new = today.get((present_name(old["rule_set"]), old["id"]))
        if new is None:
            yield {"path": pointer_of(path), "kept": old["id"], "now": None}
            continue
        values = {detail["name"]: detail["value"] for detail in new["details"]}
        for row, detail in enumerate(old["details"]):
            found = values.get(detail["name"])
            if found != detail["value"]:
                where = pointer_of((*path, "details", row, "value"))
                yield {"path": where, "kept": detail["value"], "now": found}
        rest = {name: value for name, value in old.items() if name not in ("details", "rule_set")}
        yield from moved_numbers(rest, new, path)


def _item(
    assessor: Assessor, kept: ConditionRevision, vessel_revision: int
) -> tuple[ReassessedCondition, Assessment | None]:
    again, answer = _again(assessor, kept, vessel_revision)
    figures = [] if answer is None else figure_changes(_kept_answer(kept), answer)
    return {**again, "condition": kept.condition, "title": kept.title, "figures": figures}, answer


def _kept_answer(kept: ConditionRevision) -> Assessment:
    return in_present_shape(pydantic_core.from_json(kept.assessment))


def _again(
    assessor: Assessor, kept: ConditionRevision, vessel_revision: int
) -> tuple[Reassessed, Assessment | None]:
    raw, before = pydantic_core.from_json(kept.assessment), _kept_answer(kept)
    request = {
        "vessel_id": kept.vessel,
        "vessel_revision": vessel_revision,
        "condition": pydantic_core.from_json(kept.document),
    }
    refused, answer = None, None
    try:
        answer = assessor.assessment(request, before["units"]["system"])
    except Refusal as refusal:
        refused = refusal.detail
    # Through its text, as the kept one: so equal numbers are equal.
    after: Assessment | None = None if answer is None else pydantic_core.from_json(as_json(answer))
    moved = [] if after is None else list(moved_numbers(raw, after))
    flips = [] if after is None else [row for row in criterion_changes(before, after) if row["flipped"]]
    again: Reassessed = {
        "revision": kept.number,
        "vessel_revision": vessel_revision,
        "kept_vessel_revision": kept.vessel_revision,
        "calculation_version": CALCULATION_VERSION,
        "kept_calculation_version": kept.calculation_version,
        "verdict": None if after is None else after["verdict"],
        "kept_verdict": before["verdict"],
        "dangers": None if after is None else after["dangers"],
        "kept_dangers": before["dangers"],
        "refused": refused,
        "criteria": flips,
        "moved": moved[:MAX_MOVED],
        "moved_count": len(moved),
    }
    return again, after


def _revisions_to_assess(
    tx: Transaction, caller: Caller, request: ReassessmentRequest, position: Position | None, limit: int
) -> Iterator[ConditionRevision]:
    """Kept revisions in the order of the report, at most `limit`, after `position`.

    Raises Refusal (invalid_query) for a position that is not one of this report.
    """
    given = 0
    for head in _heads(tx, caller, request, position, limit):
        resumed = position is not None and head.id == position[0]
        newest = position[1] - 1 if resumed and position else head.head_number
        if newest > head.head_number:
            raise foreign_cursor()
        oldest = 1 if request.all_revisions else head.head_number
        for number in range(newest, oldest - 1, -1):
            if given == limit:
                return
            given += 1
            yield tx.conditions.revision(head.id, number)


def _heads(
    tx: Transaction, caller: Caller, request: ReassessmentRequest, position: Position | None, limit: int
) -> Iterator[Condition]:
    if request.conditions is not None:
        chosen = sorted(set(request.conditions), reverse=True)
        heads = [tx.conditions.get(id) for id in chosen if position is None or id <= position[0]]
        for head in heads:
            if head.vessel != request.vessel:
                raise not_found("condition")
        yield from heads
        return
    if position is not None:
        yield _condition_of_cursor(tx, request.vessel, position[0])
    wanted = Filter(vessels=caller.vessels, vessel=request.vessel, states=NOT_WITHDRAWN)
    yield from tx.conditions.list(wanted, before=position and position[0], limit=limit + 1)


def _condition_of_cursor(tx: Transaction, vessel: str, condition: str) -> Condition:
    """The condition that the page before ended with; one of another vessel is refused like one that is not there."""
    try:
        head = tx.conditions.get(condition)
    except NotFound:
        raise foreign_cursor() from None
    if head.vessel != vessel:
        raise foreign_cursor()
    return head

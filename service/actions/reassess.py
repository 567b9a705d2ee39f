"""Kept revisions judged again, by another revision of the vessel's data or today's calculation. Nothing is kept."""

from collections.abc import Collection, Iterator, Sequence
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
from service.translation.rule_sets import is_rule_set, present_name
from service.wire.assessment import CAUTION, Assessment
from service.wire.comparison import MovedNumber, Reassessed
from service.wire.pointer import pointer_of
from service.wire.problem import error
from service.wire.reassessment import ReassessedCondition, ReassessmentRequest
from service.wire.refusal import Refusal, foreign_cursor

MAX_MOVED = 500
_HARMLESS = ("pass", "not_applicable")
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
    require_consistent(request)
    revision = None
    with records.reading() as tx:
        if request.vessel is not None:
            caller.require_vessel(request.vessel)
            tx.vessels.get(request.vessel)
            if request.vessel_data == "latest":
                revision = tx.vessels.revision(request.vessel, request.vessel_revision).number
        wanted = list(_revisions_to_assess(tx, caller, request, position, limit))
        numbers = [revision or _data_for(tx, request, kept) for kept in wanted]
    items = [
        reassess_kept(assessor, kept, number, request.rule_sets or ())[0]
        for kept, number in zip(wanted, numbers, strict=True)
    ]
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
    if request.order == "worst_first":
        items.sort(key=concern)
    return head, items, last


def require_consistent(request: ReassessmentRequest) -> None:
    """Raises Refusal where members of a request do not go together, or a rule set is not known."""
    wrong = [
        error((name,), "not_here", "Only with vessel.")
        for name in ("vessel_revision", "conditions")
        if request.vessel is None and getattr(request, name) is not None
    ]
    if request.vessel_revision is not None and request.vessel_data == "kept":
        wrong.append(error(("vessel_data",), "not_here", "Not kept beside vessel_revision."))
    if wrong:
        raise Refusal("invalid_request", "Members of the request do not go together.", wrong)
    unknown = [
        error(("rule_sets", i), "unknown_rule_set", "This rule set is not in /v1/rule-sets.")
        for i, name in enumerate(request.rule_sets or ())
        if not is_rule_set(name)
    ]
    if unknown:
        raise Refusal("unknown_rule_set", "A rule set is not known here.", unknown)


def concern(item: ReassessedCondition) -> tuple[int, float]:
    """Sorts what was judged again: what became worst first, what stands as it was last.

    Fails now; cannot be judged now; no longer computed whole; more dangers; a clause that no longer passes; other
    changes of verdict or clause; moved numbers. Within these, the one whose main figures moved farthest, as a share
    of what they were.
    """
    moved = [
        abs(row["change"]) / max(abs(row["before"] or 0.0), 1e-3)
        for row in item["figures"]
        if row["change"] is not None and row["change"] != 0.0
    ]
    return _rank(item), -max(moved, default=0.0)


NOTHING_MOVED = 7


def _rank(item: ReassessedCondition) -> int:
    verdict, before = item["verdict"], item["kept_verdict"]
    if verdict is None:
        return 1
    if verdict != before and verdict != "pass":
        return 0 if verdict == "fail" else 2
    if (item["dangers"] or 0) > item["kept_dangers"]:
        return 3
    if any(row["after"] is None or row["after"]["verdict"] not in _HARMLESS for row in item["criteria"]):
        return 4
    if verdict != before or item["criteria"] or item["dangers"] != item["kept_dangers"]:
        return 5
    return 6 if item["moved_count"] else NOTHING_MOVED


def reassess_revision(
    records: Records, assessor: Assessor, caller: Caller, condition: str, number: int
) -> tuple[ReassessedCondition, Assessment | None]:
    """One kept revision judged again by the vessel's data it was judged by, and today's answer in its units (None
    where it cannot be judged now). Nothing is kept."""
    caller.require("assess")
    with records.reading() as tx:
        caller.require_vessel(tx.conditions.get(condition).vessel, "condition")
        kept = tx.conditions.revision(condition, number)
    return reassess_kept(assessor, kept, kept.vessel_revision)


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


def reassess_kept(
    assessor: Assessor, kept: ConditionRevision, vessel_revision: int, rule_sets: Sequence[str] = ()
) -> tuple[ReassessedCondition, Assessment | None]:
    """One kept revision judged by a revision of her vessel's data, with more rule sets where they are named, and
    today's answer in its units (None where it cannot be judged now)."""
    again, answer = _again(assessor, kept, vessel_revision, rule_sets)
    figures = [] if answer is None else figure_changes(_kept_answer(kept), answer)
    item: ReassessedCondition = {
        **again,
        "vessel": kept.vessel,
        "condition": kept.condition,
        "title": kept.title,
        "figures": figures,
    }
    return item, answer


def _kept_answer(kept: ConditionRevision) -> Assessment:
    return in_present_shape(pydantic_core.from_json(kept.assessment))


def _again(
    assessor: Assessor, kept: ConditionRevision, vessel_revision: int, rule_sets: Sequence[str] = ()
) -> tuple[Reassessed, Assessment | None]:
    raw, before = pydantic_core.from_json(kept.assessment), _kept_answer(kept)
    document = pydantic_core.from_json(kept.document)
    if rule_sets:
        named = document.get("rule_sets") or []
        known = {present_name(name) for name in named}
        more = dict.fromkeys(name for name in rule_sets if present_name(name) not in known)
        document["rule_sets"] = [*named, *more]
    request = {"vessel_id": kept.vessel, "vessel_revision": vessel_revision, "condition": document}
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
        yield _condition_of_cursor(tx, caller, request.vessel, position[0])
    wanted = conditions_to_recheck(caller.vessels, request.vessel)
    yield from tx.conditions.list(wanted, before=position and position[0], limit=limit + 1)


def conditions_to_recheck(scope: Collection[str] | None, vessel: str | None) -> Filter:
    """Conditions that are not withdrawn: of one vessel, or of every active one within the scope."""
    return Filter(vessels=scope, vessel=vessel, states=NOT_WITHDRAWN, of_active=vessel is None)


def _data_for(tx: Transaction, request: ReassessmentRequest, kept: ConditionRevision) -> int:
    """Number of the vessel's data a revision is judged by, where that is not one for all."""
    if request.vessel_data == "kept":
        return kept.vessel_revision
    return tx.vessels.get(kept.vessel).head_number


def _condition_of_cursor(tx: Transaction, caller: Caller, vessel: str | None, condition: str) -> Condition:
    """The condition that the page before ended with; one of another vessel is refused like one that is not there."""
    try:
        head = tx.conditions.get(condition)
    except NotFound:
        raise foreign_cursor() from None
    if vessel not in (None, head.vessel) or (
        caller.vessels is not None and head.vessel not in caller.vessels
    ):
        raise foreign_cursor()
    return head

"""Judge a condition and keep it: `judge_*` first, outside any transaction, then `keep_*` in the writing one.

A condition is judged by the latest data of its vessel, whose revision is pinned in the kept record. Were the data
revised in between, the record says truly by which revision it was judged.
"""

from dataclasses import dataclass
from typing import Any

import pydantic_core

from service.actions.access import Caller
from service.actions.assess import AssessmentDesk, as_json
from service.actions.merge_patch import merged
from service.actions.once import Made, Once, once
from service.actions.records import Records
from service.actions.refusal import Refusal
from service.actions.show_condition import condition_tag, condition_text
from service.actions.tag import require_tag
from service.actions.units import SCALES
from service.storage import AuditEntry, ConditionEntry, ConditionRevision, Transaction, canonical
from service.wire.problem import error

_ROOT = "/condition"


@dataclass(frozen=True)
class Judged:
    """A condition with its assessment, ready to be kept. `seen` is the tag of the state it was made from."""

    vessel: str
    entry: ConditionEntry
    condition: str | None = None
    seen: str | None = None


def judge_new(desk: AssessmentDesk, caller: Caller, vessel: str, document: dict[str, Any]) -> Judged:
    """Judge a condition that is to be a new one of `vessel`. Raises Refusal."""
    caller.require("write_condition")
    caller.require_vessel(vessel)
    return Judged(vessel, _entry(desk, caller, vessel, document))


def judge_replacement(
    records: Records,
    desk: AssessmentDesk,
    caller: Caller,
    id: str,
    document: dict[str, Any],
    *,
    expected: frozenset[str],
    patch: bool = False,
) -> Judged:
    """Judge the next revision of condition `id`: `document` itself, or as a merge patch (RFC 7396) of the latest one.

    Raises Refusal, stale when the condition's present tag is not among `expected`.
    """
    caller.require("write_condition")
    with records.reading() as tx:
        head = tx.conditions.get(id)
        caller.require_vessel(head.vessel, "condition")
        require_tag(condition_tag(head), expected, head.head_number)
        text = tx.conditions.revision(id, head.head_number).document if patch else None
    if text is not None:
        document = _patched(pydantic_core.from_json(text), document)
    entry = _entry(desk, caller, head.vessel, document)
    return Judged(head.vessel, entry, id, condition_tag(head))


def keep_new(
    records: Records, caller: Caller, judged: Judged, *, reason: str | None = None, name: Once | None = None
) -> Made:
    """Keep a judged condition as a new one."""
    entry = _because(judged, reason)
    with records.writing() as tx:

        def make() -> Made:
            kept = tx.conditions.create(judged.vessel, entry)
            return _made(tx, caller, kept, "create_condition", 201, None)

        return once(tx, caller, name, make)


def keep_replacement(records: Records, caller: Caller, judged: Judged, *, reason: str | None = None) -> Made:
    """Keep a judged condition as the next revision. Raises Refusal (stale) when somebody else was faster."""
    assert judged.condition is not None
    assert judged.seen is not None
    entry = _because(judged, reason)
    with records.writing() as tx:
        head = tx.conditions.get(judged.condition)
        require_tag(condition_tag(head), frozenset((judged.seen,)), head.head_number)
        kept = tx.conditions.append(judged.condition, entry, expected=head.head_digest)
        return _made(tx, caller, kept, "revise_condition", 200, head.head_digest)


def _because(judged: Judged, reason: str | None) -> ConditionEntry:
    return judged.entry.model_copy(update={"reason": reason})


def _entry(desk: AssessmentDesk, caller: Caller, vessel: str, document: dict[str, Any]) -> ConditionEntry:
    assessment = _assessed(desk, vessel, document)
    scale = SCALES[assessment["units"]["system"]]
    margin = assessment["smallest_margin"]
    provenance = assessment["provenance"]
    voyage = document.get("voyage") or {}
    return ConditionEntry(
        title=document["title"],
        phase=voyage.get("phase"),
        voyage=voyage.get("number"),
        verdict=assessment["verdict"],
        smallest_margin=margin and margin["percent"],
        smallest_margin_criterion=margin and margin["criterion"],
        displacement=assessment["displacement"] * scale.mass,
        gm_corrected=assessment["stability"]["gm_corrected"] * scale.length,
        vessel_revision=provenance["vessel"]["revision"],
        rule_sets=canonical(provenance["rule_sets"]),
        calculation_version=provenance["calculation_version"],
        author_key=caller.key_id,
        author_name=caller.name,
        request_id=caller.request_id,
        document=canonical(document),
        assessment=as_json(assessment).decode(),
    )


def _assessed(desk: AssessmentDesk, vessel: str, document: dict[str, Any]) -> dict[str, Any]:
    """The assessment; places of a refusal are those of the posted condition itself."""
    try:
        return desk.assessment({"vessel_id": vessel, "condition": document})
    except Refusal as refused:
        errors = [{**e, "pointer": e["pointer"].removeprefix(_ROOT)} for e in refused.errors]
        raise Refusal(refused.code, refused.detail, errors, retry_after=refused.retry_after) from None  # type: ignore[arg-type]


def _patched(document: Any, patch: dict[str, Any]) -> dict[str, Any]:
    result = merged(document, patch)
    if not isinstance(result, dict):
        wrong = [error((), "dict_type", "The patch must leave an object.")]
        raise Refusal("invalid_request", "The patch leaves no condition.", wrong)
    return result


def _made(
    tx: Transaction,
    caller: Caller,
    kept: ConditionRevision,
    action: str,
    status: int,
    before: str | None,
) -> Made:
    tx.audit.append(
        AuditEntry(
            key_id=caller.key_id,
            key_name=caller.name,
            action=action,
            status=status,
            request_id=caller.request_id,
            address=caller.address,
            vessel=kept.vessel,
            condition=kept.condition,
            revision=kept.number,
            digest_before=before,
            digest_after=kept.digest,
            reason=kept.reason,
        )
    )
    return Made(condition_text(kept), f"/v1/conditions/{kept.condition}", kept.digest)

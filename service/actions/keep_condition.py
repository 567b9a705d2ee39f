"""Judge a condition and keep it: a draft, judged outside any transaction, then kept in the writing one.

A condition is judged by the latest data of its vessel, whose revision is pinned in the kept record. Were the data
revised in between, the record says truly by which revision it was judged.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from typing import Any, NamedTuple

import pydantic_core

from service.actions.access import Caller
from service.actions.assess import Answer, Assessor, as_json
from service.actions.merge_patch import merged
from service.actions.records.audit_note import write_audit_line
from service.actions.records.entity_tag import require_revision, tag_of_condition
from service.actions.records.repeatable_request import (
    CREATED,
    RequestName,
    WriteResult,
    answer_once,
    made_before,
)
from service.actions.records.transactions import Records
from service.actions.show_condition import condition_tag, condition_text
from service.actions.stored_figures import in_core_units, stored_figures
from service.actions.taken import keep_reference, require_free_reference, require_same_id, taken
from service.storage import (
    Condition,
    ConditionEntry,
    ConditionRevision,
    FleetFigures,
    TextFacts,
    Transaction,
    canonical,
    fleet_figures,
    sha256,
)
from service.translation.units import SCALES
from service.wire.problem import ProblemError, error
from service.wire.refusal import Refusal

_ROOT = "/condition"


@dataclass(frozen=True)
class Draft:
    """A condition that somebody may keep, not judged yet. `seen` is the digest of the revision it was made from;
    without a `condition` it is a new one.
    """

    vessel: str
    document: dict[str, Any]
    condition: str | None = None
    seen: str | None = None

    @property
    def request(self) -> dict[str, Any]:
        """What to ask for its assessment."""
        return {"vessel_id": self.vessel, "condition": self.document}


@dataclass(frozen=True)
class Judged:
    """A draft with its assessment, ready to be kept."""

    draft: Draft
    entry: ConditionEntry
    shown: FleetFigures
    facts: TextFacts


def draft_new(caller: Caller, vessel: str, document: dict[str, Any]) -> Draft:
    """A condition that is to be a new one of `vessel`. Raises Refusal."""
    caller.require("write_condition")
    caller.require_vessel(vessel)
    return Draft(vessel, document)


def draft_replacement(
    records: Records,
    caller: Caller,
    id: str,
    document: dict[str, Any],
    *,
    expected: frozenset[str],
    patch: bool = False,
) -> Draft:
    """The next revision of condition `id`: `document` itself, or as a merge patch (RFC 7396) of the latest one.

    Raises Refusal, stale when the condition's present tag is not among `expected`.
    """
    caller.require("write_condition")
    with records.reading() as tx:
        return _replacement(tx, caller, id, document, expected, patch)


def draft_or_made_before(
    records: Records,
    caller: Caller,
    id: str,
    document: dict[str, Any],
    name: RequestName | None,
    *,
    expected: frozenset[str],
    patch: bool = False,
) -> Draft | WriteResult:
    """The same, or what the request of that name made the first time: then `expected` is of the state before that.

    Both are looked up in one snapshot, so that a first request that is kept meanwhile does not make this one stale.
    """
    caller.require("write_condition")
    with records.reading() as tx:
        caller.require_vessel(tx.conditions.get(id).vessel, "condition")
        made = None if name is None else made_before(tx, caller, name)
        return made or _replacement(tx, caller, id, document, expected, patch)


def _replacement(
    tx: Transaction,
    caller: Caller,
    id: str,
    document: dict[str, Any],
    expected: frozenset[str],
    patch: bool,
) -> Draft:
    head = tx.conditions.get(id)
    caller.require_vessel(head.vessel, "condition")
    require_revision(condition_tag(head), head.head_digest, expected, head.head_number)
    if patch:
        text = tx.conditions.revision(id, head.head_number).document
        document = _after_patch(pydantic_core.from_json(text), document)
    require_same_id(id, document.get("id"))
    return Draft(head.vessel, document, id, head.head_digest)


def _entry_of(
    caller: Caller, document: dict[str, Any], reason: str | None, assessment: Answer
) -> ConditionEntry:
    """A condition with the answer that was made for it, as it is going to be kept."""
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
        gm_corrected=in_core_units(assessment["stability"]["gm_corrected"], scale.length),
        **stored_figures(assessment),
        vessel_revision=provenance["vessel"]["revision"],
        rule_sets=canonical(provenance["rule_sets"]),
        calculation_version=provenance["calculation_version"],
        author_key=caller.key_id,
        author_name=caller.name,
        reason=reason,
        request_id=caller.request_id,
        document=canonical(document),
        assessment=as_json(assessment).decode(),
    )


def judge(assessor: Assessor, caller: Caller, draft: Draft, reason: str | None = None) -> Judged:
    """Judge a draft here and now. Raises Refusal with places of the posted condition itself."""
    try:
        assessment = assessor.assessment(draft.request)
    except Refusal as refused:
        raise _as_posted(refused) from None
    entry = _entry_of(caller, draft.document, reason, assessment)
    facts = TextFacts(sha256(entry.document), sha256(entry.assessment), draft.document.get("reference"))
    return Judged(draft, entry, fleet_figures(draft.document, assessment), facts)


class JudgeRequest(NamedTuple):
    """A draft to be judged, with its author and the reason given."""

    caller: Caller
    draft: Draft
    reason: str | None


@dataclass(frozen=True, slots=True)
class Drafts:
    """Several drafts to be judged, each with its author and reason: a task for a worker process."""

    drafts: list[JudgeRequest]

    def results(self, assessor: Assessor) -> Iterator[Judged | Exception]:
        """Each judged, or what it was refused with. A vessel is found once for all of them."""
        together = assessor.finding_once()
        for caller, draft, reason in self.drafts:
            try:
                result: Judged | Exception = judge(together, caller, draft, reason)
            except Exception as fault:  # noqa: BLE001 - told to the author of this one
                result = fault
            yield result


def _as_posted(refused: Refusal) -> Refusal:
    """A refusal of an assessment, its places those of the posted condition itself."""
    errors = [_at(e, e["pointer"].removeprefix(_ROOT)) for e in refused.errors]
    return Refusal(refused.code, refused.detail, errors, retry_after=refused.retry_after)


def keep(records: Records, caller: Caller, done: Judged, *, name: RequestName | None = None) -> WriteResult:
    """Keep a judged draft in a transaction of its own. Raises Refusal (stale) when somebody else was faster."""
    with records.writing() as tx:
        return kept_in(tx, caller, done, name)


def kept_in(tx: Transaction, caller: Caller, done: Judged, name: RequestName | None = None) -> WriteResult:
    """Keep a judged draft in a writing transaction, which others may share."""
    status = CREATED if done.draft.condition is None else 200
    return answer_once(tx, caller, name, partial(_store, tx, caller, done), status)


def _store(tx: Transaction, caller: Caller, done: Judged) -> WriteResult:
    draft = done.draft
    if draft.condition is None or draft.seen is None:
        id, reference = draft.document.get("id"), draft.document.get("reference")
        if id is not None and tx.conditions.is_taken(id):
            raise taken("id", "There is a condition of this id.")
        require_free_reference(tx, caller, "condition", reference)
        kept = tx.conditions.create(draft.vessel, done.entry, id=id, shown=done.shown, facts=done.facts)
        keep_reference(tx, caller, "condition", reference, kept.condition)
        return _result(tx, caller, kept, "create_condition", 201)
    head = tx.conditions.get(draft.condition)
    require_revision(condition_tag(head), head.head_digest, frozenset((draft.seen,)), head.head_number)
    kept = tx.conditions.append(
        draft.condition, done.entry, expected=head.head_digest, shown=done.shown, facts=done.facts
    )
    return _result(tx, caller, kept, "revise_condition", 200, head)


def _at(found: ProblemError, pointer: str) -> ProblemError:
    return {"pointer": pointer, "code": found["code"], "detail": found["detail"]}


def _after_patch(document: Any, patch: dict[str, Any]) -> dict[str, Any]:
    result = merged(document, patch)
    if not isinstance(result, dict):
        wrong = [error((), "dict_type", "The patch must leave an object.")]
        raise Refusal("invalid_request", "The patch leaves no condition.", wrong)
    return result


def _result(
    tx: Transaction,
    caller: Caller,
    kept: ConditionRevision,
    action: str,
    status: int,
    before: Condition | None = None,
) -> WriteResult:
    write_audit_line(
        tx,
        caller,
        action,
        status,
        reason=kept.reason,
        vessel=kept.vessel,
        condition=kept.condition,
        revision=kept.number,
        digest_before=before.head_digest if before else None,
        digest_after=kept.digest,
    )
    place = f"/v1/conditions/{kept.condition}"
    tag = tag_of_condition(kept.number, before.states if before else 0, before.reviews if before else 0)
    return WriteResult(condition_text(kept), place, tag, shows=f"{place}/revisions/{kept.number}")

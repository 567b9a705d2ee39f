"""Keep a vessel's data: a new vessel, or the next revision of one. Nothing kept before is touched."""

from dataclasses import dataclass
from typing import Any

from service.actions.access import Caller
from service.actions.assess import Assessor
from service.actions.records.audit_note import write_audit_line
from service.actions.records.entity_tag import require_tag, tag_of_vessel
from service.actions.records.repeatable_request import RequestName, WriteResult, answer_once
from service.actions.records.transactions import Records
from service.actions.refresh_fleet import keep_proof
from service.actions.show_vessel import vessel_revision_text, vessel_tag
from service.actions.taken import keep_reference, require_free_reference, require_same_id, taken
from service.storage import Transaction, Vessel, VesselEntry, VesselRevision, canonical
from service.translation.proof import proof_of
from service.wire.proof import Proof
from service.wire.vessel import Vessel as VesselDocument


@dataclass(frozen=True)
class CheckedVessel:
    """A vessel document that can be calculated with, ready to be kept."""

    name: str
    imo_number: str | None
    source: str
    document: str
    id: str | None = None
    reference: str | None = None
    proof: Proof | None = None


def prepare_to_store(assessor: Assessor, document: dict[str, Any]) -> CheckedVessel:
    """Prepare a posted vessel as for a calculation. Raises Refusal with every place that is wrong."""
    prepared = assessor.prepare(document, ())
    source = document["source"]
    parts = (source["booklet"], source.get("revision"), source.get("date"))
    return CheckedVessel(
        name=document["name"],
        imo_number=document.get("imo_number"),
        source=", ".join(part for part in parts if part),
        document=canonical(document),
        id=document.get("id"),
        reference=document.get("reference"),
        proof=proof_of(VesselDocument.model_validate(document), (), prepared.vessel),
    )


def add_vessel(
    records: Records,
    caller: Caller,
    checked: CheckedVessel,
    *,
    reason: str | None = None,
    name: RequestName | None = None,
    id: str | None = None,
    sent: str | None = None,
) -> WriteResult:
    """Keep a new vessel; `id` makes her known under an id of the installation's own choice, `sent` says in the
    audit log what file she came from.

    Raises Refusal where her id, her IMO number or her reference is taken.
    """
    caller.require("add_vessel")
    chosen = id or checked.id
    with records.writing() as tx:

        def make() -> WriteResult:
            if chosen is not None and tx.vessels.head_number(chosen) is not None:
                raise taken("id", "There is a vessel of this id.")
            if checked.imo_number is not None and tx.vessels.with_imo_number(checked.imo_number) is not None:
                raise taken("imo_number", "There is a vessel of this IMO number.")
            require_free_reference(tx, caller, "vessel", checked.reference)
            kept = tx.vessels.create(_entry(caller, checked, reason), id=chosen)
            keep_reference(tx, caller, "vessel", checked.reference, kept.vessel)
            _keep_proof(tx, kept, checked)
            return _result(tx, caller, kept, "create_vessel", 201, None, sent)

        return answer_once(tx, caller, name, make)


def revise_vessel(
    records: Records,
    caller: Caller,
    id: str,
    checked: CheckedVessel,
    *,
    expected: frozenset[str],
    reason: str | None = None,
    name: RequestName | None = None,
    sent: str | None = None,
) -> WriteResult:
    """Keep the next revision of a vessel whose present tag is among `expected`. Raises Refusal (stale)."""
    caller.require("write_vessel")
    caller.require_vessel(id)
    require_same_id(id, checked.id)
    with records.writing() as tx:

        def make() -> WriteResult:
            head = tx.vessels.get(id)
            require_tag(vessel_tag(head), expected, head.head_number)
            number = checked.imo_number
            if number not in (None, head.imo_number) and tx.vessels.with_imo_number(str(number)) is not None:
                raise taken("imo_number", "There is a vessel of this IMO number.")
            kept = tx.vessels.append(id, _entry(caller, checked, reason), expected=head.head_digest)
            _keep_proof(tx, kept, checked)
            return _result(tx, caller, kept, "revise_vessel", 200, head, sent)

        return answer_once(tx, caller, name, make, 200)


def _keep_proof(tx: Transaction, kept: VesselRevision, checked: CheckedVessel) -> None:
    if checked.proof is not None:
        keep_proof(tx, kept.vessel, kept.number, kept.digest, checked.proof)


def _entry(caller: Caller, checked: CheckedVessel, reason: str | None) -> VesselEntry:
    return VesselEntry(
        name=checked.name,
        imo_number=checked.imo_number,
        source=checked.source,
        document=checked.document,
        author_key=caller.key_id,
        author_name=caller.name,
        reason=reason,
        request_id=caller.request_id,
    )


def _result(
    tx: Transaction,
    caller: Caller,
    kept: VesselRevision,
    action: str,
    status: int,
    before: Vessel | None,
    sent: str | None,
) -> WriteResult:
    write_audit_line(
        tx,
        caller,
        action,
        status,
        reason="; ".join(words for words in (kept.reason, sent) if words) or None,
        vessel=kept.vessel,
        revision=kept.number,
        digest_before=before.head_digest if before else None,
        digest_after=kept.digest,
    )
    place = f"/v1/vessels/{kept.vessel}"
    tag = tag_of_vessel(kept.digest, before.states if before else 0)
    return WriteResult(vessel_revision_text(kept), place, tag, shows=f"{place}/revisions/{kept.number}")

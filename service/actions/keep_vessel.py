"""Keep a vessel's data: a new vessel, or the next revision of one. Nothing kept before is touched."""

from dataclasses import dataclass
from typing import Any

from service.actions.access import Caller
from service.actions.assess import Assessor
from service.actions.audit import note
from service.actions.once import Made, Once, once
from service.actions.records import Records
from service.actions.show_vessel import vessel_revision_text, vessel_tag
from service.actions.tag import require_tag
from service.storage import Transaction, VesselEntry, VesselRevision, canonical


@dataclass(frozen=True)
class CheckedVessel:
    """A vessel document that can be calculated with, ready to be kept."""

    name: str
    imo_number: str | None
    source: str
    document: str


def check_vessel(assessor: Assessor, document: dict[str, Any]) -> CheckedVessel:
    """Prepare a posted vessel as for a calculation. Raises Refusal with every place that is wrong."""
    assessor.prepare(document, ())
    source = document["source"]
    parts = (source["booklet"], source.get("revision"), source.get("date"))
    return CheckedVessel(
        name=document["name"],
        imo_number=document.get("imo_number"),
        source=", ".join(part for part in parts if part),
        document=canonical(document),
    )


def add_vessel(
    records: Records,
    caller: Caller,
    checked: CheckedVessel,
    *,
    reason: str | None = None,
    name: Once | None = None,
    id: str | None = None,
    sent: str | None = None,
) -> Made:
    """Keep a new vessel; `id` makes her known under an id of the installation's own choice, `sent` says in the
    audit log what file she came from."""
    caller.require("add_vessel")
    with records.writing() as tx:

        def make() -> Made:
            kept = tx.vessels.create(_entry(caller, checked, reason), id=id)
            return _made(tx, caller, kept, "create_vessel", 201, None, sent)

        return once(tx, caller, name, make)


def revise_vessel(
    records: Records,
    caller: Caller,
    id: str,
    checked: CheckedVessel,
    *,
    expected: frozenset[str],
    reason: str | None = None,
    sent: str | None = None,
) -> Made:
    """Keep the next revision of a vessel whose present tag is among `expected`. Raises Refusal (stale)."""
    caller.require("write_vessel")
    caller.require_vessel(id)
    with records.writing() as tx:
        head = tx.vessels.get(id)
        require_tag(vessel_tag(head), expected, head.head_number)
        kept = tx.vessels.append(id, _entry(caller, checked, reason), expected=head.head_digest)
        return _made(tx, caller, kept, "revise_vessel", 200, head.head_digest, sent)


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


def _made(
    tx: Transaction,
    caller: Caller,
    kept: VesselRevision,
    action: str,
    status: int,
    before: str | None,
    sent: str | None,
) -> Made:
    note(
        tx,
        caller,
        action,
        status,
        reason="; ".join(words for words in (kept.reason, sent) if words) or None,
        vessel=kept.vessel,
        revision=kept.number,
        digest_before=before,
        digest_after=kept.digest,
    )
    return Made(vessel_revision_text(kept), f"/v1/vessels/{kept.vessel}", kept.digest)

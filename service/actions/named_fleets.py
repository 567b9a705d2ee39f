"""Fleets: set, listed. Keys that name a fleet see its ships from the next second on."""

from typing import Any

from pydantic_core import to_json

from service.actions.access import Access, Caller
from service.actions.keys import unknown_vessels
from service.actions.records.audit_note import write_audit_line
from service.actions.records.repeatable_request import WriteResult
from service.actions.records.transactions import Records
from service.storage import NamedFleet
from service.wire import named_fleet as wire
from service.wire.fields import MAX_REASON
from service.wire.refusal import Refusal


def list_named_fleets(
    records: Records, caller: Caller, *, after: str | None, limit: int
) -> list[wire.NamedFleet]:
    """All fleets, in the order of their ids."""
    caller.require("administer")
    with records.reading() as tx:
        return [_document_of(fleet) for fleet in tx.named_fleets.list(after=after, limit=limit)]


def show_named_fleet(records: Records, caller: Caller, id: str) -> tuple[str, str]:
    """One fleet as JSON text, and its tag."""
    caller.require("administer")
    with records.reading() as tx:
        fleet = tx.named_fleets.get(id)
    return to_json(_document_of(fleet)).decode(), _tag(fleet)


def set_named_fleet(
    records: Records,
    access: Access,
    caller: Caller,
    id: str,
    request: wire.NamedFleetRequest,
    *,
    expected: frozenset[str] | None,
) -> tuple[WriteResult, bool]:
    """Make a fleet, or set the one whose tag is among `expected`; whether it is new.

    Raises Refusal: stale; precondition_required where there is one and no tag was named; invalid_request for vessels
    that are not here."""
    caller.require("administer")
    with records.writing() as tx:
        before = tx.named_fleets.find(id)
        _require_seen(before, expected)
        unknown = unknown_vessels(tx, request.vessels)
        if unknown:
            raise Refusal("invalid_request", "The fleet names vessels that are not here.", unknown)
        kept = tx.named_fleets.put(id, name=request.name, vessels=request.vessels)
        status = 201 if before is None else 200
        write_audit_line(tx, caller, "set_fleet", status, reason=_what_changed(before, kept))
    access.forget()
    return WriteResult(to_json(_document_of(kept)).decode(), f"/v1/fleets/{id}", _tag(kept)), before is None


def _require_seen(before: NamedFleet | None, expected: frozenset[str] | None) -> None:
    if before is None and expected is None:
        return
    if before is None:
        raise Refusal("stale", "There is no fleet of this id yet.")
    if expected is None:
        raise Refusal("precondition_required", "There is such a fleet: send its `ETag` as `If-Match`.")
    if _tag(before) not in expected:
        words = f"Somebody else changed it: it is at {before.number} now."
        raise Refusal("stale", words, etag=_tag(before))


def _what_changed(before: NamedFleet | None, kept: NamedFleet) -> str:
    """For the audit log: which ships came and went, as far as a line takes them."""
    were: Any = frozenset() if before is None else before.members
    moved = [f"with {id}" for id in sorted(kept.members - were)]
    moved += [f"without {id}" for id in sorted(were - kept.members)]
    return f"fleet {kept.id}: {', '.join(moved) or 'the same ships'}"[:MAX_REASON]


def _tag(fleet: NamedFleet) -> str:
    return str(fleet.number)


def _document_of(fleet: NamedFleet) -> wire.NamedFleet:
    return {
        "id": fleet.id,
        "name": fleet.name,
        "vessels": sorted(fleet.members),
        "number": fleet.number,
        "created": fleet.created,
        "updated": fleet.updated,
    }

"""Kept vessels as the wire shows them."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any, cast

import pydantic_core

from service.actions.access import Caller
from service.actions.comparison.documents import document_changes
from service.actions.list_order import sorting_of
from service.actions.records.entity_tag import tag_of_vessel
from service.actions.records.transactions import Records, moment_text
from service.storage import Vessel, VesselRevision, VesselRevisionLine, reference_of
from service.wire import vessel_record as wire
from service.wire.state import VesselState

MAX_CHANGES = 500


def vessel_tag(vessel: Vessel) -> str:
    """The tag of a vessel's present state."""
    return tag_of_vessel(vessel.head_digest, vessel.states)


def show_vessel(records: Records, caller: Caller, id: str, number: int | None = None) -> tuple[str, str]:
    """A revision of a vessel as JSON text, and its tag; the latest, with her state, when `number` is None."""
    caller.require_vessel(id)
    with records.reading() as tx:
        kept = tx.vessels.revision(id, number)
        head = tx.vessels.get(id) if number is None else None
    return vessel_revision_text(kept, head), kept.digest if head is None else vessel_tag(head)


def list_vessels(
    records: Records,
    caller: Caller,
    *,
    name: str | None,
    imo_number: Sequence[str] | None,
    reference: Sequence[str] | None,
    updated_after: datetime | None,
    updated_before: datetime | None,
    created_after: datetime | None = None,
    created_before: datetime | None = None,
    state: str | Sequence[str] = "active",
    sort: str | None = None,
    after: str | None,
    limit: int,
) -> list[wire.VesselLine]:
    """Vessels of these states the caller may see, in the order they were entered unless `sort` says otherwise."""
    with records.reading() as tx:
        found = tx.vessels.list(
            vessels=caller.vessels,
            name=name,
            imo_number=imo_number,
            reference=reference,
            updated_after=moment_text(updated_after),
            updated_before=moment_text(updated_before),
            created_after=moment_text(created_after),
            created_before=moment_text(created_before),
            state=state,
            after=after,
            limit=limit,
            sorting=sorting_of(sort, after),
        )
    return [
        {
            "id": vessel.id,
            "vessel": vessel.id,
            "reference": vessel.reference,
            "name": vessel.name,
            "imo_number": vessel.imo_number,
            "state": cast(VesselState, vessel.state),
            "revision": vessel.head_number,
            "digest": vessel.head_digest,
            "created": vessel.created,
            "updated": vessel.updated,
        }
        for vessel in found
    ]


def list_vessel_revisions(
    records: Records, caller: Caller, id: str, *, before: int | None, limit: int
) -> list[wire.VesselRevisionLine]:
    """Revisions of a vessel, newest first."""
    caller.require_vessel(id)
    with records.reading() as tx:
        tx.vessels.get(id)
        return [vessel_revision_line(kept) for kept in tx.vessels.history(id, before=before, limit=limit)]


def compare_vessel_revisions(
    records: Records, caller: Caller, id: str, first: int | None, last: int | None
) -> wire.VesselComparison:
    """What changed between two revisions; the two latest ones when not said."""
    caller.require_vessel(id)
    with records.reading() as tx:
        head = tx.vessels.get(id).head_number
        to = tx.vessels.revision(id, last or head)
        since = tx.vessels.revision(id, first or max(1, to.number - 1))
    before, after = pydantic_core.from_json(since.document), pydantic_core.from_json(to.document)
    changes = document_changes(before, after)
    return {
        "vessel": id,
        "revision_from": vessel_revision_line(since),
        "revision_to": vessel_revision_line(to),
        "units_changed": before["units"] != after["units"],
        "changes": changes[:MAX_CHANGES],
        "truncated": len(changes) > MAX_CHANGES,
    }


def vessel_revision_line(kept: VesselRevisionLine) -> wire.VesselRevisionLine:
    """A revision without its document."""
    return {
        "id": kept.vessel,
        "vessel": kept.vessel,
        "revision": kept.number,
        "name": kept.name,
        "imo_number": kept.imo_number,
        "source": kept.source,
        "created": kept.created,
        "author": {"key": kept.author_key, "name": kept.author_name},
        "reason": kept.reason,
        "digest": kept.digest,
        "previous_digest": kept.previous,
        "request_id": kept.request_id,
    }


def vessel_revision_text(kept: VesselRevision, head: Vessel | None = None) -> str:
    """A revision as JSON text, with its document byte for byte as it is kept; with the state of the `head`, once
    it was set."""
    members: dict[str, Any] = {**vessel_revision_line(kept), "reference": reference_of(kept.document)}
    if head is not None and head.states:
        members["state"] = head.state
    return with_texts(members, document=kept.document)


def with_texts(members: Mapping[str, Any], **texts: str) -> str:
    """An object as JSON text: `members`, then texts that are JSON already."""
    opened = pydantic_core.to_json(members).decode()[:-1]
    return opened + "".join(f',"{name}":{text}' for name, text in texts.items()) + "}"

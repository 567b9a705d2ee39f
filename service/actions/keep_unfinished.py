"""Conditions that are being typed: kept for a while so that ship, phone and office see the same. No revision, no
review, no line in feed or audit log.
"""

from datetime import UTC, datetime, timedelta
from typing import Any

from pydantic_core import to_json

from service.actions.access import Caller
from service.actions.records.repeatable_request import WriteResult
from service.actions.records.transactions import Records
from service.actions.show_vessel import with_texts
from service.storage import Transaction, Unfinished, UnfinishedEntry, as_text, later
from service.wire import unfinished as wire
from service.wire.condition_shape import faults_of_shape
from service.wire.refusal import Refusal

KEPT: timedelta = timedelta(days=wire.DAYS)


def show_unfinished(records: Records, caller: Caller, vessel: str, name: str) -> tuple[str, str]:
    """One as JSON text, and its tag."""
    caller.require_vessel(vessel)
    with records.reading() as tx:
        tx.vessels.get(vessel)
        kept = tx.unfinished.get(vessel, name)
    return _text(kept), _tag(kept)


def list_unfinished(records: Records, caller: Caller, vessel: str) -> wire.UnfinishedList:
    """Those of a vessel, the one written last first."""
    caller.require_vessel(vessel)
    with records.reading() as tx:
        tx.vessels.get(vessel)
        found = tx.unfinished.of_vessel(vessel)
    return {"items": [_line(kept) for kept in found], "next": None}


def keep_unfinished(
    records: Records,
    caller: Caller,
    vessel: str,
    name: str,
    document: dict[str, Any],
    *,
    expected: frozenset[str] | None,
) -> tuple[WriteResult, bool]:
    """Write over what is kept under that name, whose tag is among `expected`; whether it is new.

    Raises Refusal: stale; precondition_required where there is one and no tag was named; invalid_request for what
    does not have the shape of a condition; unfinished_too_large; too_many_unfinished.
    """
    caller.require("write_condition")
    caller.require_vessel(vessel)
    entry = _entry(caller, vessel, name, document)
    with records.writing() as tx:
        tx.vessels.get(vessel)
        before = _present(tx, vessel, name)
        if before is None and expected is None:
            _require_room(tx, vessel)
        else:
            _require_seen(before, expected)
        kept = tx.unfinished.write(entry)
    address = f"/v1/vessels/{vessel}/unfinished/{name}"
    return WriteResult(_text(kept), address, _tag(kept)), before is None


def remove_unfinished(
    records: Records, caller: Caller, vessel: str, name: str, *, expected: frozenset[str] | None
) -> None:
    """Remove it; where a tag is named, only in that state. Raises Refusal (unknown_unfinished, stale)."""
    caller.require("write_condition")
    caller.require_vessel(vessel)
    with records.writing() as tx:
        tx.vessels.get(vessel)
        present = tx.unfinished.get(vessel, name)
        if expected is not None:
            _require_seen(present, expected)
        entry = UnfinishedEntry(vessel=vessel, name=name, author_key=caller.key_id, author_name=caller.name)
        tx.unfinished.write(entry)


def forget_unfinished(records: Records) -> int:
    """Forget what nobody wrote for `KEPT`, but for templates; how many."""
    with records.writing() as tx:
        return tx.unfinished.purge(as_text(datetime.now(UTC) - KEPT), wire.TEMPLATE)


def _entry(caller: Caller, vessel: str, name: str, document: dict[str, Any]) -> UnfinishedEntry:
    text = to_json(document).decode()
    if len(text.encode()) > wire.MOST_BYTES:
        raise Refusal(
            "unfinished_too_large", f"An unfinished condition has at most {wire.MOST_BYTES:,} bytes."
        )
    faults = faults_of_shape(document)
    if faults:
        raise Refusal("invalid_request", "It does not have the shape of a condition.", faults)
    title = document.get("title")
    return UnfinishedEntry(
        vessel=vessel,
        name=name,
        title=title[:200] if isinstance(title, str) else None,
        document=text,
        author_key=caller.key_id,
        author_name=caller.name,
    )


def _present(tx: Transaction, vessel: str, name: str) -> Unfinished | None:
    found = tx.unfinished.last(vessel, name)
    return None if found is None or found.document is None else found


def _require_room(tx: Transaction, vessel: str) -> None:
    if tx.unfinished.count(vessel) >= wire.MOST_OF_A_VESSEL:
        detail = f"{wire.MOST_OF_A_VESSEL} conditions of this vessel are being typed. Remove one first."
        raise Refusal("too_many_unfinished", detail)


def _require_seen(present: Unfinished | None, expected: frozenset[str] | None) -> None:
    if expected is None:
        detail = "It is being typed already: send its `ETag` as `If-Match`."
        raise Refusal("precondition_required", detail)
    if present is None:
        raise Refusal("stale", "Nothing is kept under this name any more.")
    if _tag(present) not in expected:
        detail = f"{present.author_name} wrote it since: it is at {present.number} now."
        raise Refusal("stale", detail, etag=_tag(present))


def _tag(kept: Unfinished) -> str:
    return str(kept.number)


def expires_at(kept: Unfinished) -> str:
    """When it is forgotten; a template never is."""
    if kept.name.startswith(wire.TEMPLATE):
        return wire.NEVER
    return later(kept.updated, KEPT)


def _line(kept: Unfinished) -> wire.UnfinishedLine:
    return {
        "vessel": kept.vessel,
        "name": kept.name,
        "number": kept.number,
        "title": kept.title,
        "bytes": kept.bytes,
        "created": kept.created,
        "updated": kept.updated,
        "expires": expires_at(kept),
        "author": {"key": kept.author_key, "name": kept.author_name},
    }


def _text(kept: Unfinished) -> str:
    return with_texts(_line(kept), document=kept.document or "{}")

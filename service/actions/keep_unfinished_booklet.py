"""Booklets that are being typed in: kept for a while, for the key that began them. No vessel, no revision, no audit
line before the ship is added.
"""

import json
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any, Final

from service.actions.access import Caller
from service.actions.records.transactions import Records
from service.storage import UnfinishedBooklet, as_text, later
from service.wire.refusal import Refusal

KEPT: Final = timedelta(days=30)
MOST_OF_A_KEY: Final = 20
MOST_BYTES: Final = 4_000_000
NOT_HERS = ("id", "imo_number", "reference", "source", "lightship", "printed_conditions")
"""What a sister ship does not share: her names, her booklet, her inclining test, her printed conditions."""
Rows = list[list[str]]


@dataclass
class Booklet:
    """An unfinished booklet as it is worked on. `typed`: tables that are not right yet, by sheet (and tank or hold);
    `accepted`: doubts that somebody has looked up; `decimal`: the sign figures are typed with."""

    name: str
    document: dict[str, Any]
    typed: dict[str, Rows] = field(default_factory=dict)
    accepted: list[str] = field(default_factory=list)
    decimal: str = "point"
    id: str = ""
    updated: str = ""
    kept: UnfinishedBooklet | None = None


def list_unfinished_booklets(records: Records, caller: Caller) -> list[dict[str, str]]:
    """Those of the caller's key, the one written last first."""
    caller.require("add_vessel")
    with records.reading() as tx:
        found = tx.unfinished_booklets.of_owner(caller.key_id)
    return [
        {
            "id": kept.id,
            "name": kept.name,
            "updated": kept.updated,
            "expires": later(kept.updated, KEPT),
        }
        for kept in found
    ]


def begin_booklet(
    records: Records, caller: Caller, name: str, units: str, decimal: str, sister: str = ""
) -> str:
    """Begin one, from nothing or from what a kept vessel shares with a sister; its id.

    Raises Refusal: forbidden, unknown_vessel, too_many_unfinished."""
    caller.require("add_vessel")
    document: dict[str, Any] = {"units": units}
    if sister:
        caller.require_vessel(sister)
    with records.writing() as tx:
        if sister:
            kept = json.loads(tx.vessels.revision(sister, None).document)
            document = {member: value for member, value in kept.items() if member not in NOT_HERS}
        if tx.unfinished_booklets.count(caller.key_id) >= MOST_OF_A_KEY:
            detail = f"{MOST_OF_A_KEY} booklets are being typed with this key. Remove one first."
            raise Refusal("too_many_unfinished", detail)
        document["name"] = name
        texts = _texts(Booklet(name, document, decimal=decimal))
        return tx.unfinished_booklets.begin(caller.key_id, name, *texts).id


def unfinished_booklet(records: Records, caller: Caller, id: str) -> Booklet:
    """One of the caller's. Raises Refusal (unknown_unfinished)."""
    caller.require("add_vessel")
    with records.reading() as tx:
        kept = tx.unfinished_booklets.get(caller.key_id, id)
    typed = json.loads(kept.typed)
    return Booklet(
        name=kept.name,
        document=json.loads(kept.document),
        typed=typed["tables"],
        accepted=json.loads(kept.accepted),
        decimal=typed["decimal"],
        id=kept.id,
        updated=kept.updated,
        kept=kept,
    )


def keep_unfinished_booklet(records: Records, caller: Caller, booklet: Booklet) -> None:
    """Write it over what it was read from. Raises Refusal: unfinished_too_large, conflict (somebody wrote since)."""
    caller.require("add_vessel")
    assert booklet.kept is not None
    said = booklet.document.get("name")
    name = said if isinstance(said, str) and said else booklet.name
    with records.writing() as tx:
        tx.unfinished_booklets.write(booklet.kept, name[:200], *_texts(booklet))


def remove_unfinished_booklet(records: Records, caller: Caller, id: str) -> None:
    """Remove it, where it is there."""
    caller.require("add_vessel")
    with records.writing() as tx:
        tx.unfinished_booklets.remove(caller.key_id, id)


def forget_unfinished_booklets(records: Records) -> int:
    """Forget what nobody wrote for `KEPT`; how many."""
    with records.writing() as tx:
        return tx.unfinished_booklets.purge(as_text(datetime.now(UTC) - KEPT))


def _texts(booklet: Booklet) -> tuple[str, str, str]:
    texts = (
        json.dumps(booklet.document),
        json.dumps({"decimal": booklet.decimal, "tables": booklet.typed}),
        json.dumps(booklet.accepted),
    )
    if sum(len(text) for text in texts) > MOST_BYTES:
        detail = f"An unfinished booklet has at most {MOST_BYTES:,} bytes."
        raise Refusal("unfinished_too_large", detail)
    return texts

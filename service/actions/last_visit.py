"""When a reader of the pages was last here, so that a page can say what is new since."""

from datetime import UTC, datetime, timedelta
from typing import Final

from service.actions.access import Caller
from service.actions.records.transactions import Records
from service.storage import Visit, as_text
from service.wire.refusal import Refusal

ONE_VISIT: Final = timedelta(minutes=30)
"""Pages no further apart belong to one visit."""
TOUCH: Final = timedelta(minutes=1)


def last_visit(records: Records, caller: Caller, now: datetime | None = None) -> str | None:
    """The end of the visit before this one (RFC 3339, UTC); None at the first. Notes that he is here now.

    A note that cannot be written (another writer is at work, records are only read) is left out.
    """
    with records.reading() as tx:
        found = tx.visits.get(caller.key_id)
    return noted_visit(records, caller, found, now)


def noted_visit(
    records: Records, caller: Caller, found: Visit | None, now: datetime | None = None
) -> str | None:
    """The same where the visit that is noted (None: none is) was read already, with something else."""
    now = now or datetime.now(UTC)
    if found is None:
        _note(records, Visit(key_id=caller.key_id, seen=as_text(now)))
        return None
    away = now - datetime.fromisoformat(found.seen)
    if away < TOUCH:
        return found.before
    before = found.seen if away > ONE_VISIT else found.before
    _note(records, Visit(key_id=caller.key_id, seen=as_text(now), before=before))
    return before


def _note(records: Records, visit: Visit) -> None:
    try:
        with records.writing() as tx:
            tx.visits.keep(visit)
    except Refusal:
        return

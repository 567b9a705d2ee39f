"""Bring the records up and say whether they are."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import cache

from service.actions.records.transactions import Records, storage_refusals
from service.storage import EngineFacts, Storage, as_text, migrate, migrate_for, missing_file, usable
from service.wire.refusal import Refusal

REPEATABLE_ANSWERS = timedelta(days=2)


def open_records(url: str, readers: int = 8) -> Records:
    """The records at `url`, at the newest schema, with this process as their server.

    Raises Refusal: also when another process serves the same SQLite file. ValueError for another kind of address.
    """
    with storage_refusals():
        migrate(url)
        storage = Storage(url, readers=readers)
        try:
            storage.occupy()
        except BaseException:
            storage.close()
            raise
        return Records(storage)


def migrate_records(url: str, service_role: str | None) -> tuple[str, list[str]]:
    """Bring the schema up with the role that owns it; what it stands at now, and the roles that may serve on it.

    Raises Refusal, and ValueError for another kind of address."""
    with storage_refusals():
        return migrate_for(url, service_role)


async def listen_for_changes(records: Records, heard: Callable[[], None]) -> None:
    """Call `heard` when other servers add to the feed, until cancelled; at once over where none can (SQLite).

    Raises Refusal when the connection is lost."""
    with storage_refusals():
        await records.storage.listen(heard)


def is_only_server(records: Records) -> bool:
    """Whether no other server can use these records."""
    return records.storage.is_alone()


def close_records(records: Records) -> None:
    """Give back what was opened."""
    records.storage.close()


@contextmanager
def visited_records(url: str, *, create: bool = False, alone: bool = False) -> Iterator[Records]:
    """The records at `url` for a command that may run beside a server; made first when `create` says so.

    alone: for a command that writes vessels, which only the server of a SQLite file may do while there is one. Raises
    Refusal (records_busy) then."""
    with storage_refusals():
        if create:
            migrate(url)
        elif (file := missing_file(url)) is not None:
            words = f"There is no database at {file}: LOADING_DATABASE_URL or --database says where it is."
            raise Refusal("records_unavailable", words)
        storage = Storage(url, readers=2)
        try:
            if not usable(storage.schema_revision()):
                raise Refusal("records_unavailable", "The database is empty or of another release.")
            if alone:
                storage.occupy()
            yield Records(storage)
        finally:
            storage.close()


def facts_of(records: Records) -> EngineFacts:
    """Library, journal and safety settings in force, for the log."""
    with storage_refusals():
        return records.storage.facts()


def why_not_ready(records: Records) -> str | None:
    """What keeps the records from being used, None when nothing does."""
    try:
        with storage_refusals():
            stands = records.storage.schema_revision()
    except Refusal as refused:
        return refused.detail
    except Exception:  # noqa: BLE001 - readiness never fails, it says no
        return "The database cannot be read."
    return None if _usable(stands) else f"The database has schema {stands}, which this release does not know."


@dataclass(frozen=True)
class RecordState:
    """is_up: the database answers. feed_head, feed_seconds: number and time of the last change; 0 where there is none,
    or nobody answers. outbox: messages to webhooks that wait."""

    is_up: bool = False
    feed_head: int = 0
    feed_seconds: float = 0.0
    outbox: int = 0


def state_of_records(records: Records) -> RecordState:
    """How the records are now. Never fails."""
    try:
        with records.reading() as tx:
            head, waiting = tx.changes.head(), tx.deliveries.waiting()
    except Exception:  # noqa: BLE001 - a gauge says that nobody answers
        return RecordState()
    if head is None:
        return RecordState(is_up=True, outbox=waiting)
    return RecordState(
        is_up=True,
        feed_head=head.id,
        feed_seconds=datetime.fromisoformat(head.created).timestamp(),
        outbox=waiting,
    )


def forget_old_answers(records: Records) -> int:
    """Forget answers kept for repetitions longer ago than `REPEATABLE_ANSWERS`; how many."""
    with records.writing() as tx:
        return tx.idempotency.purge(as_text(datetime.now(UTC) - REPEATABLE_ANSWERS))


@cache
def _usable(schema: str | None) -> bool:
    return usable(schema)

"""Bring the records up and say whether they are."""

from functools import cache
from datetime import UTC, datetime, timedelta

from service.actions.records import Records, storage_refusals
from service.actions.refusal import Refusal
from service.storage import Storage, as_text, migrate, newest

KEPT_ANSWERS = timedelta(days=2)


def open_records(url: str, readers: int) -> Records:
    """The records at `url`, at the newest schema, with this process as their server.

    Raises the errors of storage: also when another process serves the same SQLite file.
    """
    migrate(url)
    storage = Storage(url, readers=readers)
    try:
        storage.occupy()
    except BaseException:
        storage.close()
        raise
    return Records(storage)


def close_records(records: Records) -> None:
    """Give back what was opened."""
    records.storage.close()


def why_not_ready(records: Records) -> str | None:
    """What keeps the records from being used, None when nothing does."""
    try:
        with storage_refusals():
            stands = records.storage.schema_revision()
    except Refusal as refused:
        return refused.detail
    except Exception:  # noqa: BLE001 - readiness never fails, it says no
        return "The database cannot be read."
    if stands != _newest():
        return f"The database stands at the schema {stands}, this release needs {_newest()}."
    return None


def forget_old_answers(records: Records) -> int:
    """Forget answers kept for repetitions longer ago than `KEPT_ANSWERS`; how many."""
    with records.writing() as tx:
        return tx.idempotency.purge(as_text(datetime.now(UTC) - KEPT_ANSWERS))


@cache
def _newest() -> str:
    return newest()

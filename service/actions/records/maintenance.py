"""Care of the whole of the records: verify, back up, restore, hand over one condition's history."""

import json
from dataclasses import asdict
from pathlib import Path
from typing import Any

from service.actions.records.transactions import Records, storage_refusals
from service.storage import (
    Head,
    backup,
    cover,
    export_history,
    import_history,
    restore,
    verify,
)
from service.wire.refusal import Refusal


def head_text(verified: dict[str, Any]) -> str:
    """The head of the feed as a file to keep elsewhere."""
    return json.dumps(verified["head"], indent=1) + "\n"


def head_of(text: str) -> Head:
    """An exported head. Raises Refusal for another kind of file."""
    try:
        found = json.loads(text)
        wanted = {"id": int, "digest": str, "created": str}
        with_rows = {**wanted, "rows_id": int, "rows_digest": str}
        kinds = {name: type(value) for name, value in found.items() if value is not None}
        if kinds in (wanted, with_rows, {**wanted, "rows_id": int}):
            return Head(**found)
    except (ValueError, AttributeError):
        pass
    raise Refusal("invalid_request", "This is not an exported head.")


def verify_records(records: Records, head: Head | None) -> dict[str, Any]:
    """What holds. Raises Refusal (records_damaged) that names the first link that does not."""
    with storage_refusals():
        return asdict(verify(records.storage, head))


def cover_rows(records: Records) -> list[tuple[str, str]]:
    """Give digests to keys, audit lines and answers that a release before this one kept; kind and name of each."""
    with records.writing() as tx:
        return cover(tx.connection, tx.now)


def back_up(url: str, target: Path) -> dict[str, Any]:
    """A checked copy of a SQLite database, beside a running server."""
    with storage_refusals():
        return asdict(backup(url, target))


def put_back(source: Path, url: str, *, replace: bool, head: Head | None) -> dict[str, Any]:
    """A backup in the place of a SQLite database, checked first. The server must be stopped."""
    with storage_refusals():
        return asdict(restore(source, url, replace=replace, head=head))


def export_condition(records: Records, condition: str) -> str:
    """The whole history of one condition as one file."""
    with records.reading() as tx:
        return export_history(tx, condition)


def import_condition(records: Records, text: str) -> dict[str, Any]:
    """Read such a file in, digests and all; what is here already is compared and left alone."""
    with records.writing() as tx:
        return asdict(import_history(tx, text))

"""`verify`, `backup`, `restore`, `export`, `import`: care of what is kept.

Exit codes: 0 done, 1 something kept does not hold, 3 refused or not to be reached.
"""

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

from service.actions.care import (
    back_up,
    cover_rows,
    export_condition,
    head_of,
    head_text,
    import_condition,
    put_back,
    verify_records,
)
from service.actions.refusal import Refusal
from service.actions.start import visited_records
from service.settings import Settings

DONE, BROKEN, REFUSED = 0, 1, 3


def verify(database: str | None, head: Path | None, export_head: Path | None, *, cover: bool = False) -> int:
    """Walk all digests, against an exported head when given; write the present head where asked to.

    cover: first take over rows that a release before this one kept beside it.
    """

    def run() -> None:
        known = None if head is None else head_of(head.read_text("utf-8"))
        with visited_records(_url(database)) as records:
            for kind, subject in cover_rows(records) if cover else ():
                print(f"Taken over without having seen it kept: {kind} {subject}.")
            found = verify_records(records, known)
        if export_head is not None:
            export_head.write_text(head_text(found), "utf-8")
        print(_sentence("All digests hold", found))

    return _told(run)


def backup(database: str | None, target: Path) -> int:
    """Copy a SQLite database under load into a new file, and check the copy."""
    return _told(lambda: print(_sentence(f"Backed up to {target}", back_up(_url(database), target))))


def restore(database: str | None, source: Path, head: Path | None, *, replace: bool) -> int:
    """Put a backup in the place of the database, checked first."""

    def run() -> None:
        known = None if head is None else head_of(head.read_text("utf-8"))
        found = put_back(source, _url(database), replace=replace, head=known)
        print(_sentence(f"Restored from {source}", found))

    return _told(run)


def export(database: str | None, condition: str, target: str) -> int:
    """Write one condition's whole history into a file, or to standard output for `-`."""

    def run() -> None:
        with visited_records(_url(database)) as records:
            text = export_condition(records, condition)
        if target == "-":
            print(text)
        else:
            with Path(target).open("x", encoding="utf-8") as file:
                file.write(text + "\n")

    return _told(run)


def import_(database: str | None, source: str) -> int:
    """Read such a file in, digests and all. A server on the same SQLite file must be stopped."""

    def run() -> None:
        text = sys.stdin.read() if source == "-" else Path(source).read_text("utf-8")
        with visited_records(_url(database), create=True, alone=True) as records:
            added = import_condition(records, text)
        print(
            f"Condition {added['condition']} of vessel {added['vessel']}: added {added['vessel_revisions']} revisions "
            f"of the vessel, {added['condition_revisions']} of the condition, {added['reviews']} reviews."
        )

    return _told(run)


def _url(database: str | None) -> str:
    return database or Settings().database_url


def _told(run: Callable[[], None]) -> int:
    try:
        run()
    except Refusal as refused:
        print(refused, file=sys.stderr)
        return BROKEN if refused.code == "records_damaged" else REFUSED
    except (OSError, ValueError) as fault:
        print(fault, file=sys.stderr)
        return REFUSED
    return DONE


def _sentence(done: str, found: dict[str, Any]) -> str:
    head = found["head"]
    ends = "nothing is kept yet" if head is None else f"head {head['id']} {head['digest']}"
    return (
        f"{done}: {found['vessel_revisions']} vessel revisions, {found['condition_revisions']} condition revisions, "
        f"{found['reviews']} reviews, {found['changes']} changes, {found['keys']} keys, {found['audit_lines']} audit "
        f"lines, {found['kept_answers']} kept answers; {ends}."
    )

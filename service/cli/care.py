"""`migrate`, `verify`, `backup`, `restore`, `export`, `import`: care of what is kept.

Exit codes: 0 done, 1 something kept does not hold, 3 refused or not to be reached.
"""

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

from service.actions.pepper import pepper_fault, pepper_is_known
from service.actions.records.lifecycle import migrate_records, visited_records
from service.actions.records.maintenance import (
    back_up,
    cover_rows,
    export_condition,
    head_of,
    head_text,
    import_condition,
    put_back,
    verify_records,
)
from service.settings import Settings, write_secret
from service.wire.refusal import Refusal

DONE, BROKEN, REFUSED = 0, 1, 3


def migrate(database: str | None, service_role: str | None) -> int:
    """Bring the schema up, and let a role serve on it."""

    def run() -> None:
        owner = Settings().migration_database_url
        url = owner.get_secret_value() if owner and database is None else _url(database)
        schema, roles = migrate_records(url, service_role)
        served = f" Roles that may serve: {', '.join(roles)}." if roles else ""
        print(f"The schema stands at {schema}.{served}")

    return _exit_code(run)


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

    return _exit_code(run)


def backup(database: str | None, target: Path, *, take_pepper: bool = True) -> int:
    """Copy a SQLite database under load into a new file, and check the copy; the pepper of its keys goes along."""

    def run() -> None:
        settings = _settings(database)
        if take_pepper and beside(target).exists():
            raise Refusal("conflict", f"The file {beside(target).name} exists; a backup replaces nothing.")
        found = back_up(settings.database_url, target)
        last = _pepper_of_backup(settings, target, take_pepper) if found["keys"] else ""
        print(_sentence(f"Backed up to {target}", found))
        print(last, end="\n" if last else "")

    return _exit_code(run)


def restore(database: str | None, source: Path, head: Path | None, *, replace: bool) -> int:
    """Put a backup in the place of the database, checked first."""

    def run() -> None:
        known = None if head is None else head_of(head.read_text("utf-8"))
        settings = _settings(database)
        aside = _pepper_aside(settings, source)
        found = put_back(source, settings.database_url, replace=replace, head=known)
        if aside is not None:
            aside()
        last = _pepper_of_restored(settings) if found["keys"] else ""
        print(_sentence(f"Restored from {source}", found))
        print(last, end="\n" if last else "")

    return _exit_code(run)


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

    return _exit_code(run)


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

    return _exit_code(run)


def beside(file: Path) -> Path:
    """Where the pepper of a SQLite database or of its backup lies."""
    return file.with_name(file.name + ".pepper")


def _pepper_of_backup(settings: Settings, target: Path, take: bool) -> str:
    """Take the pepper along where it is a file, and say where the pepper of the backup is."""
    with visited_records(f"sqlite:///{target}") as records:
        fault = pepper_fault(records, settings.pepper())
    if fault is not None:
        return f"The pepper is not in the backup. {fault}"
    file = settings.pepper_file()
    if file is None:
        return "The pepper of its keys is not in the backup: keep LOADING_KEY_PEPPER as well, or no key opens anything."
    if not take:
        return f"The pepper of its keys is not in the backup: keep {file} as well, or no key opens anything."
    write_secret(beside(target), settings.pepper())
    return f"The pepper of its keys is in {beside(target)}: keep both, or no key opens anything."


def _pepper_aside(settings: Settings, source: Path) -> Callable[[], None] | None:
    """What puts the pepper of a backup in its place once the database is; None where nothing is to be replace_pepper.

    The present pepper is kept beside it. Raises Refusal where one was kept there before.
    """
    file = settings.pepper_file()
    if file is None or not beside(source).exists():
        return None
    wanted = beside(source).read_bytes().strip()
    present = settings.pepper()
    if wanted == present:
        return None
    aside = file.with_name(file.name + ".replaced")
    if present and aside.exists():
        raise Refusal("conflict", f"{aside.name} exists.")

    def replace_pepper() -> None:
        if present:
            file.replace(aside)
        write_secret(file, wanted)

    return replace_pepper


def _pepper_of_restored(settings: Settings) -> str:
    with visited_records(settings.database_url) as records:
        fault, known = pepper_fault(records, settings.pepper()), pepper_is_known(records)
    if fault is None and not known:
        return "An older release kept no check value: whether the pepper is that of the keys shows when one is used."
    return fault or "The pepper of its keys is there."


def _settings(database: str | None) -> Settings:
    return Settings() if database is None else Settings(database_url=database)


def _url(database: str | None) -> str:
    return _settings(database).database_url


def _exit_code(run: Callable[[], None]) -> int:
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
    ends = "nothing is stored yet" if head is None else f"head {head['id']} {head['digest']}"
    return (
        f"{done}: {found['vessel_revisions']} vessel revisions, {found['condition_revisions']} condition revisions, "
        f"{found['reviews']} reviews, {found['changes']} changes, {found['keys']} keys, {found['audit_lines']} audit "
        f"lines, {found['kept_answers']} kept answers; {ends}."
    )

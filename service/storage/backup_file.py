"""Backup and restore of a SQLite database, under load.

The copy is made by `VACUUM INTO`, one snapshot in one step (a backup made page by page starts again with every write
and never ends under load; a copy of the bare file misses what is still in the journal). It is checked by walking all
its digests before it gets its name.

PostgreSQL has its own tools, which work under load as well:

    pg_dump --format=custom --file=records.dump "$URL"                            (one snapshot)
    createdb restored && pg_restore --exit-on-error --dbname=restored records.dump

(with the URL as those tools want it, `postgresql://...` without `+psycopg`), and continuous archiving
(PostgreSQL documentation, chapter 26). After a restore, run `verify` against an exported head.
"""

import os
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from sqlalchemy.exc import DBAPIError

from .change import Head
from .engine import connect_sqlite, driver, make_private, occupy, parse, sqlite_path
from .errors import Conflict, as_storage_error
from .migration import newest
from .transaction import Storage
from .verification import Verified, verify


def backup(url: str, target: Path) -> Verified:
    """Copy the database of `url` into the new file `target`, beside a running server.

    Returns what the copy holds; its head is worth keeping elsewhere. Raises Conflict when the file exists or the URL is
    of PostgreSQL, Broken when the copy does not verify, and the errors of an unavailable database.
    """
    source = _file(url)
    if target.exists():
        raise Conflict(f"the file {target.name} exists; a backup replaces nothing")
    return _copy(source, target)


def restore(source: Path, url: str, *, replace: bool = False, head: Head | None = None) -> Verified:
    """Put a backup in the place of the database of `url`.

    Checks it first, against an exported `head` when given. With `replace` the present file is kept beside
    it as `<name>.replaced`; the server must be stopped. Raises Conflict when the database exists and
    `replace` is not said, or when such a file is there already; Busy when a server runs; Broken when the
    backup does not verify.
    """
    target = _file(url)
    aside = target.with_name(target.name + ".replaced")
    with closing(occupy(target)):
        if target.exists() and (not replace or aside.exists()):
            how = "move it away first" if replace else "with --replace it is kept beside the restored one"
            raise Conflict(f"the file {(aside if replace else target).name} exists; {how}")
        return _copy(source, target, aside=aside, head=head)


def _file(url: str) -> Path:
    path = sqlite_path(parse(url))
    if path is None:
        raise Conflict("PostgreSQL is backed up with its own tools: pg_dump and pg_restore")
    return path


def _copy(source: Path, target: Path, aside: Path | None = None, head: Head | None = None) -> Verified:
    """A checked copy that has its name only when all of it is on the disk; what had that name goes to `aside`."""
    part = target.with_name(target.name + ".part")
    part.unlink(missing_ok=True)
    try:
        _vacuum(source, part)
        verified = _verify_copy(part, head)
        if aside and target.exists():
            _vacuum(target, aside)
            # Their contents are in that copy; beside another database they would be taken for its journal.
            for journal in ("-wal", "-shm", "-journal"):
                target.with_name(target.name + journal).unlink(missing_ok=True)
        part.replace(target)
    finally:
        for name in (part.name, part.name + "-wal", part.name + "-shm"):
            part.with_name(name).unlink(missing_ok=True)
    _sync(target.parent)
    return verified


def _vacuum(source: Path, target: Path) -> None:
    make_private(target)  # VACUUM INTO takes an empty file (sqlite.org/lang_vacuum.html)
    try:
        with _driver_errors(), closing(connect_sqlite(source, read_only=True)) as connection:
            connection.execute("PRAGMA query_only=OFF")  # it also forbids to write the copy
            connection.execute("VACUUM INTO ?", (str(target),))
    except BaseException:
        target.unlink(missing_ok=True)
        raise
    _sync(target)


def _verify_copy(path: Path, head: Head | None) -> Verified:
    storage = Storage(f"sqlite:///{path}", readers=1)
    try:
        stands = storage.schema_revision()
        if stands is None:
            raise Conflict(f"{path.name} is no database of ours")
        if stands != newest():
            raise Conflict(
                f"{path.name} has the schema {stands}, this release {newest()}: migrate it, or use its release"
            )
        return verify(storage, head)
    finally:
        storage.close()


def _sync(path: Path) -> None:
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


@contextmanager
def _driver_errors() -> Iterator[None]:
    try:
        yield
    except driver().Error as error:
        wrapped = DBAPIError("VACUUM INTO", (), error)
        raise as_storage_error(wrapped) or wrapped from error

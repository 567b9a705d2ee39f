"""What storage can say when it cannot do as asked. Errors carry data and know no HTTP.

    StorageError
    ├── NotFound        no such vessel, condition, revision, key, webhook (kind, id, number)
    ├── Stale           the head is not the one the writer expected (kind, id, number, digest of the head)
    ├── Conflict        the write breaks a rule of the records (detail)
    │   └── OwnRevision     a review by the author of the revision
    ├── Broken          a chain of digests that does not hold (kind, id, number, reason)
    └── Unavailable     nothing was kept, the same call may succeed later (retry_after seconds, reason)
        ├── Busy            another writer held the lock, or a statement ran out of time
        ├── Full            no room on the disk of the database
        └── ReadOnly        the file or the server refuses writes

`Unavailable` is raised before or instead of a commit, with one exception that no client can tell apart: a
connection that breaks, or a disk that fails, during the commit itself. A writer repeats the call with the
same idempotency key and gets either answer.
"""

from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DataError, DBAPIError, IntegrityError
from sqlalchemy.exc import TimeoutError as PoolTimeout


class StorageError(Exception):
    """Root of the tree."""


class NotFound(StorageError):
    """`kind` (vessel, condition, vessel_revision, condition_revision, key), `id`, and `number` for a
    revision.
    """

    def __init__(self, kind: str, id: str, number: int | None = None) -> None:
        super().__init__(f"no {kind} {id}" + ("" if number is None else f" number {number}"))
        self.kind, self.id, self.number = kind, id, number


class Stale(StorageError):
    """The head moved on: `number` and `digest` are those of the present head (None when the engine found
    out).
    """

    def __init__(self, kind: str, id: str, number: int | None = None, digest: str | None = None) -> None:
        super().__init__(f"{kind} {id} is at revision {number}")
        self.kind, self.id, self.number, self.digest = kind, id, number, digest


class Conflict(StorageError):
    """`detail` is a sentence about the rule; it holds no SQL and no secret."""

    def __init__(self, detail: str) -> None:
        super().__init__(detail)
        self.detail = detail


class OwnRevision(Conflict):
    """Nobody reviews what he wrote himself."""


class Broken(StorageError):
    """A chain does not hold: the first broken link as `kind`, `id`, `number` and the `reason` in words."""

    def __init__(self, kind: str, id: str, number: int | None, reason: str) -> None:
        super().__init__(f"{kind} {id}" + ("" if number is None else f" number {number}") + f": {reason}")
        self.kind, self.id, self.number, self.reason = kind, id, number, reason


class Unavailable(StorageError):
    """The database cannot be reached or cannot be trusted now; `retry_after` in seconds."""

    retry_after = 5

    def __init__(self, reason: str) -> None:
        super().__init__(reason)
        self.reason = reason


class Busy(Unavailable):
    """Locked by another writer for longer than the busy time-out."""

    retry_after = 1


class Full(Unavailable):
    """No room; works again when room is made."""

    retry_after = 30


class ReadOnly(Unavailable):
    """Writes are refused by the file system or by the server."""

    retry_after = 30


# Primary result codes of SQLite (sqlite.org/rescode.html): the low byte of the extended code.
_SQLITE = {
    5: (Busy, "the database is locked"),
    6: (Busy, "a table is locked"),
    8: (ReadOnly, "the database cannot be written"),
    10: (Unavailable, "the disk failed or takes no more"),
    11: (Unavailable, "the database file is damaged"),
    13: (Full, "the disk of the database is full"),
    14: (Unavailable, "the database file cannot be opened"),
    15: (Busy, "the locking protocol gave up"),
    23: (ReadOnly, "access to the database was refused"),
    26: (Unavailable, "the file is not a database"),
}

# SQLITE_IOERR while writing (write, fsync, dir_fsync, truncate, shmsize): a file limit or a quota reports
# itself so.
_SQLITE_WRITE_FAILED = {10 | step << 8 for step in (3, 4, 5, 6, 19)}

# SQLSTATE values (PostgreSQL documentation, appendix A), the full code first, then its class.
_POSTGRESQL = {
    "25006": (ReadOnly, "the server accepts no writes"),
    "53100": (Full, "the disk of the database is full"),
    "53300": (Busy, "the server has no connection left"),
    "55P03": (Busy, "another writer held the lock"),
    "57014": (Busy, "a statement ran out of time"),
    "40": (Busy, "the transaction was given up for another one"),
    "53": (Busy, "the server is out of resources"),
    "08": (Unavailable, "the connection to the server broke"),
    "57": (Unavailable, "the server is stopping or starting"),
    "58": (Unavailable, "the server met an error of its system"),
    "28": (Unavailable, "the server refused the sign-in"),
    "3D": (Unavailable, "the database does not exist"),
}


def as_storage_error(error: DBAPIError | PoolTimeout) -> StorageError | None:
    """The member of the tree for an error of either driver; None when it is a fault of ours, to be raised
    as it is.
    """
    if isinstance(error, PoolTimeout):
        return Busy("every connection was in use")
    code = getattr(error.orig, "sqlite_errorcode", None)
    if isinstance(error, IntegrityError):
        return Conflict("the database refused the record: a number, an owner or a fixed field does not fit")
    if code in _SQLITE_WRITE_FAILED:
        return Full("the disk refused to take more")
    if code is not None and (code & 0xFF) in _SQLITE:
        kind, reason = _SQLITE[code & 0xFF]
        return kind(reason)
    if isinstance(error, DataError) and getattr(error.orig, "sqlstate", None) is None:
        return Conflict("a text holds a character that the database cannot keep")  # NUL, on PostgreSQL
    state = getattr(error.orig, "sqlstate", None)
    if state is not None:
        found = _POSTGRESQL.get(state) or _POSTGRESQL.get(state[:2])
        return found[0](found[1]) if found else None
    if code is None and type(error).__name__ in ("OperationalError", "InterfaceError"):
        return Unavailable("the database cannot be reached")
    return None


@contextmanager
def storage_errors() -> Iterator[None]:
    """Turn driver errors of the block into the tree above; anything else passes through unchanged."""
    try:
        yield
    except (DBAPIError, PoolTimeout) as error:
        known = as_storage_error(error)
        if known is None:
            raise
        raise known from error

"""The storage of a running process and its transactions."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import IO

from sqlalchemy import Connection

from .audit import AuditRepository
from .change import ChangeRepository
from .condition import ConditionRepository
from .engine import EngineFacts, facts, occupy, parse, read_engine, same_file, sqlite_path, write_engine
from .errors import Unavailable, storage_errors
from .fleet import FleetRepository
from .idempotency import IdempotencyRepository
from .key import KeyRepository
from .review import ReviewRepository
from .statements import Statements
from .table import now as present_time
from .vessel import VesselRepository


class Transaction:
    """The repositories on one connection. `now` is the time given to everything kept in this transaction."""

    def __init__(self, connection: Connection, now: str) -> None:
        self.connection, self.now = connection, now
        self.statements = statements = Statements(connection)
        self.changes = ChangeRepository(statements, now)
        self.vessels = VesselRepository(statements, now, self.changes)
        self.conditions = ConditionRepository(statements, now, self.changes)
        self.reviews = ReviewRepository(statements, now, self.changes)
        self.fleet = FleetRepository(statements)
        self.keys = KeyRepository(statements, now)
        self.idempotency = IdempotencyRepository(statements, now)
        self.audit = AuditRepository(statements, now)


class Storage:
    """One database, opened. Safe to share between threads; not to be carried over a fork."""

    def __init__(self, url: str, *, readers: int = 8, clock: Callable[[], str] = present_time) -> None:
        """Open nothing yet. `url` as in `engine`; `readers` read connections at most; `clock` gives the
        time as text.

        Raises ValueError for another kind of URL. The schema is made by `migrate`, never here.
        """
        self.url = parse(url)
        self._clock = clock
        self._write, self._read = write_engine(self.url), read_engine(self.url, readers)
        path = sqlite_path(self.url)
        self._check_file = same_file(path) if path else lambda: None
        self._occupied: IO[str] | None = None

    @contextmanager
    def transaction(self, *, write: bool = False) -> Iterator[Transaction]:
        """A snapshot to read, or with `write` the one writing transaction.

        The commit happens before the block's `with` statement ends: what comes after it is kept. An
        exception in the block rolls everything back. Raises the errors of `errors`; after `Unavailable`
        nothing was kept.
        """
        with storage_errors(), self._guarded():
            engine = self._write if write else self._read
            with engine.connect() as connection, connection.begin():
                tx = Transaction(connection, self._clock())
                yield tx
                if write:
                    tx.statements.send()
                    self._check_file()

    @contextmanager
    def _guarded(self) -> Iterator[None]:
        try:
            self._check_file()
            yield
        except Unavailable:
            # A connection to a file that was deleted or replaced would go on writing where nobody reads.
            self._write.dispose()
            self._read.dispose()
            raise

    def schema_revision(self) -> str | None:
        """The migration the database stands at, None for an empty one. Raises Unavailable (also: no such
        file).
        """
        from alembic.migration import MigrationContext

        with self.transaction() as transaction:
            return MigrationContext.configure(transaction.connection).get_current_revision()

    def facts(self) -> EngineFacts:
        """Library, journal and safety settings in force, for logs and the version resource."""
        with storage_errors():
            # On SQLite the write connection is the one that sets the journal; on PostgreSQL it would wait for writers.
            return facts(self.url, self._write if sqlite_path(self.url) else self._read)

    def occupy(self) -> None:
        """To be called by a server at its start: one server on a SQLite file, any number on PostgreSQL.

        Raises Busy when another one is there.
        """
        path = sqlite_path(self.url)
        if path and self._occupied is None:
            self._occupied = occupy(path)

    def close(self) -> None:
        """Give back every connection, and the place of the one server."""
        if self._occupied:
            self._occupied.close()
            self._occupied = None
        self._write.dispose()
        self._read.dispose()

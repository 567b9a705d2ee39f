"""The storage of a running process and its transactions."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from time import monotonic
from typing import IO, NamedTuple

from sqlalchemy import Connection, Engine, func, literal, select, text, true
from sqlalchemy.exc import DBAPIError

from .audit import AUDIT, AuditRepository
from .change import CHANGES, ChangeRepository
from .condition import ConditionRepository
from .delivery import DeliveryRepository
from .engine import (
    EngineFacts,
    facts,
    file_identity,
    head_engine,
    occupy,
    parse,
    read_engine,
    same_file,
    sqlite_path,
    write_engine,
)
from .errors import Unavailable, storage_errors
from .feed_address import FeedAddressRepository
from .fleet import FleetRepository
from .fleet_columns import FleetFiguresRepository
from .idempotency import IdempotencyRepository
from .key import KeyRepository
from .mail import MAIL_READERS, MailRepository
from .named_fleet import NamedFleetRepository
from .notification import CHANNEL, listen
from .pepper import PepperRepository
from .proof import ProofRepository
from .reference import ReferenceRepository
from .review import ReviewRepository
from .row_digest import ROW_DIGESTS, RowDigestRepository
from .sign_in import SignInRepository
from .state import StateRepository
from .statements import Statements
from .table import moved_on
from .table import now as present_time
from .unfinished import UnfinishedRepository
from .unfinished_booklet import UnfinishedBookletRepository
from .vessel import VesselRepository
from .visit import VisitRepository
from .webhook import WEBHOOKS, WebhookRepository

LOOKED_AT_SECONDS = 0.25


class Ends(NamedTuple):
    """Where the chains end that every writer adds to: numbers (0 for none) and digests, and the time of the feed.

    `webhook`: one of any that is active, `mail`: key of a reader who confirmed an address; None where there is none."""

    change: int = 0
    change_digest: str | None = None
    created: str | None = None
    row_digest: int = 0
    row_digest_digest: str | None = None
    audit: int = 0
    webhook: str | None = None
    mail: str | None = None


_one = select(literal(1).label("one")).subquery()
_change = (
    select(CHANGES.c.id, CHANGES.c.digest, CHANGES.c.created)
    .order_by(CHANGES.c.id.desc())
    .limit(1)
    .subquery()
)
_row = select(ROW_DIGESTS.c.id, ROW_DIGESTS.c.digest).order_by(ROW_DIGESTS.c.id.desc()).limit(1).subquery()
_ENDS = select(
    func.coalesce(_change.c.id, 0),
    _change.c.digest,
    _change.c.created,
    func.coalesce(_row.c.id, 0),
    _row.c.digest,
    func.coalesce(select(func.max(AUDIT.c.id)).scalar_subquery(), 0),
    select(WEBHOOKS.c.id).where(WEBHOOKS.c.state == "active").limit(1).scalar_subquery(),
    select(MAIL_READERS.c.key_id).where(MAIL_READERS.c.confirmed.is_not(None)).limit(1).scalar_subquery(),
).select_from(_one.outerjoin(_change, true()).outerjoin(_row, true()))
_MOVE_SEQUENCE = text("SELECT setval(pg_get_serial_sequence('audit', 'id'), :last)")
_NOTIFY = text(f"NOTIFY {CHANNEL}")
_MOVE_AND_NOTIFY = text(
    f"SELECT setval(pg_get_serial_sequence('audit', 'id'), :last), pg_notify('{CHANNEL}', '')"
)


def _ends(connection: Connection) -> Ends:
    return Ends(*connection.execute(_ENDS).one())


class Transaction:
    """The repositories on one connection. `now` is the time given to everything kept in this transaction."""

    def __init__(self, connection: Connection, clock: str, *, write: bool) -> None:
        """`clock`: its time as text. A writing transaction is later than the last line of the feed all the same."""
        ends = _ends(connection) if write else Ends()
        now = moved_on(clock, ends.created)
        self.connection, self.now = connection, now
        self.statements = statements = Statements(connection)
        self.changes = ChangeRepository(statements, now, (ends.change, ends.change_digest))
        self.vessels = VesselRepository(statements, now, self.changes)
        self.conditions = ConditionRepository(statements, now, self.changes)
        self.reviews = ReviewRepository(statements, now, self.changes)
        self.states = StateRepository(statements, now, self.changes)
        self.fleet = FleetRepository(statements)
        self.fleet_figures = FleetFiguresRepository(statements)
        self.proofs = ProofRepository(statements, now)
        digests = RowDigestRepository(statements, now, (ends.row_digest, ends.row_digest_digest))
        self.keys = KeyRepository(statements, now, digests)
        self.named_fleets = NamedFleetRepository(statements, now, digests)
        self.idempotency = IdempotencyRepository(statements, now, digests)
        self.audit = AuditRepository(statements, now, digests, ends.audit)
        self._audited = ends.audit
        self.pepper = PepperRepository(statements, now, digests)
        self.references = ReferenceRepository(statements, now)
        self.unfinished = UnfinishedRepository(statements, now)
        self.visits = VisitRepository(statements)
        self.unfinished_booklets = UnfinishedBookletRepository(statements, now)
        self.webhooks = WebhookRepository(statements, now)
        self.deliveries = DeliveryRepository(statements, now, connection.dialect.name)
        self.feed_addresses = FeedAddressRepository(statements, now)
        self.mail = MailRepository(statements, now)
        self.sign_ins = SignInRepository(statements, now)
        self._any_webhook, self._any_mail = ends.webhook is not None, ends.mail is not None

    def finish(self) -> None:
        """Send what was held back, with the messages to webhooks; to be called before the commit. In a snapshot there
        is nothing, or it is refused."""
        changes = self.changes.recorded
        if changes and self._any_webhook:
            self.deliveries.add_for(changes, list(self.webhooks.listeners().values()))
        if changes and self._any_mail:
            self.mail.add_for(changes, list(self.mail.working().values()))
        self.statements.send()
        if self.connection.dialect.name == "postgresql":
            audited = self.audit.last != self._audited
            if audited:
                # A release before this one, running beside it, takes the ids of its lines from the sequence.
                move = _MOVE_AND_NOTIFY if changes else _MOVE_SEQUENCE
                self.connection.execute(move, {"last": self.audit.last})
            elif changes:
                self.connection.execute(_NOTIFY)


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
        self._heads = head_engine(self.url, readers)
        self._path = sqlite_path(self.url)
        self._check_file = same_file(self._path) if self._path else lambda: None
        self._occupied: IO[str] | None = None
        self._identity: tuple[int, int] | None = None
        self._looked_at = 0.0

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
                tx = Transaction(connection, self._clock(), write=write)
                yield tx
                tx.finish()
                if write:
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

    def vessel_head(self, id: str) -> int | None:
        """Number of the latest revision of a vessel, None for an unknown one. Raises the errors of `errors`."""
        if self._heads is not None:
            with storage_errors():
                return _vessel_head(self._heads, id)
        with self.transaction() as tx:
            return tx.vessels.head_number(id)

    def is_alone(self) -> bool:
        """Whether no other process can have written vessels since this one occupied the database: on a SQLite file that
        was still the one it occupied `LOOKED_AT_SECONDS` ago."""
        if self._identity is None:
            return False
        moment = monotonic()
        if moment > self._looked_at + LOOKED_AT_SECONDS:
            self._looked_at = moment
            if file_identity(self._path) != self._identity:
                self._identity = None
        return self._identity is not None

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
        if self._path and self._occupied is None:
            self._occupied = occupy(self._path)
            self._identity = file_identity(self._path)

    async def listen(self, heard: Callable[[], None]) -> None:
        """Call `heard` whenever another process may have added to the feed, until cancelled; returns at once on SQLite,
        where nobody else does but commands. Raises Unavailable when the connection is lost."""
        if self._path is None:
            with storage_errors():
                await listen(self.url, heard)

    def close(self) -> None:
        """Give back every connection, and the place of the one server."""
        if self._occupied:
            self._occupied.close()
            self._occupied = self._identity = None
        for engine in (self._write, self._read, self._heads):
            if engine is not None:
                engine.dispose()


def _vessel_head(engine: Engine, id: str) -> int | None:
    """One plain statement, which the driver prepares. A connection found broken is replaced and asked once more."""
    for last in (False, True):
        try:
            with engine.connect() as connection:
                found = connection.exec_driver_sql(
                    "SELECT head_number FROM vessels WHERE id = %(id)s", {"id": id}
                )
                number: int | None = found.scalar_one_or_none()
                return number
        except DBAPIError as error:
            if last or not error.connection_invalidated:
                raise
    return None

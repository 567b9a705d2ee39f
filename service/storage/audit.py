"""The audit log: which key did what, when and from where. Append-only like the records."""

from sqlalchemy import Index, insert, select

from .row_digest import RowDigestRepository
from .statements import Statements
from .table import Record, moment, table, text, whole


class AuditEntry(Record):
    """What a caller notes. `action`: a word for what was asked (create_vessel, revoke_key ...), `status`
    its outcome as an HTTP status or an exit code. `digest_before` and `digest_after`: heads around the
    write, where there are any.
    """

    key_id: str = text()
    key_name: str = text()
    action: str = text()
    status: int = whole()
    request_id: str | None = text(default=None)
    address: str | None = text(default=None)
    vessel: str | None = text(default=None)
    condition: str | None = text(default=None)
    revision: int | None = whole(default=None)
    digest_before: str | None = text(default=None)
    digest_after: str | None = text(default=None)
    reason: str | None = text(default=None)


class AuditLine(AuditEntry):
    """A kept note; `id` ascends but may have gaps."""

    id: int | None = whole(default=None, primary_key=True)
    created: str = moment()


class AuditTable(AuditLine, table=True):
    __tablename__ = "audit"
    __table_args__ = (Index(None, "vessel", "id"), Index(None, "key_id", "id"), {"sqlite_strict": True})


AUDIT = table(AuditTable)
_APPEND = insert(AUDIT)


class AuditRepository:
    """Append and list."""

    def __init__(self, statements: Statements, now: str, digests: RowDigestRepository, last: int) -> None:
        """`last`: id of the last line; nobody else writes before a writing transaction ends."""
        self._statements, self._now, self._digests = statements, now, digests
        self.last = last

    def append(self, entry: AuditEntry) -> None:
        """Note it, in the transaction of the write it is about."""
        self.last += 1
        row = entry.values() | {"id": self.last, "created": self._now}
        self._statements.add(_APPEND, row)
        self._digests.record("audit", row)

    def list(
        self,
        *,
        vessel: str | None = None,
        key_id: str | None = None,
        before: int | None = None,
        limit: int = 100,
    ) -> list[AuditLine]:
        """Notes, newest first; `before` is the last id of the page before."""
        statement = select(AUDIT).order_by(AUDIT.c.id.desc()).limit(limit)
        if vessel is not None:
            statement = statement.where(AUDIT.c.vessel == vessel)
        if key_id is not None:
            statement = statement.where(AUDIT.c.key_id == key_id)
        if before is not None:
            statement = statement.where(AUDIT.c.id < before)
        return [AuditLine.of(row) for row in self._statements.execute(statement).mappings()]

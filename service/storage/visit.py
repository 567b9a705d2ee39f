"""When readers of the pages were last here: no record of the ship, written over, not append-only."""

from sqlalchemy import bindparam, insert, select, update

from .statements import Statements
from .table import Record, moment, table, text


class Visit(Record):
    """`seen`: the last page of the visit that goes on; `before`: the last one of the visit before it, None at first."""

    key_id: str = text(primary_key=True)
    seen: str = moment()
    before: str | None = text(default=None)


class VisitTable(Visit, table=True):
    __tablename__ = "visits"
    __table_args__ = ({"sqlite_strict": True},)


VISITS = table(VisitTable)
_GET = select(VISITS).where(VISITS.c.key_id == bindparam("the_key"))
_ADD = insert(VISITS)
_MOVE = (
    update(VISITS)
    .where(VISITS.c.key_id == bindparam("the_key"))
    .values(seen=bindparam("new_seen"), before=bindparam("new_before"))
)


class VisitRepository:
    """Find and write over."""

    def __init__(self, statements: Statements) -> None:
        self._statements = statements

    def get(self, key_id: str) -> Visit | None:
        """The visit of a reader that goes on or was the last; None where he was never here."""
        row = self._statements.execute(_GET, {"the_key": key_id}).mappings().one_or_none()
        return None if row is None else Visit.of(row)

    def keep(self, visit: Visit) -> None:
        """Write over what is there."""
        if self.get(visit.key_id) is None:
            self._statements.add(_ADD, visit.values())
        else:
            moved = {"the_key": visit.key_id, "new_seen": visit.seen, "new_before": visit.before}
            self._statements.execute(_MOVE, moved)

"""Conditions that are being typed: no revision, no review, no digest; written over and forgotten.

The counter of a name goes on after its removal, as long as the row is kept, so that no tag is given out twice.
"""

from collections.abc import Sequence

from sqlalchemy import BindParameter, Index, bindparam, delete, func, insert, select, update

from .errors import NotFound
from .statements import Statements
from .table import Record, moment, table, text, whole


class UnfinishedEntry(Record):
    """What a caller hands over: `document` as JSON text, None for a removal; `title` as in it."""

    vessel: str = text(primary_key=True, foreign_key="vessels.id")
    name: str = text(primary_key=True)
    title: str | None = text(default=None)
    document: str | None = text(default=None)
    author_key: str = text()
    author_name: str = text()


class Unfinished(UnfinishedEntry):
    """What is kept. `number`: counts every write under that name. `bytes`: of the document as UTF-8."""

    number: int = whole()
    bytes: int = whole()
    created: str = moment()
    updated: str = moment()


class UnfinishedTable(Unfinished, table=True):
    __tablename__ = "unfinished"
    __table_args__ = (Index(None, "updated"), {"sqlite_strict": True})


UNFINISHED = table(UnfinishedTable)
_VESSEL: BindParameter[str] = bindparam("the_vessel")
_THERE = UNFINISHED.c.document.is_not(None)
_ROW = select(UNFINISHED).where(UNFINISHED.c.vessel == _VESSEL, UNFINISHED.c.name == bindparam("the_name"))
_LIST = (
    select(*(column for column in UNFINISHED.c if column.name != "document"))
    .where(UNFINISHED.c.vessel == _VESSEL, _THERE)
    .order_by(UNFINISHED.c.updated.desc(), UNFINISHED.c.name)
)
_COUNT = select(func.count()).where(UNFINISHED.c.vessel == _VESSEL, _THERE)
_ADD = insert(UNFINISHED)
_WRITE = (
    update(UNFINISHED)
    .where(UNFINISHED.c.vessel == _VESSEL, UNFINISHED.c.name == bindparam("the_name"))
    .values(
        {name: bindparam(f"new_{name}") for name in Unfinished.model_fields if name not in ("vessel", "name")}
    )
)
_PURGE = delete(UNFINISHED).where(
    UNFINISHED.c.updated < bindparam("before"),
    ~(UNFINISHED.c.name.startswith(bindparam("kept"), autoescape=False) & _THERE),
)


class UnfinishedRepository:
    """Find, write, list, purge."""

    def __init__(self, statements: Statements, now: str) -> None:
        self._statements, self._now = statements, now

    def get(self, vessel: str, name: str) -> Unfinished:
        """What is kept under that name. Raises NotFound."""
        found = self.last(vessel, name)
        if found is None or found.document is None:
            raise NotFound("unfinished", name)
        return found

    def last(self, vessel: str, name: str) -> Unfinished | None:
        """The same, also where it was removed: then without a document."""
        place = {"the_vessel": vessel, "the_name": name}
        row = self._statements.execute(_ROW, place).mappings().one_or_none()
        return None if row is None else Unfinished.of(row)

    def write(self, entry: UnfinishedEntry) -> Unfinished:
        """Write over what is there, or remove it where `entry` has no document."""
        before = self.last(entry.vessel, entry.name)
        begun = before is None or before.document is None
        kept = Unfinished.of(
            {
                **entry.values(),
                "number": 1 if before is None else before.number + 1,
                "bytes": len((entry.document or "").encode()),
                "created": self._now if before is None or begun else before.created,
                "updated": self._now,
            }
        )
        if before is None:
            self._statements.add(_ADD, kept.values())
        else:
            place = {"the_vessel": entry.vessel, "the_name": entry.name}
            new = {f"new_{n}": value for n, value in kept.values().items() if n not in ("vessel", "name")}
            self._statements.execute(_WRITE, place | new)
        return kept

    def of_vessel(self, vessel: str) -> Sequence[Unfinished]:
        """What is kept of a vessel, without documents, the one written last first."""
        rows = self._statements.execute(_LIST, {"the_vessel": vessel}).mappings()
        return [Unfinished.of({**row, "document": None}) for row in rows]

    def count(self, vessel: str) -> int:
        """How many are kept of a vessel."""
        return int(self._statements.execute(_COUNT, {"the_vessel": vessel}).scalar_one())

    def purge(self, before: str, kept: str) -> int:
        """Forget what was written last before that time (text), unless its name begins with `kept` and it was not
        removed; returns how many."""
        return self._statements.execute(_PURGE, {"before": before, "kept": kept}).rowcount

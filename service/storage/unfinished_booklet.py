"""Booklets that are being typed in, part by part: no vessel yet, no revision, no digest; written over and forgotten."""

from collections.abc import Sequence

from sqlalchemy import BindParameter, Index, bindparam, delete, func, insert, select, update

from .errors import Conflict, NotFound
from .statements import Statements
from .table import Record, moment, new_id, table, text, whole


class UnfinishedBooklet(Record):
    """What is kept. `document`: vessel document as far as it is typed; `typed`: tables that are not right yet;
    `accepted`: doubts answered with "it is printed so" (JSON texts). `number` counts the writes, `bytes` all three."""

    id: str = text(primary_key=True)
    owner_key: str = text()
    name: str = text()
    document: str = text()
    typed: str = text()
    accepted: str = text()
    number: int = whole()
    bytes: int = whole()
    created: str = moment()
    updated: str = moment()


class UnfinishedBookletTable(UnfinishedBooklet, table=True):
    __tablename__ = "unfinished_booklets"
    __table_args__ = (Index(None, "owner_key", "updated"), Index(None, "updated"), {"sqlite_strict": True})


UNFINISHED_BOOKLETS = table(UnfinishedBookletTable)
_C = UNFINISHED_BOOKLETS.c
_OWNER: BindParameter[str] = bindparam("the_owner")
_OWN = (_C.id == bindparam("the_id"), _C.owner_key == _OWNER)
_GET = select(UNFINISHED_BOOKLETS).where(*_OWN)
_LIST = (
    select(_C.id, _C.owner_key, _C.name, _C.number, _C.bytes, _C.created, _C.updated)
    .where(_C.owner_key == _OWNER)
    .order_by(_C.updated.desc(), _C.id)
)
_COUNT = select(func.count()).where(_C.owner_key == _OWNER)
_ADD = insert(UNFINISHED_BOOKLETS)
_CHANGED = ("name", "document", "typed", "accepted", "number", "bytes", "updated")
_WRITE = (
    update(UNFINISHED_BOOKLETS)
    .where(*_OWN, _C.number == bindparam("the_number"))
    .values({name: bindparam(f"new_{name}") for name in _CHANGED})
)
_REMOVE = delete(UNFINISHED_BOOKLETS).where(*_OWN)
_PURGE = delete(UNFINISHED_BOOKLETS).where(_C.updated < bindparam("before"))


class UnfinishedBookletRepository:
    """Find, write, list, remove, purge; each for the key that began it."""

    def __init__(self, statements: Statements, now: str) -> None:
        self._statements, self._now = statements, now

    def get(self, owner: str, id: str) -> UnfinishedBooklet:
        """One of this key's. Raises NotFound."""
        row = self._statements.execute(_GET, {"the_owner": owner, "the_id": id}).mappings().one_or_none()
        if row is None:
            raise NotFound("unfinished_booklet", id)
        return UnfinishedBooklet.of(row)

    def begin(self, owner: str, name: str, document: str, typed: str, accepted: str) -> UnfinishedBooklet:
        """A new one."""
        kept = UnfinishedBooklet(
            id=new_id(self._now),
            owner_key=owner,
            name=name,
            document=document,
            typed=typed,
            accepted=accepted,
            number=1,
            bytes=_bytes(document, typed, accepted),
            created=self._now,
            updated=self._now,
        )
        self._statements.add(_ADD, kept.values())
        return kept

    def write(
        self, before: UnfinishedBooklet, name: str, document: str, typed: str, accepted: str
    ) -> UnfinishedBooklet:
        """Write over the state `before`. Raises Conflict where somebody wrote since."""
        new = {
            "name": name,
            "document": document,
            "typed": typed,
            "accepted": accepted,
            "number": before.number + 1,
            "bytes": _bytes(document, typed, accepted),
            "updated": self._now,
        }
        place = {"the_owner": before.owner_key, "the_id": before.id, "the_number": before.number}
        values = place | {f"new_{member}": value for member, value in new.items()}
        if self._statements.execute(_WRITE, values).rowcount != 1:
            raise Conflict("This booklet was written in another window meanwhile; load it again.")
        return UnfinishedBooklet.of(before.values() | new)

    def of_owner(self, owner: str) -> Sequence[UnfinishedBooklet]:
        """Those of a key, without their contents, the one written last first."""
        rows = self._statements.execute(_LIST, {"the_owner": owner}).mappings()
        empty = {"document": "{}", "typed": "{}", "accepted": "[]"}
        return [UnfinishedBooklet.of({**row, **empty}) for row in rows]

    def count(self, owner: str) -> int:
        """How many a key has."""
        return int(self._statements.execute(_COUNT, {"the_owner": owner}).scalar_one())

    def remove(self, owner: str, id: str) -> int:
        """Remove one; how many there were."""
        return self._statements.execute(_REMOVE, {"the_owner": owner, "the_id": id}).rowcount

    def purge(self, before: str) -> int:
        """Forget what was written last before that time (text); returns how many."""
        return self._statements.execute(_PURGE, {"before": before}).rowcount


def _bytes(*texts: str) -> int:
    return sum(len(text.encode()) for text in texts)

"""Access keys. Storage keeps the hash the caller computed, never the secret; it knows no roles."""

import json
from collections.abc import Collection

from sqlalchemy import BindParameter, bindparam, insert, select, update

from .errors import NotFound
from .row_digest import RowDigestRepository
from .statements import Statements
from .table import Record, moment, table, text


class Key(Record):
    """A key. `vessels`: JSON list of the vessel ids it may see, null for all (`scope` gives it as a set).

    `expires`, `revoked`, `last_used`: times as text, None when they do not apply.
    """

    id: str = text(primary_key=True)
    name: str = text()
    role: str = text()
    vessels: str | None = text(default=None)
    secret_hash: str = text()
    created: str = moment()
    created_by: str | None = text(default=None)
    expires: str | None = moment(default=None)
    revoked: str | None = moment(default=None)
    last_used: str | None = moment(default=None)

    @property
    def scope(self) -> frozenset[str] | None:
        """The vessels this key may see, None for all."""
        return None if self.vessels is None else frozenset(json.loads(self.vessels))


class KeyTable(Key, table=True):
    __tablename__ = "keys"
    __table_args__ = ({"sqlite_strict": True},)


KEYS = table(KeyTable)
_ID: BindParameter[str] = bindparam("the_id")
_GET = select(KEYS).where(KEYS.c.id == _ID)
_ADD = insert(KEYS)
_REVOKE = update(KEYS).where(KEYS.c.id == _ID, KEYS.c.revoked.is_(None)).values(revoked=bindparam("at"))
_TOUCH = update(KEYS).where(KEYS.c.id == _ID).values(last_used=bindparam("at"))
_SCOPE = update(KEYS).where(KEYS.c.id == _ID).values(vessels=bindparam("new_vessels"))


class KeyRepository:
    """Keys are revoked, never deleted: their ids stand in histories."""

    def __init__(self, statements: Statements, now: str, digests: RowDigestRepository) -> None:
        self._statements, self._now, self._digests = statements, now, digests

    def add(
        self,
        id: str,
        *,
        name: str,
        role: str,
        secret_hash: str,
        vessels: Collection[str] | None = None,
        expires: str | None = None,
        created_by: str | None = None,
    ) -> Key:
        """Keep a new key. Raises Conflict when the id is taken."""
        key = Key(
            id=id,
            name=name,
            role=role,
            vessels=_as_text(vessels),
            secret_hash=secret_hash,
            created=self._now,
            created_by=created_by,
            expires=expires,
        )
        self._statements.execute(_ADD, key.values())
        self._digests.record("key", key.values())
        return key

    def get(self, id: str) -> Key:
        """The key, whether valid or not. Raises NotFound."""
        row = self._statements.execute(_GET, {"the_id": id}).mappings().one_or_none()
        if row is None:
            raise NotFound("key", id)
        return Key.of(row)

    def any(self) -> bool:
        """True when at least one key was ever made."""
        return self._statements.execute(select(KEYS.c.id).limit(1)).first() is not None

    def any_in_use(self) -> bool:
        """True when there is a key that was not revoked."""
        found = self._statements.execute(select(KEYS.c.id).where(KEYS.c.revoked.is_(None)).limit(1))
        return found.first() is not None

    def list(self, *, after: str | None = None, limit: int = 100) -> list[Key]:
        """Keys in the order of their ids; `after` is the last id of the page before."""
        statement = select(KEYS).order_by(KEYS.c.id).limit(limit)
        if after is not None:
            statement = statement.where(KEYS.c.id > after)
        return [Key.of(row) for row in self._statements.execute(statement).mappings()]

    def revoke(self, id: str) -> Key:
        """Revoke from now on; a key revoked before keeps its time. Raises NotFound."""
        self._statements.execute(_REVOKE, {"the_id": id, "at": self._now})
        return self._changed(id)

    def rescope(self, id: str, vessels: Collection[str] | None) -> Key:
        """Change the vessels the key may see. Raises NotFound, and Broken for a key changed behind our back."""
        self._digests.require_unchanged("key", self.get(id).values())
        self._statements.execute(_SCOPE, {"the_id": id, "new_vessels": _as_text(vessels)})
        return self._changed(id)

    def touch(self, id: str) -> None:
        """Note that the key was used now. Worth at most one write a minute and key."""
        self._statements.execute(_TOUCH, {"the_id": id, "at": self._now})

    def _changed(self, id: str) -> Key:
        key = self.get(id)
        self._digests.record("key", key.values())
        return key


def _as_text(vessels: Collection[str] | None) -> str | None:
    return None if vessels is None else json.dumps(sorted(set(vessels)))

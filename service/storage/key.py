"""Access keys. Storage keeps the hash the caller computed, never the secret; it knows no roles."""

import json
from collections.abc import Collection

from sqlalchemy import BindParameter, bindparam, insert, select, update

from .errors import NotFound
from .row_digest import RowDigestRepository
from .statements import Statements
from .table import Record, moment, table, text


class Key(Record):
    """A key. `vessels`: JSON list of the vessel ids it may see, null for all. `fleets`: JSON list of the ids of fleets
    whose vessels it may see besides; beside fleets `vessels` is never null, so that a release that knows no fleets does
    not take it for all.

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
    fleets: str | None = text(default=None)

    @property
    def vessel_ids(self) -> frozenset[str] | None:
        """The vessels this key names, None for all."""
        return None if self.vessels is None else frozenset(json.loads(self.vessels))

    @property
    def fleet_ids(self) -> frozenset[str]:
        """The fleets this key names."""
        return frozenset(json.loads(self.fleets)) if self.fleets else frozenset()


class KeyTable(Key, table=True):
    __tablename__ = "keys"
    __table_args__ = ({"sqlite_strict": True},)


KEYS = table(KeyTable)
_ID: BindParameter[str] = bindparam("the_id")
_GET = select(KEYS).where(KEYS.c.id == _ID)
_ADD = insert(KEYS)
_REVOKE = update(KEYS).where(KEYS.c.id == _ID, KEYS.c.revoked.is_(None)).values(revoked=bindparam("at"))
_TOUCH = update(KEYS).where(KEYS.c.id == _ID).values(last_used=bindparam("at"))
_SCOPE = (
    update(KEYS)
    .where(KEYS.c.id == _ID)
    .values(vessels=bindparam("new_vessels"), fleets=bindparam("new_fleets"))
)


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
        fleets: Collection[str] = (),
        expires: str | None = None,
        created_by: str | None = None,
    ) -> Key:
        """Keep a new key. Raises Conflict when the id is taken."""
        key = Key(
            id=id,
            name=name,
            role=role,
            **_scope(vessels, fleets),
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

    def rescope(self, id: str, vessels: Collection[str] | None, fleets: Collection[str] = ()) -> Key:
        """Change the vessels and fleets the key may see. Raises NotFound, and Broken for a key changed behind our
        back."""
        self._digests.require_unchanged("key", self.get(id).values())
        new = {f"new_{column}": value for column, value in _scope(vessels, fleets).items()}
        self._statements.execute(_SCOPE, {"the_id": id, **new})
        return self._changed(id)

    def touch(self, id: str) -> None:
        """Note that the key was used now. Worth at most one write a minute and key."""
        self._statements.execute(_TOUCH, {"the_id": id, "at": self._now})

    def _changed(self, id: str) -> Key:
        key = self.get(id)
        self._digests.record("key", key.values())
        return key


def _scope(vessels: Collection[str] | None, fleets: Collection[str]) -> dict[str, str | None]:
    """The two columns of a scope."""
    named = [] if vessels is None and fleets else vessels
    return {
        "vessels": None if named is None else json.dumps(sorted(set(named))),
        "fleets": json.dumps(sorted(set(fleets))) if fleets else None,
    }

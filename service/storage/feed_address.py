"""Addresses of the feed for people's readers, which send no headers: each opens what its key may see, to read alone.

Storage keeps the hash the caller computed, never the secret.
"""

from sqlalchemy import bindparam, delete, insert, select

from .key import KEYS, Key
from .statements import Statements
from .table import Record, moment, table, text


class FeedAddress(Record):
    """The address of one key; `id` names it, in the address and in the audit log."""

    key_id: str = text(primary_key=True)
    id: str = text(unique=True)
    secret_hash: str = text()
    created: str = moment()


class FeedAddressTable(FeedAddress, table=True):
    __tablename__ = "feed_addresses"
    __table_args__ = ({"sqlite_strict": True},)


FEED_ADDRESSES = table(FeedAddressTable)
_OF_KEY = select(FEED_ADDRESSES).where(FEED_ADDRESSES.c.key_id == bindparam("the_key"))
_BY_ID = select(FEED_ADDRESSES).where(FEED_ADDRESSES.c.id == bindparam("the_id"))
_KEY = select(KEYS).where(
    KEYS.c.id == bindparam("the_key"),
    KEYS.c.revoked.is_(None),
    KEYS.c.expires.is_(None) | (KEYS.c.expires > bindparam("now")),
)
_ADD = insert(FEED_ADDRESSES)
_DELETE = delete(FEED_ADDRESSES).where(FEED_ADDRESSES.c.key_id == bindparam("the_key"))


class FeedAddressRepository:
    """One address a key at most."""

    def __init__(self, statements: Statements, now: str) -> None:
        self._statements, self._now = statements, now

    def of_key(self, key_id: str) -> FeedAddress | None:
        """The address of a key."""
        row = self._statements.execute(_OF_KEY, {"the_key": key_id}).mappings().one_or_none()
        return None if row is None else FeedAddress.of(row)

    def by_id(self, id: str) -> FeedAddress | None:
        """The address of that name."""
        row = self._statements.execute(_BY_ID, {"the_id": id}).mappings().one_or_none()
        return None if row is None else FeedAddress.of(row)

    def working_key(self, key_id: str, now: str) -> Key | None:
        """The key, while it opens something."""
        row = self._statements.execute(_KEY, {"the_key": key_id, "now": now}).mappings().one_or_none()
        return None if row is None else Key.of(row)

    def make(self, key_id: str, id: str, secret_hash: str) -> FeedAddress:
        """A new address of a key; the one before is gone."""
        self.remove(key_id)
        made = FeedAddress(key_id=key_id, id=id, secret_hash=secret_hash, created=self._now)
        self._statements.execute(_ADD, made.values())
        return made

    def remove(self, key_id: str) -> bool:
        """Take the address back; whether there was one."""
        return self._statements.execute(_DELETE, {"the_key": key_id}).rowcount > 0

"""Webhooks: addresses that are told of changes. Storage holds the salts that their secrets are made with, no secret."""

import json
from collections.abc import Collection, Mapping
from typing import Any, NamedTuple

from sqlalchemy import BindParameter, CheckConstraint, Index, bindparam, delete, func, insert, select, update

from .errors import NotFound
from .key import KEYS
from .named_fleet import scopes_of
from .statements import Statements
from .table import Record, moment, new_id, table, text


class Webhook(Record):
    """A webhook of the access key `key_id`; `local` where there is no key yet.

    `events`: JSON list of the types it is told of. `vessels`: JSON list of vessel ids it is narrowed to, null for all
    that the key sees. `state`: active, paused (by a person) or stopped (by the receiver, or because nobody answered);
    `reason` says why. `salt`: of the secret; `former_salt`: of the one before, which signs too until `former_until`.
    """

    id: str = text(primary_key=True)
    key_id: str = text()
    url: str = text()
    events: str = text()
    vessels: str | None = text(default=None)
    description: str | None = text(default=None)
    state: str = text()
    reason: str | None = text(default=None)
    salt: str = text()
    former_salt: str | None = text(default=None)
    former_until: str | None = moment(default=None)
    created: str = moment()
    updated: str = moment()
    last_success: str | None = moment(default=None)
    last_failure: str | None = moment(default=None)

    @property
    def event_types(self) -> frozenset[str]:
        """The types of events it is told of."""
        return frozenset(json.loads(self.events))

    @property
    def narrowed_to(self) -> frozenset[str] | None:
        """Ids of vessels, None for all that the key sees."""
        return None if self.vessels is None else frozenset(json.loads(self.vessels))


class WebhookTable(Webhook, table=True):
    __tablename__ = "webhooks"
    __table_args__ = (
        CheckConstraint("state IN ('active', 'paused', 'stopped')", name="state"),
        Index(None, "key_id", "id"),
        {"sqlite_strict": True},
    )


WEBHOOKS = table(WebhookTable)
LOCAL_KEY = "local"


class Listener(NamedTuple):
    """An active webhook and the vessels its key may see, None for all."""

    webhook: Webhook
    scope: frozenset[str] | None

    def sees(self, vessel: str) -> bool:
        """Whether it may be told of a vessel, and wants to be."""
        narrowed = self.webhook.narrowed_to
        return (self.scope is None or vessel in self.scope) and (narrowed is None or vessel in narrowed)


_ID: BindParameter[str] = bindparam("the_id")
_GET = select(WEBHOOKS).where(WEBHOOKS.c.id == _ID)
_ADD = insert(WEBHOOKS)
_DELETE = delete(WEBHOOKS).where(WEBHOOKS.c.id == _ID)
_KEY_WORKS = (WEBHOOKS.c.key_id == LOCAL_KEY) | (
    KEYS.c.revoked.is_(None) & (KEYS.c.expires.is_(None) | (KEYS.c.expires > bindparam("now")))
)
_LISTENERS = (
    select(WEBHOOKS, KEYS.c.vessels.label("key_vessels"), KEYS.c.fleets.label("key_fleets"))
    .outerjoin_from(WEBHOOKS, KEYS, KEYS.c.id == WEBHOOKS.c.key_id)
    .where(WEBHOOKS.c.state == "active", _KEY_WORKS)
)


class WebhookRepository:
    """Webhooks are changed and deleted by their owners; the audit log says who did."""

    def __init__(self, statements: Statements, now: str) -> None:
        self._statements, self._now = statements, now

    def add(
        self,
        key_id: str,
        *,
        url: str,
        events: Collection[str],
        vessels: Collection[str] | None,
        description: str | None,
        salt: str,
    ) -> Webhook:
        """Keep a new one, active."""
        webhook = Webhook(
            id=new_id(self._now),
            key_id=key_id,
            url=url,
            events=json.dumps(sorted(set(events))),
            vessels=None if vessels is None else json.dumps(sorted(set(vessels))),
            description=description,
            state="active",
            salt=salt,
            created=self._now,
            updated=self._now,
        )
        self._statements.execute(_ADD, webhook.values())
        return webhook

    def get(self, id: str) -> Webhook:
        """One webhook. Raises NotFound."""
        row = self._statements.execute(_GET, {"the_id": id}).mappings().one_or_none()
        if row is None:
            raise NotFound("webhook", id)
        return Webhook.of(row)

    def list(self, *, key_id: str | None = None, after: str | None = None, limit: int = 100) -> list[Webhook]:
        """In the order they were made, those of a key alone where `key_id` names one; `after`: the last id seen."""
        statement = select(WEBHOOKS).order_by(WEBHOOKS.c.id).limit(limit)
        if key_id is not None:
            statement = statement.where(WEBHOOKS.c.key_id == key_id)
        if after is not None:
            statement = statement.where(WEBHOOKS.c.id > after)
        return [Webhook.of(row) for row in self._statements.execute(statement).mappings()]

    def count(self, key_id: str | None = None) -> int:
        """How many there are, of one key or of all."""
        statement = select(func.count()).select_from(WEBHOOKS)
        if key_id is not None:
            statement = statement.where(WEBHOOKS.c.key_id == key_id)
        return int(self._statements.execute(statement).scalar_one())

    def change(self, id: str, values: Mapping[str, Any], *, touch: bool = True) -> Webhook:
        """Give columns other values; `touch`: a person did, so that `updated` moves. Raises NotFound."""
        changed = {**values, "updated": self._now} if touch else dict(values)
        self._statements.execute(update(WEBHOOKS).where(WEBHOOKS.c.id == _ID).values(changed), {"the_id": id})
        return self.get(id)

    def delete(self, id: str) -> None:
        """Remove it; its deliveries go first."""
        self._statements.execute(_DELETE, {"the_id": id})

    def listeners(self, now: str | None = None) -> dict[str, Listener]:
        """Every active webhook whose key opens something now, by id."""
        found = self._statements.execute(_LISTENERS, {"now": now or self._now}).mappings()
        rows = [dict(row) for row in found]
        scopes = scopes_of(
            self._statements, [(row.pop("key_vessels"), row.pop("key_fleets")) for row in rows]
        )
        return {row["id"]: Listener(Webhook.of(row), scope) for row, scope in zip(rows, scopes, strict=True)}

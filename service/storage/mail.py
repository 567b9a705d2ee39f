"""Mail to readers: who is told of what, and the outbox, written in the transaction of the change itself.

One row for each reader and change. A sender takes the rows of a reader under a lease and sends them in one mail; when
it is gone the lease runs out and another one sends. So every change is told at least once.
"""

import json
from collections.abc import Iterable, Sequence
from typing import Any, Final, NamedTuple

from sqlalchemy import CheckConstraint, Index, bindparam, delete, func, insert, select, update

from .key import KEYS
from .lease import Leases, verdict_before
from .named_fleet import scopes_of
from .review import REVIEWS
from .sign_in import SIGN_INS, SignIn
from .statements import Statements
from .table import Record, moment, new_id, table, text, whole

NEEDS_REVIEW, RETURNED, ANOTHER_VERDICT, IN_FORCE = (
    "needs_review",
    "returned_or_answered",
    "verdict_changed",
    "in_force",
)
MAIL_KINDS: Final = (NEEDS_REVIEW, RETURNED, ANOTHER_VERDICT, IN_FORCE)
CONFIRM: Final = "confirm"
RENEW: Final = "renew"


class MailReader(Record):
    """A reader's own address; `key_id`: of its key, or of a person who signs in without one. `kinds`: JSON
    list of what to tell. `salt`: what the code and the link that stops are made from, another one for each address;
    `confirmed`: when the code was typed; `tries`: wrong codes since."""

    key_id: str = text(primary_key=True)
    address: str = text()
    kinds: str = text()
    salt: str = text()
    tries: int = whole()
    created: str = moment()
    confirmed: str | None = moment(default=None)

    @property
    def wanted(self) -> frozenset[str]:
        """What to tell."""
        return frozenset(json.loads(self.kinds))


class Mail(Record):
    """Something to tell a reader: the line `change` of the feed, or, `change` None, the code of a new address or that
    its sign-in ends.

    `kinds`: JSON list of why. `state`: waiting, sent, or dead when nobody tries again. `next_attempt`: not before that.
    `lease_owner`, `lease_until`: who is sending. `error`: why the last attempt failed. `letter`: the mail it goes in,
    from the first attempt on: the same rows go together again, and the receiver knows their mail by its id."""

    id: str = text(primary_key=True)
    key_id: str = text()
    change: int | None = whole(default=None)
    vessel: str | None = text(default=None)
    kinds: str = text()
    previous_verdict: str | None = text(default=None)
    created: str = moment()
    state: str = text()
    attempts: int = whole()
    next_attempt: str = moment()
    lease_owner: str | None = text(default=None)
    lease_until: str | None = moment(default=None)
    error: str | None = text(default=None)
    letter: str | None = text(default=None)

    @property
    def why(self) -> frozenset[str]:
        """Why it is told."""
        return frozenset(json.loads(self.kinds))


class MailReaderTable(MailReader, table=True):
    __tablename__ = "mail_readers"
    __table_args__ = ({"sqlite_strict": True},)


class MailTable(Mail, table=True):
    __tablename__ = "mails"
    __table_args__ = (
        CheckConstraint("state IN ('waiting', 'sent', 'dead')", name="state"),
        Index(None, "state", "next_attempt"),
        Index(None, "key_id", "id"),
        {"sqlite_strict": True},
    )


class ReaderInScope(NamedTuple):
    """A reader whose key works, and the vessels it may see, None for all. sign_in: what stands in the place of a key,
    None where there is one."""

    reader: MailReader
    scope: frozenset[str] | None
    sign_in: SignIn | None = None

    def sees(self, vessel: str | None) -> bool:
        """Whether it may be told of a vessel."""
        return self.scope is None or vessel in self.scope


MAIL_READERS, MAILS = table(MailReaderTable), table(MailTable)
_m = MAILS.c
_GET = select(MAIL_READERS).where(MAIL_READERS.c.key_id == bindparam("the_key"))
_WORKING = (
    select(MAIL_READERS, KEYS.c.vessels.label("key_vessels"), KEYS.c.fleets.label("key_fleets"))
    .join_from(MAIL_READERS, KEYS, KEYS.c.id == MAIL_READERS.c.key_id)
    .where(KEYS.c.revoked.is_(None), KEYS.c.expires.is_(None) | (KEYS.c.expires > bindparam("now")))
)
_SIGNED_IN = (
    select(MAIL_READERS, *(column.label(f"sign_in_{column.name}") for column in SIGN_INS.c))
    .join_from(MAIL_READERS, SIGN_INS, SIGN_INS.c.key_id == MAIL_READERS.c.key_id)
    .where(SIGN_INS.c.role.is_not(None), SIGN_INS.c.good_until > bindparam("now"))
)
_DECISION_BEFORE = (
    select(REVIEWS.c.decision)
    .where(REVIEWS.c.condition == bindparam("the_condition"), REVIEWS.c.revision == bindparam("the_number"))
    .order_by(REVIEWS.c.number.desc())
    .limit(1)
)
_LEASES = Leases(MAILS, "sent")
_READY = (
    (_m.attempts > 0) | _m.letter.is_not(None) | _m.change.is_(None) | (_m.created <= bindparam("gathered"))
)
_NEXT = select(_LEASES.first).where(_LEASES.is_waiting)
_LATEST = select(MAILS).where(_m.key_id == bindparam("the_key")).order_by(_m.id.desc()).limit(1)
_ADD = insert(MAILS)


class MailRepository:
    """Readers are written over; rows of the outbox are added by the transaction that keeps changes."""

    def __init__(self, statements: Statements, now: str) -> None:
        self._statements, self._now = statements, now

    def reader(self, key_id: str) -> MailReader | None:
        """The reader of that key."""
        row = self._statements.execute(_GET, {"the_key": key_id}).mappings().one_or_none()
        return None if row is None else MailReader.of(row)

    def keep_reader(self, reader: MailReader) -> None:
        """Write over what is there."""
        self._statements.execute(delete(MAIL_READERS).where(MAIL_READERS.c.key_id == reader.key_id))
        self._statements.execute(insert(MAIL_READERS), reader.values())

    def remove_reader(self, key_id: str) -> bool:
        """Forget a reader and what was to be sent; whether there was one."""
        self._statements.execute(delete(MAILS).where(_m.key_id == key_id, _m.state == "waiting"))
        gone = self._statements.execute(delete(MAIL_READERS).where(MAIL_READERS.c.key_id == key_id))
        return gone.rowcount > 0

    def drop_waiting(self, key_id: str) -> None:
        """Forget what was to be sent to a former address."""
        self._statements.execute(delete(MAILS).where(_m.key_id == key_id, _m.state == "waiting"))

    def working(self, now: str | None = None) -> dict[str, ReaderInScope]:
        """Every reader whose key opens something now, or whose sign-in is good, by key."""
        moment = {"now": now or self._now}
        found = [dict(row) for row in self._statements.execute(_WORKING, moment).mappings()]
        signed_in = [dict(row) for row in self._statements.execute(_SIGNED_IN, moment).mappings()]
        by_sign_in = [_sign_in_of(row) for row in signed_in]
        scopes = scopes_of(
            self._statements,
            [(row.pop("key_vessels"), row.pop("key_fleets")) for row in found]
            + [(each.vessels, each.fleets) for each in by_sign_in],
        )
        behind = [*[None] * len(found), *by_sign_in]
        return {
            row["key_id"]: ReaderInScope(MailReader.of(row), scope, sign_in)
            for row, scope, sign_in in zip(found + signed_in, scopes, behind, strict=True)
        }

    def readers(self) -> list[MailReader]:
        """Everybody who gave an address, by id."""
        asked = select(MAIL_READERS).order_by(MAIL_READERS.c.key_id)
        return [MailReader.of(row) for row in self._statements.execute(asked).mappings()]

    def add_confirmation(self, key_id: str) -> None:
        """Send the code of a new address."""
        self._add(key_id, (CONFIRM,))

    def add_reminder(self, key_id: str) -> None:
        """Tell a reader that its sign-in ends."""
        self._add(key_id, (RENEW,))

    def confirmations_since(self, key_id: str, moment: str) -> int:
        """How many codes were sent for that key after a time."""
        asked = select(func.count()).where(
            _m.key_id == key_id, _m.kinds == json.dumps([CONFIRM]), _m.created > moment
        )
        return int(self._statements.execute(asked).scalar_one())

    def add_for(self, changes: Iterable[dict[str, Any]], readers: Sequence[ReaderInScope]) -> None:
        """A row for every reader who confirmed an address, wants to be told of a line of the feed, and may be."""
        for change in changes:
            telling = [r for r in readers if r.reader.confirmed and r.sees(change["vessel"])]
            if not telling or change["condition"] is None:
                continue
            before, kinds = self._kinds_of(change)
            for each in telling:
                why = kinds & each.reader.wanted
                if why:
                    told = before if ANOTHER_VERDICT in why else None
                    self._add(each.reader.key_id, why, change, told)

    def _kinds_of(self, change: dict[str, Any]) -> tuple[str | None, frozenset[str]]:
        """The verdict before where it was another one, and what a line of the feed is about."""
        match change["event"]:
            case "state":
                return None, frozenset({IN_FORCE} if change["state"] == "in_force" else ())
            case "review":
                return None, frozenset({RETURNED} if change["decision"] == "returned" else ())
            case "condition_revision":
                kinds, before = {NEEDS_REVIEW}, None
                if change["revision"] > 1:
                    place = {"the_condition": change["condition"], "the_number": change["revision"] - 1}
                    before = verdict_before(self._statements, change)
                    if before is not None:
                        kinds.add(ANOTHER_VERDICT)
                    if self._statements.execute(_DECISION_BEFORE, place).scalar_one_or_none() == "returned":
                        kinds.add(RETURNED)
                return before, frozenset(kinds)
        return None, frozenset()

    def _add(
        self,
        key_id: str,
        kinds: Iterable[str],
        change: dict[str, Any] | None = None,
        before: str | None = None,
    ) -> None:
        row = Mail(
            id=new_id(self._now),
            key_id=key_id,
            change=None if change is None else change["id"],
            vessel=None if change is None else change["vessel"],
            kinds=json.dumps(sorted(kinds)),
            previous_verdict=before,
            created=self._now,
            state="waiting",
            attempts=0,
            next_attempt=self._now,
        )
        self._statements.add(_ADD, row.values())

    def due(self, clock: str, gathered: str) -> list[str]:
        """Keys whose readers something is to be sent to at that time; what is new waits until it is older than
        `gathered`."""
        wanted = select(_m.key_id).where(_LEASES.is_due, _READY).distinct()
        return list(self._statements.execute(wanted, {"clock": clock, "gathered": gathered}).scalars())

    def claim(self, key_id: str, owner: str, *, clock: str, until: str, most: int) -> list[Mail]:
        """Take the rows of one mail to a reader under a lease: of those that are due the oldest, with all that were in
        its mail before, or up to `most` of those that were in none."""
        wanted = select(MAILS).where(_LEASES.is_due, _m.key_id == key_id).order_by(_m.id)
        first = self._statements.execute(wanted.limit(1), {"clock": clock}).mappings().one_or_none()
        if first is None:
            return []
        letter = first["letter"] or new_id(self._now)
        wanted = wanted.where(_m.letter.is_not_distinct_from(first["letter"])).limit(most)
        rows = self._statements.execute(wanted, {"clock": clock}).mappings()
        found = [Mail.of({**row, "letter": letter}) for row in rows]
        ids = [mail.id for mail in found]
        _LEASES.take(self._statements, ids, owner, until)
        if first["letter"] is None:
            self._statements.execute(update(MAILS).where(_m.id.in_(ids)).values(letter=letter))
        return found

    def finish(self, mails: Sequence[Mail], owner: str, values: dict[str, Any]) -> None:
        """Note how an attempt ended and give the leases back. A failure counts only while the lease is `owner`'s."""
        _LEASES.finish(self._statements, [mail.id for mail in mails], owner, values)

    def release(self, owner: str | None = None) -> None:
        """Give back the leases of a sender that stops; of all where nobody else can be sending."""
        _LEASES.release(self._statements, owner)

    def next_attempt(self) -> str | None:
        """When the next row is due and under no lease, None where none waits."""
        found: str | None = self._statements.execute(_NEXT).scalar_one_or_none()
        return found

    def latest(self, key_id: str) -> Mail | None:
        """What was, is or will be sent to a reader last."""
        row = self._statements.execute(_LATEST, {"the_key": key_id}).mappings().one_or_none()
        return None if row is None else Mail.of(row)

    def purge(self, before: str) -> int:
        """Forget rows made before that time that nobody will send any more; how many."""
        return _LEASES.purge(self._statements, before)


def _sign_in_of(row: dict[str, Any]) -> SignIn:
    """The sign-in beside a reader, taken out of the row."""
    return SignIn.of({column.name: row.pop(f"sign_in_{column.name}") for column in SIGN_INS.c})

"""Mail to people who hold no key follows their last sign-in with the identity provider, for so many days.

A key can be looked up at any time; what the provider would say of a person today is known when the person signs in. So
the last thing it said counts, until it is too old, until it says something else, or until the settings name another
provider or other roles.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from service.actions.access import Caller
from service.actions.records.audit_note import write_audit_line
from service.actions.records.transactions import Records
from service.storage import SignIn, Transaction, as_text, later
from service.wire.refusal import Refusal

LONGER_THAN_A_SESSION: Final = timedelta(days=1)
FORGOTTEN_AFTER: Final = timedelta(days=180)
"""Since the last sign-in: an address nobody asks for any more. Longer than any sign-in is good for."""
TOLD_BEFORE: Final = timedelta(days=3)


@dataclass(frozen=True)
class SignInRule:
    """Which sign-ins mail may follow: those with this provider, `days` old at most, whose role is still that of the
    provider's word in `roles`."""

    issuer: str
    roles: Mapping[str, str]
    days: int


@dataclass(frozen=True)
class Said:
    """What the provider said of somebody who signs in. role_said: its word for the role. vessels: None for all."""

    role: str
    role_said: str
    vessels: list[str] | None
    fleets: list[str]


def good_until(rule: SignInRule | None, sign_in: SignIn) -> str | None:
    """Until when mail may follow a sign-in (RFC 3339, UTC, may be past); None where it never may. rule: None where no
    provider is set."""
    if rule is None or sign_in.issuer != rule.issuer or sign_in.role is None:
        return None
    if rule.roles.get(sign_in.role_said or "") != sign_in.role:
        return None
    return min(sign_in.good_until, later(sign_in.signed_in, timedelta(days=rule.days)))


def is_good(rule: SignInRule | None, sign_in: SignIn, moment: str) -> bool:
    """Whether mail may follow it at that time."""
    until = good_until(rule, sign_in)
    return until is not None and moment < until


def until_now(rule: SignInRule | None, sign_in: SignIn | None, now: str) -> str | None:
    """How long mail may go on following a sign-in; None where it does not at this time."""
    return good_until(rule, sign_in) if sign_in is not None and is_good(rule, sign_in, now) else None


def note_sign_in(records: Records, rule: SignInRule, person: Caller, said: Said | None) -> None:
    """Let mail to a person follow what the provider says now. said: None where it knows the person and lets nobody in,
    so that nothing more is sent. Raises Refusal where that cannot be kept and mail would follow what it said before."""
    try:
        with records.writing() as tx:
            before = tx.sign_ins.get(person.key_id)
            if said is None and before is None:
                return
            tx.sign_ins.keep(_sign_in(tx, rule, person, said, before))
            if tx.mail.reader(person.key_id) is not None and _scope(before) != said:
                words = f"sign-in: {_said_in_words(said)}"
                write_audit_line(tx, person, "rescope_mail", 200, reason=words)
    except Refusal:
        with records.reading() as tx:
            if tx.mail.reader(person.key_id) is None:
                return  # nothing follows from it; reading goes on where nothing can be written
        raise


def forget_old_sign_ins(records: Records) -> int:
    """Forget sign-ins that no session and no mail needs, and addresses of people who came no more; how many."""
    with records.writing() as tx:
        old = tx.sign_ins.before(later(tx.now, -LONGER_THAN_A_SESSION))
        left = set(tx.sign_ins.before(later(tx.now, -FORGOTTEN_AFTER)))
        gone = [id for id in old if id in left or tx.mail.reader(id) is None]
        for id in gone:
            tx.mail.remove_reader(id)
            tx.sign_ins.remove(id)
        return len(gone)


def remind_of_sign_in(records: Records) -> int:
    """Tell readers once, `TOLD_BEFORE` or half its time before, that mail ends with their sign-in; how many."""
    with records.writing() as tx:
        told = 0
        for sign_in in tx.sign_ins.ending(later(tx.now, TOLD_BEFORE)):
            reader = tx.mail.reader(sign_in.key_id)
            if reader is None or reader.confirmed is None or tx.now < _half(sign_in):
                continue
            tx.mail.add_reminder(sign_in.key_id)
            tx.sign_ins.note_reminded(sign_in.key_id)
            told += 1
        return told


def _sign_in(
    tx: Transaction, rule: SignInRule, person: Caller, said: Said | None, before: SignIn | None
) -> SignIn:
    """The row of a sign-in now; one that was refused is good for nothing."""
    lapsed = None
    if before is not None:
        ended = good_until(rule, before) or before.good_until
        lapsed = ended if ended < tx.now else None
    vessels: str | None = json.dumps([])
    fleets = json.dumps([])
    if said is not None:
        vessels = None if said.vessels is None else json.dumps(said.vessels)
        fleets = json.dumps(said.fleets)
    return SignIn(
        key_id=person.key_id,
        issuer=rule.issuer,
        name=person.name,
        role=None if said is None else said.role,
        role_said=None if said is None else said.role_said,
        vessels=vessels,
        fleets=fleets,
        signed_in=tx.now,
        good_until=tx.now if said is None else later(tx.now, timedelta(days=rule.days)),
        lapsed_from=lapsed,
        reminded=None,
    )


def _scope(sign_in: SignIn | None) -> Said | None:
    """What was said at a sign-in; None where that let the person do nothing."""
    if sign_in is None or sign_in.role is None:
        return None
    vessels = None if sign_in.vessels is None else json.loads(sign_in.vessels)
    return Said(sign_in.role, sign_in.role_said or "", vessels, json.loads(sign_in.fleets))


def _said_in_words(said: Said | None) -> str:
    if said is None:
        return "not let in"
    vessels = "all vessels" if said.vessels is None else f"vessels {', '.join(said.vessels) or 'none'}"
    return f"{said.role}; {vessels}" + (f"; fleets {', '.join(said.fleets)}" if said.fleets else "")


def _half(sign_in: SignIn) -> str:
    began, ends = map(datetime.fromisoformat, (sign_in.signed_in, sign_in.good_until))
    return as_text(began + (ends - began) / 2)

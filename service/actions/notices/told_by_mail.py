"""Who is told by mail, as an administrator sees it and ends it."""

import json
from dataclasses import dataclass

from service.actions.access import Caller
from service.actions.notices.mail_reader import behind
from service.actions.notices.sign_ins import SignInRule, until_now
from service.actions.records.audit_note import write_audit_line
from service.actions.records.transactions import Records
from service.storage import Key, MailReader, SignIn
from service.wire.refusal import Refusal


@dataclass(frozen=True)
class ToldByMail:
    """Somebody who gave an address. role: None where the last sign-in gave none. vessels: ids, None for all. signed_in:
    the last sign-in, None where a key is behind it. works: whether that is good now; until: how long a sign-in is."""

    id: str
    name: str
    role: str | None
    vessels: list[str] | None
    fleets: list[str]
    address: str
    confirmed: str | None
    signed_in: str | None
    works: bool
    until: str | None


def list_told_by_mail(records: Records, rule: SignInRule | None, caller: Caller) -> list[ToldByMail]:
    """Everybody who gave an address, by name."""
    caller.require("administer")
    with records.reading() as tx:
        found = []
        for reader in tx.mail.readers():
            key, sign_in = behind(tx, reader.key_id)
            if key is not None:
                found.append(_by_key(reader, key, tx.now))
            elif sign_in is not None:
                found.append(_by_sign_in(reader, sign_in, until_now(rule, sign_in, tx.now)))
    return sorted(found, key=lambda told: told.name.casefold())


def end_mail(records: Records, caller: Caller, key_id: str) -> None:
    """Forget the address of a reader; what was to be sent is not. Raises Refusal where there is none."""
    caller.require("administer")
    with records.writing() as tx:
        if not tx.mail.remove_reader(key_id):
            raise Refusal("conflict", "This mail was ended already.")
        write_audit_line(tx, caller, "end_mail", 200, reason=f"reader {key_id}")


def _by_key(reader: MailReader, key: Key, now: str) -> ToldByMail:
    vessels = None if key.vessel_ids is None else sorted(key.vessel_ids)
    works = key.revoked is None and (key.expires is None or key.expires > now)
    behind_it = (key.id, key.name, key.role, vessels, sorted(key.fleet_ids))
    return ToldByMail(*behind_it, reader.address, reader.confirmed, None, works, None)


def _by_sign_in(reader: MailReader, sign_in: SignIn, until: str | None) -> ToldByMail:
    vessels = None if sign_in.vessels is None else json.loads(sign_in.vessels)
    behind_it = (sign_in.key_id, sign_in.name, sign_in.role, vessels, json.loads(sign_in.fleets))
    works = until is not None
    return ToldByMail(*behind_it, reader.address, reader.confirmed, sign_in.signed_in, works, until)

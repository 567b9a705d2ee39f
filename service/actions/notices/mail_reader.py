"""A reader's own mail address: given, confirmed by a code that is sent to it, changed, stopped.

Nothing but the code is sent before it was typed. The code and the link that stops are made from a salt and a secret
that is not in the database (RFC 2104), so that neither is kept.
"""

import base64
import hmac
import json
import re
import secrets
from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from service.actions.access import Caller
from service.actions.notices.sign_ins import SignInRule, until_now
from service.actions.records.audit_note import write_audit_line
from service.actions.records.transactions import Records
from service.storage import (
    MAIL_KINDS,
    FeedAddress,
    Key,
    Mail,
    MailReader,
    NotFound,
    SignIn,
    Transaction,
    later,
)
from service.wire.refusal import Refusal

ADDRESS: Final = re.compile(
    r"[A-Za-z0-9!#$%&'*+/=?^_`{|}~.-]{1,64}@[A-Za-z0-9-]{1,63}(\.[A-Za-z0-9-]{1,63})*"
)
MOST_CHARACTERS: Final = 254
CODE_LASTS: Final = timedelta(days=1)
CODES_A_DAY: Final = 5
MOST_TRIES: Final = 5
CODE_LENGTH: Final = 8


@dataclass(frozen=True)
class Notices:
    """What a reader is told, and how: each None where there is none. last: what was sent last.

    sign_in: what mail follows where there is no key; until: how long, None where it does not."""

    feed: FeedAddress | None
    reader: MailReader | None
    last: Mail | None
    has_key: bool
    sign_in: SignIn | None
    until: str | None


def show_notices(records: Records, rule: SignInRule | None, caller: Caller) -> Notices:
    """What the caller chose."""
    with records.reading() as tx:
        key, sign_in = behind(tx, caller.key_id)
        if key is None and sign_in is None:
            return Notices(None, None, None, False, None, None)
        reader = tx.mail.reader(caller.key_id)
        return Notices(
            tx.feed_addresses.of_key(caller.key_id),
            reader,
            None if reader is None else tx.mail.latest(caller.key_id),
            key is not None,
            sign_in,
            until_now(rule, sign_in, tx.now),
        )


def give_address(
    records: Records, rule: SignInRule | None, caller: Caller, address: str, kinds: Collection[str]
) -> None:
    """Ask for mail to an address, which a code is sent to first. Raises Refusal."""
    if len(address) > MOST_CHARACTERS or not ADDRESS.fullmatch(address):
        raise Refusal("invalid_request", "This is no mail address: it looks like mate@ship.example.")
    chosen = _known(kinds)
    with records.writing() as tx:
        _require_told(tx, rule, caller)
        _require_few_codes(tx, caller)
        tx.mail.drop_waiting(caller.key_id)
        tx.mail.keep_reader(
            MailReader(
                key_id=caller.key_id,
                address=address,
                kinds=chosen,
                salt=secrets.token_hex(16),
                tries=0,
                created=tx.now,
                confirmed=None,
            )
        )
        tx.mail.add_confirmation(caller.key_id)
        write_audit_line(tx, caller, "give_mail_address", 202, reason=None)


def confirm_address(records: Records, pepper: bytes, caller: Caller, code: str) -> None:
    """Take the code that was sent to the address: mail goes there from now on. Raises Refusal."""
    wrong = None
    with records.writing() as tx:
        reader = _reader(tx, caller)
        if reader.confirmed is not None:
            return
        if datetime.fromisoformat(tx.now) > datetime.fromisoformat(reader.created) + CODE_LASTS:
            raise Refusal("conflict", "This code is older than a day; ask for a new one.")
        if reader.tries >= MOST_TRIES:
            raise Refusal("conflict", "Too many wrong codes; ask for a new one.")
        typed = re.sub(r"[\s-]", "", code).upper()
        if hmac.compare_digest(typed.encode(), code_of(pepper, reader).encode()):
            tx.mail.keep_reader(reader.model_copy(update={"confirmed": tx.now, "tries": 0}))
            write_audit_line(tx, caller, "confirm_mail_address", 200, reason=None)
        else:
            tx.mail.keep_reader(reader.model_copy(update={"tries": reader.tries + 1}))
            wrong = Refusal("conflict", "This is not the code that was sent to the address.")
    if wrong is not None:
        raise wrong


def choose_kinds(records: Records, caller: Caller, kinds: Collection[str]) -> None:
    """Be told of other things from now on. Raises Refusal."""
    chosen = _known(kinds)
    with records.writing() as tx:
        tx.mail.keep_reader(_reader(tx, caller).model_copy(update={"kinds": chosen}))
        write_audit_line(tx, caller, "choose_mail", 200, reason=None)


def stop_mail(records: Records, caller: Caller) -> None:
    """Forget the caller's address; what was to be sent is not."""
    with records.writing() as tx:
        if tx.mail.remove_reader(caller.key_id):
            write_audit_line(tx, caller, "stop_mail", 200, reason=None)


def stop_by_link(records: Records, pepper: bytes, key_id: str, token: str) -> bool:
    """The same by the link that stands in every mail; whether it stopped anything."""
    with records.writing() as tx:
        reader = tx.mail.reader(key_id)
        if reader is None or not hmac.compare_digest(stop_token(pepper, reader).encode(), token.encode()):
            return False
        tx.mail.remove_reader(key_id)
        write_audit_line(tx, Caller(key_id, "by its mail", "reviewer", None), "stop_mail", 200, reason=None)
        return True


def behind(tx: Transaction, key_id: str) -> tuple[Key | None, SignIn | None]:
    """The key of that id, or the sign-in of that person."""
    try:
        return tx.keys.get(key_id), None
    except NotFound:
        return None, tx.sign_ins.get(key_id)


def code_of(pepper: bytes, reader: MailReader) -> str:
    """What is sent to an address and typed on the page: letters and digits that are not mistaken for one another."""
    told = f"{reader.key_id}.{reader.address}.{reader.salt}"
    mixed = hmac.digest(_secret(pepper, "code"), told.encode(), "sha256")
    return base64.b32encode(mixed).decode()[:CODE_LENGTH]


def stop_token(pepper: bytes, reader: MailReader) -> str:
    """What the link that stops carries; good for this address alone."""
    told = f"{reader.key_id}.{reader.salt}"
    return hmac.digest(_secret(pepper, "stop"), told.encode(), "sha256").hex()[:40]


def _secret(pepper: bytes, use: str) -> bytes:
    if not pepper:
        raise Refusal("conflict", "Set LOADING_KEY_PEPPER, the same in every process, before using mail.")
    return hmac.digest(pepper, f"mail {use}".encode(), "sha256")


def _known(kinds: Collection[str]) -> str:
    chosen = [kind for kind in MAIL_KINDS if kind in kinds]
    if not chosen:
        raise Refusal("invalid_request", "Choose at least one thing to be told of.")
    return json.dumps(chosen)


def _reader(tx: Transaction, caller: Caller) -> MailReader:
    reader = tx.mail.reader(caller.key_id)
    if reader is None:
        raise Refusal("conflict", "There is no mail address of yours.")
    return reader


def _require_few_codes(tx: Transaction, caller: Caller) -> None:
    day = later(tx.now, -timedelta(days=1))
    if tx.mail.confirmations_since(caller.key_id, day) >= CODES_A_DAY:
        raise Refusal("rate_limited", f"{CODES_A_DAY} codes a day are sent for one reader.", retry_after=3600)


def _require_told(tx: Transaction, rule: SignInRule | None, caller: Caller) -> None:
    """Refuse mail to somebody without a key whose sign-in mail may not follow."""
    key, sign_in = behind(tx, caller.key_id)
    if key is None and until_now(rule, sign_in, tx.now) is None:
        raise Refusal(
            "conflict", "Mail follows a key or a sign-in, and this one is not good for it: sign in again."
        )

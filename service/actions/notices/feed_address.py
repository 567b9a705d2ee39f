"""A reader's own address of the feed: made, shown once, taken back, and who reads at it.

A reader of feeds sends no headers, so the address itself opens the feed, and nothing else. It is written
`lf_<id>_<secret>`; only an HMAC-SHA256 of its secret is kept. It sees what its key sees, and dies with it.
"""

import hmac
import secrets
from typing import Final

from service.actions.access import Access, Caller, secret_hash
from service.actions.records.audit_note import write_audit_line
from service.actions.records.transactions import Records
from service.storage import Key, NotFound, Transaction, now
from service.wire.refusal import Refusal

PREFIX: Final = "lf"
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789"
_ID_LENGTH, _SECRET_LENGTH = 8, 32


def own_key(tx: Transaction, caller: Caller) -> Key:
    """The key of the caller. Raises Refusal where he came without one."""
    try:
        return tx.keys.get(caller.key_id)
    except NotFound:
        words = "This is tied to a key: sign in with one. Who may be told what follows from it."
        raise Refusal("conflict", words) from None


def make_feed_address(records: Records, access: Access, caller: Caller) -> str:
    """A new secret for the caller's address, `lf_...`; the one before opens nothing from now on. Raises Refusal."""
    id, secret = _letters(_ID_LENGTH), _letters(_SECRET_LENGTH)
    with records.writing() as tx:
        own_key(tx, caller)
        tx.feed_addresses.make(caller.key_id, id, secret_hash(access.pepper, secret))
        write_audit_line(tx, caller, "make_feed_address", 201, reason=f"feed {id}")
    return f"{PREFIX}_{id}_{secret}"


def remove_feed_address(records: Records, caller: Caller) -> None:
    """Let the caller's address open nothing from now on."""
    with records.writing() as tx:
        if tx.feed_addresses.remove(caller.key_id):
            write_audit_line(tx, caller, "remove_feed_address", 200, reason=None)


def caller_at(records: Records, access: Access, token: str) -> Caller:
    """Who reads at an address, as its key may. Raises Refusal (unauthenticated), for every reason in the same words."""
    prefix, _, rest = token.partition("_")
    id, _, secret = rest.partition("_")
    with records.reading() as tx:
        found = tx.feed_addresses.by_id(id) if prefix == PREFIX and len(id) == _ID_LENGTH else None
        key = None if found is None else tx.feed_addresses.working_key(found.key_id, now())
        scope = None if key is None else tx.named_fleets.scope(key.vessel_ids, key.fleet_ids)
    given = secret_hash(access.pepper, secret)
    if found is None or key is None or not hmac.compare_digest(found.secret_hash, given):
        raise Refusal("unauthenticated", "This address of the feed opens nothing, or nothing any more.")
    return Caller(key.id, key.name, key.role, scope)


def _letters(count: int) -> str:
    return "".join(secrets.choice(_LETTERS) for _ in range(count))

"""The pepper that access keys are made with, compared with the check value the records hold.

Without the right pepper every key is dead. The check value is a scrypt hash (RFC 7914) with a salt of its own: whoever
steals the database can try peppers, slowly, and opens nothing with one he finds, for keys have secrets besides. It is
written with the first key, or when a key of an older release is shown and found good.
"""

import hashlib
import hmac
import secrets
from collections.abc import Callable
from functools import lru_cache

from service.actions.records.transactions import Records
from service.storage import Transaction
from service.wire.refusal import Refusal

_METHOD = "scrypt"
_COST = 2**13  # 8 MB and some 20 ms


def usable_pepper(records: Records, pepper: bytes, make: Callable[[], bytes]) -> bytes:
    """`pepper`, or a new one from `make` where there is none and no key needs it.

    Raises Refusal where keys are in use and the pepper is missing or another one than theirs.
    """
    reason = pepper_fault(records, pepper)
    if reason is not None:
        raise Refusal("conflict", reason)
    return pepper or make()


def pepper_fault(records: Records, pepper: bytes) -> str | None:
    """What is wrong with the pepper for the keys in use, in a sentence; None when nothing is, as far as can be told."""
    with records.reading() as tx:
        if not tx.keys.any_in_use():
            return None
        known = tx.pepper.last()
    if not pepper:
        wrong = "the pepper they were made with is missing"
    elif known is not None and not _matches(pepper, known.value):
        wrong = "the pepper found is not the one they were made with"
    else:
        return None
    return (
        f"There are access keys here, and {wrong}: no key opens anything. Put the file DATABASE.pepper of the same "
        "backup beside the database, or set LOADING_KEY_PEPPER. If it is lost, revoke every key and make new ones."
    )


def pepper_is_known(records: Records) -> bool:
    """Whether there is a check value to compare a pepper with."""
    with records.reading() as tx:
        return tx.pepper.last() is not None


def require_pepper(tx: Transaction, pepper: bytes) -> None:
    """For a new key, in its transaction: the pepper of the keys in use, or with the first key the one from now on.

    Raises Refusal (conflict) for another pepper.
    """
    known = tx.pepper.last()
    if known is not None and _matches(pepper, known.value):
        return
    if not tx.keys.any_in_use():
        tx.pepper.append(_check_value(pepper))
    elif known is not None:
        raise Refusal("conflict", "The pepper found is not the one the keys in use were made with.")


def note_proven_pepper(records: Records, pepper: bytes) -> None:
    """Keep the check value of a pepper that opened a key, where an older release left none."""
    with records.reading() as tx:
        if tx.pepper.last() is not None:
            return
    value = _check_value(pepper)
    with records.writing() as tx:
        if tx.pepper.last() is None:
            tx.pepper.append(value)


def _check_value(pepper: bytes) -> str:
    salt = secrets.token_hex(16)
    return f"{_METHOD}:{salt}:{_hash(pepper, salt)}"


@lru_cache(maxsize=64)
def _matches(pepper: bytes, value: str) -> bool:
    method, _, rest = value.partition(":")
    salt, _, wanted = rest.partition(":")
    return method == _METHOD and hmac.compare_digest(_hash(pepper, salt), wanted)


def _hash(pepper: bytes, salt: str) -> str:
    return hashlib.scrypt(pepper, salt=salt.encode(), n=_COST, r=8, p=1, dklen=16).hex()

"""A request that may be sent again: what it made, kept under the name its sender gave it."""

import json
from collections.abc import Callable
from dataclasses import dataclass

from service.actions.access import Caller
from service.actions.refusal import Refusal
from service.storage import Transaction

CREATED = 201


@dataclass(frozen=True)
class Once:
    """The sender's name for a request, and a digest of all of the request."""

    name: str
    fingerprint: str


@dataclass(frozen=True)
class Made:
    """What a write answers with: the text of the record, where it is, its tag; `replayed` when made before.

    shows: address of exactly what the text shows, where it has one.
    """

    body: str
    place: str
    etag: str
    replayed: bool = False
    shows: str | None = None


def made_before(tx: Transaction, caller: Caller, name: Once) -> Made | None:
    """What the request of that name made the first time, None where it is new.

    Raises Refusal when the name was given to another request.
    """
    kept = tx.idempotency.find(caller.key_id, name.name)
    if kept is None:
        return None
    if kept.fingerprint != name.fingerprint:
        raise Refusal("idempotency_key_reused", "This Idempotency-Key was sent with another request.")
    headers = json.loads(kept.headers)
    return Made(kept.body, headers["place"], headers["etag"], replayed=True, shows=headers.get("shows"))


def once(
    tx: Transaction, caller: Caller, name: Once | None, make: Callable[[], Made], status: int = CREATED
) -> Made:
    """`make()`, or what it made the first time; in the writing transaction of the write itself.

    Raises Refusal when the name was given to another request.
    """
    if name is None:
        return make()
    before = made_before(tx, caller, name)
    if before is not None:
        return before
    made = make()
    headers = json.dumps({"place": made.place, "etag": made.etag, "shows": made.shows})
    tx.idempotency.keep(
        caller.key_id,
        name.name,
        fingerprint=name.fingerprint,
        status=status,
        headers=headers,
        body=made.body,
    )
    return made

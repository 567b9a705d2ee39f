"""A request that may be sent again: what it made, kept under the name its sender gave it."""

import json
from collections.abc import Callable
from dataclasses import dataclass

from service.actions.access import Caller
from service.storage import Transaction
from service.wire.refusal import Refusal

CREATED = 201


@dataclass(frozen=True)
class RequestName:
    """The sender's name for a request, and a digest of all of the request."""

    name: str
    fingerprint: str


@dataclass(frozen=True)
class WriteResult:
    """What a write answers with: the text of the record, where it is, its tag; `replayed` when made before.

    shows: address of exactly what the text shows, where it has one.
    """

    body: str
    address: str
    etag: str
    replayed: bool = False
    shows: str | None = None


def made_before(tx: Transaction, caller: Caller, name: RequestName) -> WriteResult | None:
    """What the request of that name made the first time, None where it is new.

    Raises Refusal when the name was given to another request.
    """
    kept = tx.idempotency.find(caller.key_id, name.name)
    if kept is None:
        return None
    if kept.fingerprint != name.fingerprint:
        raise Refusal("idempotency_key_reused", "This Idempotency-Key was sent with another request.")
    headers = json.loads(kept.headers)
    return WriteResult(
        kept.body, headers["place"], headers["etag"], replayed=True, shows=headers.get("shows")
    )


def answer_once(
    tx: Transaction,
    caller: Caller,
    name: RequestName | None,
    make: Callable[[], WriteResult],
    status: int = CREATED,
) -> WriteResult:
    """`make()`, or what it made the first time; in the writing transaction of the write itself.

    Raises Refusal when the name was given to another request.
    """
    if name is None:
        return make()
    before = made_before(tx, caller, name)
    if before is not None:
        return before
    made = make()
    headers = json.dumps({"place": made.address, "etag": made.etag, "shows": made.shows})
    tx.idempotency.keep(
        caller.key_id,
        name.name,
        fingerprint=name.fingerprint,
        status=status,
        headers=headers,
        body=made.body,
    )
    return made

"""Webhooks: made, listed, changed, given another secret, deleted; what was sent to them, and sending it again.

They belong to the key that made them and are told what that key may see. Administrators manage everybody's.
"""

import json
from datetime import datetime, timedelta
from typing import Any, cast

from service.actions.access import Caller
from service.actions.records.audit_note import write_audit_line
from service.actions.records.transactions import Records, not_found
from service.actions.webhooks.destination import Destinations, require_sendable
from service.actions.webhooks.signature import new_salt, secret_of
from service.storage import Delivery, NotFound, Transaction, Webhook, as_text
from service.wire import webhook as wire
from service.wire.problem import error
from service.wire.refusal import Refusal

MOST_OF_A_KEY = 20
MOST = 500


def make_webhook(
    records: Records, pepper: bytes, destinations: Destinations, caller: Caller, request: wire.WebhookRequest
) -> wire.NewWebhook:
    """A new webhook of the caller's key, with its secret. Raises Refusal."""
    caller.require("webhooks")
    _require_pepper(pepper)
    require_sendable(request.url, destinations)
    with records.writing() as tx:
        _require_vessels(tx, caller, request.vessels)
        if tx.webhooks.count(caller.key_id) >= MOST_OF_A_KEY or tx.webhooks.count() >= MOST:
            raise Refusal("conflict", f"A key has {MOST_OF_A_KEY} webhooks at most, all keys {MOST}.")
        kept = tx.webhooks.add(
            caller.key_id,
            url=request.url,
            events=request.events,
            vessels=request.vessels,
            description=request.description,
            salt=new_salt(),
        )
        _audit(tx, caller, "create_webhook", 201, kept.id)
    return _with_secret(kept, pepper)


def list_webhooks(records: Records, caller: Caller, *, after: str | None, limit: int) -> list[wire.Webhook]:
    """Those of the caller's key, all for an administrator, in the order they were made."""
    caller.require("webhooks")
    with records.reading() as tx:
        found = tx.webhooks.list(key_id=_owner(caller), after=after, limit=limit)
        return [_webhook_answer(webhook) for webhook in found]


def show_webhook(records: Records, caller: Caller, id: str) -> wire.Webhook:
    """One webhook without its secret."""
    caller.require("webhooks")
    with records.reading() as tx:
        return _webhook_answer(_own(tx, caller, id))


def change_webhook(
    records: Records, destinations: Destinations, caller: Caller, id: str, request: wire.WebhookChange
) -> wire.Webhook:
    """The webhook with the members that were sent."""
    caller.require("webhooks")
    sent = request.model_dump(include=request.model_fields_set)
    for name in ("url", "events", "state"):
        if name in sent and sent[name] is None:
            wrong = [error((name,), "null", "Leave it out, or give it a value.")]
            raise Refusal("invalid_request", "This member cannot be removed.", wrong)
    if request.url is not None:
        require_sendable(request.url, destinations)
    for name in ("events", "vessels"):
        if sent.get(name) is not None:
            sent[name] = json.dumps(sorted(set(sent[name])))
    if "state" in sent:
        sent["reason"] = None
    with records.writing() as tx:
        _own(tx, caller, id)
        _require_vessels(tx, caller, request.vessels)
        kept = tx.webhooks.change(id, sent)
        _audit(tx, caller, "change_webhook", 200, id)
    return _webhook_answer(kept)


def change_secret(
    records: Records, pepper: bytes, caller: Caller, id: str, request: wire.SecretRequest
) -> wire.NewWebhook:
    """The webhook with a new secret; the present one signs too for as long as asked for."""
    caller.require("webhooks")
    _require_pepper(pepper)
    with records.writing() as tx:
        before = _own(tx, caller, id)
        until = datetime.fromisoformat(tx.now) + timedelta(hours=request.overlap_hours)
        overlaps = request.overlap_hours > 0
        values = {
            "salt": new_salt(),
            "former_salt": before.salt if overlaps else None,
            "former_until": as_text(until) if overlaps else None,
        }
        kept = tx.webhooks.change(id, values)
        _audit(tx, caller, "change_webhook_secret", 200, id)
    return _with_secret(kept, pepper)


def delete_webhook(records: Records, caller: Caller, id: str) -> wire.Webhook:
    """The webhook as it was; it and its deliveries are gone."""
    caller.require("webhooks")
    with records.writing() as tx:
        kept = _own(tx, caller, id)
        tx.deliveries.delete_of(id)
        tx.webhooks.delete(id)
        _audit(tx, caller, "delete_webhook", 200, id)
    return _webhook_answer(kept)


def list_deliveries(
    records: Records, caller: Caller, id: str, *, state: str | None, before: str | None, limit: int
) -> list[wire.Delivery]:
    """What was, is or will be sent to a webhook, newest first."""
    caller.require("webhooks")
    with records.reading() as tx:
        _own(tx, caller, id)
        found = tx.deliveries.list(id, state=state, before=before, limit=limit)
        return [_delivery_answer(delivery) for delivery in found]


def redeliver(records: Records, caller: Caller, id: str, request: wire.RedeliveryRequest) -> wire.Redelivery:
    """Send what is named, or all that is dead, again from now on, under the same ids."""
    caller.require("webhooks")
    with records.writing() as tx:
        _own(tx, caller, id)
        count = tx.deliveries.again(id, request.deliveries)
        _audit(tx, caller, "redeliver", 200, id)
    return {"redelivered": count}


def send_test(records: Records, caller: Caller, id: str) -> wire.Delivery:
    """A test to a webhook, to be sent at once and once only. Raises Refusal where it is paused or stopped."""
    caller.require("webhooks")
    with records.writing() as tx:
        if (kept := _own(tx, caller, id)).state != "active":
            raise Refusal("conflict", f"The webhook is {kept.state}; let it go on before it is tested.")
        delivery = tx.deliveries.add_test(id)
        _audit(tx, caller, "test_webhook", 202, id)
    return _delivery_answer(delivery)


def _owner(caller: Caller) -> str | None:
    return None if caller.role == "administrator" else caller.key_id


def _own(tx: Transaction, caller: Caller, id: str) -> Webhook:
    """A webhook the caller may manage; anybody else's is not there."""
    found = tx.webhooks.get(id)
    if _owner(caller) not in (None, found.key_id):
        raise not_found("webhook")
    return found


def _require_pepper(pepper: bytes) -> None:
    if not pepper:
        raise Refusal(
            "conflict", "Set LOADING_KEY_PEPPER, the same in every process, before making webhooks."
        )


def _require_vessels(tx: Transaction, caller: Caller, vessels: list[str] | None) -> None:
    unknown = []
    for place, id in enumerate(vessels or ()):
        try:
            caller.require_vessel(id)
            tx.vessels.get(id)
        except (NotFound, Refusal):
            unknown.append(error(("vessels", place), "unknown_vessel", "There is no vessel of this id."))
    if unknown:
        raise Refusal("invalid_request", "The webhook names vessels that are not here.", unknown)


def _audit(tx: Transaction, caller: Caller, action: str, status: int, id: str) -> None:
    write_audit_line(tx, caller, action, status, reason=f"webhook {id}")


def _webhook_answer(kept: Webhook) -> wire.Webhook:
    return {
        "id": kept.id,
        "key": kept.key_id,
        "url": kept.url,
        "events": cast(Any, sorted(kept.event_types)),
        "vessels": None if kept.narrowed_to is None else sorted(kept.narrowed_to),
        "description": kept.description,
        "state": cast(Any, kept.state),
        "reason": kept.reason,
        "secret_overlap_until": kept.former_until,
        "created": kept.created,
        "updated": kept.updated,
        "last_success": kept.last_success,
        "last_failure": kept.last_failure,
    }


def _with_secret(kept: Webhook, pepper: bytes) -> wire.NewWebhook:
    return {**_webhook_answer(kept), "secret": secret_of(pepper, kept.id, kept.salt)}


def _delivery_answer(kept: Delivery) -> wire.Delivery:
    return {
        "id": kept.id,
        "webhook": kept.webhook,
        "type": cast(Any, kept.type),
        "change": kept.change,
        "vessel": kept.vessel,
        "created": kept.created,
        "state": cast(Any, kept.state),
        "attempts": kept.attempts,
        "next_attempt": kept.next_attempt if kept.state == "waiting" else None,
        "last_attempt": kept.last_attempt,
        "status": kept.status,
        "error": kept.error,
    }

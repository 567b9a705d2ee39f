"""Access keys: made, listed, given other vessels, revoked. Whoever makes one sees its secret once."""

import secrets
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from typing import cast

from service.actions.access import PREFIX, Access, Caller, secret_hash
from service.actions.pepper import require_pepper
from service.actions.records.audit_note import write_audit_line
from service.actions.records.transactions import Records
from service.storage import Key as KeptKey
from service.storage import NotFound, Transaction, as_text
from service.wire import key as wire
from service.wire.problem import ProblemError, error
from service.wire.refusal import Refusal

_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789"
_ID_LENGTH, _SECRET_LENGTH = 8, 32


def make_key(records: Records, access: Access, caller: Caller, request: wire.KeyRequest) -> wire.NewKey:
    """A new key with its secret. Raises Refusal for vessels that are not here, or an administrator of some only."""
    caller.require("administer")
    if not access.pepper:
        raise Refusal("conflict", "Set LOADING_KEY_PEPPER, the same in every process, before making keys.")
    if request.role == "administrator" and _is_narrow(request):
        place = "vessels" if request.vessels is not None else "fleets"
        wrong = [error((place,), "not_here", "An administrator sees all vessels.")]
        raise Refusal("invalid_request", "The scope does not go with the role.", wrong)
    id, secret = _letters(_ID_LENGTH), _letters(_SECRET_LENGTH)
    expires = None if request.days is None else as_text(datetime.now(UTC) + timedelta(days=request.days))
    with records.writing() as tx:
        _require_scope(tx, request)
        require_pepper(tx, access.pepper)
        kept = tx.keys.add(
            id,
            name=request.name,
            role=request.role,
            secret_hash=secret_hash(access.pepper, secret),
            vessels=request.vessels,
            fleets=request.fleets or (),
            expires=expires,
            created_by=caller.key_id,
        )
        write_audit_line(tx, caller, "create_key", 201, reason=f"key {id}")
    access.forget()
    return {**shown_key(kept), "token": f"{PREFIX}_{id}_{secret}"}


def list_keys(records: Records, caller: Caller, *, after: str | None, limit: int) -> list[wire.Key]:
    """All keys without their secrets, in the order of their ids."""
    caller.require("administer")
    with records.reading() as tx:
        return [shown_key(kept) for kept in tx.keys.list(after=after, limit=limit)]


def show_key(records: Records, caller: Caller, id: str) -> wire.Key:
    """One key without its secret."""
    caller.require("administer")
    with records.reading() as tx:
        return shown_key(tx.keys.get(id))


def rescope_key(
    records: Records, access: Access, caller: Caller, id: str, request: wire.KeyScopeRequest
) -> wire.Key:
    """Give a key other vessels and fleets."""
    caller.require("administer")
    if request.vessels is None and request.fleets is not None:
        wrong = [error(("fleets",), "not_here", "Null means all vessels; send a list beside fleets.")]
        raise Refusal("invalid_request", "The scope contradicts itself.", wrong)
    with records.writing() as tx:
        _require_scope(tx, request)
        if tx.keys.get(id).role == "administrator" and _is_narrow(request):
            raise Refusal("conflict", "An administrator sees all vessels.")
        kept = tx.keys.rescope(id, request.vessels, request.fleets or ())
        write_audit_line(tx, caller, "rescope_key", 200, reason=f"key {id}")
    access.forget()
    return shown_key(kept)


def revoke_key(records: Records, access: Access, caller: Caller, id: str) -> wire.Key:
    """Let a key open nothing from now on; it stays listed, for histories name it."""
    caller.require("administer")
    with records.writing() as tx:
        tx.keys.get(id)
        kept = tx.keys.revoke(id)
        write_audit_line(tx, caller, "revoke_key", 200, reason=f"key {id}")
    access.forget()
    return shown_key(kept)


def shown_key(kept: KeptKey) -> wire.Key:
    """A key without its secret."""
    return {
        "id": kept.id,
        "name": kept.name,
        "role": cast(wire.Role, kept.role),
        "vessels": None if kept.vessel_ids is None else sorted(kept.vessel_ids),
        "fleets": sorted(kept.fleet_ids),
        "created": kept.created,
        "created_by": kept.created_by,
        "expires": kept.expires,
        "revoked": kept.revoked,
        "last_used": kept.last_used,
    }


def _letters(count: int) -> str:
    return "".join(secrets.choice(_LETTERS) for _ in range(count))


def _is_narrow(request: wire.KeyRequest | wire.KeyScopeRequest) -> bool:
    """Whether a scope is less than all vessels."""
    return request.vessels is not None or request.fleets is not None


def _require_scope(tx: Transaction, request: wire.KeyRequest | wire.KeyScopeRequest) -> None:
    unknown = unknown_vessels(tx, request.vessels or ())
    unknown += [
        error(("fleets", place), "unknown_fleet", "There is no fleet of this id.")
        for place, id in enumerate(request.fleets or ())
        if tx.named_fleets.find(id) is None
    ]
    if unknown:
        raise Refusal("invalid_request", "The scope names vessels or fleets that are not here.", unknown)


def unknown_vessels(tx: Transaction, vessels: Sequence[str]) -> list[ProblemError]:
    """The places in `vessels` of a request at which a vessel is named that is not here."""
    unknown = []
    for place, id in enumerate(vessels):
        try:
            tx.vessels.get(id)
        except NotFound:
            unknown.append(error(("vessels", place), "unknown_vessel", "There is no vessel of this id."))
    return unknown

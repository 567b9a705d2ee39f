"""Which key wrote what, when and from where."""

from service.actions.access import Caller
from service.actions.records.transactions import Records
from service.wire.audit import AuditLine


def list_audit(
    records: Records, caller: Caller, *, vessel: str | None, key: str | None, before: int | None, limit: int
) -> list[AuditLine]:
    """Notes of writes, newest first."""
    caller.require("administer")
    with records.reading() as tx:
        found = tx.audit.list(vessel=vessel, key_id=key, before=before, limit=limit)
    return [
        {
            "id": line.id or 0,
            "created": line.created,
            "key": line.key_id,
            "name": line.key_name,
            "action": line.action,
            "status": line.status,
            "request_id": line.request_id,
            "address": line.address,
            "vessel": line.vessel,
            "condition": line.condition,
            "revision": line.revision,
            "digest_before": line.digest_before,
            "digest_after": line.digest_after,
            "reason": line.reason,
        }
        for line in found
    ]

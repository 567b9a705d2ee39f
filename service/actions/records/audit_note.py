"""The line of the audit log that goes with every write, in its own transaction."""

from service.actions.access import Caller
from service.storage import AuditEntry, Transaction


def write_audit_line(
    tx: Transaction,
    caller: Caller,
    action: str,
    status: int,
    *,
    reason: str | None,
    vessel: str | None = None,
    condition: str | None = None,
    revision: int | None = None,
    digest_before: str | None = None,
    digest_after: str | None = None,
) -> None:
    """Who did what, from where, under which request, and what it was before and after."""
    tx.audit.append(
        AuditEntry(
            key_id=caller.key_id,
            key_name=caller.name,
            action=action,
            status=status,
            request_id=caller.request_id,
            address=caller.address,
            vessel=vessel,
            condition=condition,
            revision=revision,
            digest_before=digest_before,
            digest_after=digest_after,
            reason=reason,
        )
    )

"""Tags of the present state of a record, which a writer names to show what he has seen."""

from service.wire.refusal import Refusal


def require_tag(present: str, expected: frozenset[str], number: int) -> None:
    """Refuse a writer who has seen another state than the present one (RFC 9110, section 13.1.1)."""
    if present not in expected:
        raise Refusal("stale", f"Somebody else changed it: it is at revision {number} now.", etag=present)

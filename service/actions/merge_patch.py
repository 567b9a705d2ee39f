"""JSON merge patch (RFC 7396, section 2)."""

from typing import Any


def merged(target: Any, patch: Any) -> Any:
    """`target` as `patch` leaves it: members of objects one by one, null removes, anything else replaces."""
    if not isinstance(patch, dict):
        return patch
    result = dict(target) if isinstance(target, dict) else {}
    for name, value in patch.items():
        if value is None:
            result.pop(name, None)
        else:
            result[name] = merged(result.get(name), value)
    return result

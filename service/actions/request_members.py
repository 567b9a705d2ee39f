"""The members of a request to assess: which there may be, and what they say before any of them is computed."""

from typing import Any

from pydantic import TypeAdapter, ValidationError

from service.wire.fields import Reference
from service.wire.problem import error, errors_of
from service.wire.refusal import Refusal

Members = dict[str, Any]
KNOWN = {"vessel", "vessel_id", "vessel_revision", "condition", "reference"}
_REFERENCE = TypeAdapter(Reference)

SMALL_LINES = 250
"""Tank lines and weights of a small request."""


def reference_of(members: Members) -> str | None:
    """The sender's own name for a request; raises Refusal where it is none."""
    given = members.get("reference")
    if given is None:
        return None
    try:
        return _REFERENCE.validate_python(given, strict=True)
    except ValidationError as invalid:
        wrong = errors_of(invalid, ("reference",))
        raise Refusal("invalid_request", "The reference is not valid.", wrong) from None


def require_known_members(members: Members) -> None:
    """Raises Refusal for members that no request has, and where the condition is missing."""
    unknown = [
        error((name,), "extra_forbidden", "This member is not known here.")
        for name in members
        if name not in KNOWN
    ]
    if unknown:
        raise Refusal("invalid_request", "The request has members that are not known here.", unknown)
    if "condition" not in members:
        wrong = [error(("condition",), "missing", "This member is required.")]
        raise Refusal("invalid_request", "The request contains no condition.", wrong)


def has_few_lines(members: Members) -> bool:
    """Whether a request is small by its tank lines and weights; a plan is many conditions, however few its lines."""
    condition = members.get("condition")
    if isinstance(condition, dict) and condition.get("plan") is not None:
        return False
    lists = (condition.get("tanks"), condition.get("weights")) if isinstance(condition, dict) else ()
    return sum(len(lines) for lines in lists if isinstance(lines, list)) <= SMALL_LINES


def named_vessel(members: Members) -> tuple[str, int | None] | None:
    """Id and revision of the stored vessel a request names; None where they have other types (also true, 1.0)."""
    id, revision = members.get("vessel_id"), members.get("vessel_revision")
    return (id, revision) if isinstance(id, str) and (revision is None or type(revision) is int) else None

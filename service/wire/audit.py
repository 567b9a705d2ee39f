"""The audit log: which key wrote what, when and from where."""

from typing import Annotated

from pydantic import Field
from typing_extensions import TypedDict

from service.wire.record import Digest, Moment, Next


class AuditLine(TypedDict):
    """One write. `reason` is that of the revision, the decision of a review, or the key that was changed."""

    id: Annotated[int, Field(description="Ascends; may have gaps.")]
    created: Moment
    key: str
    name: str
    action: str
    status: int
    request_id: str | None
    address: str | None
    vessel: str | None
    condition: str | None
    revision: int | None
    digest_before: Digest | None
    digest_after: Digest | None
    reason: str | None


class AuditLog(TypedDict):
    """A page of the log, newest first."""

    items: list[AuditLine]
    next: Next

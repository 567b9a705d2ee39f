"""What every kept record and every list of records have in common.

A vessel's data and a condition are kept as revisions: numbered from 1, never changed, never removed. Each revision
holds the SHA-256 digest of its content and of the digest before it; the rule is in the service's description.
"""

from typing import Annotated, Literal

from pydantic import Field
from typing_extensions import TypedDict

from service.wire.fields import UnitSystem

Verdict = Literal["pass", "fail", "incomplete"]
ReviewState = Literal["unreviewed", "accepted", "returned"]
Phase = Literal["departure", "arrival", "at_sea", "in_port"]

Moment = Annotated[
    str, Field(description="RFC 3339, UTC, six decimals", examples=["2026-04-12T09:30:00.000000Z"])
]
Digest = Annotated[str, Field(description="SHA-256, lower-case hexadecimal")]
Next = Annotated[str | None, Field(description="Address of the next page; null on the last one.")]
OwnReference = Annotated[str | None, Field(description="The sender's own name for it, as its document says.")]
Reason = Annotated[str | None, Field(description="Why the revision was made, as its author put it.")]


class FeedHead(TypedDict):
    """The last change that is kept: its number and its digest. 0 and null while nothing is kept."""

    id: int
    digest: Digest | None


class Author(TypedDict):
    """Who wrote it: the access key, by its id and its name."""

    key: str
    name: str


class RecordUnits(TypedDict):
    """Units of the figures of a list."""

    system: UnitSystem
    length: str
    mass: str

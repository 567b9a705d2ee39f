"""Many conditions kept at once, and stored conditions named in a batch."""

from typing import Annotated

from pydantic import Field
from typing_extensions import TypedDict

from service.wire.fields import Document, Reference, VesselId
from service.wire.margin import Dangers
from service.wire.record import Digest, Moment, Verdict


class BulkLine(TypedDict):
    """What became of one line: the condition it entered, now or when the same line came before."""

    reference: Annotated[str, Field(description="The line's own.")]
    condition: str
    vessel: str
    revision: int
    digest: Digest
    verdict: Verdict
    dangers: Dangers
    created: Moment
    replayed: Annotated[
        bool, Field(description="Whether this key entered it before; nothing new was made then.")
    ]
    line: Annotated[int, Field(description="Number of the line, from 1, blank lines counted.")]


class StoredConditionLine(Document):
    """A line of a batch that names a stored condition instead of giving one."""

    condition_id: VesselId = Field(description="Id of the condition.")
    revision: Annotated[int, Field(ge=1, le=2**31 - 1)] | None = Field(
        default=None, description="Revision of the condition; the latest when absent."
    )
    vessel_revision: Annotated[int, Field(ge=1, le=2**31 - 1)] | None = Field(
        default=None, description="Revision of her vessel's data to judge by; the latest when absent."
    )
    reference: Reference | None = Field(default=None, description="The sender's own name for the line.")

"""Many conditions kept at once."""

from typing import Annotated

from pydantic import Field
from typing_extensions import TypedDict

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

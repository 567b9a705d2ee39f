"""What an answer says of the request it answers, mostly in a batch."""

from typing import Annotated, NotRequired

from pydantic import Field
from typing_extensions import TypedDict


class LineMembers(TypedDict):
    """Which request this is the answer to."""

    reference: NotRequired[
        Annotated[str, Field(description="The sender's own name for the request; absent where it gave none.")]
    ]
    line: NotRequired[Annotated[int, Field(description="In a batch: number of the line, from 1.")]]
    condition_id: NotRequired[
        Annotated[str, Field(description="In a batch: id of the stored condition, where the line names one.")]
    ]
    revision: NotRequired[
        Annotated[int, Field(description="Which revision of it this is, beside `condition_id`.")]
    ]

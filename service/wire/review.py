"""Reviews: accepted or returned, with a note, on one revision of a condition."""

from typing import Annotated, Literal

from pydantic import Field
from typing_extensions import TypedDict

from service.wire.fields import NAME_PATTERN, Document
from service.wire.record import Author, Digest, Moment, ReviewState

Decision = Literal["accepted", "returned"]
MAX_NOTE = 2000
# Line breaks and tabs belong into a note; nothing else that does not show.
_NOTE_PATTERN = NAME_PATTERN.replace(r"\x00-\x1f", r"\x00-\x08\x0b-\x1f")


class ReviewRequest(Document):
    """What a reviewer decides about a revision."""

    decision: Decision = Field(description="`accepted`, or `returned` to its author.", examples=["returned"])
    in_force: bool = Field(
        default=False,
        description="With `accepted`, of the latest revision: she sails with this condition from now on.",
    )
    note: Annotated[str, Field(max_length=MAX_NOTE, pattern=_NOTE_PATTERN)] | None = Field(
        default=None,
        description="Why, for the author.",
        examples=["No. 4 double bottom is slack: count it at its slack moment."],
    )


class Review(TypedDict):
    """A kept review."""

    condition: str
    number: Annotated[int, Field(description="Counted over all revisions of the condition.")]
    revision: int
    revision_digest: Digest
    decision: Decision
    note: str | None
    author: Author
    created: Moment
    digest: Digest
    previous_digest: Digest | None


class ReviewList(TypedDict):
    """Reviews of one revision in the order they were given; the last one decides `review_state`."""

    condition: str
    revision: int
    review_state: ReviewState
    items: list[Review]

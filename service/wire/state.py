"""States: which condition a ship sails with, what was put aside, what was withdrawn."""

from typing import Annotated, Literal

from pydantic import Field
from typing_extensions import TypedDict

from service.wire.fields import Document
from service.wire.fields import Reason as GivenReason
from service.wire.record import Author, Digest, Moment

ConditionState = Literal["worked_on", "in_force", "put_aside", "withdrawn"]
VesselState = Literal["active", "withdrawn"]
StateOfCondition = Annotated[
    ConditionState,
    Field(
        description="`in_force`: she sails with this one, and with no other; `worked_on`, `put_aside`; `withdrawn`: "
        "left out of lists unless they are asked for it. Nothing is deleted."
    ),
]
_WHY = Field(default=None, description="Why; kept with the event.", examples=["She sails with this."])


class ConditionStateRequest(Document):
    """What a condition is from now on."""

    state: ConditionState = Field(
        description="Taking force puts the condition aside that was in force.", examples=["in_force"]
    )
    reason: GivenReason | None = _WHY


class VesselStateRequest(Document):
    """What a vessel is from now on."""

    state: VesselState = Field(
        description="`withdrawn`: she leaves the fleet and lists.", examples=["withdrawn"]
    )
    reason: GivenReason | None = _WHY


class ReviewNote(TypedDict):
    """What a reviewer said of the latest revision."""

    who: Author
    when: Moment
    note: str | None


class _StateEvent(TypedDict):
    number: Annotated[int, Field(description="Counted from 1.")]
    revision: Annotated[int, Field(description="The latest revision then.")]
    revision_digest: Digest
    reason: str | None
    author: Author
    created: Moment
    digest: Digest
    previous_digest: Digest | None


class ConditionStateEvent(_StateEvent):
    """A state that was set. `replaced_by`: the condition that took force instead; null where that is not why."""

    state: ConditionState
    replaced_by: str | None


class VesselStateEvent(_StateEvent):
    """A state that was set."""

    state: VesselState


class ConditionStateRecord(TypedDict):
    """The state of a condition and how it came to it. A condition without events is worked on."""

    id: Annotated[str, Field(description="Id of the condition.")]
    condition: Annotated[str, Field(description="The same.")]
    vessel: str
    state: ConditionState
    events: Annotated[list[ConditionStateEvent], Field(description="Newest first, at most 100.")]


class VesselStateRecord(TypedDict):
    """The state of a vessel and how she came to it. A vessel without events is active."""

    id: Annotated[str, Field(description="Id of the vessel.")]
    vessel: Annotated[str, Field(description="The same.")]
    state: VesselState
    events: Annotated[list[VesselStateEvent], Field(description="Newest first, at most 100.")]

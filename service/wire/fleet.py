"""The fleet at a glance: every vessel with the condition she sails with."""

from typing import Annotated

from pydantic import Field
from typing_extensions import TypedDict

from service.wire.condition_record import ConditionFigures
from service.wire.record import Moment, Next, OwnReference, RecordUnits
from service.wire.state import VesselState


class FleetCondition(ConditionFigures):
    """The condition a vessel sails with; where none is in force, the one being worked on that was changed last."""

    author_name: str
    age: Annotated[float, Field(description="Seconds since its latest revision.")]


class OtherConditions(TypedDict):
    """How many more of her conditions are being worked on, and what is with them."""

    count: int
    fail: int
    incomplete: int
    returned: Annotated[int, Field(description="Returned to their author and not answered.")]
    unreviewed: int


class FleetLine(TypedDict):
    """A vessel; `condition` is null while she has none in force and works on none."""

    id: Annotated[str, Field(description="Id of the vessel.")]
    vessel: Annotated[str, Field(description="The same.")]
    reference: OwnReference
    name: str
    imo_number: str | None
    state: VesselState
    condition: FleetCondition | None
    others: OtherConditions


class Fleet(TypedDict):
    """A page of the fleet, in the order the vessels were entered."""

    as_of: Moment
    units: RecordUnits
    items: list[FleetLine]
    next: Next

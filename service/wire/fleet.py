"""The fleet at a glance: every vessel with her latest condition."""

from typing import Annotated

from pydantic import Field
from typing_extensions import TypedDict

from service.wire.condition_record import ConditionFigures
from service.wire.record import Moment, Next, OwnReference, RecordUnits


class FleetCondition(ConditionFigures):
    """The condition of a vessel that was changed last."""

    author_name: str
    age: Annotated[float, Field(description="Seconds since its latest revision.")]


class FleetLine(TypedDict):
    """A vessel; `condition` is null while she has none."""

    id: Annotated[str, Field(description="Id of the vessel.")]
    vessel: Annotated[str, Field(description="The same.")]
    reference: OwnReference
    name: str
    imo_number: str | None
    condition: FleetCondition | None


class Fleet(TypedDict):
    """A page of the fleet, in the order the vessels were entered."""

    as_of: Moment
    units: RecordUnits
    items: list[FleetLine]
    next: Next

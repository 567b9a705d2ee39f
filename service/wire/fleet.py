"""The fleet at a glance: every vessel with the condition she sails with."""

from typing import Annotated

from pydantic import Field
from typing_extensions import TypedDict

from service.wire.condition_record import ConditionFigures
from service.wire.proof import ProofState
from service.wire.record import Digest, Moment, Next, OwnReference, RecordUnits
from service.wire.state import VesselState


class FleetProof(TypedDict):
    """How her printed conditions prove her data, as it was computed when these were kept."""

    state: ProofState
    conditions: Annotated[int, Field(description="Printed conditions it rests on.")]
    off: Annotated[int, Field(description="Figures that contradict their printed ones.")]
    revision: Annotated[int, Field(description="Of her data that were proved.")]
    digest: Annotated[Digest, Field(description="Of that revision.")]
    calculation_version: str
    is_older: Annotated[
        bool,
        Field(
            description="Judged by older data: her data have another revision by now, or another calculation is in "
            "use. A new proof follows within minutes."
        ),
    ]


class FleetCondition(ConditionFigures):
    """The condition a vessel sails with; where none is in force, the one being worked on that was changed last."""

    author_name: str
    port_from: Annotated[str | None, Field(description="Port of the voyage she comes from.")]
    port_to: Annotated[str | None, Field(description="Port she is bound for.")]
    draft_aft: Annotated[float | None, Field(description="At the aft perpendicular; m or ft")]
    draft_forward: Annotated[float | None, Field(description="At the forward perpendicular; m or ft")]
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
    proof: Annotated[
        FleetProof | None, Field(description="Of her booklet; null until it is computed for the first time.")
    ]
    condition: FleetCondition | None
    others: OtherConditions


class Fleet(TypedDict):
    """A page of the fleet, in the order the vessels were entered."""

    as_of: Moment
    units: RecordUnits
    items: list[FleetLine]
    next: Next

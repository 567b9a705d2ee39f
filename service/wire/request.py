"""The request of one assessment: a ship, named or inline, and what is aboard her."""

from typing import Annotated, Literal

from pydantic import ConfigDict, Field

from service.wire.condition import Condition
from service.wire.fields import Document, Reference, UnitSystem, VesselId, exactly_one_of
from service.wire.vessel import Vessel


class AssessmentRequest(Document):
    """A vessel, either her document or the id of a stored one, and a condition of hers.

    The service checks the two parts one by one (a vessel document it has already prepared is recognised and
    not read again), so this model is the published shape of the request rather than a step of every answer.
    """

    model_config = ConfigDict(json_schema_extra=exactly_one_of("vessel", "vessel_id"))

    vessel: Vessel | None = Field(default=None, description="The vessel document. Give this or `vessel_id`.")
    vessel_id: VesselId | None = Field(
        default=None, description="Id of a stored vessel.", examples=["skarvholmen"]
    )
    vessel_revision: Annotated[int, Field(ge=1, le=2**31 - 1)] | None = Field(
        default=None, description="Revision of that vessel; the latest when absent."
    )
    reference: Reference | None = Field(
        default=None,
        description="The sender's own name for this request; the answer repeats it. The condition's when absent.",
    )
    condition: Condition = Field(description="What is aboard.")


class StoredConditionRequest(Document):
    """A line of a batch that names a stored condition: it is judged by today's calculation, and nothing is kept."""

    condition_id: VesselId = Field(
        description="Id of a stored condition.", examples=["01a218fb-0000-7000-8000-000000000001"]
    )
    revision: Annotated[int, Field(ge=1, le=2**31 - 1)] | None = Field(
        default=None, description="Revision of that condition; the latest when absent."
    )
    vessel_revision: Annotated[int, Field(ge=1, le=2**31 - 1)] | None = Field(
        default=None,
        description="Revision of the vessel's data to judge by; that which `vessel_data` says when absent.",
    )
    vessel_data: Literal["kept", "latest"] = Field(
        default="kept",
        description="Judge by the vessel's data that the revision was judged by when it was kept, or by her latest.",
    )
    units: UnitSystem | None = Field(
        default=None,
        description="Units of this answer; those of the batch, or the condition's own, when absent.",
    )
    reference: Reference | None = Field(
        default=None,
        description="The sender's own name for this line; the answer repeats it. The condition's when absent.",
    )

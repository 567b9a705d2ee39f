"""The request of one assessment: a ship, named or inline, and what is aboard her."""

from typing import Annotated

from pydantic import ConfigDict, Field

from service.wire.condition import Condition
from service.wire.fields import Document, Reference, VesselId, exactly_one_of
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

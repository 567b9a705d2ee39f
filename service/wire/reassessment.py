"""Kept conditions judged again, as a report: nothing kept is changed."""

from typing import Annotated

from pydantic import Field
from typing_extensions import TypedDict

from service.wire.comparison import FigureChange, Reassessed
from service.wire.fields import Document, UnitSystem, VesselId
from service.wire.record import Moment, Next

MAX_CONDITIONS = 100


class ReassessmentRequest(Document):
    """Which kept conditions to judge again, and by what."""

    vessel: VesselId = Field(description="The vessel whose conditions are meant.", examples=["halvenmoor"])
    vessel_revision: Annotated[int, Field(ge=1, le=2**31 - 1)] | None = Field(
        default=None, description="Revision of her data to judge by; the latest when absent."
    )
    conditions: Annotated[list[VesselId], Field(min_length=1, max_length=MAX_CONDITIONS)] | None = Field(
        default=None, description="Ids of conditions; all of hers, page by page, when absent."
    )
    all_revisions: bool = Field(
        default=False, description="Every kept revision of each condition instead of the latest one."
    )


class ReassessedCondition(Reassessed):
    """One kept revision judged again, with its main figures before and now."""

    condition: str
    title: str
    figures: list[FigureChange]


class ReassessmentReport(TypedDict):
    """What would be answered today."""

    created: Moment
    vessel: str
    vessel_revision: int
    calculation_version: str
    units: Annotated[UnitSystem | None, Field(description="Null: each condition in its own units.")]
    verdicts_changed: Annotated[int, Field(description="How many items of this page have another verdict.")]
    items: list[ReassessedCondition]
    next: Next
    caution: str

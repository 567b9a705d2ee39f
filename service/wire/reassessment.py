"""Kept conditions judged again, as a report: nothing kept is changed."""

from typing import Annotated, Literal

from pydantic import Field
from typing_extensions import TypedDict

from service.wire.comparison import FigureChange, Reassessed
from service.wire.fields import MAX_SMALL_LIST, Document, RuleSetName, UnitSystem, VesselId
from service.wire.record import Moment, Next

MAX_CONDITIONS = 100


class ReassessmentRequest(Document):
    """Which kept conditions to judge again, and by what."""

    vessel: VesselId | None = Field(
        default=None,
        description="The vessel whose conditions are meant; those of every active vessel when absent.",
        examples=["halvenmoor"],
    )
    vessel_revision: Annotated[int, Field(ge=1, le=2**31 - 1)] | None = Field(
        default=None, description="Revision of her data to judge by; the latest when absent."
    )
    conditions: Annotated[list[VesselId], Field(min_length=1, max_length=MAX_CONDITIONS)] | None = Field(
        default=None, description="Ids of conditions; all of hers, page by page, when absent."
    )
    all_revisions: bool = Field(
        default=False, description="Every kept revision of each condition instead of the latest one."
    )
    vessel_data: Literal["latest", "kept"] = Field(
        default="latest",
        description="Without `vessel_revision`: judge by the vessel's latest data, or by those each revision was "
        "judged by, so that only the calculation is another one.",
    )
    rule_sets: Annotated[list[RuleSetName], Field(min_length=1, max_length=MAX_SMALL_LIST)] | None = Field(
        default=None,
        description="Rule sets to check beside those that bind already.",
        examples=[["is-code-2008-a-2.3"]],
    )
    order: Literal["entered", "worst_first"] = Field(
        default="entered",
        description="Order of the items of each page: the condition entered last first, or what became worst first.",
    )


class ReassessedCondition(Reassessed):
    """One kept revision judged again, with its main figures before and now."""

    vessel: str
    condition: str
    title: str
    figures: list[FigureChange]


class ReassessmentReport(TypedDict):
    """What would be answered today."""

    created: Moment
    vessel: Annotated[str | None, Field(description="Null: every active vessel.")]
    vessel_revision: Annotated[
        int | None, Field(description="Null: not one for all; each item says by which it is judged.")
    ]
    calculation_version: str
    units: Annotated[UnitSystem | None, Field(description="Null: each condition in its own units.")]
    verdicts_changed: Annotated[int, Field(description="How many items of this page have another verdict.")]
    items: list[ReassessedCondition]
    next: Next
    caution: str

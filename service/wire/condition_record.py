"""Kept conditions: what was posted, how it was judged, by whom and by which method."""

from typing import Annotated

from pydantic import Field
from typing_extensions import TypedDict

from service.wire.assessment import Assessment, RuleSetEdition
from service.wire.condition import Condition
from service.wire.margin import Dangers, KeptMargin, KeptStabilityMargin, LoadLineMargin
from service.wire.record import (
    Author,
    Digest,
    Moment,
    Next,
    OwnReference,
    Phase,
    Reason,
    RecordUnits,
    ReviewState,
    Verdict,
)
from service.wire.state import ReviewNote, StateOfCondition

Returned = Annotated[
    ReviewNote | None,
    Field(description="Who returned the latest revision, and why; null once a new revision answers it."),
]
Accepted = Annotated[
    ReviewNote | None, Field(description="Who accepted the latest revision; null otherwise.")
]


class ConditionFigures(TypedDict):
    """A condition at a glance: the figures of its latest revision, in the units of the list."""

    id: str
    condition: Annotated[str, Field(description="Its id again, under the name it has elsewhere.")]
    vessel: str
    reference: OwnReference
    title: str
    voyage: Annotated[str | None, Field(description="Number of the voyage.")]
    phase: Phase | None
    revision: Annotated[int, Field(description="Number of the latest revision.")]
    digest: Digest
    verdict: Verdict
    dangers: Dangers
    least_stability_margin: KeptStabilityMargin | None
    load_line_margin: LoadLineMargin | None
    smallest_margin: Annotated[KeptMargin | None, Field(deprecated=True)]
    displacement: Annotated[float | None, Field(description="t or LT")]
    gm_corrected: Annotated[float | None, Field(description="m or ft")]
    review_state: Annotated[ReviewState, Field(description="Of the latest revision alone.")]
    state: StateOfCondition
    returned: Returned
    accepted: Accepted
    vessel_revision: int
    calculation_version: str
    updated: Annotated[str, Field(description="When the latest revision was kept; RFC 3339, UTC.")]


class ConditionLine(ConditionFigures):
    """A condition in a list."""

    created: Moment
    author: Author


class ConditionList(TypedDict):
    """A page of conditions, the one entered last first."""

    units: RecordUnits
    items: list[ConditionLine]
    next: Next


class ConditionRevisionLine(TypedDict):
    """A revision of a condition without its document and its assessment."""

    id: Annotated[str, Field(description="Id of the condition.")]
    condition: Annotated[str, Field(description="The same.")]
    vessel: str
    revision: int
    title: str
    voyage: str | None
    phase: Phase | None
    verdict: Verdict
    dangers: Dangers
    smallest_margin: Annotated[KeptMargin | None, Field(deprecated=True)]
    vessel_revision: Annotated[int, Field(description="Revision of the vessel's data it was judged by.")]
    vessel_digest: Digest
    rule_sets: list[RuleSetEdition]
    calculation_version: str
    created: Moment
    author: Author
    reason: Reason
    digest: Digest
    previous_digest: Digest | None
    request_id: str | None


class ConditionHistoryLine(ConditionRevisionLine):
    """A revision in the history, with the state of its own reviews; margins in the units of the list."""

    least_stability_margin: KeptStabilityMargin | None
    load_line_margin: LoadLineMargin | None
    review_state: ReviewState


class ConditionRevisionList(TypedDict):
    """A page of the revisions of a condition, newest first."""

    units: RecordUnits
    items: list[ConditionHistoryLine]
    next: Next


class ConditionRevision(ConditionRevisionLine):
    """A revision of a condition: never changed once it is kept."""

    reference: OwnReference
    document: Annotated[Condition, Field(description="The condition as it was posted, in its own units.")]
    assessment: Annotated[
        Assessment,
        Field(
            description="How it was judged then, byte for byte; `units` asks for it in the other system. An answer of "
            "an earlier `calculation_version` has the members of that version."
        ),
    ]


class ConditionRecord(ConditionRevision):
    """A condition: its latest revision, its state, and the state of that revision's reviews."""

    review_state: ReviewState
    state: StateOfCondition
    returned: Returned
    accepted: Accepted

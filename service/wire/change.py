"""The feed of changes that office systems poll."""

from typing import Annotated, Literal

from pydantic import Field
from typing_extensions import TypedDict

from service.wire.margin import Dangers, KeptStabilityMargin, LoadLineMargin
from service.wire.record import Digest, FeedHead, Moment, RecordUnits, Verdict
from service.wire.review import Decision
from service.wire.state import ConditionState, VesselState


class Change(TypedDict):
    """One kept revision, review or state. `subject` is its digest. Verdict, dangers and margins are those of the
    condition's revision; dangers and margins stand in that revision and not in the digest of this line."""

    id: Annotated[int, Field(description="Ascends in the order in which changes were kept, without a gap.")]
    created: Moment
    event: Literal["vessel_revision", "condition_revision", "review", "state"]
    vessel: str
    condition: str | None
    revision: int
    review: int | None
    verdict: Verdict | None
    dangers: Dangers
    least_stability_margin: KeptStabilityMargin | None
    load_line_margin: LoadLineMargin | None
    decision: Decision | None
    state: Annotated[
        ConditionState | VesselState | None,
        Field(description="The new state of the condition, or of the vessel where `condition` is null."),
    ]
    subject: Digest
    digest: Annotated[str, Field(description="SHA-256 of this line and of the digest of the line before it.")]


class Changes(TypedDict):
    """A piece of the feed, oldest first.

    Ask again with `after` set to the `after` of this answer. A smaller id never appears later, so nothing is missed
    and nothing comes twice. A key that sees some vessels only finds the ids of the others missing. Figures are in
    metres and tonnes.
    """

    units: RecordUnits
    items: list[Change]
    after: int
    more: Annotated[bool, Field(description="Whether more changes are there already.")]
    head: Annotated[
        FeedHead,
        Field(
            description="The end of the whole feed at the time of this answer, also for a key that sees some vessels "
            "only. Kept with `after`, it shows later whether the feed still holds what it held."
        ),
    ]

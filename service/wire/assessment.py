"""The assessment: the answer to a vessel and a condition.

Plain dictionaries with a published shape: built once, serialised once, never validated again on the way out. Every
number is in the units of `units`; angles are degrees; x from the aft perpendicular, positive forward; y positive to
port; z up from the baseline. `null` means: not available from this booklet.
"""

from typing import Annotated, Literal, NotRequired

from pydantic import Field
from typing_extensions import TypedDict

from service.wire.compact_working import CompactWorking
from service.wire.draft_survey import DraftSurvey
from service.wire.line_members import LineMembers
from service.wire.margin import LoadLineMargin, SmallestMargin, StabilityMargin
from service.wire.plan_answer import PlanAnswer, PlanSummary
from service.wire.proof import ProofSummary
from service.wire.quantity import (
    Density,
    Dimension,
    Length,
    Mass,
    MassMoment,
    OptionalDegrees,
    OptionalFigure,
    OptionalLength,
    Percent,
    Volume,
)
from service.wire.righting_lever import RightingLever
from service.wire.subjects import SubjectMembers
from service.wire.working import WorkingNode

Verdict = Literal["pass", "fail", "not_applicable", "not_computable", "outside_validity"]


class UnitNames(TypedDict):
    """The unit of each quantity of this answer, in words."""

    system: Literal["metric", "us"]
    length: str
    mass: str
    volume: str
    area: str
    moment: str
    tpc: str
    mctc: str
    density: str
    angle: str
    area_under_lever: str
    time: str


class Centre(TypedDict):
    """A centre of mass: x from the aft perpendicular (forward +), z above the baseline, y (port +)."""

    lcg: Length
    vcg: Length
    tcg: Length


class TankResult(TypedDict):
    """One tank line of the condition, in its order."""

    tank: str
    name: str
    side: Literal["port", "starboard", "centre"]
    contents: str
    density: Density
    mass: Mass
    volume: Volume
    fill: Percent
    limit: Annotated[float, Dimension("percent"), Field(description="Normal full limit; percent")]
    sounding: OptionalLength
    ullage: OptionalLength
    centre: Centre
    state: Literal["empty", "slack", "at_limit", "pressed_up", "overfull"]
    counted_as: Annotated[
        Literal["empty", "slack", "at_limit", "pressed_up", "overfull"],
        Field(
            description="The state its free surface is counted by: slack where a rule counts a fuller tank so."
        ),
    ]
    free_surface_moment: MassMoment
    exempt_moment: Annotated[
        float,
        Dimension("moment"),
        Field(description="Moment that a rule lets her leave out for a small tank; t·m or ft·LT"),
    ]
    free_surface_reason: Annotated[str, Field(description="Which column, row or rule the moment comes from.")]
    gm_loss: Annotated[
        float, Dimension("length"), Field(description="Loss of GM by this free surface; m or ft")
    ]


class AssumedFreeSurface(TypedDict):
    """A moment counted for a tank that is not slack, because a rule asks for it."""

    tank: str
    name: str
    contents: str
    free_surface_moment: MassMoment
    free_surface_reason: str
    gm_loss: Length


class FreeSurfaceTotal(TypedDict):
    """The free surface of all tanks as one basis counts it, and the GM it leaves (null where KM is not known)."""

    moment: MassMoment
    gm_corrected: OptionalLength


class FreeSurface(TypedDict):
    """Totals by basis. She is judged by the greater of the condition's basis and the rule of every bound rule set that
    brings one; `by_rule` is null where none does and the condition does not ask for it."""

    basis: str
    judged_by: str
    as_filled: FreeSurfaceTotal
    maximum_when_slack: FreeSurfaceTotal
    by_rule: FreeSurfaceTotal | None
    judged: FreeSurfaceTotal
    exempt_moment: Annotated[
        float, Dimension("moment"), Field(description="Moments left out for small tanks; t·m or ft·LT")
    ]


class NotComputed(TypedDict):
    """A part of the answer whose figures are null, and why."""

    figure: Annotated[
        Literal["flotation", "stability", "righting_lever", "list", "strength"],
        Field(description="The part of the answer; `list` is that of `flotation`."),
    ]
    reason: str


class Unjudged(TypedDict):
    """Why the whole is incomplete although no clause is: a rule set (null: any of those listed) that judged nothing."""

    rule_set: str | None
    reason: str


class Subtotal(TypedDict):
    """Masses of one kind, with their common centre."""

    category: Annotated[str, Field(description="lightship, a contents group, or a category of weights")]
    kind: Literal["lightship", "liquid", "weight"]
    mass: Mass
    centre: Centre | None


class Moments(TypedDict):
    """First moments of the displacement about the aft perpendicular, the baseline and the centreline."""

    longitudinal: MassMoment
    vertical: MassMoment
    transverse: MassMoment


class MarkDraft(TypedDict):
    """The reading to expect at a set of draft marks, keel offset included."""

    name: str
    x: Length
    draft: Length


class DraftAt(TypedDict):
    """The moulded draft at a place that the condition asks for."""

    x: Length
    draft: Length


class List(TypedDict):
    """The angle she lies at: positive to port, and in words. `either`: loll, to port or to starboard."""

    angle: OptionalDegrees
    side: Literal["port", "starboard", "upright", "either"]


class Flotation(TypedDict):
    """How she floats. Drafts are moulded; trim is aft minus forward, positive by the stern. Null: off her tables, see
    `not_computed`."""

    water_density: Density
    draft_at_lcf: OptionalLength
    draft_forward: OptionalLength
    draft_midship: OptionalLength
    draft_aft: OptionalLength
    drafts_at_marks: list[MarkDraft]
    drafts_at: NotRequired[list[DraftAt]]
    trim: OptionalLength
    list: List
    km: OptionalLength
    tpc: Annotated[float | None, Dimension("tpc"), Field(description="t/cm or LT/in, in this water")]
    mctc: Annotated[float | None, Dimension("mctc"), Field(description="t·m/cm or ft·LT/in, in this water")]
    lcb: OptionalLength
    lcf: OptionalLength
    method: str
    residual: Annotated[
        float | None,
        Dimension("length"),
        Field(description="Lever left unbalanced by the iteration; m or ft"),
    ]


class Stability(TypedDict):
    """Initial stability; null where the displacement is off her tables."""

    gm_solid: OptionalLength
    gm_corrected: OptionalLength
    roll_period_estimate: Annotated[
        float | None, Dimension("time"), Field(description="s; 2008 IS Code A 2.3.4")
    ]
    angle_of_loll: OptionalDegrees


class AsWritten(TypedDict):
    """The comparison as it was made, in the unit of the document."""

    unit: str
    attained: float | None
    limit: float | None
    margin: float | None


class CriterionDetail(TypedDict):
    """An intermediate value, in the unit of the document (empty: a pure number)."""

    key: Annotated[str, Field(description="What it is, for programs; the words of `name` may change.")]
    name: str
    value: float | str | None
    unit: str


class Criterion(TypedDict):
    """One clause judged. The margin is signed so that positive is good."""

    id: str
    rule_set: str
    clause: str
    title: str
    source: str
    from_memory: Annotated[
        str | None, Field(description="What of the clause was recalled and not read; null where it was read.")
    ]
    key: Annotated[str, Field(description="What is measured, for programs; the same in every document.")]
    quantity: str
    attained: OptionalFigure
    comparison: Literal[">=", "<="]
    limit: OptionalFigure
    unit: str
    margin: OptionalFigure
    verdict: Verdict
    counts: Annotated[
        bool,
        Field(
            description="Whether it counts for the verdict: criteria for the sea do not while she lies in port."
        ),
    ]
    reason: str
    because: Annotated[
        Literal["ship", "condition"] | None,
        Field(description="Why a clause does not apply: because of the ship, or of what is aboard."),
    ]
    as_written: AsWritten
    details: list[CriterionDetail]


class Finding(TypedDict):
    """Something an attentive colleague would point out; it changes no number."""

    code: str
    severity: Literal["info", "caution", "danger"]
    path: Annotated[str, Field(description="JSON pointer (RFC 6901) into the request")]
    message: str


class VesselReference(TypedDict):
    """Which booklet the answer was made from; digest: SHA-256 of its RFC 8785 form without `printed_conditions`, which
    no figure is computed from. proof: null for a vessel that came with the request, and in answers made
    before there were proofs."""

    name: str
    id: str | None
    revision: int | None
    digest: str
    proof: NotRequired[ProofSummary | None]


class RuleSetEdition(TypedDict):
    """A rule set that was checked."""

    name: str
    title: str
    document: str
    edition: str


class Provenance(TypedDict):
    """What made this answer."""

    calculation_version: str
    vessel: VesselReference
    rule_sets: list[RuleSetEdition]
    free_surface_basis: str
    from_memory: Annotated[
        list[str], Field(description="Ids of the criteria that counted and were recalled in part, not read.")
    ]


class Assessment(LineMembers, SubjectMembers):
    """A loading condition assessed. Incomplete is never pass; `caution` says what stands above this answer."""

    title: str
    phase: NotRequired[
        Annotated[
            Literal["in_port"],
            Field(description="Present where she lies in port: criteria for the sea do not count then."),
        ]
    ]
    verdict: Literal["pass", "fail", "incomplete"]
    dangers: Annotated[int, Field(description="Findings of severity danger; they stand beside the verdict.")]
    unjudged: list[Unjudged]
    not_computed: list[NotComputed]
    least_stability_margin: StabilityMargin | None
    load_line_margin: LoadLineMargin | None
    smallest_margin: Annotated[SmallestMargin | None, Field(deprecated=True)]
    units: UnitNames
    tanks: list[TankResult]
    assumed_free_surfaces: list[AssumedFreeSurface]
    weights: list[Subtotal]
    displacement: Mass
    deadweight: Mass
    lcg: Length
    tcg: Length
    vcg_solid: Length
    vcg_corrected: Length
    moments: Moments
    free_surface_moment: MassMoment
    free_surface_correction: Length
    free_surface: FreeSurface
    flotation: Flotation
    stability: Stability
    righting_lever: RightingLever | None
    criteria: list[Criterion]
    findings: list[Finding]
    draft_survey: NotRequired[DraftSurvey]
    plan: NotRequired[PlanAnswer]
    provenance: Provenance
    caution: str
    working: NotRequired[list[WorkingNode] | CompactWorking]


class AssessmentSummary(LineMembers):
    """The figures a list of conditions needs."""

    title: str
    verdict: Literal["pass", "fail", "incomplete"]
    dangers: int
    least_stability_margin: StabilityMargin | None
    load_line_margin: LoadLineMargin | None
    smallest_margin: Annotated[SmallestMargin | None, Field(deprecated=True)]
    units: Literal["metric", "us"]
    displacement: Mass
    gm_solid: OptionalLength
    gm_corrected: OptionalLength
    free_surface_correction: Length
    draft_forward: OptionalLength
    draft_midship: OptionalLength
    draft_aft: OptionalLength
    trim: OptionalLength
    list: OptionalDegrees
    failed: list[str]
    not_checked: list[str]
    findings: int
    plan: NotRequired[PlanSummary]
    vessel: str
    caution: str


CAUTION = (
    "An aid only: the vessel's approved stability booklet, her flag, her class society and the master's judgement "
    "stand above this answer."
)

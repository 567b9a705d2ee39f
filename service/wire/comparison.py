"""Two revisions of a condition side by side: what was changed, and what it did.

Every figure is in the units of the answer; `change` is `after` minus `before`.
"""

from typing import Annotated, Any, Literal, NotRequired

from pydantic import Field
from typing_extensions import TypedDict

from service.wire.assessment import RuleSetEdition, UnitNames
from service.wire.assessment import Verdict as CriterionVerdict
from service.wire.condition_record import ConditionHistoryLine
from service.wire.plan_answer import PlanWorstChange
from service.wire.record import Verdict
from service.wire.vessel_record import DocumentChange

ChangeKind = Literal["added", "removed", "changed"]


class VerdictChange(TypedDict):
    """The verdict of the whole condition."""

    before: Verdict
    after: Verdict


class DangersChange(TypedDict):
    """How many findings of severity danger stand beside the verdict."""

    before: int
    after: int


class TankState(TypedDict):
    """One tank in one of the two revisions."""

    contents: str
    density: Annotated[float, Field(description="t/m³ in both systems")]
    mass: Annotated[float, Field(description="t or LT")]
    volume: Annotated[float, Field(description="m³ or ft³")]
    fill: Annotated[float, Field(description="percent")]
    state: Literal["empty", "slack", "at_limit", "pressed_up", "overfull"]
    free_surface_moment: Annotated[float, Field(description="t·m or ft·LT")]
    gm_loss: Annotated[float, Field(description="m or ft")]


class TankChange(TypedDict):
    """A tank that was filled, emptied, filled otherwise, or whose free surface counts otherwise."""

    tank: str
    name: str
    change: ChangeKind
    members: Annotated[list[str], Field(description="Names of the figures that differ.")]
    before: TankState | None
    after: TankState | None


class WeightState(TypedDict):
    """One weight in one of the two revisions; axes of the answer."""

    mass: Annotated[float, Field(description="t or LT")]
    lcg: Annotated[float, Field(description="m or ft from the aft perpendicular, positive forward")]
    vcg: Annotated[float, Field(description="m or ft above the baseline")]
    tcg: Annotated[float, Field(description="m or ft, positive to port")]


class WeightChange(TypedDict):
    """A weight that was taken aboard, landed, moved or corrected."""

    name: str
    category: str
    change: ChangeKind
    members: Annotated[list[str], Field(description="Names of the figures that differ.")]
    before: WeightState | None
    after: WeightState | None


class FigureChange(TypedDict):
    """One figure of the answer before and after."""

    name: str
    quantity: Annotated[str, Field(description="Kind of figure: length, mass, moment, angle, time")]
    before: float | None
    after: float | None
    change: float | None


class CriterionState(TypedDict):
    """One clause as it was judged in one of the two revisions."""

    verdict: CriterionVerdict
    attained: float | None
    limit: float | None
    margin: float | None
    reason: str


class CriterionChange(TypedDict):
    """One clause before and after; null on the side where it was not asked for."""

    id: str
    rule_set: str
    clause: str
    title: str
    unit: str
    flipped: Annotated[bool, Field(description="Whether its verdict is another one.")]
    before: CriterionState | None
    after: CriterionState | None
    margin_change: float | None


class RuleSetChange(TypedDict):
    """A rule set that was added, removed, or is of another edition."""

    name: str
    change: ChangeKind
    before: RuleSetEdition | None
    after: RuleSetEdition | None


class MovedNumber(TypedDict):
    """A number of a kept answer that today's calculation gives otherwise."""

    path: Annotated[str, Field(description="JSON pointer (RFC 6901) into the assessment")]
    kept: Any
    now: Any


class Reassessed(TypedDict):
    """A kept revision judged again. The kept answer stays as it is."""

    revision: int
    vessel_revision: Annotated[int, Field(description="Revision of the vessel's data it is judged by now.")]
    kept_vessel_revision: int
    calculation_version: str
    kept_calculation_version: str
    verdict: Verdict | None
    kept_verdict: Verdict
    dangers: Annotated[
        int | None, Field(description="Beside the verdict; null when it cannot be judged now.")
    ]
    kept_dangers: int
    refused: Annotated[str | None, Field(description="Why it cannot be judged now; null when it can.")]
    criteria: Annotated[list[CriterionChange], Field(description="Clauses whose verdict is another one now.")]
    moved: Annotated[
        list[MovedNumber],
        Field(
            description="Numbers of the kept answer that moved, at most 500. Figures that the calculation of then did "
            "not give are left out."
        ),
    ]
    moved_count: int


class Comparison(TypedDict):
    """What changed between two revisions of a condition, and what it did. Verdicts that flipped come first."""

    condition: str
    vessel: str
    units: UnitNames
    revision_from: ConditionHistoryLine
    revision_to: ConditionHistoryLine
    verdict: VerdictChange
    dangers: DangersChange
    flips: list[CriterionChange]
    criteria: Annotated[list[CriterionChange], Field(description="Every clause, the flipped ones first.")]
    figures: list[FigureChange]
    tanks: list[TankChange]
    weights: list[WeightChange]
    rule_sets: list[RuleSetChange]
    plan_worst: NotRequired[
        Annotated[
            list[PlanWorstChange],
            Field(description="Where either has a plan: the least favourable judgement of each criterion."),
        ]
    ]
    other: Annotated[
        list[DocumentChange],
        Field(description="The rest of the document: title, voyage, water, mark and so on, as posted."),
    ]
    vessel_changes: Annotated[
        list[DocumentChange],
        Field(
            description="What changed in the vessel's data when the two were judged by different revisions."
        ),
    ]
    reassessed: Annotated[
        list[Reassessed] | None,
        Field(description="Both revisions judged by today's calculation, when asked for with `reassess`."),
    ]
    caution: str

"""The plan of a condition assessed: a row for every point of it, and what is least favourable over the whole.

Numbers are in the units of the answer; a criterion's margin is in the unit of its row in `worst`, positive is good.
"""

from typing import Annotated, Literal

from pydantic import Field
from typing_extensions import TypedDict

from service.wire.margin import SmallestMargin
from service.wire.quantity import (
    Density,
    Length,
    Mass,
    OptionalDegrees,
    OptionalFigure,
    OptionalLength,
    OptionalMass,
    OptionalMassMoment,
    OptionalPercent,
)

Verdict = Literal["pass", "fail", "not_applicable", "not_computable", "outside_validity"]
Whole = Literal["pass", "fail", "incomplete"]
Day = Annotated[float, Field(description="days since departure")]


class PointLoadLine(TypedDict):
    """The load line at a point: the draft permitted amidships in this water, what is left to it on the lower side, and
    the mass that may still be loaded (null off her tables); negative where she is over."""

    permitted_draft: Length
    margin: Length
    mass_to_line: OptionalMass


class PointStrength(TypedDict):
    """What a shear force and a bending moment use of their limits in the set in force at a point, where they use most,
    at a read-out point or between two; null where no limit is."""

    percent_shear: OptionalPercent
    percent_bending: OptionalPercent
    x_shear: OptionalLength
    x_bending: OptionalLength
    set: Literal["sea", "harbour"]


class PlanPoint(TypedDict):
    """One point of the plan. Figures are null where it cannot be assessed, which `reason` explains, or where her tables
    do not reach."""

    index: int
    stage: Annotated[int, Field(description="0: the condition itself; stages count from 1.")]
    name: str
    at: Annotated[
        str, Field(description="`kind` in words, with the ids of the tanks or the part of the change.")
    ]
    kind: Literal["start", "begun", "emptied", "season", "day", "change", "end"]
    tanks: Annotated[list[str], Field(description="Ids of the tanks that the point is about.")]
    day: Day
    date: Annotated[str | None, Field(description="RFC 3339, UTC; null without `departs`.")]
    phase: Literal["departure", "arrival", "at_sea", "in_port"] | None
    load_line_mark: str | None
    water_density: Density
    inland: bool
    deflection: Annotated[
        Length,
        Field(
            description="Her deflection amidships there, positive sagging; m or ft. `draft_midship` is without it, "
            "what is held against the mark with it."
        ),
    ]
    displacement: OptionalMass
    deadweight: OptionalMass
    draft_forward: OptionalLength
    draft_midship: OptionalLength
    draft_aft: OptionalLength
    trim: OptionalLength
    list: OptionalDegrees
    gm_solid: OptionalLength
    gm_corrected: OptionalLength
    vcg_solid: OptionalLength
    vcg_corrected: OptionalLength
    free_surface_moment: OptionalMassMoment
    verdict: Whole
    smallest_margin: Annotated[SmallestMargin | None, Field(deprecated=True)]
    failed: list[str]
    not_checked: list[str]
    margins: dict[str, float]
    load_line: PointLoadLine | None
    strength: PointStrength | None
    findings: list[str]
    reason: str | None


class WorstCriterion(TypedDict):
    """The least favourable judgement of a criterion over the plan: a failure, else what is not known, else the least
    margin."""

    criterion: str
    title: str
    point: int
    stage: int
    at: str
    day: Day
    attained: OptionalFigure
    limit: OptionalFigure
    unit: str
    margin: OptionalFigure
    percent: Annotated[float | None, Field(description="margin in percent of the limit")]
    verdict: Verdict


class ConsumptionAnswer(TypedDict):
    """One consumption over the plan: liquid from the tanks of an order, or a weight."""

    contents: str | None
    weight: str | None
    used: Annotated[Mass, Field(description="t or LT; negative: made on board")]
    left: Mass
    lasts_days: Annotated[
        float | None, Field(description="Days that what is left lasts after the plan; null: none is used.")
    ]
    empty_on_day: Annotated[
        float | None,
        Field(description="Day of the plan on which nothing is left to draw; null: none is used."),
    ]


class LimitingPoint(TypedDict):
    """The point at which least may still be loaded."""

    point: int
    stage: int
    at: str
    load_line_mark: str | None


class PlanLoadLine(TypedDict):
    """The load line over the plan. `more_to_load`: what the departure may take, negative: leave ashore."""

    limiting: LimitingPoint
    margin: Length
    mass_to_line: Mass
    more_to_load: Mass
    greatest_departure_displacement: Mass
    greatest_departure_deadweight: Mass
    days_to_line: Annotated[
        float | None,
        Field(
            description="Where she is over: days of the plan's own consumption after the limiting point until she is "
            "at the line; null: she is not over, or never comes to it."
        ),
    ]


class PlanAnswer(TypedDict):
    """The plan assessed. Its verdict is that of the whole answer: fail, else incomplete, else pass over all points."""

    kind: Literal["voyage", "loading", "discharging"]
    verdict: Whole
    points: list[PlanPoint]
    worst: list[WorstCriterion]
    consumption: list[ConsumptionAnswer]
    load_line: PlanLoadLine | None


class WorstPoint(TypedDict):
    """The first point of a plan that fails, or else that is incomplete, and the first criterion it is so by; null where
    the point cannot be assessed at all."""

    index: int
    stage: int
    name: str
    at: str
    day: Day
    date: str | None
    verdict: Whole
    criterion: str | None
    title: str | None


class PlanSummary(TypedDict):
    """What a list says of a plan; `worst` is null where every point passes."""

    kind: Literal["voyage", "loading", "discharging"]
    verdict: Whole
    worst: WorstPoint | None


class PlanWorstChange(TypedDict):
    """A criterion's least favourable judgement in two plans; null where one has no such criterion or no plan."""

    criterion: str
    before: WorstCriterion | None
    after: WorstCriterion | None

"""How sure the figures of a condition are: the deviations typed in, and what comes of them."""

from typing import Annotated, Literal

from pydantic import ConfigDict, Field
from typing_extensions import TypedDict

from service.wire.assessment import Finding, UnitNames, VesselReference
from service.wire.assessment import Verdict as CriterionVerdict
from service.wire.condition import Condition
from service.wire.fields import (
    MAX_TANKS,
    MAX_WEIGHTS,
    Document,
    Name,
    TankId,
    VesselId,
    exactly_one_of,
)
from service.wire.vessel import Vessel

LEAST_SAMPLES, MOST_SAMPLES = 100, 100_000

DeviationOfLength = Annotated[
    float, Field(ge=0, le=100, json_schema_extra={"x-units": {"metric": "m", "us": "ft"}})
]
DeviationOfPercent = Annotated[
    float, Field(ge=0, le=100, json_schema_extra={"x-units": {"metric": "%", "us": "%"}})
]
DeviationOfDensity = Annotated[
    float, Field(ge=0, le=0.5, json_schema_extra={"x-units": {"metric": "t/m³", "us": "t/m³"}})
]


class MassDeviation(Document):
    """Standard deviations of a mass and its centre."""

    mass_percent: DeviationOfPercent = Field(default=0.0, description="Percent of the mass.")
    lcg: DeviationOfLength = Field(default=0.0, description="m or ft")
    vcg: DeviationOfLength = Field(default=0.0, description="m or ft")
    tcg: DeviationOfLength = Field(default=0.0, description="m or ft")


class WeightDeviation(MassDeviation):
    """Those of one weight."""

    name: Name = Field(description="Name of the weight.")


class TankDeviation(Document):
    """Standard deviations of what is in a tank: of its mass or its sounding, and of its density."""

    mass_percent: DeviationOfPercent | None = Field(default=None, description="Percent of the mass.")
    sounding: DeviationOfLength | None = Field(
        default=None, description="m or ft; instead of `mass_percent`."
    )
    density: DeviationOfDensity = Field(default=0.0, description="t/m³")


class NamedTankDeviation(TankDeviation):
    """Those of one tank."""

    tank: TankId = Field(description="Id of a tank of the condition.")


class StandardDeviations(Document):
    """What is uncertain, each normal and independent of the others; what is not named is exact."""

    lightship: MassDeviation | None = Field(default=None, description="Of the lightship.")
    tanks: TankDeviation | None = Field(default=None, description="Of every tank of the condition.")
    tank: list[NamedTankDeviation] | None = Field(
        default=None, max_length=MAX_TANKS, description="Of single tanks, instead of `tanks`."
    )
    weights: list[WeightDeviation] | None = Field(
        default=None, max_length=MAX_WEIGHTS, description="Of single weights, instead of `every_weight`."
    )
    every_weight: MassDeviation | None = Field(default=None, description="Of every weight of the condition.")
    water_density: DeviationOfDensity = Field(default=0.0, description="t/m³")


class UncertaintyQuestion(Document):
    """A condition and what is uncertain about it."""

    condition: Condition = Field(description="What is aboard.")
    samples: int = Field(
        default=10_000, ge=LEAST_SAMPLES, le=MOST_SAMPLES, description="How many samples are assessed."
    )
    seed: int = Field(default=1, ge=0, le=2**32 - 1, description="The same seed gives the same samples.")
    standard_deviations: StandardDeviations = Field(description="What is uncertain.")


class UncertaintyRequest(UncertaintyQuestion):
    """A vessel, either her document or the id of one the service holds, and the question."""

    model_config = ConfigDict(json_schema_extra=exactly_one_of("vessel", "vessel_id"))

    vessel: Vessel | None = Field(default=None, description="The vessel document. Give this or `vessel_id`.")
    vessel_id: VesselId | None = Field(default=None, description="Id of a vessel that the service holds.")
    vessel_revision: Annotated[int, Field(ge=1, le=2**31 - 1)] | None = Field(
        default=None, description="Revision of that vessel; the latest when absent."
    )


class SampledFigure(TypedDict):
    """A figure of the condition, and over the samples."""

    value: float | None
    mean: float | None
    standard_deviation: float | None
    p05: float | None
    p50: float | None
    p95: float | None


class SampledMargin(TypedDict):
    """A margin over the samples, in the unit of its criterion."""

    unit: str
    mean: float | None
    standard_deviation: float | None
    p05: float | None


class SampledCriterion(TypedDict):
    """How often a criterion holds; null where too many samples are off her tables. `verdict` is the condition's own."""

    id: str
    probability: float | None
    standard_error: float | None
    margin: SampledMargin
    verdict: CriterionVerdict


class Contribution(TypedDict):
    """Share of the variance of a figure (`least_margin`: of the margin of the criterion nearest to its limit) that
    comes from one source; `name` is that of the weight or the tank's id."""

    figure: str
    source: Literal["lightship", "tank", "weight", "water"]
    name: str | None
    share: float


class SampledFigures(TypedDict):
    """Lengths in m or ft, displacement in t or LT, list in degrees."""

    gm_corrected: SampledFigure
    displacement: SampledFigure
    vcg_corrected: SampledFigure
    draft_at_lcf: SampledFigure
    draft_forward: SampledFigure
    draft_midship: SampledFigure
    draft_aft: SampledFigure
    trim: SampledFigure
    list: SampledFigure


class Uncertainty(TypedDict):
    """As good as the deviations typed in. `outside`: samples off her tables, left out; `clipped`: samples in which a
    tank was held at its 100 % volume."""

    units: UnitNames
    samples: int
    seed: int
    outside: int
    clipped: int
    method: str
    figures: SampledFigures
    criteria: list[SampledCriterion]
    verdict: Literal["pass", "fail", "incomplete"]
    verdict_probability: float | None
    contributions: list[Contribution]
    findings: list[Finding]
    vessel: VesselReference
    calculation_version: str
    caution: str

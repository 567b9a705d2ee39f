"""An inclining test: the request beside the condition, and its answer."""

from typing import Annotated

from pydantic import ConfigDict, Field
from typing_extensions import TypedDict

from service.wire.assessment import Finding, UnitNames, VesselReference
from service.wire.condition import Condition
from service.wire.fields import (
    Document,
    Length,
    Name,
    Position,
    PositiveMass,
    VesselId,
    exactly_one_of,
)
from service.wire.quantity import Length as LengthFigure
from service.wire.quantity import Mass, MassMoment, OptionalLength
from service.wire.vessel import Vessel

MAX_PENDULUMS, MAX_MOVEMENTS = 6, 30
SignedMoment = Annotated[
    float, Field(ge=-1e9, le=1e9, json_schema_extra={"x-units": {"metric": "t·m", "us": "ft·LT"}})
]


class PendulumDocument(Document):
    """A pendulum, or what stands for one."""

    name: Name = Field(description="What readings call it.", examples=["forward"])
    length: Length = Field(description="From its pivot to the scale; m or ft.", examples=[6.0])


class Shift(Document):
    """A weight moved across her; shifts add up from movement to movement."""

    mass: PositiveMass = Field(description="t or LT", examples=[10.0])
    from_y: Position = Field(description="Where it was; m or ft, signed as the axes say.", examples=[0.0])
    to_y: Position = Field(description="Where it is now; m or ft.", examples=[6.0])


class MovementDocument(Document):
    """A state of the weights and the readings at it. Zero readings are movements too."""

    model_config = ConfigDict(json_schema_extra=exactly_one_of("moment", "shifts"))

    moment: SignedMoment | None = Field(
        default=None,
        description="Net moment from the first state, to which later shifts add; t·m or ft·LT, positive to port.",
    )
    shifts: list[Shift] | None = Field(default=None, max_length=20, description="What is moved for it.")
    readings: dict[Name, Position] = Field(
        min_length=1,
        max_length=MAX_PENDULUMS,
        description="Deflection of each pendulum read, by its name; m or ft, positive to port.",
    )


class IncliningDocument(Document):
    """The test itself."""

    pendulums: list[PendulumDocument] = Field(
        min_length=1, max_length=MAX_PENDULUMS, description="Each pendulum."
    )
    movements: list[MovementDocument] = Field(
        min_length=2, max_length=MAX_MOVEMENTS, description="In the order of the test."
    )
    displacement: PositiveMass | None = Field(
        default=None,
        description="t or LT; by the drafts observed when absent.",
    )


class IncliningQuestion(Document):
    """All aboard that is not lightship, the drafts read, and the test."""

    condition: Condition = Field(
        description="All aboard that is not lightship; what is still to come as weights of category removal. Its "
        "`observed.drafts` give displacement and trim. Free surfaces count as the tanks are filled, whatever the basis."
    )
    inclining: IncliningDocument = Field(description="Pendulums, movements, readings.")


class IncliningRequest(IncliningQuestion):
    """A vessel, either her document or the id of one the service holds, and an inclining test of hers."""

    model_config = ConfigDict(json_schema_extra=exactly_one_of("vessel", "vessel_id"))

    vessel: Vessel | None = Field(default=None, description="The vessel document. Give this or `vessel_id`.")
    vessel_id: VesselId | None = Field(default=None, description="Id of a vessel that the service holds.")
    vessel_revision: Annotated[int, Field(ge=1, le=2**31 - 1)] | None = Field(
        default=None, description="Revision of that vessel; the latest when absent."
    )


class InclinedLightship(TypedDict):
    """The lightship that follows; the interval of its VCG is that of GM. LCG is null where the trim was not read."""

    mass: Mass
    lcg: OptionalLength
    vcg: LengthFigure
    tcg: LengthFigure
    vcg_low: OptionalLength
    vcg_high: OptionalLength


class AgainstBooklet(TypedDict):
    """The lightship that follows less that of the booklet: percent of its mass, and lengths."""

    mass_percent: float
    lcg: OptionalLength
    vcg: LengthFigure


class SisterTolerance(TypedDict):
    """By how much a sister ship may differ without a test of her own (SOLAS II-1/5.2)."""

    mass_percent: float
    lcg: LengthFigure


class InclinedMovement(TypedDict):
    """A movement: its net moment, the mean of tan(heel) over the pendulums, and how far it lies off the line."""

    moment: MassMoment
    tan_mean: float
    residual: float


class Inclining(TypedDict):
    """GM by the slope of one line through all readings, with its 95 % interval; VCG as inclined is without the free
    surface. The interval is that of the readings alone: drafts, masses and tables are taken as exact."""

    units: UnitNames
    displacement: Mass
    trim: OptionalLength
    km: LengthFigure
    readings: int
    slope: Annotated[float, Field(description="tan(heel) for each t·m or ft·LT")]
    intercept: float
    gm: LengthFigure
    gm_low: OptionalLength
    gm_high: OptionalLength
    vcg_as_inclined: LengthFigure
    lcg_as_inclined: OptionalLength
    tcg_as_inclined: LengthFigure
    free_surface_moment: MassMoment
    lightship: InclinedLightship
    movements: list[InclinedMovement]
    against_booklet: AgainstBooklet | None
    sister_tolerance: SisterTolerance
    findings: list[Finding]
    vessel: VesselReference
    calculation_version: str
    caution: str

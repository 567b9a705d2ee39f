"""What will be done with a condition: stages, seasons and consumption. The lines of what is aboard are those of the
condition itself, so a whole stage stands in `condition.py`."""

from typing import Annotated, Literal

from pydantic import ConfigDict, Field

from service.wire.fields import (
    MAX_SMALL_LIST,
    MAX_TANKS,
    Contents,
    Density,
    Document,
    LoadLineMark,
    Name,
    Position,
    TankId,
    exactly_one_of,
)

MAX_STAGES = 100
DAY_OF_YEAR_PATTERN = r"^(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])$"
MOMENT_PATTERN = (
    r"^(19|20|21)[0-9]{2}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])"
    r"T([01][0-9]|2[0-3]):[0-5][0-9]:[0-5][0-9](\.[0-9]{1,6})?(Z|\+00:00)$"
)

DayOfYear = Annotated[str, Field(pattern=DAY_OF_YEAR_PATTERN)]
Moment = Annotated[str, Field(pattern=MOMENT_PATTERN)]
Days = Annotated[float, Field(ge=0, le=1000, json_schema_extra={"x-units": {"metric": "d", "us": "d"}})]
EveryDays = Annotated[float, Field(gt=0, le=1000, json_schema_extra={"x-units": {"metric": "d", "us": "d"}})]
MassPerDay = Annotated[
    float, Field(ge=-1e6, le=1e6, json_schema_extra={"x-units": {"metric": "t/d", "us": "LT/d"}})
]
Leave = Annotated[float, Field(ge=0, le=100, json_schema_extra={"x-units": {"metric": "%", "us": "%"}})]
Phase = Literal["departure", "arrival", "at_sea", "in_port"]


class PlanSeason(Document):
    """Which mark binds in a zone by the time of the year. Dates hold at any year, in UTC, both included."""

    first: DayOfYear = Field(alias="from", description="First day, month-day.", examples=["11-01"])
    last: DayOfYear = Field(
        alias="to", description="Last day, month-day; before `from`: over New Year.", examples=["03-31"]
    )
    mark: LoadLineMark = Field(description="Mark from the first to the last of these days.", examples=["W"])
    otherwise: LoadLineMark = Field(description="Mark on all other days.", examples=["S"])


class Consumption(Document):
    """Liquid used or made a day, from or into tanks in order, or a weight that is used up."""

    model_config = ConfigDict(json_schema_extra=exactly_one_of("contents", "weight"))

    contents: Contents | None = Field(
        default=None, description="Liquid; `order` says from which tanks.", examples=["fuel_oil"]
    )
    weight: Name | None = Field(
        default=None, description="Name of a weight whose mass falls to nothing; its centre stays."
    )
    mass_per_day: MassPerDay = Field(
        description="t or LT a day; negative: made on board (liquids only).", examples=[25.0]
    )
    order: list[Annotated[list[TankId], Field(min_length=1, max_length=MAX_SMALL_LIST)]] | None = Field(
        default=None,
        max_length=MAX_TANKS,
        description="Groups of tanks, one after another. A group is drawn in proportion to what its tanks hold, or "
        "filled in proportion to the room below their normal full limits.",
        examples=[[["DB1P", "DB1S"], ["DB2P", "DB2S"]]],
    )
    leave: Leave = Field(
        default=0.0, description="Percent of the capacity left in each tank.", examples=[2.0]
    )


class StageTerms(Document):
    """What a stage says besides the lines of what is aboard."""

    name: Name = Field(description="What the stage is called.", examples=["Ocean"])
    days: Days = Field(default=0.0, description="Days it takes, before its changes.", examples=[10.0])
    phase: Phase | None = Field(default=None, description="Part of the voyage, from here on.")
    load_line_mark: LoadLineMark | None = Field(
        default=None, description="Mark in force from the beginning of the stage on."
    )
    season: PlanSeason | None = Field(
        default=None, description="The mark by date, instead of `load_line_mark`; the plan needs `departs`."
    )
    water_density: Density | None = Field(
        default=None, description="t/m³, from the beginning of the stage on."
    )
    inland: bool = Field(
        default=False, description="On a river or inland waters in this stage: no mark binds there."
    )
    deflection: Position | None = Field(
        default=None, description="As in the condition, from the beginning of the stage on; m or ft."
    )
    removed_weights: list[Name] | None = Field(
        default=None, max_length=MAX_SMALL_LIST, description="Names of weights put ashore at the end."
    )
    consumption: list[Consumption] | None = Field(
        default=None,
        max_length=MAX_SMALL_LIST,
        description="Replaces the consumption from here on.",
    )
    transition: Literal["through", "ends"] = Field(
        default="through",
        description="`through`: a quarter, a half and three quarters of the changes are checked too, each changing "
        "tank with its greatest free surface. `ends`: only what is before and after.",
    )


class PlanTerms(Document):
    """What a plan says besides its stages."""

    kind: Literal["voyage", "loading", "discharging"] = Field(
        description="Stages of loading and discharging are in port unless they say otherwise.",
        examples=["voyage"],
    )
    departs: Moment | None = Field(
        default=None,
        description="RFC 3339, UTC; needed where a stage has a season.",
        examples=["2026-10-28T12:00:00Z"],
    )
    every_days: EveryDays = Field(
        default=5.0,
        description="Greatest distance between two points of a leg, in days.",
        examples=[5.0],
    )
    consumption: list[Consumption] | None = Field(
        default=None, max_length=MAX_SMALL_LIST, description="What is used and made a day."
    )

"""A new condition made from one that is kept."""

from typing import Annotated

from pydantic import ConfigDict, Field

from service.wire.fields import Document, Name, exactly_one_of


class Consumables(Document):
    """How much of fuel, diesel and lubricating oil, fresh water and stores is used up in between."""

    model_config = ConfigDict(json_schema_extra=exactly_one_of("percent", "days"))

    percent: (
        Annotated[float, Field(ge=0, le=100, json_schema_extra={"x-units": {"metric": "%", "us": "%"}})]
        | None
    ) = Field(
        default=None,
        description="Percent used up of each tank and of each weight of category stores; 90 leaves a tenth.",
        examples=[90.0],
    )
    days: (
        Annotated[float, Field(gt=0, le=1000, json_schema_extra={"x-units": {"metric": "d", "us": "d"}})]
        | None
    ) = Field(
        default=None,
        description="Days of the consumption that the plan of the condition gives.",
        examples=[6.5],
    )


class CopyRequest(Document):
    """What the new condition is called, and what is used up."""

    title: Name | None = Field(
        default=None,
        description="When absent: copy of, or arrival from, the one it is made from.",
        examples=["Arrival Estmouth"],
    )
    consumables: Consumables | None = Field(
        default=None, description="Makes an arrival of a departure; as it is when absent."
    )

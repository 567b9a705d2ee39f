"""What she carries or does in a condition that rules of its own judge: passengers, a lift, an escorted ship."""

from typing import Annotated

from pydantic import Field

from service.wire.fields import MAX_SMALL_LIST, Document, MassMoment, Name, Position, PositiveMass, TankId

PersonMass = Annotated[
    float, Field(gt=0, le=1000, json_schema_extra={"x-units": {"metric": "kg", "us": "lb"}})
]


class PassengerLine(Document):
    """Passengers in one space. Their mass is added by the service: it is no line of `weights`."""

    space: TankId = Field(description="Id of the passenger space in the vessel document.", examples=["SUN"])
    number: Annotated[int, Field(ge=0, le=100000)] = Field(
        description="How many stand there.", examples=[240]
    )
    mass_each: PersonMass | None = Field(
        default=None,
        description="Mass of one; kg or lb. 75 kg when absent, and not less than 60 kg.",
        examples=[75.0],
    )


Passengers = Annotated[list[PassengerLine], Field(max_length=MAX_SMALL_LIST)]


class Lift(Document):
    """A load on the hook of her crane. The service adds it as a weight at the crane's head: it is no line of
    `weights`."""

    name: Name | None = Field(default=None, description="What is lifted.", examples=["Anchor, 22 t"])
    mass: PositiveMass = Field(description="Mass with its gear; t or LT.", examples=[22.0])
    x: Position = Field(description="Head of the crane; m or ft from the x origin.", examples=[40.0])
    y: Position = Field(
        description="Its transverse position; m or ft, positive to port unless the axes say otherwise.",
        examples=[14.0],
    )
    z: Position = Field(description="Its height above the baseline; m or ft.", examples=[24.0])


class Escort(Document):
    """Steering an escorted ship by the line."""

    heeling_moment: MassMoment = Field(
        description="Greatest moment that heels her, from model tests or calculation; t·m or ft·LT.",
        examples=[420.0],
    )


class Operation(Document):
    """What she does in this condition."""

    lift: Lift | None = Field(default=None, description="A load on the hook of her crane.")
    escort: Escort | None = Field(default=None, description="An escorted ship.")

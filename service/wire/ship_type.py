"""What the rules for one type of ship read in her booklet: passenger spaces, hatches, towing gear, a trunk."""

from typing import Annotated, Literal

from pydantic import Field

from service.wire.fields import MAX_SMALL_LIST, Area, Document, Length, Position, TankId

MAX_PROPELLERS = 10
Force = Annotated[float, Field(gt=0, le=1e6, json_schema_extra={"x-units": {"metric": "kN", "us": "LT"}})]
Power = Annotated[float, Field(gt=0, le=1e6, json_schema_extra={"x-units": {"metric": "kW", "us": "hp"}})]

Part = Annotated[float, Field(ge=0, le=1, json_schema_extra={"x-units": {"metric": "1", "us": "1"}})]


class PassengerSpace(Document):
    """A deck on which passengers may stand."""

    id: TankId = Field(description="Short id, unique among the spaces.", examples=["SUN"])
    x: Position = Field(description="Its centre; m or ft from the x origin.", examples=[30.0])
    deck_z: Position = Field(description="Height of its deck above the baseline; m or ft.", examples=[9.2])
    length: Length = Field(description="Length passengers may stand along; m or ft.", examples=[18.0])
    half_breadth: Length = Field(
        description="From the centreline to where the outermost may stand; m or ft.", examples=[5.6]
    )
    area: Area | None = Field(
        default=None,
        description="Area they may stand on; m² or ft². The rectangle of length and breadth when absent.",
        examples=[180.0],
    )


PassengerSpaces = Annotated[list[PassengerSpace], Field(max_length=MAX_SMALL_LIST)]


class HatchCoamings(Document):
    """Hatch coamings within a quarter of her length forward and aft of amidships (2008 IS Code Part B 2.3)."""

    length_sum: Length = Field(description="Sum of their lengths; m or ft.", examples=[66.0])
    breadth: Length = Field(description="Their mean breadth; m or ft.", examples=[21.0])
    height: Length = Field(description="Their mean height; m or ft.", examples=[1.8])


class Point(Document):
    """A point of the ship."""

    x: Position = Field(description="m or ft from the x origin.", examples=[14.0])
    y: Position = Field(default=0.0, description="m or ft, positive to port.", examples=[0.0])
    z: Position = Field(description="m or ft above the baseline.", examples=[6.5])


class PropulsionPoint(Document):
    """Where her propulsion pushes, on the centreline."""

    x: Position = Field(description="m or ft from the x origin.", examples=[2.0])
    z: Position = Field(description="m or ft above the baseline.", examples=[1.5])


class Towing(Document):
    """What a tug is judged by (46 CFR 173.095, 2008 IS Code Part B 2.8)."""

    propellers: Annotated[int, Field(ge=1, le=MAX_PROPELLERS)] | None = Field(
        default=None, description="How many propellers she has.", examples=[2]
    )
    shaft_power: Power | None = Field(
        default=None, description="Power of one shaft; kW or hp.", examples=[1200.0]
    )
    propeller_diameter: Length | None = Field(
        default=None, description="Diameter of a propeller; m or ft.", examples=[2.1]
    )
    rudder_fraction: Part | None = Field(
        default=None,
        description="Part of the propeller's circle that the rudder intercepts when put over to 45 degrees.",
        examples=[0.55],
    )
    bitts_height: Length | None = Field(
        default=None,
        description="From the centreline of the shaft at the rudder up to the towing bitts; m or ft.",
        examples=[4.2],
    )
    bollard_pull: Force | None = Field(
        default=None, description="Continuous bollard pull; kN or LT.", examples=[600.0]
    )
    tow_point: Point | None = Field(
        default=None,
        description="Where the line pulls. Aft of amidships it is towing over the stern, else over the bow.",
    )
    propulsion: PropulsionPoint | None = Field(default=None, description="Where her propulsion pushes.")
    drive: Literal["conventional", "azimuth_stern", "tractor"] | None = Field(
        default=None,
        description="Propellers that do not azimuth; azimuthing drives aft; azimuthing or cycloidal drives forward.",
        examples=["azimuth_stern"],
    )


class BargeTrunk(Document):
    """The trunk on the deck of a tank barge (46 CFR 172.090)."""

    length: Length = Field(description="m or ft.", examples=[40.0])
    breadth: Length = Field(description="m or ft.", examples=[14.0])
    height: Length = Field(description="m or ft.", examples=[1.2])

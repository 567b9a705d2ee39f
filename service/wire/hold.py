"""Holds, and the heeling moments of grain that shifts in them, as the booklet prints them."""

from typing import Annotated

from pydantic import Field

from service.wire.fields import (
    MAX_ROWS,
    MAX_TANKS,
    Document,
    Extent,
    HeelingMoment,
    Name,
    Position,
    PositiveVolume,
    TankId,
    Volume,
)
from service.wire.strength import MassLimits


class PartlyFilledRow(Document):
    """One line of a hold's table for partly filled with grain."""

    volume: Volume = Field(description="Volume of grain; m³ or ft³.", examples=[1500.0])
    heeling_moment: HeelingMoment = Field(
        description="Volumetric heeling moment at this volume; m⁴ or ft⁴.", examples=[2140.0]
    )
    vcg: Position | None = Field(
        default=None,
        description="Vertical centre of the grain at this volume, for those who enter its weight; "
        "m or ft above the baseline.",
        examples=[3.6],
    )


class HoldGrain(Document):
    """Volumetric heeling moments of the assumed shift of grain, athwartships only.

    As the booklet prints them for the International Grain Code (MSC.23(59)), Part B, before any allowance for the
    vertical shift: that factor is applied by the service. What is not given cannot be judged."""

    filled_trimmed: HeelingMoment | None = Field(
        default=None, description="Of the hold filled and trimmed; m⁴ or ft⁴.", examples=[420.0]
    )
    filled_untrimmed: HeelingMoment | None = Field(
        default=None, description="Of the hold filled, its ends untrimmed; m⁴ or ft⁴.", examples=[870.0]
    )
    partly_filled: Annotated[list[PartlyFilledRow], Field(min_length=2, max_length=MAX_ROWS)] | None = Field(
        default=None, description="Of the hold partly filled, by volume; volumes increase."
    )


class Hold(Document):
    """A cargo space."""

    id: TankId = Field(description="Short id, unique among the holds.", examples=["H1"])
    name: Name = Field(description="Name, as the booklet prints it.", examples=["Hold 1"])
    capacity: PositiveVolume = Field(description="Volume when full; m³ or ft³.", examples=[2310.0])
    lcg: Position = Field(description="Longitudinal centre; m or ft from the x origin.", examples=[58.0])
    vcg: Position = Field(description="Vertical centre; m or ft above the baseline.", examples=[4.4])
    tcg: Position = Field(
        default=0.0, description="Transverse centre; m or ft, positive to port.", examples=[0.0]
    )
    extent: Extent | None = Field(default=None, description="Fore and aft ends; m or ft.")
    grain: HoldGrain | None = Field(default=None, description="Heeling moments of grain that shifts in it.")
    mass_limits: MassLimits | None = Field(
        default=None, description="Greatest and least mass in it by draft at mid-hold; it needs `extent`."
    )
    tanks_in_way: list[TankId] | None = Field(
        default=None,
        max_length=MAX_TANKS,
        description="Tanks whose contents count in the hold's mass, such as the double bottom under it.",
        examples=[["DB2P", "DB2S"]],
    )

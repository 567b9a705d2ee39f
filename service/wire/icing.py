"""Ice and timber: surfaces, what a condition says of them, what the ice does."""

from typing import Annotated, Literal

from pydantic import Field
from typing_extensions import TypedDict

from service.wire.fields import Area, Document, Length, Name, Percent, Position
from service.wire.quantity import Mass, OptionalLength

MAX_SURFACES = 100


class IcingSurface(Document):
    """A surface that ice settles on."""

    name: Name = Field(description="What it is.", examples=["Forecastle deck"])
    kind: Literal["deck", "side"] = Field(
        description="A deck, or a side: of a side give the area of one side alone.", examples=["deck"]
    )
    area: Area = Field(description="Area; m² or ft².", examples=[420.0])
    x: Position = Field(description="Centroid; m or ft from the x origin.", examples=[80.0])
    z: Position = Field(description="Its height above the baseline; m or ft.", examples=[10.4])
    y: Position = Field(default=0.0, description="Transverse position; m or ft.", examples=[0.0])


IcingSurfaces = Annotated[list[IcingSurface], Field(max_length=MAX_SURFACES)]


class TimberIce(Document):
    """What the formula for ice on a timber deck cargo reads (MSC.398(95), from memory)."""

    freeboard: Length = Field(description="Height of freeboard; m or ft.", examples=[3.0])
    bow_flare_length: Length = Field(description="Length of the bow flare; m or ft.", examples=[12.0])


class Icing(Document):
    """Ice to be counted (2008 IS Code Part B 6)."""

    factor: Annotated[float, Field(ge=0, le=2, json_schema_extra={"x-units": {"metric": "1", "us": "1"}})] = (
        Field(description="Part of the full allowance: 1 full, 0.5 half, 0 none.", examples=[1.0])
    )
    surfaces: IcingSurfaces | None = Field(
        default=None, description="Surfaces of deck cargo, beside those of the vessel."
    )
    timber_formula: TimberIce | None = Field(
        default=None,
        description="Ice on the decks among `surfaces` by the formula for timber deck cargoes instead of 30 kg/m².",
    )


class Timber(Document):
    """How timber on deck is stowed (2008 IS Code Part A 3.3), and the water it absorbs."""

    absorption: Percent | None = Field(
        default=None,
        description="Water it absorbs, percent of its mass; sources say 10 or 15: give what holds here.",
        examples=[10.0],
    )
    between_superstructures: bool = Field(
        description="Whether it extends between superstructures (or to the after end of the aftermost hatchway)."
    )
    full_breadth: bool = Field(
        description="Whether it extends over the full breadth, after at most 4 % of it for a rounded gunwale, and "
        "uprights."
    )
    secured: bool = Field(description="Whether it stays fixed at large angles of heel.")
    buoyant: bool = Field(default=False, description="Whether its buoyancy may be counted.")


class IcingEffect(TypedDict):
    """With ice minus without."""

    factor: float
    mass: Mass
    vcg: OptionalLength
    gm_loss: OptionalLength
    draft_increase: OptionalLength
    trim_change: OptionalLength

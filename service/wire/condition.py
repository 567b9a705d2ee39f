"""The condition document: what is aboard, as the mate writes it down."""

from typing import Annotated, Literal

from pydantic import ConfigDict, Field

from service.wire.fields import (
    MAX_SMALL_LIST,
    MAX_TANKS,
    MAX_WEIGHTS,
    Angle,
    Area,
    Axes,
    Contents,
    Density,
    Document,
    Extent,
    HeelingMoment,
    Mass,
    Name,
    NonNegativeLength,
    Note,
    Percent,
    Position,
    RuleSetName,
    Seconds,
    SignedMass,
    StowageFactor,
    TankId,
    UnitSystem,
    Volume,
    exactly_one_of,
)
from service.wire.operation import Operation, Passengers

LoadLineMark = Literal["S", "T", "F", "TF", "W", "WNA", "LS", "LT", "LW", "LWNA", "LF", "LTF"]
WeightCategory = Literal[
    "cargo", "deck_cargo", "stores", "crew", "passengers", "constant", "ice", "other", "removal"
]


class Voyage(Document):
    """Which voyage and which part of it the condition belongs to."""

    number: Note | None = Field(
        default=None, description="Voyage number, as the office writes it.", examples=["17/2"]
    )
    origin: Note | None = Field(
        default=None, alias="from", description="Port she comes from.", examples=["Sandhamn"]
    )
    destination: Note | None = Field(
        default=None, alias="to", description="Port she is bound for.", examples=["Molde"]
    )
    phase: Literal["departure", "arrival", "at_sea", "in_port"] | None = Field(
        default=None, description="Part of the voyage this condition stands for.", examples=["departure"]
    )


class FreeSurfaceBasis(Document):
    """How the free surface of the tanks is counted."""

    basis: Literal["as_filled", "maximum_when_slack", "by_rule"] = Field(
        description="`as_filled`: each tank at its filling. `maximum_when_slack`: each slack tank at its "
        "greatest moment. "
        "`by_rule`: as the ship's rule sets demand, assumed consumable moments included.",
        examples=["as_filled"],
    )


class TankFilling(Document):
    """One tank and what is in it: exactly one of mass, volume, fill, sounding or ullage."""

    model_config = ConfigDict(
        json_schema_extra=exactly_one_of("mass", "volume", "fill", "sounding", "ullage")
    )

    tank: TankId = Field(description="Id of the tank in the vessel document.", examples=["DB2P"])
    contents: Contents | None = Field(
        default=None,
        description="Liquid aboard; the tank's usual contents when absent.",
        examples=["ballast"],
    )
    density: Density | None = Field(
        default=None,
        description="Density of the liquid, t/m³ in both systems; its group's when absent.",
        examples=[1.025],
    )
    mass: Mass | None = Field(default=None, description="Mass of the liquid; t or LT.", examples=[61.5])
    volume: Volume | None = Field(
        default=None, description="Volume of the liquid; m³ or ft³.", examples=[60.0]
    )
    fill: Percent | None = Field(
        default=None,
        description="Filling in percent of capacity; above 100 is answered with a finding.",
        examples=[62.0],
    )
    sounding: NonNegativeLength | None = Field(
        default=None, description="Sounding, entered in the tank's table; m or ft.", examples=[0.84]
    )
    ullage: NonNegativeLength | None = Field(
        default=None, description="Ullage, entered in the tank's table; m or ft.", examples=[0.41]
    )


class Weight(Document):
    """A solid weight aboard and where its centre is."""

    name: Name = Field(description="What it is.", examples=["Steel coils, hold 1"])
    category: WeightCategory = Field(
        description="Group it is counted under. Only `removal` may carry a negative mass.", examples=["cargo"]
    )
    mass: SignedMass = Field(description="Mass; t or LT. Negative only for `removal`.", examples=[812.0])
    lcg: Position = Field(
        description="Longitudinal centre; m or ft from the x origin, signed as the axes say.", examples=[51.2]
    )
    vcg: Position = Field(description="Vertical centre; m or ft above the baseline.", examples=[3.9])
    tcg: Position = Field(
        default=0.0,
        description="Transverse centre; m or ft, positive to port unless the axes say otherwise.",
        examples=[0.0],
    )
    extent: Extent | None = Field(default=None, description="Fore and aft ends; m or ft.")


class GrainLine(Document):
    """Grain in bulk in one hold, for the heel of its assumed shift. Its mass is a line of `weights`."""

    hold: TankId = Field(description="Id of the hold in the vessel document.", examples=["H1"])
    filling: Literal["filled_trimmed", "filled_untrimmed", "partly_filled"] = Field(
        description="How the hold is filled, in the Grain Code's terms.", examples=["filled_trimmed"]
    )
    volume: Volume | None = Field(
        default=None,
        description="Volume of the grain in a partly filled hold, looked up in the hold's table; m³ or ft³.",
        examples=[1500.0],
    )
    stowage_factor: StowageFactor = Field(
        description="Volume a unit of mass takes; m³/t or ft³/LT.", examples=[1.3]
    )
    heeling_moment: HeelingMoment | None = Field(
        default=None,
        description="Volumetric heeling moment athwartships to use instead of the booklet's; m⁴ or ft⁴. "
        "The factor for the vertical shift is applied to it too.",
        examples=[2140.0],
    )
    vcg_basis: Literal["cargo", "hold"] = Field(
        default="cargo",
        description="Where the grain's weight has its centre: in a filled hold `cargo` (of the grain itself: "
        "moment times 1.06) or `hold` (of the whole hold: 1.00). Partly filled: 1.12 either way.",
        examples=["cargo"],
    )


class WindAddition(Document):
    """Lateral area above the hull that the vessel's wind profile does not hold, such as deck cargo."""

    name: Name = Field(description="What stands in the wind.", examples=["Containers on hatch 2"])
    area: Area = Field(description="Projected lateral area; m² or ft².", examples=[58.0])
    centroid_height: Position = Field(
        description="Height of its centroid above the baseline; m or ft.", examples=[10.6]
    )
    of: Name | None = Field(
        default=None,
        description="Name of the weight of category deck_cargo that this is the side of. Each such weight must be "
        "named by an addition, or one addition without `of` stands for the rest; area 0 for what stands in the lee.",
        examples=["Containers on hatch 2"],
    )


DraftReading = Annotated[
    float, Field(ge=0, le=5000, json_schema_extra={"x-units": {"metric": "m", "us": "ft"}})
]


class Observed(Document):
    """What was read on board, kept beside the computed figures; the computation does not use it."""

    drafts: dict[Name, DraftReading] | None = Field(
        default=None,
        max_length=MAX_SMALL_LIST,
        description="Reading at each draft mark, by its name; m or ft, keel offset included.",
        examples=[{"aft": 5.32, "forward": 4.98}],
    )
    list: Angle | None = Field(default=None, description="List; degrees, positive to port.", examples=[-0.5])
    roll_period: Seconds | None = Field(
        default=None, description="Full roll from port to port; seconds.", examples=[11.5]
    )


class Condition(Document):
    """A loading condition. Every number is in the document's own `units`."""

    units: UnitSystem = Field(
        description="System of every number in this document: metric (m, t, m³) or us (ft, long ton, ft³).",
        examples=["metric"],
    )
    title: Name = Field(description="What the condition is called.", examples=["Departure, full load"])
    axes: Axes | None = Field(
        default=None, description="How positions are typed in; the vessel's axes when absent."
    )
    voyage: Voyage | None = Field(default=None, description="Voyage and part of it.")
    water_density: Density = Field(
        description="Density of the water she floats in; t/m³ in both systems.", examples=[1.025]
    )
    free_surface: FreeSurfaceBasis = Field(
        description="How free surface is counted.", examples=[{"basis": "as_filled"}]
    )
    tanks: list[TankFilling] = Field(
        max_length=MAX_TANKS,
        description="Tanks with liquid in them; a tank not named is empty, and is reported.",
    )
    weights: list[Weight] = Field(
        max_length=MAX_WEIGHTS, description="Everything else aboard beyond the lightship."
    )
    grain: list[GrainLine] | None = Field(
        default=None,
        max_length=MAX_SMALL_LIST,
        description="Grain in bulk, a line a hold: how it may shift. Its mass is not counted here: enter it in "
        "`weights` too. Where there is any, the rule set grain-code is checked whether it is named or not.",
    )
    wind_additions: list[WindAddition] | None = Field(
        default=None, max_length=MAX_SMALL_LIST, description="Lateral areas to add to the wind profile."
    )
    passengers: Passengers | None = Field(
        default=None,
        description="Passengers by the space they stand in. Their mass is added at 1.0 m above its deck: a weight of "
        "category passengers beside them counts twice.",
    )
    operation: Operation | None = Field(
        default=None, description="What she does in this condition: a lift, an escorted ship."
    )
    load_line_mark: LoadLineMark | None = Field(
        default=None, description="Load line mark that binds her here (L: timber marks).", examples=["S"]
    )
    deflection: Position = Field(
        default=0.0,
        description="How much lower she is amidships than the drafts at her perpendiculars say; m or ft, positive when "
        "she sags. It deepens the draft that is held against the load line.",
        examples=[0.0],
    )
    rule_sets: list[RuleSetName] | None = Field(
        default=None,
        max_length=MAX_SMALL_LIST,
        description="Public names of rule sets to check beside the vessel's own, which always bind.",
        examples=[["is-code-2008-a-2.2"]],
    )
    observed: Observed | None = Field(default=None, description="Readings taken on board.")

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
    ChosenId,
    Contents,
    Density,
    Document,
    Extent,
    HeelingMoment,
    LoadLineMark,
    Mass,
    Name,
    NonNegativeLength,
    Note,
    Percent,
    Position,
    Reference,
    RuleSetName,
    Seconds,
    SignedMass,
    StowageFactor,
    TankId,
    UnitSystem,
    Volume,
    exactly_one_of,
)
from service.wire.icing import Icing, Timber
from service.wire.limit import OwnLimits
from service.wire.operation import Operation, Passengers
from service.wire.plan import MAX_STAGES, PlanTerms, StageTerms
from service.wire.view import CargoObstruction

MAX_OBSTRUCTIONS = 50

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
    ballast: bool = Field(
        default=False, description="Whether this is a ballast condition (MARPOL Annex I regulation 18)."
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
    extent: Extent | None = Field(
        default=None, description="Fore and aft ends, over which it is spread for strength; m or ft."
    )
    hold: TankId | None = Field(
        default=None,
        description="Id of the hold it lies in: it counts in the hold's mass, and takes its ends where it has no "
        "`extent`.",
        examples=["H1"],
    )
    timber: Timber | None = Field(
        default=None, description="For timber on deck: how it is stowed, and the water it absorbs."
    )


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


class ReadingOfSides(Document):
    """A set of draft marks read on both sides."""

    port: DraftReading = Field(description="m or ft, keel offset included.", examples=[4.5])
    starboard: DraftReading = Field(description="m or ft, keel offset included.", examples=[4.46])


class Observed(Document):
    """What was read on board, kept beside the computed figures; the computation does not use it."""

    drafts: dict[Name, DraftReading | ReadingOfSides] | None = Field(
        default=None,
        max_length=MAX_SMALL_LIST,
        description="Reading at each draft mark, by its name, or the readings of both sides; m or ft, keel offset "
        "included. Three sets read on both sides, or with a `mean`, are answered with a draft survey.",
        examples=[{"aft": 5.32, "forward": 4.98}],
    )
    mean: Literal["quarter", "two_thirds", "mean_of_means"] | None = Field(
        default=None,
        description="Mean draft of a survey: (F+A+6M)/8 (when absent), (F+A+4M)/6 or (F+A+2M)/4.",
    )
    list: Angle | None = Field(default=None, description="List; degrees, positive to port.", examples=[-0.5])
    roll_period: Seconds | None = Field(
        default=None, description="Full roll from port to port; seconds.", examples=[11.5]
    )


class Stage(StageTerms):
    """A part of a plan: some days on which liquids and weights are used, then changes of what is aboard. What it says
    else holds from its beginning to its end, and on until said again."""

    tanks: list[TankFilling] | None = Field(
        default=None,
        max_length=MAX_TANKS,
        description="Tanks as they are at the end of the stage; others stay as they are.",
    )
    weights: list[Weight] | None = Field(
        default=None,
        max_length=MAX_WEIGHTS,
        description="Weights at the end of the stage: they replace those of the same name, others are added.",
    )
    grain: list[GrainLine] | None = Field(
        default=None, max_length=MAX_SMALL_LIST, description="Replaces the condition's list."
    )
    wind_additions: list[WindAddition] | None = Field(
        default=None,
        max_length=MAX_SMALL_LIST,
        description="Replaces the condition's list. What belongs to a weight counts while that is aboard.",
    )
    icing: Icing | None = Field(
        default=None,
        description="Ice counted from the beginning of the stage on; a factor of 0 where none is expected.",
    )
    obstructions: list[CargoObstruction] | None = Field(
        default=None,
        max_length=MAX_OBSTRUCTIONS,
        description="Replaces the condition's list. The top of a weight counts while that is aboard.",
    )


class Plan(PlanTerms):
    """What will be done with the condition: a voyage, or loading or discharging in steps."""

    stages: list[Stage] = Field(
        min_length=1, max_length=MAX_STAGES, description="In order; the condition is the state before them."
    )


class Condition(Document):
    """A loading condition. Every number is in the document's own `units`."""

    units: UnitSystem = Field(
        description="System of every number in this document: metric (m, t, m³) or us (ft, long ton, ft³).",
        examples=["metric"],
    )
    id: ChosenId | None = Field(
        default=None,
        description="Id to enter it under; one is made when absent. A later revision names the same one, or none.",
        examples=["skarvholmen-0412-departure"],
    )
    reference: Reference | None = Field(
        default=None,
        description="The sender's own name for it, which one key gives to one condition.",
        examples=["voyage 17/2, departure"],
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
    drafts_at: list[Position] | None = Field(
        default=None,
        max_length=20,
        description="Places along her length at which the moulded draft is wanted, such as a sill or a sounding board; "
        "m or ft from the x origin.",
        examples=[[12.5, 80.0]],
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
    dock_water: Literal["linear", "exact"] = Field(
        default="linear",
        description="How a mark is deepened in lighter water: in proportion to the density, as certificates say, or to "
        "the draft of the same displacement.",
        examples=["linear"],
    )
    inland: bool = Field(
        default=False, description="On a river or inland waters, where no load line mark binds."
    )
    icing: Icing | None = Field(default=None, description="Ice to be counted; none when absent.")
    obstructions: list[CargoObstruction] | None = Field(
        default=None,
        max_length=MAX_OBSTRUCTIONS,
        description="What stands in the way of the view ahead, such as deck cargo.",
    )
    limits: OwnLimits | None = Field(
        default=None, description="Limits of a berth, a bar or a charter on one figure each."
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
    plan: Plan | None = Field(
        default=None,
        description="What will be done with this condition. Every point of it is assessed, and the verdict is that of "
        "the whole.",
    )

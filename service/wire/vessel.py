"""The vessel document: what her approved booklet says, typed in as it is printed.

Cross-field rules (ids used once, rows increasing, exactly one source of free surface) are checked where the
booklet is prepared for calculation, so that every such refusal is made in one place.
"""

from typing import Annotated, Literal

from pydantic import Field

from service.wire.fields import (
    DATE_PATTERN,
    MAX_ROWS,
    MAX_SMALL_LIST,
    MAX_TANKS,
    Angle,
    Area,
    Axes,
    ChosenId,
    Coefficient,
    Document,
    ImoNumber,
    Knots,
    Length,
    LoadLineMark,
    Mass,
    MassPerLength,
    Name,
    NonNegativeLength,
    Note,
    Position,
    PositiveMass,
    Reference,
    RuleSetName,
    TankId,
    UnitSystem,
)
from service.wire.hold import Hold
from service.wire.hydrostatics import CrossCurves, Hydrostatics
from service.wire.icing import IcingSurfaces
from service.wire.limit import OwnLimits
from service.wire.printed_condition import MAX_PRINTED_CONDITIONS, PrintedCondition
from service.wire.ship_type import BargeTrunk, HatchCoamings, PassengerSpaces, Towing
from service.wire.strength import Strength
from service.wire.tank import Tank
from service.wire.view import AirDraftPoint, Obstruction


class Source(Document):
    """Which booklet the figures were taken from."""

    booklet: Name = Field(description="Title of the booklet.", examples=["Trim and stability booklet"])
    revision: Note | None = Field(default=None, description="Its revision, as printed.", examples=["B"])
    date: Annotated[str, Field(pattern=DATE_PATTERN)] | None = Field(
        default=None, description="Its date: year, year-month or year-month-day.", examples=["2019-04"]
    )


class Particulars(Document):
    """Main dimensions and what the rules ask beside them."""

    length_bp: Length = Field(description="Length between perpendiculars; m or ft.", examples=[84.9])
    breadth: Length = Field(description="Moulded breadth; m or ft.", examples=[14.4])
    length_waterline: Length | None = Field(
        default=None, description="Length on the waterline; m or ft.", examples=[86.5]
    )
    length_load_line: Length | None = Field(
        default=None, description="Length as the Load Lines Convention defines it; m or ft.", examples=[85.6]
    )
    length_overall: Length | None = Field(
        default=None, description="Length over all; m or ft.", examples=[89.6]
    )
    depth: Length | None = Field(default=None, description="Moulded depth; m or ft.", examples=[7.8])
    keel_thickness: NonNegativeLength | None = Field(
        default=None, description="Keel plate below the baseline; m or ft.", examples=[0.014]
    )
    block_coefficient: Coefficient | None = Field(
        default=None, description="Block coefficient.", examples=[0.74]
    )
    bilge: Literal["round", "sharp"] | None = Field(
        default=None, description="Shape of the bilge.", examples=["round"]
    )
    bilge_keel_area: Area | None = Field(
        default=None,
        description="Total area of bilge keels, or of the bar keel's side; m² or ft².",
        examples=[21.6],
    )
    service_speed: Knots | None = Field(
        default=None, description="Service speed; knots in both systems.", examples=[12.5]
    )
    minimum_service_displacement: PositiveMass | None = Field(
        default=None,
        description="Least displacement in service (IS Code 2008 Part B 3.1.12, small tanks); t or LT.",
        examples=[1980.0],
    )
    service: Literal["exposed", "partially_protected", "protected"] | None = Field(
        default=None,
        description="Waters she serves in (46 CFR 170.170): oceans; lakes, bays and sounds; rivers.",
        examples=["exposed"],
    )
    superstructure: Literal["none", "complete"] | None = Field(
        default=None,
        description="Whether a fishing vessel has a complete superstructure (2008 IS Code Part B 2.1).",
        examples=["none"],
    )
    superstructure_length: NonNegativeLength | None = Field(
        default=None, description="Length of enclosed superstructures; m or ft.", examples=[5.0]
    )
    freeboard_least: NonNegativeLength | None = Field(
        default=None,
        description="Least freeboard to the deck at side, for the simplified criterion for fishing vessels; m or ft. "
        "That to the deck edge in the condition when absent.",
        examples=[0.55],
    )
    breadth_half_draft: Length | None = Field(
        default=None,
        description="Breadth on the waterline at half the mean draft (2008 IS Code Part B 2.3); m or ft. The moulded "
        "breadth when absent.",
        examples=[27.0],
    )


class LightshipSegment(Document):
    """A part of the lightship along her length, for strength: `mass` spread evenly, or `mass_from` and `mass_to`."""

    x_from: Position = Field(description="One end; m or ft from the x origin.", examples=[0.0])
    x_to: Position = Field(description="The other end; m or ft from the x origin.", examples=[8.5])
    mass: Mass | None = Field(default=None, description="Mass between them; t or LT.", examples=[212.0])
    mass_from: MassPerLength | None = Field(
        default=None, description="Mass per length at `x_from`; t/m or LT/ft.", examples=[22.0]
    )
    mass_to: MassPerLength | None = Field(
        default=None, description="Mass per length at `x_to`; t/m or LT/ft.", examples=[27.9]
    )


class Lightship(Document):
    """Mass and centre of the empty ship, from her inclining or lightweight survey."""

    mass: PositiveMass = Field(description="Lightship mass; t or LT.", examples=[1512.0])
    lcg: Position = Field(
        description="Longitudinal centre; m or ft from the x origin, signed as the axes say.", examples=[36.8]
    )
    vcg: Position = Field(description="Vertical centre; m or ft above the baseline.", examples=[5.9])
    tcg: Position = Field(
        default=0.0,
        description="Transverse centre; m or ft, positive to port unless the axes say otherwise.",
        examples=[0.0],
    )
    segments: list[LightshipSegment] | None = Field(
        default=None,
        max_length=MAX_SMALL_LIST,
        description="Her mass along her length, for strength; it must add up to her mass and centre.",
    )


class ImmersionAngle(Document):
    """Heel at which a point goes under, at one draft."""

    draft: Length = Field(description="Mean moulded draft; m or ft.", examples=[4.5])
    angle: Angle = Field(
        description="Heel at which it immerses, towards its own side; degrees.", examples=[48.2]
    )
    trim: Position = Field(
        default=0.0,
        description="Trim the angle is printed for; m or ft by the stern, even keel when absent.",
        examples=[0.0],
    )


ImmersionAngles = Annotated[list[ImmersionAngle], Field(min_length=1, max_length=MAX_SMALL_LIST)]


class Opening(Document):
    """An opening through which she could flood."""

    id: TankId = Field(description="Short id, unique in the vessel.", examples=["V1P"])
    name: Name = Field(description="Name, as the booklet prints it.", examples=["Engine room vent, port"])
    x: Position = Field(description="Longitudinal position; m or ft from the x origin.", examples=[12.4])
    y: Position = Field(
        description="Transverse position; m or ft, positive to port unless the axes say otherwise.",
        examples=[3.1],
    )
    z: Position = Field(description="Height above the baseline of the lowest edge; m or ft.", examples=[11.9])
    protection: Literal["unprotected", "weathertight", "watertight"] = Field(
        description="How it is closed. Only unprotected openings set the down-flooding angle.",
        examples=["unprotected"],
    )
    closes_automatically: bool = Field(
        default=False, description="Whether its closing device closes by itself.", examples=[False]
    )
    immersion_angles: ImmersionAngles | None = Field(
        default=None, description="Printed immersion angles, when the booklet has them."
    )


class WindProfileRow(Document):
    """Lateral area above one draft."""

    draft: Length = Field(description="Mean moulded draft; m or ft.", examples=[4.5])
    area: Area = Field(description="Projected lateral area above the waterline; m² or ft².", examples=[512.0])
    centroid_height: Position = Field(
        description="Height of its centroid above the baseline; m or ft.", examples=[9.1]
    )


class DeckPoint(Document):
    """A point of the deck edge, on one side; the other side is its mirror image."""

    x: Position = Field(description="Longitudinal position; m or ft from the x origin.", examples=[42.0])
    y: NonNegativeLength = Field(description="Half-breadth; m or ft.", examples=[7.2])
    z: Position = Field(description="Height above the baseline; m or ft.", examples=[7.8])


class DeckEdge(Document):
    """When the deck edge goes under: from points, or as the booklet prints it."""

    points: Annotated[list[DeckPoint], Field(min_length=1, max_length=MAX_SMALL_LIST)] | None = Field(
        default=None, description="Points along the deck edge."
    )
    immersion_angles: ImmersionAngles | None = Field(default=None, description="Printed immersion angles.")


class DraftMark(Document):
    """A set of draft marks on the hull."""

    name: Name = Field(description="Name of the marks.", examples=["aft"])
    x: Position = Field(description="Longitudinal position; m or ft from the x origin.", examples=[1.6])
    keel_offset: Position = Field(description="Reading minus moulded draft; m or ft.", examples=[0.014])


class LoadLines(Document):
    """Assigned load lines, as moulded drafts."""

    summer_draft: Length = Field(description="Summer draft; m or ft.", examples=[5.6])
    marks: dict[LoadLineMark, Length] | None = Field(
        default=None, description="Moulded draft at each mark; m or ft.", examples=[{"S": 5.6, "W": 5.48}]
    )
    fresh_water_allowance: NonNegativeLength | None = Field(
        default=None,
        description="Allowance of her certificate; worked out from the summer draft when absent; m or ft.",
        examples=[0.124],
    )
    reference: Literal["moulded", "extreme"] = Field(
        default="moulded",
        description="What the drafts are measured to: the moulded baseline, or the underside of the keel (then "
        "`keel_thickness` is taken off).",
        examples=["moulded"],
    )


class GmLimitRow(Document):
    """One line of a limit curve."""

    draft: Length = Field(description="Mean moulded draft; m or ft.", examples=[5.0])
    value: Position = Field(description="Least GM or greatest VCG at that draft; m or ft.", examples=[0.35])
    trim_from: Position | None = Field(
        default=None,
        description="Least trim the line holds for; m or ft, positive by the stern.",
        examples=[-0.5],
    )
    trim_to: Position | None = Field(
        default=None,
        description="Greatest trim the line holds for; m or ft, positive by the stern.",
        examples=[1.5],
    )


class GmLimit(Document):
    """A curve of least GM or greatest VCG from her booklet."""

    name: Name = Field(description="Name of the curve.", examples=["Intact stability"])
    basis: Literal["min_gm", "max_vcg"] = Field(description="What the values are.", examples=["min_gm"])
    rows: list[GmLimitRow] = Field(min_length=1, max_length=MAX_ROWS, description="Lines of the curve.")


class Propeller(Document):
    """Position and size of the propeller."""

    x: Position = Field(description="Longitudinal position; m or ft from the x origin.", examples=[2.1])
    shaft_height: Position = Field(description="Shaft centre above the baseline; m or ft.", examples=[1.7])
    diameter: Length = Field(description="Diameter; m or ft.", examples=[2.9])


class Bridge(Document):
    """What the look-out ahead is judged by."""

    eye_x: Position = Field(description="Conning position; m or ft from the x origin.", examples=[11.0])
    eye_z: Position = Field(description="Height of eye above the baseline; m or ft.", examples=[17.5])
    obstruction_x: Position = Field(
        description="Highest obstruction ahead; m or ft from the x origin.", examples=[78.0]
    )
    obstruction_z: Position = Field(description="Its height above the baseline; m or ft.", examples=[12.0])
    bow_x: Position = Field(
        description="Foremost point of the ship; m or ft from the x origin.", examples=[88.2]
    )
    obstructions: list[Obstruction] | None = Field(
        default=None, max_length=50, description="Further obstructions ahead."
    )


class Vessel(Document):
    """A ship's booklet. Every number is in the document's own `units`."""

    name: Name = Field(description="Name of the ship.", examples=["Skarvholmen"])
    id: ChosenId | None = Field(
        default=None,
        description="Id to enter her under; one is made when absent. A later revision names the same one, or none.",
        examples=["skarvholmen"],
    )
    reference: Reference | None = Field(
        default=None,
        description="The sender's own name for her, which one key gives to one vessel.",
        examples=["fleet-17"],
    )
    imo_number: ImoNumber | None = Field(
        default=None,
        description="Seven digits, the last one the check digit; absent for ships without one. One number, one ship.",
    )
    source: Source = Field(description="Booklet the figures come from.")
    units: UnitSystem = Field(
        description="System of every number in this document: metric (m, t, m³) or us (ft, long ton, ft³).",
        examples=["metric"],
    )
    axes: Axes | None = Field(
        default=None,
        description="How positions are typed in. When absent: x from the aft perpendicular, positive "
        "forward; y positive to port.",
    )
    particulars: Particulars = Field(description="Main dimensions.")
    lightship: Lightship = Field(description="The empty ship.")
    hydrostatics: Hydrostatics = Field(description="Hydrostatic table.")
    cross_curves: CrossCurves | None = Field(
        default=None, description="Cross curves of stability; without them no righting lever is computed."
    )
    tanks: list[Tank] = Field(max_length=MAX_TANKS, description="Every tank of the booklet.")
    holds: list[Hold] | None = Field(default=None, max_length=MAX_SMALL_LIST, description="Cargo spaces.")
    openings: list[Opening] | None = Field(
        default=None,
        max_length=MAX_TANKS,
        description="Openings; absent means unknown, an empty list that she has none.",
    )
    wind_profile: list[WindProfileRow] | None = Field(
        default=None, max_length=MAX_SMALL_LIST, description="Lateral area by draft, drafts increasing."
    )
    deck_edge: DeckEdge | None = Field(default=None, description="Deck edge.")
    draft_marks: list[DraftMark] | None = Field(
        default=None, max_length=20, description="Draft marks on the hull."
    )
    load_lines: LoadLines | None = Field(default=None, description="Assigned load lines.")
    gm_limits: list[GmLimit] | None = Field(
        default=None, max_length=20, description="Limit curves of her booklet."
    )
    propeller: Propeller | None = Field(default=None, description="Propeller.")
    bridge: Bridge | None = Field(default=None, description="Look-out ahead.")
    air_draft_points: list[AirDraftPoint] | None = Field(
        default=None, max_length=50, description="Points that may be the highest above the water."
    )
    limits: OwnLimits | None = Field(
        default=None, description="Limits of her booklet or class on one figure each; they always bind."
    )
    icing_surfaces: IcingSurfaces | None = Field(
        default=None,
        description="Surfaces that ice settles on. Without sides among them the wind profile stands for both sides.",
    )
    cross_curves_timber: CrossCurves | None = Field(
        default=None,
        description="Cross curves with the buoyancy of a timber deck cargo, used where all timber on deck is said to "
        "be buoyant.",
    )
    strength: Strength | None = Field(
        default=None, description="Permissible still-water forces, and what they are computed from."
    )
    passenger_spaces: PassengerSpaces | None = Field(
        default=None, description="Decks on which passengers may stand."
    )
    hatch_coamings: HatchCoamings | None = Field(
        default=None, description="Hatch coamings of a containership."
    )
    hatches_secured: bool | None = Field(
        default=None,
        description="Whether the hatches of a fishing vessel qualify for a range of 50 degrees (46 CFR 28.570(b)).",
    )
    towing: Towing | None = Field(default=None, description="Towing gear and propulsion of a tug.")
    barge_trunk: BargeTrunk | None = Field(default=None, description="Trunk on the deck of a tank barge.")
    rule_sets: list[RuleSetName] = Field(
        max_length=MAX_SMALL_LIST,
        description="Public names of the rule sets that bind this ship.",
        examples=[["is-code-2008-a-2.2", "is-code-2008-a-2.3"]],
    )
    printed_conditions: list[PrintedCondition] | None = Field(
        default=None,
        max_length=MAX_PRINTED_CONDITIONS,
        description="Loading conditions her booklet prints, with their figures: her data are proved by them. No "
        "calculation uses them, and `provenance.vessel.digest` leaves them out.",
    )

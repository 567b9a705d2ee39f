"""Loading conditions as the booklet prints them, with the figures it prints for each: what her data are proved by."""

from typing import Annotated, Literal

from pydantic import Field

from service.wire.condition import GrainLine, TankFilling, Weight, WindAddition
from service.wire.fields import (
    MAX_HEELS,
    MAX_SMALL_LIST,
    MAX_TANKS,
    MAX_WEIGHTS,
    Angle,
    Density,
    Document,
    Immersion,
    LeverArea,
    LoadLineMark,
    MassMoment,
    Name,
    Note,
    Position,
    PositiveMass,
    SignedMass,
    TrimMoment,
)

MAX_PRINTED_CONDITIONS = 50


class PrintedTankFigures(Document):
    """What the booklet prints beside a tank of a condition. Any figure may be missing."""

    lcg: Position | None = Field(
        default=None, description="Longitudinal centre; m or ft from the x origin.", examples=[25.05]
    )
    vcg: Position | None = Field(
        default=None, description="Vertical centre; m or ft above the baseline.", examples=[0.58]
    )
    tcg: Position | None = Field(
        default=None, description="Transverse centre; m or ft, signed as the axes say.", examples=[2.49]
    )
    free_surface_moment: MassMoment | None = Field(
        default=None, description="Free surface moment counted; t·m or ft·LT.", examples=[122.2]
    )


class PrintedTank(TankFilling):
    """One tank of a printed condition: its quantity, and what is printed beside it."""

    printed: PrintedTankFigures | None = Field(
        default=None, description="What the booklet prints beside this tank."
    )


class PrintedLever(Document):
    """The righting lever printed for one heel."""

    heel: Angle = Field(description="Heel; degrees.", examples=[30.0])
    lever: Position = Field(description="Righting lever, free surface counted; m or ft.", examples=[0.275])


PrintedLevers = Annotated[list[PrintedLever], Field(min_length=1, max_length=MAX_HEELS)]


class PrintedFigures(Document):
    """What the booklet prints for a condition. Any figure may be missing."""

    displacement: PositiveMass | None = Field(
        default=None, description="Displacement; t or LT.", examples=[5849.0]
    )
    deadweight: SignedMass | None = Field(
        default=None, description="Displacement less lightship; t or LT.", examples=[4129.0]
    )
    lcg: Position | None = Field(
        default=None, description="Longitudinal centre; m or ft from the x origin.", examples=[43.43]
    )
    tcg: Position | None = Field(
        default=None, description="Transverse centre; m or ft, signed as the axes say.", examples=[0.0]
    )
    vcg_solid: Position | None = Field(
        default=None, description="Vertical centre before the free surface; m or ft.", examples=[5.508]
    )
    vcg_corrected: Position | None = Field(
        default=None, description="Vertical centre raised by the free surface; m or ft.", examples=[5.567]
    )
    draft_at_lcf: Position | None = Field(
        default=None, description="Moulded draft at the centre of flotation; m or ft.", examples=[5.8]
    )
    draft_forward: Position | None = Field(
        default=None, description="Moulded draft at the forward perpendicular; m or ft.", examples=[5.299]
    )
    draft_midship: Position | None = Field(
        default=None, description="Moulded draft amidships; m or ft.", examples=[5.769]
    )
    draft_aft: Position | None = Field(
        default=None, description="Moulded draft at the aft perpendicular; m or ft.", examples=[6.239]
    )
    trim: Position | None = Field(
        default=None, description="Trim, positive by the stern; m or ft.", examples=[0.939]
    )
    list: Angle | None = Field(default=None, description="List, positive to port; degrees.", examples=[0.0])
    lcb: Position | None = Field(
        default=None,
        description="Longitudinal centre of buoyancy; m or ft from the x origin.",
        examples=[43.4],
    )
    lcf: Position | None = Field(
        default=None,
        description="Longitudinal centre of flotation; m or ft from the x origin.",
        examples=[41.6],
    )
    km: Position | None = Field(
        default=None, description="Transverse metacentre above the baseline; m or ft.", examples=[6.118]
    )
    tpc: Immersion | None = Field(
        default=None, description="Mass per cm (t) or per inch (LT) of immersion.", examples=[11.8]
    )
    mctc: TrimMoment | None = Field(
        default=None, description="Moment to change trim by 1 cm (t·m) or by 1 inch (ft·LT).", examples=[74.6]
    )
    gm_solid: Position | None = Field(
        default=None, description="GM before the free surface; m or ft.", examples=[0.61]
    )
    free_surface_moment: MassMoment | None = Field(
        default=None, description="Free surface moment of all tanks; t·m or ft·LT.", examples=[348.3]
    )
    free_surface_correction: Position | None = Field(
        default=None, description="Loss of GM to the free surface; m or ft.", examples=[0.06]
    )
    gm_corrected: Position | None = Field(
        default=None, description="GM less the free surface correction; m or ft.", examples=[0.551]
    )
    maximum_lever: Position | None = Field(
        default=None, description="Greatest righting lever of the curve; m or ft.", examples=[0.281]
    )
    angle_of_maximum: Angle | None = Field(
        default=None, description="Heel of the greatest righting lever; degrees.", examples=[34.0]
    )
    vanishing_angle: Angle | None = Field(
        default=None, description="Heel at which the righting lever falls to zero; degrees.", examples=[58.8]
    )
    down_flooding_angle: Angle | None = Field(
        default=None, description="Heel at which the first opening floods; degrees.", examples=[50.7]
    )
    area_30: LeverArea | None = Field(
        default=None, description="Area under the lever up to 30°; m·rad or ft·rad.", examples=[0.0825]
    )
    area_40: LeverArea | None = Field(
        default=None,
        description="Area up to 40° or the down-flooding angle, whichever is less; m·rad or ft·rad.",
        examples=[0.1309],
    )
    area_30_40: LeverArea | None = Field(
        default=None,
        description="Area from 30° to 40° or the down-flooding angle; m·rad or ft·rad.",
        examples=[0.0484],
    )
    righting_levers: PrintedLevers | None = Field(
        default=None, description="Printed righting levers, heels increasing."
    )


class PrintedCondition(Document):
    """One loading condition of the booklet: what is aboard, and the figures the booklet prints for it."""

    name: Name = Field(
        description="Its title in the booklet; unique among the printed conditions.",
        examples=["1 Departure, full bunkers"],
    )
    page: Note | None = Field(default=None, description="Page of the booklet.", examples=["41"])
    phase: Literal["departure", "arrival", "at_sea", "in_port"] | None = Field(
        default=None, description="Part of a voyage it stands for.", examples=["departure"]
    )
    water_density: Density = Field(
        description="Density of the water she floats in; t/m³ in both systems.", examples=[1.025]
    )
    free_surface: Literal["as_filled", "maximum_when_slack", "by_rule"] = Field(
        description="How the booklet counts free surface here; `FreeSurfaceBasis` says what each word means.",
        examples=["as_filled"],
    )
    load_line_mark: LoadLineMark | None = Field(
        default=None, description="Load line mark the condition is printed for.", examples=["S"]
    )
    tanks: list[PrintedTank] = Field(max_length=MAX_TANKS, description="Tanks with liquid in them.")
    weights: list[Weight] = Field(
        max_length=MAX_WEIGHTS, description="Everything else aboard beyond the lightship."
    )
    grain: Annotated[list[GrainLine], Field(min_length=1, max_length=MAX_SMALL_LIST)] | None = Field(
        default=None, description="Grain in bulk; its mass is a line of `weights`."
    )
    wind_additions: Annotated[list[WindAddition], Field(min_length=1, max_length=MAX_SMALL_LIST)] | None = (
        Field(default=None, description="Lateral areas the wind profile does not hold.")
    )
    printed: PrintedFigures = Field(description="The figures the booklet prints for it.")

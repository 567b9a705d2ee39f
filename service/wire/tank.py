"""Tanks as the booklet prints them, with their tables."""

from typing import Annotated, Literal

from pydantic import Field

from service.wire.fields import (
    MAX_HEELS,
    MAX_ROWS,
    Contents,
    Density,
    Document,
    Extent,
    HeelAngle,
    Length,
    LimitPercent,
    Mass,
    MassMoment,
    Name,
    NonNegativeLength,
    Note,
    Position,
    PositiveMass,
    PositiveVolume,
    SecondMoment,
    TankId,
    Volume,
    VolumeMoment,
)


class TankRow(Document):
    """One line of a tank table. A line gives an inertia or a moment, not both."""

    sounding: NonNegativeLength | None = Field(default=None, description="Sounding; m or ft.", examples=[0.5])
    ullage: NonNegativeLength | None = Field(default=None, description="Ullage; m or ft.", examples=[0.7])
    volume: Volume = Field(description="Volume at this filling; m³ or ft³.", examples=[35.1])
    lcg: Position = Field(description="Longitudinal centre at this filling; m or ft.", examples=[52.4])
    vcg: Position = Field(
        description="Vertical centre at this filling; m or ft above the baseline.", examples=[0.31]
    )
    tcg: Position = Field(
        default=0.0,
        description="Transverse centre at this filling; m or ft, positive to port.",
        examples=[3.2],
    )
    free_surface_inertia: SecondMoment | None = Field(
        default=None,
        description="Second moment of the surface about its own fore and aft axis; m⁴ or ft⁴.",
        examples=[118.0],
    )
    free_surface_moment: MassMoment | None = Field(
        default=None, description="The same times the table's density; t·m or ft·LT.", examples=[121.0]
    )


class TankTable(Document):
    """Sounding table; volumes increase from line to line."""

    density: Density | None = Field(
        default=None,
        description="Density the moments are for; needed with `free_surface_moment`.",
        examples=[1.025],
    )
    rows: list[TankRow] = Field(min_length=2, max_length=MAX_ROWS, description="Lines of the table.")


class PrintedColumn(Document):
    """What a booklet prints for one liquid in one tank."""

    contents: Contents = Field(description="Liquid of this column.", examples=["ballast"])
    density: Density = Field(description="Its density; t/m³ in both systems.", examples=[1.025])
    limit_mass: PositiveMass = Field(description="Mass at the normal full limit; t or LT.", examples=[84.2])
    slack_moment: MassMoment = Field(description="Moment when slack; ft·LT or t·m.", examples=[310.0])
    limit_moment: MassMoment = Field(description="Moment at the limit; ft·LT or t·m.", examples=[95.0])
    limit_tolerance: Mass | None = Field(
        default=None,
        description="How near the limit a mass counts as being at it; t or LT. Half the last printed digit of "
        "`limit_mass` when absent: give it where the booklet's figures were converted from other units.",
        examples=[0.05],
    )


class PrintedFreeSurface(Document):
    """Slack and limit moments as the booklet prints them, one column per liquid."""

    columns: list[PrintedColumn] = Field(min_length=1, max_length=20, description="One column per liquid.")


class RectangularSurface(Document):
    """A rectangular free surface, divided into equal compartments side by side."""

    length: Length = Field(description="Fore and aft length of the surface; m or ft.", examples=[9.2])
    breadth: Length = Field(description="Whole breadth of the surface; m or ft.", examples=[5.4])
    compartments: Annotated[int, Field(ge=1, le=100)] = Field(
        default=1, description="Number of equal compartments across the breadth.", examples=[1]
    )


class HeeledMoments(Document):
    """Moment of the liquid's shift at each heel, from a booklet that prints it."""

    fillings: Annotated[list[LimitPercent], Field(min_length=1, max_length=MAX_HEELS)] = Field(
        description="Fillings, increasing; percent of capacity.", examples=[[25.0, 50.0, 75.0]]
    )
    heels: Annotated[list[HeelAngle], Field(min_length=2, max_length=MAX_HEELS)] = Field(
        description="Heels, increasing; degrees.", examples=[[0.0, 10.0, 20.0]]
    )
    moments: Annotated[
        list[Annotated[list[VolumeMoment], Field(min_length=2, max_length=MAX_HEELS)]],
        Field(min_length=1, max_length=MAX_HEELS),
    ] = Field(description="Volumetric moment per filling (outer) and heel (inner); m⁴ or ft⁴.")


class Tank(Document):
    """A tank of the booklet. Free surface from one source: table, printed columns or a rectangle."""

    id: TankId = Field(
        description="Short id that conditions name it by; unique in the vessel.", examples=["DB2P"]
    )
    name: Name = Field(description="Name, as the booklet prints it.", examples=["No. 2 double bottom, port"])
    frames: Note | None = Field(
        default=None, description="Frames it lies between, as printed.", examples=["45-68"]
    )
    side: Literal["port", "starboard", "centre"] = Field(
        description="Where it lies athwartships.", examples=["port"]
    )
    contents: Contents = Field(description="Liquid it usually contains.", examples=["ballast"])
    density: Density | None = Field(
        default=None,
        description="Usual density of that liquid; its group's when absent; t/m³ in both systems.",
        examples=[1.025],
    )
    capacity: PositiveVolume = Field(description="Volume when full (100 %); m³ or ft³.", examples=[71.4])
    lcg: Position = Field(
        description="Longitudinal centre when full; m or ft from the x origin.", examples=[52.6]
    )
    vcg: Position = Field(
        description="Vertical centre when full; m or ft above the baseline.", examples=[0.62]
    )
    tcg: Position = Field(
        description="Transverse centre when full; m or ft, positive to port unless the axes say otherwise.",
        examples=[3.4],
    )
    extent: Extent | None = Field(default=None, description="Fore and aft ends; m or ft.")
    normal_limit: LimitPercent = Field(
        default=98.0,
        description="Percent of capacity above which the tank counts as pressed up.",
        examples=[98.0],
    )
    normal_limit_tolerance: LimitPercent | None = Field(
        default=None,
        description="How near the limit a filling counts as being at it; percent of capacity, 0.05 when absent.",
        examples=[0.05],
    )
    unpumpable: Volume = Field(
        default=0.0, description="Volume that cannot be pumped out; m³ or ft³.", examples=[0.4]
    )
    pair: TankId | None = Field(default=None, description="Id of its transverse partner.", examples=["DB2S"])
    table: TankTable | None = Field(default=None, description="Sounding table.")
    printed_free_surface: PrintedFreeSurface | None = Field(
        default=None, description="Printed slack and limit moments."
    )
    rectangular_surface: RectangularSurface | None = Field(
        default=None, description="Rectangular free surface."
    )
    heeled_moments: HeeledMoments | None = Field(default=None, description="Moments of shift at each heel.")

"""Hydrostatic table and cross curves as the booklet prints them."""

from typing import Annotated, Literal

from pydantic import Field

from service.wire.fields import (
    MAX_HEELS,
    MAX_ROWS,
    MAX_TRIMS,
    Area,
    Coefficient,
    Density,
    Document,
    HeelAngle,
    Immersion,
    Length,
    Position,
    PositiveMass,
    TrimMoment,
)


class HydrostaticRow(Document):
    """One line of the hydrostatic table."""

    trim: Position = Field(
        default=0.0, description="Trim of this line; m or ft, positive by the stern.", examples=[0.0]
    )
    draft: Length = Field(description="Moulded draft the line is entered with; m or ft.", examples=[4.2])
    displacement: PositiveMass = Field(
        description="Displacement in water of the table's density; t or LT.", examples=[3950.0]
    )
    lcb: Position = Field(
        description="Longitudinal centre of buoyancy; m or ft from the x origin.", examples=[43.1]
    )
    lcf: Position = Field(
        description="Longitudinal centre of flotation; m or ft from the x origin.", examples=[41.7]
    )
    km: Position = Field(description="Transverse metacentre above the baseline; m or ft.", examples=[6.3])
    tpc: Immersion = Field(description="Mass per cm (t) or per inch (LT) of immersion.", examples=[11.2])
    mctc: TrimMoment = Field(
        description="Moment to change trim by 1 cm (t·m) or by 1 inch (ft·LT).", examples=[62.0]
    )
    vcb: Position | None = Field(
        default=None, description="Centre of buoyancy above the baseline; m or ft.", examples=[2.2]
    )
    kml: Position | None = Field(
        default=None, description="Longitudinal metacentre above the baseline; m or ft.", examples=[135.0]
    )
    tcb: Position | None = Field(
        default=None, description="Transverse centre of buoyancy; m or ft, positive to port.", examples=[0.0]
    )
    waterplane_area: Area | None = Field(
        default=None, description="Waterplane area; m² or ft².", examples=[1093.0]
    )
    block_coefficient: Coefficient | None = Field(
        default=None, description="Block coefficient at this draft.", examples=[0.72]
    )


class Hydrostatics(Document):
    """Hydrostatic table, for one trim or several; drafts increase within a trim."""

    density: Density = Field(
        description="Water density the table is made for; t/m³ in both systems.", examples=[1.025]
    )
    draft_reference: Literal["midship", "lcf"] = Field(
        default="midship",
        description="Which draft the lines of a trimmed table are entered with.",
        examples=["midship"],
    )
    rows: list[HydrostaticRow] = Field(min_length=2, max_length=MAX_ROWS, description="Lines of the table.")


LeverTable = Annotated[
    list[Annotated[list[Position], Field(min_length=2, max_length=MAX_HEELS)]],
    Field(min_length=2, max_length=MAX_ROWS),
]
Displacements = Annotated[list[PositiveMass], Field(min_length=2, max_length=MAX_ROWS)]


class CrossCurvesAtTrim(Document):
    """Cross curves at one trim, for the heels of the table that holds it."""

    trim: Position = Field(
        description="Trim these levers are for; m or ft, positive by the stern.", examples=[1.0]
    )
    displacements: Displacements = Field(
        description="Displacements, increasing; t or LT.", examples=[[2000.0, 3000.0]]
    )
    levers: LeverTable = Field(description="Lever per displacement (outer) and heel (inner); m or ft.")


class CrossCurves(Document):
    """Cross curves of stability: KN, or GZ at an assumed centre of gravity."""

    basis: Literal["kn", "gz_at_vcg"] = Field(
        description="`kn`: levers about the keel. `gz_at_vcg`: righting levers at the assumed `vcg`.",
        examples=["kn"],
    )
    vcg: Position | None = Field(
        default=None,
        description="Assumed VCG, given with `gz_at_vcg`; m or ft above the baseline.",
        examples=[6.0],
    )
    density: Density | None = Field(
        default=None,
        description="Water density of the displacements; the hydrostatic table's when absent.",
        examples=[1.025],
    )
    trim: Position = Field(
        default=0.0, description="Trim these levers are for; m or ft, positive by the stern.", examples=[0.0]
    )
    heels: Annotated[list[HeelAngle], Field(min_length=2, max_length=MAX_HEELS)] = Field(
        description="Heels, increasing; degrees.", examples=[[10.0, 20.0, 30.0, 40.0, 50.0, 60.0]]
    )
    displacements: Displacements = Field(
        description="Displacements, increasing; t or LT.", examples=[[2000.0, 3000.0]]
    )
    levers: LeverTable = Field(description="Lever per displacement (outer) and heel (inner); m or ft.")
    at_other_trims: list[CrossCurvesAtTrim] | None = Field(
        default=None, max_length=MAX_TRIMS, description="The same curves at other trims."
    )

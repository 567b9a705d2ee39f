"""Longitudinal strength: what a booklet gives for it, and the answer to one condition."""

from typing import Annotated, Literal, NotRequired

from pydantic import Field
from typing_extensions import TypedDict

from service.wire.fields import (
    MAX_SMALL_LIST,
    Area,
    Document,
    Mass,
    MassMoment,
    Name,
    Position,
    TankId,
)
from service.wire.quantity import Dimension, Length, OptionalLength, Percent
from service.wire.quantity import Mass as MassFigure
from service.wire.quantity import MassMoment as MomentFigure

MAX_SECTIONS = 60


class StrengthStation(Document):
    """Permissible still-water forces at one read-out point, all positive; kN and kN·m where the unit says so."""

    name: Name | None = Field(default=None, description="Name, such as a frame.", examples=["Frame 64"])
    x: Position = Field(description="Longitudinal position; m or ft from the x origin.", examples=[42.0])
    shear_force_sea: Mass | None = Field(default=None, description="At sea; t or LT.", examples=[900.0])
    shear_force_harbour: Mass | None = Field(
        default=None, description="In harbour; t or LT.", examples=[1100.0]
    )
    bending_moment_sea: MassMoment | None = Field(
        default=None, description="At sea; t·m or ft·LT.", examples=[15000.0]
    )
    bending_moment_harbour: MassMoment | None = Field(
        default=None, description="In harbour; t·m or ft·LT.", examples=[19000.0]
    )
    shear_force_sea_negative: Mass | None = Field(
        default=None,
        description="At sea, where buoyancy exceeds weight aft of it; t or LT. The same as `shear_force_sea` when "
        "absent.",
        examples=[880.0],
    )
    shear_force_harbour_negative: Mass | None = Field(
        default=None, description="The same in harbour; t or LT.", examples=[1100.0]
    )
    bending_moment_sea_sagging: MassMoment | None = Field(
        default=None,
        description="At sea, where she sags; t·m or ft·LT. The same as `bending_moment_sea` when absent.",
        examples=[13000.0],
    )
    bending_moment_harbour_sagging: MassMoment | None = Field(
        default=None, description="The same in harbour; t·m or ft·LT.", examples=[19000.0]
    )


class StrengthSections(Document):
    """Immersed areas of sections by draft (Bonjean curves), from which buoyancy is computed."""

    x: Annotated[list[Position], Field(min_length=2, max_length=MAX_SECTIONS)] = Field(
        description="Places of the sections, from aft to forward; two at one place make a step; m or ft.",
        examples=[[0.0, 10.0, 90.0, 100.0]],
    )
    drafts: Annotated[list[Position], Field(min_length=2, max_length=MAX_SECTIONS)] = Field(
        description="Moulded drafts, increasing, from no more than the lightest; m or ft.",
        examples=[[0.0, 2.0, 4.0, 6.0, 8.0]],
    )
    areas: Annotated[
        list[Annotated[list[Area], Field(min_length=2, max_length=MAX_SECTIONS)]],
        Field(min_length=2, max_length=MAX_SECTIONS),
    ] = Field(description="Area of each section (outer) to each draft (inner); m² or ft².")
    factor: Annotated[
        float, Field(gt=0.5, lt=2.0, json_schema_extra={"x-units": {"metric": "1", "us": "1"}})
    ] = Field(
        default=1.0, description="Shell plating and appendages: every area times this.", examples=[1.006]
    )


class MassLimit(Document):
    """Greatest and least mass in a hold, or in two adjacent ones, at one draft at their middle."""

    draft: Position = Field(description="Moulded draft at mid-hold, or at the middle of the pair; m or ft.")
    most: Mass | None = Field(default=None, description="Greatest mass; t or LT.", examples=[4200.0])
    least: Mass | None = Field(default=None, description="Least mass; t or LT.", examples=[0.0])
    set: Literal["sea", "harbour"] | None = Field(
        default=None, description="Where it holds; in both when absent.", examples=["sea"]
    )


MassLimits = Annotated[list[MassLimit], Field(min_length=1, max_length=MAX_SMALL_LIST)]


class AdjacentHolds(Document):
    """Limits of the mass in two adjacent holds together."""

    holds: Annotated[list[TankId], Field(min_length=2, max_length=2)] = Field(
        description="Ids of the two holds.", examples=[["H2", "H3"]]
    )
    mass_limits: MassLimits = Field(description="Limits by draft at the middle of the pair.")


class Strength(Document):
    """Permissible still-water shear forces and bending moments, and what they are computed from."""

    unit: Literal["t", "kN"] = Field(
        default="t",
        description="Unit of the limits: t (LT) and t·m (ft·LT), or, in metric documents, kN and kN·m.",
        examples=["t"],
    )
    stations: list[StrengthStation] = Field(
        max_length=MAX_SMALL_LIST, description="Stations, from aft to forward."
    )
    sections: StrengthSections | None = Field(
        default=None, description="Areas of her sections by draft; without them no force is computed."
    )
    shear_correction_required: bool = Field(
        default=False,
        description="Whether her manual corrects shear forces where holds are loaded alternately. That correction is "
        "not made here, so that forces are then not judged.",
    )
    adjacent_holds: list[AdjacentHolds] | None = Field(
        default=None, max_length=MAX_SMALL_LIST, description="Limits of mass in two adjacent holds."
    )


OptionalPercent = Annotated[
    float | None, Dimension("percent"), Field(description="percent; null: no limit there")
]
OptionalForce = Annotated[float | None, Dimension("mass"), Field(description="t or LT; null: no limit")]
OptionalMoment = Annotated[
    float | None, Dimension("moment"), Field(description="t·m or ft·LT; null: no limit")
]


class SetUse(TypedDict):
    """The limits that the values at a station have in one set, by their own sign, and what they use of them."""

    shear_limit: OptionalForce
    bending_limit: OptionalMoment
    percent_shear: OptionalPercent
    percent_bending: OptionalPercent


class StationResult(TypedDict):
    """Forces at a read-out point; the shear force just aft and just forward of it differ where a load acts at a
    point."""

    name: str | None
    x: Length
    shear_force_aft: MassFigure
    shear_force_forward: MassFigure
    bending_moment: MomentFigure
    sea: SetUse
    harbour: SetUse


class ShearExtreme(TypedDict):
    """The greatest or least shear force along her length, and percent of the limit there, linear between stations, in
    the set in force; null: beyond her stations."""

    x: Length
    value: MassFigure
    percent: OptionalPercent


class BendingExtreme(TypedDict):
    """The same of the bending moment."""

    x: Length
    value: MomentFigure
    percent: OptionalPercent


class Extremes(TypedDict):
    """Of all her length, between stations too."""

    shear_greatest: ShearExtreme
    shear_least: ShearExtreme
    bending_greatest: BendingExtreme
    bending_least: BendingExtreme


class Closure(TypedDict):
    """What is left at the forward end: next to nothing."""

    shear_force: MassFigure
    bending_moment: MomentFigure


class TableDifference(TypedDict):
    """What the sections displace beyond the hydrostatic table at one waterline."""

    mass: MassFigure
    percent: Percent
    lcb: Length


class LightshipDifference(TypedDict):
    """What the segments have beyond the lightship."""

    mass: MassFigure
    lcg: Length


class HoldMass(TypedDict):
    """Mass in a hold, or in two adjacent ones, and the limits at the draft at their middle; null: none, or none
    there."""

    holds: list[str]
    mass: MassFigure
    draft: Length
    most: OptionalForce
    least: OptionalForce


class StrengthUnits(TypedDict):
    """Forces are given as masses."""

    force: str
    moment: str


class StrengthCurves(TypedDict):
    """Along her length, from aft to forward: mass of weight and of buoyancy per length, shear force and bending moment.
    Two points at one place are the values just aft and just forward of it."""

    x: Annotated[list[float], Dimension("length")]
    weight: Annotated[list[float], Field(description="t/m or LT/ft")]
    buoyancy: Annotated[list[float], Field(description="t/m or LT/ft")]
    shear_force: Annotated[list[float], Dimension("mass")]
    bending_moment: Annotated[list[float], Dimension("moment")]


class StrengthAnswer(TypedDict):
    """Still-water shear forces and bending moments of the condition.

    `convention`: downward positive, integrated forward from aft; a bending moment is positive when she hogs, a shear
    force where weight exceeds buoyancy aft of the section. `set`: the limits in force. Drafts are those at which the
    sections carry her."""

    convention: Literal["UR S11"]
    signs: str
    units: StrengthUnits
    set: Literal["sea", "harbour"]
    draft_aft: OptionalLength
    draft_forward: OptionalLength
    table_difference: TableDifference
    lightship_difference: LightshipDifference
    stations: list[StationResult]
    extremes: Extremes
    closure: Closure
    point_loads_mass: MassFigure
    hold_masses: list[HoldMass]
    curves: NotRequired[Annotated[StrengthCurves, Field(description="With `?curves=true`.")]]

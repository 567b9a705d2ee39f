"""Dimensions of the figures in an answer, in the units it names.

A figure says its dimension in its type: conversion between systems of units reads nothing else.
"""

from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import Field

DimensionName = Literal[
    "length",
    "mass",
    "area",
    "volume",
    "moment",
    "tpc",
    "mctc",
    "area_under_lever",
    "density",
    "angle",
    "time",
    "percent",
]


@dataclass(frozen=True)
class Dimension:
    """What a figure measures; it decides what a change of the system of units multiplies it by."""

    name: DimensionName


@dataclass(frozen=True)
class InUnit:
    """Marks a figure whose unit stands beside it, in the member `unit` of the same object."""


Length = Annotated[float, Dimension("length"), Field(description="m or ft")]
OptionalLength = Annotated[float | None, Dimension("length"), Field(description="m or ft")]
Mass = Annotated[float, Dimension("mass"), Field(description="t or LT")]
Volume = Annotated[float, Dimension("volume"), Field(description="m³ or ft³")]
OptionalMass = Annotated[float | None, Dimension("mass"), Field(description="t or LT")]
MassMoment = Annotated[float, Dimension("moment"), Field(description="t·m or ft·LT")]
OptionalMassMoment = Annotated[float | None, Dimension("moment"), Field(description="t·m or ft·LT")]
Density = Annotated[float, Dimension("density"), Field(description="t/m³ in both systems")]
Degrees = Annotated[float, Dimension("angle"), Field(description="degree")]
OptionalDegrees = Annotated[float | None, Dimension("angle"), Field(description="degree")]
Percent = Annotated[float, Dimension("percent"), Field(description="percent")]
OptionalPercent = Annotated[float | None, Dimension("percent"), Field(description="percent")]
OptionalFigure = Annotated[float | None, InUnit()]

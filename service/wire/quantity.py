"""Dimensions of the figures in an answer, in the units it names."""

from typing import Annotated

from pydantic import Field

Length = Annotated[float, Field(description="m or ft")]
OptionalLength = Annotated[float | None, Field(description="m or ft")]
Mass = Annotated[float, Field(description="t or LT")]
MassMoment = Annotated[float, Field(description="t·m or ft·LT")]
Density = Annotated[float, Field(description="t/m³ in both systems")]
Degrees = Annotated[float, Field(description="degree")]
OptionalDegrees = Annotated[float | None, Field(description="degree")]
Percent = Annotated[float, Field(description="percent")]

"""The righting lever curve of an answer, and where it stops to count."""

from typing import Annotated, Literal

from pydantic import Field
from typing_extensions import TypedDict

from service.wire.quantity import Degrees, Dimension, Length, OptionalDegrees


class LeverArea(TypedDict):
    """Area under the curve between two angles; null where the curve does not reach."""

    start: Degrees
    end: Degrees
    area: Annotated[float | None, Dimension("area_under_lever"), Field(description="m·rad or ft·rad")]


class DownFlooding(TypedDict):
    """First opening that cannot be closed weathertight to immerse; null where none does, or where unknown."""

    known: bool
    angle: OptionalDegrees
    opening: str | None
    name: str | None


class RangeEnd(TypedDict):
    """Where the righting levers stop to count: at down-flooding, where they vanish, or where the cross curves end."""

    angle: Degrees
    reason: Literal["down_flooding", "vanishing", "end_of_cross_curves"]


class LeversBeyond(TypedDict):
    """What the curve shows beyond the end of its range; it counts for nothing."""

    maximum: Length
    angle_of_maximum: Degrees
    vanishing_angle: OptionalDegrees


class RightingLever(TypedDict):
    """The righting lever curve of the side assessed, free surface included. Maximum and vanishing angle are those that
    count, up to the end of the range; `beyond` holds what lies further out."""

    side: Literal["port", "starboard"]
    heels: Annotated[list[float], Dimension("angle")]
    levers: Annotated[list[float], Dimension("length")]
    maximum: Length
    angle_of_maximum: Degrees
    vanishing_angle: Annotated[
        float | None, Dimension("angle"), Field(description="degree; null: beyond the end of the range")
    ]
    range_end: RangeEnd
    beyond: LeversBeyond | None
    areas: list[LeverArea]
    down_flooding: DownFlooding
    deck_edge_angle: OptionalDegrees
    free_surface_method: str

"""How much is left before a limit: the margins that stand beside a verdict."""

from typing import Annotated, Literal, NotRequired

from pydantic import Field
from typing_extensions import TypedDict

from service.wire.quantity import Dimension, Length, OptionalFigure, OptionalLength, Percent


class StabilityMargin(TypedDict):
    """The stability criterion nearest to its limit, in its own unit. `gm_equivalent`: how far the centre of gravity may
    rise at this displacement before it is reached; null where that is no plain number."""

    criterion: str
    title: str
    margin: OptionalFigure
    unit: str
    gm_equivalent: OptionalLength
    side: Literal["port", "starboard"] | None


class LoadLineMargin(TypedDict):
    """What is left to the load line, as a draft amidships (the lower side) and as a mass; negative where it is over."""

    draft: Length
    mass: Annotated[float | None, Dimension("mass"), Field(description="t or LT; null off her tables")]


class SmallestMargin(TypedDict):
    """The criterion nearest to its limit (or furthest beyond it), as a percentage of the limit. Deprecated: margins of
    unlike things; read `least_stability_margin` and `load_line_margin`."""

    criterion: str
    title: str
    percent: Percent
    point: NotRequired[
        Annotated[
            int, Field(description="With a plan: the least over its points, and the number of that point.")
        ]
    ]


class KeptMargin(TypedDict):
    """The judged criterion nearest to its limit (or furthest beyond it), in percent of the limit. Deprecated: margins
    of unlike things; read `least_stability_margin` and `load_line_margin`."""

    criterion: str
    percent: float


Dangers = Annotated[
    int | None,
    Field(
        description="Findings of severity danger; they stand beside the verdict. Null: kept by calculation 1.0.0, "
        "which did not count them."
    ),
]


class KeptStabilityMargin(TypedDict):
    """The stability criterion nearest to its limit, in its own unit (lengths in those of the list). `gm_equivalent`:
    how far the centre of gravity may rise before it is reached; null where that is no plain number."""

    criterion: str
    margin: float | None
    unit: str
    gm_equivalent: OptionalLength
    side: Literal["port", "starboard"] | None

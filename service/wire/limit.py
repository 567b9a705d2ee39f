"""Limits of a ship or a voyage on one figure each: of her booklet or class, of a berth, a bar or a charter."""

from typing import Annotated, Literal

from pydantic import ConfigDict, Field

from service.wire.fields import MAX_SMALL_LIST, Document, Note, exactly_one_of

BOUND_UNITS = {"x-units": {"metric": "m, degree, % or t", "us": "ft, degree, % or LT"}}
Bound = Annotated[float, Field(ge=-1e7, le=1e7, json_schema_extra=BOUND_UNITS)]

LimitedQuantity = Literal[
    "draft_forward",
    "draft_aft",
    "draft_midship",
    "draft_greatest",
    "trim",
    "list",
    "propeller_immersion",
    "air_draft",
    "displacement",
    "gm_corrected",
    "freeboard_least",
]
"""Figures that a limit may be set to."""


class OwnLimit(Document):
    """One figure that must be at least, or at most, so much. `list` is judged to either side."""

    model_config = ConfigDict(json_schema_extra=exactly_one_of("at_least", "at_most"))

    quantity: LimitedQuantity = Field(description="Figure that is limited.", examples=["draft_greatest"])
    at_least: Bound | None = Field(default=None, description="m or ft, degree, percent, t or LT.")
    at_most: Bound | None = Field(
        default=None, description="m or ft, degree, percent, t or LT.", examples=[6.2]
    )
    when: Literal["always", "at_sea", "in_port"] = Field(
        default="always", description="Where it holds.", examples=["always"]
    )
    clause: Note | None = Field(default=None, description="Clause or paragraph.", examples=["4.2"])
    source: Note | None = Field(default=None, description="Who sets it.", examples=["Berth 4"])


OwnLimits = Annotated[list[OwnLimit], Field(max_length=min(50, MAX_SMALL_LIST))]

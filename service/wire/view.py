"""What stands high or in the way of the view ahead, and what her drafts make of it."""

from typing import Annotated

from pydantic import Field
from typing_extensions import TypedDict

from service.wire.fields import Document, Name, Position
from service.wire.quantity import Length, OptionalLength


class AirDraftPoint(Document):
    """A point that may be the highest above the water."""

    name: Name = Field(description="What it is.", examples=["Foremast"])
    x: Position = Field(description="Longitudinal position; m or ft from the x origin.", examples=[96.0])
    z: Position = Field(description="Height above the baseline; m or ft.", examples=[27.0])
    y: Position = Field(default=0.0, description="Transverse position; m or ft.", examples=[0.0])


class Obstruction(Document):
    """What may hide the sea ahead of the bow. Without `y_from` and `y_to` it stands on the centreline."""

    name: Name = Field(description="What it is.", examples=["Crane 2"])
    x: Position = Field(description="Longitudinal position; m or ft from the x origin.", examples=[60.0])
    z: Position = Field(description="Height of its top above the baseline; m or ft.", examples=[19.5])
    y_from: Position | None = Field(default=None, description="One side; m or ft.", examples=[-6.0])
    y_to: Position | None = Field(default=None, description="The other side; m or ft.", examples=[6.0])


class CargoObstruction(Obstruction):
    """The top of deck cargo, or anything else aboard that stands in the way of the view."""

    of: Name | None = Field(
        default=None,
        description="Name of the weight of category deck_cargo that this is the top of. Each such weight must be named "
        "by an obstruction, or one without `of` stands for the rest.",
        examples=["Containers on hatch 2"],
    )


class BallastDrafts(TypedDict):
    """What MARPOL Annex I regulation 18 asks of a tanker of her load line length in ballast."""

    least_midship: Length
    most_trim: Length


class ViewAhead(TypedDict):
    """Sea hidden ahead of the bow (null: to the horizon) and the most that SOLAS V/22 allows (null: her length over
    all is not known)."""

    hidden: OptionalLength
    limit: OptionalLength
    obstruction: str | None
    eye_height: Length
    not_covered: list[str]


class DraftsAnswer(TypedDict):
    """What her drafts mean above and below water; null where her booklet does not tell."""

    draft_forward: Length
    draft_aft: Length
    draft_midship: Length
    propeller_immersion: Annotated[
        float | None, Field(description="percent of the diameter; 100: the tip is awash")
    ]
    air_draft: OptionalLength
    air_draft_point: str | None
    freeboard_least: OptionalLength
    marpol_18: BallastDrafts | None
    view: ViewAhead | None

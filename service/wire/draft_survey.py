"""A draft survey in the answer: displacement by the drafts read, step by step, and the weight nobody has listed."""

from typing import Annotated, Literal

from pydantic import Field
from typing_extensions import TypedDict

from service.wire.quantity import Dimension, Mass, OptionalLength, OptionalMass


class UnknownWeight(TypedDict):
    """What is aboard and not listed: displacement by the drafts less everything the condition holds. The centre is from
    the aft perpendicular, positive forward; null where the mass is less than a thousandth of the displacement."""

    mass: Mass
    lcg: OptionalLength


class SurveyGap(TypedDict):
    """A figure of the survey that is null, and why."""

    figure: str
    reason: str


class DraftSurvey(TypedDict):
    """Moulded drafts at the perpendiculars and amidships, her deflection (positive sagging) kept in the one amidships;
    corrections in the order in which they are added, for her trim beyond that of the table nearest to even keel; one
    that is null is left out of `displacement`. `displacement_direct` is read at her trim where there are tables
    for several."""

    method: Annotated[
        Literal["quarter", "two_thirds", "mean_of_means"],
        Field(description="Mean draft: (F+A+6M)/8, (F+A+4M)/6 or (F+A+2M)/4."),
    ]
    draft_forward: OptionalLength
    draft_midship: OptionalLength
    draft_aft: OptionalLength
    apparent_trim: Annotated[OptionalLength, Field(description="Between the outer marks; m or ft")]
    trim: OptionalLength
    deflection: OptionalLength
    mean_draft: OptionalLength
    table_displacement: OptionalMass
    first_trim_correction: OptionalMass
    second_trim_correction: OptionalMass
    list_correction: OptionalMass
    density_correction: OptionalMass
    displacement: OptionalMass
    displacement_direct: OptionalMass
    difference: Annotated[OptionalMass, Field(description="Observed less computed displacement; t or LT")]
    unknown_weight: UnknownWeight | None
    centimetre_is: Annotated[
        float | None,
        Dimension("tpc"),
        Field(description="Mass of a centimetre, or an inch, of draft in this water; t or LT"),
    ]
    not_computed: list[SurveyGap]

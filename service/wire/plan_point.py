"""One point of a plan as the answer to a question of its own."""

from typing import Annotated, Any

from pydantic import Field
from typing_extensions import TypedDict

from service.wire.assessment import Assessment


class PointAnswer(TypedDict):
    """A point of a plan: the condition there as it would be typed out, and its assessment. Tanks that the point counts
    as slack whatever their filling cannot be typed: the assessment has them so."""

    condition: Annotated[dict[str, Any], Field(description="A condition document, without a plan.")]
    assessment: Assessment

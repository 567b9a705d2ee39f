"""Members of an answer that are there only where their subject is computed."""

from typing import Annotated

from pydantic import Field
from typing_extensions import TypedDict

from service.wire.added_weight import AddedWeight
from service.wire.icing import IcingEffect
from service.wire.load_line import LoadLineAnswer
from service.wire.strength import StrengthAnswer
from service.wire.view import DraftsAnswer


class SubjectMembers(TypedDict, total=False):
    """Absent where the booklet does not let the subject be computed, or the condition does not ask for it."""

    load_line: Annotated[LoadLineAnswer, Field(description="Present where her booklet gives a mark.")]
    drafts: Annotated[DraftsAnswer, Field(description="Present where her drafts are known.")]
    strength: Annotated[
        StrengthAnswer,
        Field(description="Present where her booklet lets it be computed: stations, sections, segments."),
    ]
    added_weights: Annotated[
        list[AddedWeight],
        Field(
            description="Present where she has a load on the hook or passengers, where timber absorbs water, or where "
            "ice is counted."
        ),
    ]
    icing: Annotated[IcingEffect, Field(description="Present where the condition counts ice.")]

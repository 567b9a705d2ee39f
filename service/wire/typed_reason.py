"""A reason that does not come in a JSON body: in an address, or typed on a page."""

from typing import Annotated

from pydantic import AfterValidator
from pydantic_core import PydanticCustomError

from service.wire.fields import Reason
from service.wire.parse import MAX_MARKS, has_many_marks


def _with_few_marks(text: str) -> str:
    if has_many_marks(text):
        words = f"This must have at most {MAX_MARKS} combining characters in a row."
        raise PydanticCustomError("too_many_marks", "too many combining characters", {"words": words})
    return text


TypedReason = Annotated[Reason, AfterValidator(_with_few_marks)]
"""As strict as what parsing a body makes of `Reason`."""

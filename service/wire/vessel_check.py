"""Doubts about a kept booklet: what somebody who knows booklets would look up again."""

from typing import Annotated

from pydantic import Field
from typing_extensions import TypedDict


class Doubt(TypedDict):
    """One place of the vessel document to look up in the printed booklet again; it refuses nothing."""

    code: str
    path: Annotated[str, Field(description="JSON pointer (RFC 6901) into the vessel document")]
    found: Annotated[float | None, Field(description="What stands there, in the units of the document")]
    expected: Annotated[float | None, Field(description="What the rest of the booklet suggests")]
    message: str


class VesselCheck(TypedDict):
    """Every doubt about one revision of a vessel's data, in the order of the document."""

    vessel: str
    revision: int
    doubts: list[Doubt]
    caution: str


CHECK_CAUTION = (
    "A doubt is a place to look up in the approved booklet again; no doubt does not mean no error."
)

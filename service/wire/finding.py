"""A kind of finding as the API lists it."""

from typing import Annotated, Literal

from pydantic import Field
from typing_extensions import TypedDict


class FindingKind(TypedDict):
    """What an assessment may point out besides the criteria."""

    code: str
    severities: Annotated[
        list[Literal["info", "caution", "danger"]],
        Field(description="Those it may have, the usual one first."),
    ]
    words: Annotated[
        str, Field(description="The message; what differs from case to case stands as a name in braces.")
    ]
    source: Annotated[str, Field(description="The document behind it; empty: common practice.")]


class FindingKinds(TypedDict):
    """Every kind of finding, in the order in which an answer lists them."""

    items: list[FindingKind]

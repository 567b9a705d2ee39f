"""Conditions that are being typed: kept for a while, complete or not."""

from typing import Annotated, Any, Final

from pydantic import Field
from typing_extensions import TypedDict

from service.wire.record import Author, Moment

NAME_PATTERN: Final = r"^[A-Za-z0-9][A-Za-z0-9._-]{0,63}$"
MOST_OF_A_VESSEL: Final = 50
MOST_BYTES: Final = 256_000
DAYS: Final = 30
TEMPLATE: Final = "template-"
"""How the name of a template begins."""
NEVER: Final = "9999-12-31T23:59:59Z"


class UnfinishedLine(TypedDict):
    """A condition being typed, without its document."""

    vessel: str
    name: Annotated[
        str,
        Field(
            description="Chosen by whoever began it; one that begins with `template-` is a template of the vessel, "
            "which is not forgotten."
        ),
    ]
    number: Annotated[int, Field(description="Counts every write under this name; its `ETag`.")]
    title: Annotated[str | None, Field(description="As far as it was typed.")]
    bytes: int
    created: Moment
    updated: Moment
    expires: Annotated[
        str,
        Field(
            description="When it is forgotten unless it is written again; RFC 3339, UTC. Of a template "
            "9999-12-31T23:59:59Z: never."
        ),
    ]
    author: Annotated[Author, Field(description="Who wrote it last.")]


class UnfinishedCondition(UnfinishedLine):
    """A condition being typed."""

    document: Annotated[
        dict[str, Any],
        Field(description="As far as it was typed: members of a condition in its shape, values not checked."),
    ]


class UnfinishedList(TypedDict):
    """What is being typed of a vessel, the one written last first; all of it."""

    items: list[UnfinishedLine]
    next: None

"""What changed in the published language, and what will."""

from typing import Annotated, Literal

from pydantic import Field
from typing_extensions import TypedDict

ChangeKind = Literal["added", "changed", "deprecated", "removed"]


class ChangelogEntry(TypedDict):
    """One change of the published language."""

    date: Annotated[str, Field(description="Day it came into force; RFC 3339.")]
    kind: Annotated[
        ChangeKind, Field(description="`deprecated`: works as before, and should not be used any more.")
    ]
    what: Annotated[str, Field(description="What changed, in a sentence.")]
    operations: Annotated[
        list[str],
        Field(description="Operations it is about, by their operationId; empty where it is not one of them."),
    ]
    sunset: Annotated[
        str | None, Field(description="Day on which something deprecated goes; null where no day is set.")
    ]
    instead: Annotated[str | None, Field(description="What to use instead; null where nothing is needed.")]


class Changelog(TypedDict):
    """Every change of the published language, newest first. Nothing is taken away without having been announced."""

    api_version: str
    items: list[ChangelogEntry]

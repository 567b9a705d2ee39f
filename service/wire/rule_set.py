"""A rule set as the API lists it."""

from typing import Annotated, Literal

from pydantic import Field
from typing_extensions import TypedDict


class RuleSetRow(TypedDict):
    """One clause of a rule set; a null limit is computed by the clause itself."""

    id: str
    clause: str
    title: str
    key: str
    quantity: str
    comparison: Literal[">=", "<="]
    limit: float | None
    unit: str
    source: str
    from_memory: Annotated[
        str | None,
        Field(
            description="What of the clause was recalled and not read; null where limit, formula and applicability "
            "were read."
        ),
    ]
    judges: Annotated[
        bool, Field(description="False where too much was recalled: its figure is shown and never judged.")
    ]
    applies: Annotated[
        Literal["at_sea", "in_port", "always"], Field(description="When it counts for the verdict.")
    ]


class RuleSetDescription(TypedDict):
    """What a rule set checks."""

    name: str
    title: str
    document: str
    edition: str
    also_known_as: Annotated[list[str], Field(description="Names it had before; they are accepted still.")]
    criteria: list[RuleSetRow]


class RuleSetList(TypedDict):
    """Every rule set this service knows."""

    items: list[RuleSetDescription]

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

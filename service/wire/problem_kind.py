"""What each kind of problem means."""

from typing_extensions import TypedDict


class ProblemKind(TypedDict):
    """A kind of problem."""

    type: str
    """Its address here."""
    code: str
    """Its stable code."""
    status: int
    """HTTP status it is answered with."""
    title: str
    """What it is."""
    description: str
    """What it means and what can be done."""


class ProblemKinds(TypedDict):
    """Every kind of problem."""

    items: list[ProblemKind]
    """In the order of their status."""

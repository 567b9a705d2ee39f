"""Her draft against the load line in force, as an answer shows it."""

from typing import Literal

from typing_extensions import TypedDict

from service.wire.quantity import Length, OptionalLength, OptionalMass


class MarkFigures(TypedDict):
    """One mark: its moulded draft, that which it permits in this water, and displacement and deadweight at the
    latter at her trim; null where unknown."""

    mark: str
    draft: Length
    permitted_draft: OptionalLength
    displacement: OptionalMass
    deadweight: OptionalMass
    origin: Literal["booklet", "worked_out"]
    from_memory: str | None


class LoadLineAnswer(TypedDict):
    """What is left to the mark in force, by the mean of the sides: positive is to spare.

    Where no mark is named, what is permitted is null unless she is under all her marks (then by the least) or over
    all of them (then by the greatest)."""

    mark: str | None
    mark_source: Literal["condition", "none"]
    method: Literal["linear", "exact"]
    permitted_draft: OptionalLength
    permitted_draft_exact: OptionalLength
    fresh_water_allowance: OptionalLength
    draft_midship: Length
    deflection: Length
    draft_low_side: OptionalLength
    low_side: Literal["port", "starboard", "none"]
    margin: OptionalLength
    margin_exact: OptionalLength
    mass_to_line: OptionalMass
    statement: str | None
    marks: list[MarkFigures]

"""What the routes need of the desk that makes assessments (`service.actions.assess.AssessmentDesk`)."""

from collections.abc import Collection
from typing import Any, Literal, Protocol, Self

from service.wire.fields import UnitSystem

Detail = Literal["full", "summary"]


class LineDesk(Protocol):
    """Answers the lines of a batch. Safe to call from several threads."""

    def answer_lines(
        self, lines: list[bytes], detail: Detail, units: UnitSystem | None
    ) -> list[bytes | Exception]:
        """For each line, in order, its assessment as one line of UTF-8 JSON or what it was refused with."""


class Desk(LineDesk, Protocol):
    """Makes assessments from what was posted. Safe to call from several threads."""

    def has_prepared(self, request: dict[str, Any]) -> bool:
        """Whether the vessel of `request` is prepared, so that an answer needs neither a booklet nor storage."""

    def within(self, vessels: Collection[str] | None) -> Self:
        """The desk of a caller who may name these held vessels only (None: all of them)."""

    def answer(self, request: dict[str, Any], units: UnitSystem | None) -> bytes:
        """The assessment of one parsed request as UTF-8 JSON. Raises what `service.api.problems` can tell."""

"""What a batch needs of whoever answers its lines: a desk, or one with worker processes behind it."""

from typing import Literal, Protocol

from service.wire.fields import UnitSystem

Detail = Literal["full", "summary"]


class LineDesk(Protocol):
    """Answers the lines of a batch. Safe to call from several threads."""

    def answer_lines(
        self, lines: list[bytes], detail: Detail, units: UnitSystem | None
    ) -> list[bytes | Exception]:
        """For each line, in order, its assessment as one line of UTF-8 JSON or what it was refused with."""

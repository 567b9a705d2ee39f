"""The places in a document that contradict one another, collected so that all are shown at once."""

from collections.abc import Callable, Sequence
from typing import TypeVar

from service.core.errors import SeveralErrors, UnusableBooklet
from service.wire.pointer import pointer_of
from service.wire.problem import ProblemError, error
from service.wire.refusal import Refusal

T = TypeVar("T")

LEAST_HEEL_STEP = 0.1
"""Degrees: no booklet prints heels closer, and a curve through values at one place has no slope."""


class Contradictions:
    """Places in a document that contradict one another, collected so that all are shown at once."""

    def __init__(self, root: tuple[str | int, ...]) -> None:
        self.root = root
        self.errors: list[ProblemError] = []

    def add(self, place: tuple[str | int, ...], code: str, detail: str) -> None:
        """Note one place, relative to the document."""
        self.errors.append(error((*self.root, *place), code, detail))

    def increasing(self, rows: Sequence[object], name: str, place: tuple[str | int, ...]) -> None:
        """Note the first row whose `name` does not exceed that of the row before."""
        i = _first_that_does_not_rise([getattr(row, name) for row in rows])
        if i is not None:
            self.add((*place, i, name), "not_increasing", f"{name} must increase from row to row.")

    def rising(self, values: Sequence[float], place: tuple[str | int, ...]) -> None:
        """Note the first of a list of numbers that does not exceed the one before."""
        i = _first_that_does_not_rise(values)
        if i is not None:
            self.add((*place, i), "not_increasing", "these must increase from one to the next.")

    def heels(self, heels: Sequence[float], place: tuple[str | int, ...]) -> None:
        """Note the first heel that is not a tenth of a degree beyond the one before, or beyond upright."""
        for i, heel in enumerate(heels):
            before = heels[i - 1] if i else 0.0
            if heel - before < LEAST_HEEL_STEP and (i or heel > 0.0):
                words = f"heels must increase by at least {LEAST_HEEL_STEP} degree."
                self.add((*place, i), "not_increasing", words)
                return

    def repeated(self, values: Sequence[str], name: str, place: tuple[str | int, ...]) -> None:
        """Note every value that stands twice."""
        seen: set[str] = set()
        for i, value in enumerate(values):
            if value in seen:
                self.add((*place, i, name), "duplicate", f"this {name} is used twice.")
            seen.add(value)

    def usable(self, work: Callable[[], T], place: tuple[str | int, ...] = ()) -> T | None:
        """What `work` builds of a table at `place`; None where it cannot be used, each reason noted."""
        try:
            return work()
        except UnusableBooklet as unusable:
            self.add((*place, *unusable.place), "unusable_table", f"{unusable.message}.")
        except SeveralErrors as several:
            for each in several.errors:
                inside = each.place if isinstance(each, UnusableBooklet) else ()
                self.add((*place, *inside), "unusable_table", f"{each}.")
        return None

    def about(self, place: tuple[str | int, ...]) -> bool:
        """Whether anything was noted at a place or below it."""
        pointer = pointer_of((*self.root, *place))
        return any(e["pointer"] == pointer or e["pointer"].startswith(f"{pointer}/") for e in self.errors)

    def refuse(self, code: str, detail: str) -> None:
        """Raise if anything was noted."""
        if self.errors:
            raise Refusal(code, detail, self.errors)


def _first_that_does_not_rise(values: Sequence[float]) -> int | None:
    return next((i for i in range(1, len(values)) if not values[i] > values[i - 1]), None)

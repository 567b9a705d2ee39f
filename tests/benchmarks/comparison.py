"""A floor and a subject timed in one run: first one, then the other, again and again, so that what else the machine
does falls on both; of each the median counts. Calculations are timed by the processor time of this process, which is
the time they take where nothing else runs; requests by the clock, with the server's processor time beside it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from statistics import median
from time import perf_counter, process_time

SECOND, MILLISECOND, MICROSECOND = (1.0, "s"), (1e-3, "ms"), (1e-6, "us")


@dataclass(frozen=True)
class Row:
    """One line of the table: measured `floor` and `subject` in seconds; `goal` is the largest ratio allowed, None for
    a figure that is shown for information. inverse: the ratio is that of how often a second, and the goal the least."""

    name: str
    floor: float
    subject: float
    goal: float | None
    unit: tuple[float, str] = MILLISECOND
    inverse: bool = False

    @property
    def ratio(self) -> float:
        """Subject over floor; floor over subject where the inverse is asked for."""
        return self.floor / self.subject if self.inverse else self.subject / self.floor

    @property
    def verdict(self) -> str:
        """met, missed with how much too slow, or nothing where there is no goal."""
        if self.goal is None:
            return ""
        over = self.goal / self.ratio if self.inverse else self.ratio / self.goal
        return "met" if over <= 1.0 else f"MISSED by {100.0 * (over - 1.0):.0f} %"

    def columns(self) -> tuple[str, ...]:
        """Name, goal, ratio, both medians, verdict, as printed."""
        factor, unit = self.unit
        goal = "" if self.goal is None else f"{self.goal:.2f}"
        floor, subject = (f"{seconds / factor:.2f} {unit}" for seconds in (self.floor, self.subject))
        return self.name, goal, f"{self.ratio:.3f}", floor, subject, self.verdict


def interleaved(
    calls: Sequence[Callable[[int], object]], rounds: int, seconds: float = 10.0
) -> tuple[float, ...]:
    """Median processor time in seconds of each call over `rounds` turns, or as many as begin within `seconds`.

    Each call is given the number of its turn and takes other data every time; the first turn is not counted."""
    times: list[list[float]] = [[] for _ in calls]
    end = perf_counter() + seconds
    for turn in range(rounds + 1):
        order = range(len(calls)) if turn % 2 else reversed(range(len(calls)))
        for i in order:
            began = process_time()
            calls[i](turn)
            took = process_time() - began
            if turn:
                times[i].append(took)
        if turn > 2 and perf_counter() > end:
            break
    return tuple(median(column) for column in times)


WIDTHS = (64, 5, 7, 11, 11)


def line(*columns: str) -> str:
    """A line of the table, aligned."""
    name, *numbers, verdict = columns
    cells = [name.ljust(WIDTHS[0]), *(cell.rjust(width) for cell, width in zip(numbers, WIDTHS[1:])), verdict]
    return "  ".join(cells).rstrip()


HEAD = line("", "goal", "ratio", "floor", "service", "")

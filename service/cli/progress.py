"""A bar on standard error for work on many conditions, where somebody is looking."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager

from rich.console import Console
from rich.progress import BarColumn, Progress, TaskID, TaskProgressColumn, TextColumn, TimeRemainingColumn


@contextmanager
def progress_bar(what: str, size: int) -> Iterator["Bar"]:
    """A bar of so much work (0: not known), with conditions a second and the time that is left."""
    words = TextColumn("{task.fields[count]:,} conditions, {task.fields[rate]:,.0f} a second")
    columns = (
        TextColumn("{task.description}"),
        BarColumn(),
        TaskProgressColumn(),
        words,
        TimeRemainingColumn(),
    )
    console = Console(stderr=True)
    with Progress(*columns, console=console, transient=True, disable=not sys.stderr.isatty()) as progress:
        yield Bar(progress, progress.add_task(what, total=size or None, count=0, rate=0.0))


class Bar:
    """What is done so far."""

    def __init__(self, progress: Progress, task: TaskID) -> None:
        self._progress, self._task, self._count = progress, task, 0

    def __call__(self, size: int) -> None:
        """One more condition, of so much of the work."""
        self._count += 1
        if not self._progress.disable:
            elapsed = self._progress.tasks[0].elapsed or 0.0
            rate = self._count / elapsed if elapsed else 0.0
            self._progress.update(self._task, advance=size, count=self._count, rate=rate)

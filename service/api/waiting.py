"""Works that wait to be done together, some at a time; whoever asked for one is told what became of it."""

import asyncio
from collections.abc import Awaitable, Callable
from typing import Any, Generic, TypeVar

MOST_TOGETHER = 32
"""Works done at once: few enough for the health check to come between two lots."""

Work = TypeVar("Work")


class Waiting(Generic[Work]):
    """The works that nobody has taken up yet. Belongs to one event loop."""

    def __init__(self) -> None:
        self._line: list[tuple[Work, asyncio.Future[Any]]] = []

    def __len__(self) -> int:
        return len(self._line)

    def enter(self, work: Work) -> asyncio.Future[Any]:
        """Let a work wait; what it comes to, or the exception it ends with."""
        told: asyncio.Future[Any] = asyncio.get_running_loop().create_future()
        self._line.append((work, told))
        return told

    def holds(self, told: asyncio.Future[Any]) -> bool:
        """Whether the work that `told` is about waits still."""
        return any(waits is told for _, waits in self._line)

    async def serve(self, do: Callable[[list[Work]], Awaitable[list[Any]]]) -> None:
        """Do all that waits and what comes meanwhile. `do` gives results and exceptions, in the order of the works."""
        while self._line:
            taken, self._line = self._line[:MOST_TOGETHER], self._line[MOST_TOGETHER:]
            try:
                results = await do([work for work, _ in taken])
            except Exception as failure:  # noqa: BLE001 - those who wait are told, whatever it was
                results = [failure] * len(taken)
            for (_, told), result in zip(taken, results, strict=True):
                if told.done():  # its client went away; what was done stays done
                    continue
                if isinstance(result, Exception):
                    told.set_exception(result)
                else:
                    told.set_result(result)

"""News that the feed grew, for those who wait for it.

Belongs to one event loop; `heard` may be called from any thread.
"""

import asyncio
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from service.wire.refusal import Refusal

MOST_OF_A_KEY = 8
MOST = 512


class ChangeSignal:
    """Wakes everybody at once. Nobody looks again and again."""

    def __init__(self) -> None:
        self.version = 0
        """Counts up whenever the feed grew: whoever read it before knows what he has seen."""
        self.listeners: list[Callable[[], None]] = []
        """Called on the event loop, too."""
        self.is_stopping = False
        self._changed = asyncio.Event()
        self._waiting: Counter[str] = Counter()
        self._loop: asyncio.AbstractEventLoop | None = None
        self._is_told = False

    def attach(self, loop: asyncio.AbstractEventLoop) -> None:
        """From now on what threads hear reaches those who wait on this loop."""
        self._loop = loop

    def heard(self) -> None:
        """The feed grew; from any thread."""
        if self._loop is not None and not self._is_told:
            self._is_told = True
            self._loop.call_soon_threadsafe(self._hear_told)

    def hear(self) -> None:
        """The feed grew, or is to be looked at for another reason; on the event loop."""
        self.version += 1
        self._changed.set()
        self._changed = asyncio.Event()
        for listener in self.listeners:
            listener()

    def stop(self) -> None:
        """Nobody waits any more: the server ends."""
        self.is_stopping = True
        self.hear()

    @contextmanager
    def place(self, key: str) -> Iterator[None]:
        """A place to wait in. Raises Refusal where a key, or all together, have too many."""
        if self._waiting[key] >= MOST_OF_A_KEY or self._waiting.total() >= MOST:
            words = f"{MOST_OF_A_KEY} requests of a key may wait for changes at once."
            raise Refusal("rate_limited", words, retry_after=1)
        self._waiting[key] += 1
        try:
            yield
        finally:
            self._waiting[key] -= 1
            if not self._waiting[key]:
                del self._waiting[key]

    async def wait(self, version: int, seconds: float) -> bool:
        """Until the feed grew past `version`; False where the time is over before, or the server ends."""
        if self.version == version and not self.is_stopping:
            try:
                await asyncio.wait_for(self._changed.wait(), seconds)
            except TimeoutError:
                return False
        return not self.is_stopping

    def _hear_told(self) -> None:
        self._is_told = False
        self.hear()

"""Readings of workbooks: two at a time, each in a thread that waits for its child; beyond that, come back later."""

from collections.abc import Callable
from typing import TypeVar

import anyio
from anyio import to_thread

from service.wire.refusal import Refusal

READINGS_AT_A_TIME = 2
RETRY_AFTER_SECONDS = 5
T = TypeVar("T")


class Readings:
    """Room for two readings. Belongs to one event loop."""

    def __init__(self) -> None:
        self._limiter = anyio.CapacityLimiter(READINGS_AT_A_TIME)
        self._in_hand = 0

    async def run(self, work: Callable[[], T]) -> T:
        """`work()`, in a thread. Raises `Refusal` (busy) while two others are being read."""
        if self._in_hand >= READINGS_AT_A_TIME:
            words = "Two workbooks are being read just now; try again shortly."
            raise Refusal("busy", words, retry_after=RETRY_AFTER_SECONDS)
        self._in_hand += 1
        try:
            return await to_thread.run_sync(work, limiter=self._limiter)
        finally:
            self._in_hand -= 1

"""Which revision of a stored vessel is the latest, remembered while this process alone can add one.

A SQLite file is served by one process, and every command that writes vessels needs that server stopped. So what this
process has read stays true until it commits a revision itself. On PostgreSQL other servers write too: nothing is
remembered there.
"""

import threading

from service.storage import Storage

MOST_VESSELS = 10_000


class VesselHeads:
    """Numbers of latest revisions by vessel. Safe to use from several threads."""

    def __init__(self, storage: Storage) -> None:
        self._storage = storage
        self._numbers: dict[str, int] = {}
        self._lock = threading.Lock()
        self.writes = 0
        """How often vessels were written: a number read before the last time may be an old one."""

    def get(self, id: str) -> int | None:
        """The number of the latest revision where it is known. Never waits."""
        number = self._numbers.get(id)
        return number if number is not None and self._storage.is_alone() else None

    def put(self, id: str, number: int, writes: int) -> None:
        """Remember a number that was read after `writes` was."""
        if not self._storage.is_alone():
            return
        if len(self._numbers) >= MOST_VESSELS:
            self._numbers = {}
        self._numbers[id] = number
        if writes != self.writes:  # looked at last: a write that ended in between is seen here or forgets it
            self._numbers.pop(id, None)

    def forget(self) -> None:
        """To be called after every transaction that wrote vessels has ended, in whatever way."""
        with self._lock:
            self.writes += 1
            self._numbers = {}

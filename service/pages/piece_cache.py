"""What was made for kept revisions and can be used again: they never change."""

import threading
from collections import OrderedDict
from collections.abc import Callable
from typing import Any, TypeVar

from markupsafe import Markup

from service.pages.kept_part import KeptPart

T = TypeVar("T")
MOST = 2000
ROOM = 24_000_000
"""Characters and bytes of finished pieces that are kept; the least used go first."""


class PieceCache:
    """Values by the digests they were made from. Safe to use from several threads."""

    def __init__(self, most: int = MOST, room: int = ROOM) -> None:
        self._most, self._room = most, room
        self._values: OrderedDict[tuple[object, ...], Any] = OrderedDict()
        self._size = 0
        self._lock = threading.Lock()

    def known(self, key: tuple[object, ...]) -> Any:
        """What was made before; None where nothing was."""
        with self._lock:
            if key in self._values:
                self._values.move_to_end(key)
            return self._values.get(key)

    def value(self, key: tuple[object, ...], make: Callable[[], T]) -> T:
        """What was made before, else what `make()` gives; two threads may make the same at once."""
        found: T | None = self.known(key)
        if found is not None:
            return found
        made = make()
        with self._lock:
            self._size += _size(made) - _size(self._values.pop(key, None))
            self._values[key] = made
            while len(self._values) > self._most or (self._size > self._room and len(self._values) > 1):
                self._size -= _size(self._values.popitem(last=False)[1])
        return made


def _size(value: object) -> int:
    return len(value) if isinstance(value, Markup | bytes | KeptPart) else 0

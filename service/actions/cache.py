"""A cache of the values that were used last."""

import threading
from collections import OrderedDict
from typing import Generic, TypeVar

Key = TypeVar("Key")
Value = TypeVar("Value")


class Cache(Generic[Key, Value]):
    """At most `size` values by key; the one unused for longest goes first. Safe to use from several threads."""

    def __init__(self, size: int) -> None:
        self._size = size
        self._values: OrderedDict[Key, Value] = OrderedDict()
        self._lock = threading.Lock()

    def get(self, key: Key) -> Value | None:
        """The value, which counts as used now; None where there is none."""
        with self._lock:
            value = self._values.get(key)
            if value is not None:
                self._values.move_to_end(key)
            return value

    def put(self, key: Key, value: Value) -> None:
        """Keep a value, in the place of an older one of the same key."""
        with self._lock:
            self._values[key] = value
            self._values.move_to_end(key)
            while len(self._values) > self._size:
                self._values.popitem(last=False)

"""What was read and shown, held for an hour under its digest, so that what is kept is what was shown."""

import secrets
import threading
import time
from collections import OrderedDict
from dataclasses import dataclass
from typing import Any

SECONDS = 3600.0
MOST = 40
"""Readings held at once; the oldest goes first."""


@dataclass(frozen=True)
class Held:
    """One reading: whose it is, what it is about, the document, where it came from, its marked copy, and whether
    it removes something of hers."""

    key_id: str
    vessel: str | None
    document: dict[str, Any] | None
    sent: str
    seen: str
    marked: bytes
    removes: bool
    until: float


class HeldReadings:
    """Readings by a name nobody guesses. Safe to use from several threads; gone with the process."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._held: OrderedDict[str, Held] = OrderedDict()

    def hold(
        self,
        key_id: str,
        vessel: str | None,
        document: dict[str, Any] | None,
        *,
        sent: str,
        seen: str = "",
        marked: bytes = b"",
        removes: bool = False,
    ) -> str:
        """Hold a reading for an hour; its name."""
        name = secrets.token_urlsafe(18)
        held = Held(key_id, vessel, document, sent, seen, marked, removes, time.monotonic() + SECONDS)
        with self._lock:
            self._held[name] = held
            while len(self._held) > MOST:
                self._held.popitem(last=False)
        return name

    def get(self, name: str, key_id: str) -> Held | None:
        """A reading of this key's that is still held."""
        with self._lock:
            held = self._held.get(name)
        if held is None or held.key_id != key_id or held.until < time.monotonic():
            return None
        return held

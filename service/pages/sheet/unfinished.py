"""Conditions that are being typed, kept on the service under a name, so that ship, phone and office see the same."""

import threading
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

Row = dict[str, Any]


@dataclass(frozen=True)
class Kept:
    """What is kept: the document as far as it is typed, a tag that changes with it, when and by whom."""

    document: Row
    tag: str
    at: str
    by: str


class Newer(Exception):
    """Somebody else kept something since."""

    def __init__(self, kept: Kept | None) -> None:
        super().__init__("newer")
        self.kept = kept


class UnfinishedConditions:
    """By vessel and name."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._kept: dict[tuple[str, str], Kept] = {}

    def find(self, vessel: str, name: str) -> Kept | None:
        """What is kept under a name."""
        return self._kept.get((vessel, name))

    def keep(self, vessel: str, name: str, document: Row, seen: str, by: str) -> Kept:
        """Keep it in place of what was seen. Raises Newer."""
        with self._lock:
            now = self._kept.get((vessel, name))
            if (now.tag if now else "") != seen:
                raise Newer(now)
            number = int(now.tag) + 1 if now else 1
            kept = Kept(document, str(number), datetime.now(UTC).isoformat(timespec="seconds"), by)
            self._kept[vessel, name] = kept
            return kept

    def forget(self, vessel: str, name: str) -> None:
        """It is finished, or not wanted any more."""
        with self._lock:
            self._kept.pop((vessel, name), None)

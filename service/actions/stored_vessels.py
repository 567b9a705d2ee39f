"""Stored vessels, prepared for calculation. A stored revision never changes, so a prepared one stays good."""

from typing import Any

import pydantic_core

from service.actions.cache import Cache
from service.actions.records.transactions import Records, storage_refusals
from service.storage import NotFound, canonical
from service.translation.prepared_vessel import PreparedVessel, prepare_vessel, unknown_vessel
from service.wire.parse import MAX_INTEGER

DOCUMENTS = 8
"""Documents kept as they were typed, for the working: a megabyte each."""


class StoredVessels:
    """Finds and prepares vessels; keeps the last ones prepared. Safe to use from several threads."""

    def __init__(self, records: Records, keep: int = 256) -> None:
        self._records = records
        self._prepared = Cache[tuple[str, int], PreparedVessel](keep)
        self._documents = Cache[tuple[str, int], dict[str, Any]](DOCUMENTS)

    def ready(self, id: str, revision: int | None = None) -> PreparedVessel | None:
        """What `find` gives, where neither the database nor a preparation is needed for it. Never waits."""
        number = self._records.vessel_heads.get(id) if revision is None else revision
        return None if number is None else self._prepared.get((id, number))

    def find(self, id: str, revision: int | None = None) -> PreparedVessel:
        """A revision of a stored vessel, the latest when `revision` is None. Raises Refusal (unknown_vessel)."""
        if "\x00" in id or not 0 < (revision or 1) <= MAX_INTEGER:
            raise unknown_vessel()
        ready = self.ready(id, revision)
        if ready is not None:
            return ready
        number = self._latest(id) if revision is None else revision
        return self._prepared.get((id, number)) or self._prepare(id, number)

    def _latest(self, id: str) -> int:
        heads = self._records.vessel_heads
        writes = heads.writes
        with storage_refusals():
            number = self._records.storage.vessel_head(id)
        if number is None:
            raise unknown_vessel()
        heads.put(id, number, writes)
        return number

    def document(self, id: str, number: int) -> dict[str, Any]:
        """The document of a revision as it was stored, to be read only. Raises Refusal (unknown_vessel)."""
        document = self._documents.get((id, number))
        if document is None:
            document = self._read(id, number)
            self._documents.put((id, number), document)
        return document

    def _read(self, id: str, number: int) -> dict[str, Any]:
        with self._records.reading() as tx:
            try:
                text = tx.vessels.revision(id, number).document
            except NotFound:
                raise unknown_vessel() from None
        document: dict[str, Any] = pydantic_core.from_json(text)
        return document

    def _prepare(self, id: str, number: int) -> PreparedVessel:
        prepared = prepare_vessel(self._read(id, number), ("vessel",), id, number, canonical)
        self._prepared.put((id, number), prepared)
        return prepared

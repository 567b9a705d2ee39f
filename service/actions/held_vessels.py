"""Vessels kept here, prepared for calculation. A kept revision never changes, so a prepared one stays good."""

import threading
from collections import OrderedDict

import pydantic_core

from service.actions.assess import PreparedVessel, prepare_vessel, unknown_vessel
from service.actions.records import Records
from service.storage import NotFound
from service.wire.parse import MAX_INTEGER


class HeldVessels:
    """Finds and prepares vessels; keeps the last ones prepared. Safe to use from several threads."""

    def __init__(self, records: Records, keep: int = 256) -> None:
        self._records, self._keep = records, keep
        self._prepared: OrderedDict[tuple[str, int], PreparedVessel] = OrderedDict()
        self._lock = threading.Lock()

    def find(self, id: str, revision: int | None = None) -> PreparedVessel:
        """A revision of a kept vessel, the latest when `revision` is None. Raises Refusal (unknown_vessel)."""
        if "\x00" in id or not 0 < (revision or 1) <= MAX_INTEGER:
            raise unknown_vessel()
        known = self._known(id, revision) if revision is not None else None
        if known is not None:
            return known
        with self._records.reading() as tx:
            try:
                number = tx.vessels.get(id).head_number if revision is None else revision
                known = self._known(id, number)
                if known is not None:
                    return known
                document = tx.vessels.revision(id, number).document
            except NotFound:
                raise unknown_vessel() from None
        return self._keep_prepared(
            id, number, prepare_vessel(pydantic_core.from_json(document), ("vessel",), id, number)
        )

    def _known(self, id: str, number: int) -> PreparedVessel | None:
        with self._lock:
            found = self._prepared.get((id, number))
            if found is not None:
                self._prepared.move_to_end((id, number))
            return found

    def _keep_prepared(self, id: str, number: int, prepared: PreparedVessel) -> PreparedVessel:
        with self._lock:
            self._prepared[id, number] = prepared
            while len(self._prepared) > self._keep:
                self._prepared.popitem(last=False)
        return prepared

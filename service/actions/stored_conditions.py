"""Stored conditions, for lines of batches that name them."""

from service.actions.named_condition import StoredCondition, unknown_condition
from service.actions.records.transactions import Records
from service.storage import NotFound


class StoredConditions:
    """Finds conditions. Safe to use from several threads."""

    def __init__(self, records: Records) -> None:
        self._records = records

    def find(self, id: str, revision: int | None = None) -> StoredCondition:
        """A revision of a stored condition, the latest when `revision` is None. Raises Refusal (unknown_condition)."""
        with self._records.reading() as tx:
            try:
                kept = tx.conditions.revision(id, revision)
            except NotFound:
                raise unknown_condition() from None
        return StoredCondition(kept.vessel, kept.vessel_revision, kept.number, kept.document)

"""Calls about states and what is being typed: which condition is in force, what is withdrawn or unfinished."""

from typing import Any, cast

from service.client.answers import StoredRecord
from service.client.documents import JSON, Document, address, parameters, text_of
from service.client.synchronous.connection import Connection, stored_record
from service.wire.state import ConditionState, ConditionStateRecord, VesselState, VesselStateRecord
from service.wire.unfinished import UnfinishedCondition, UnfinishedList


class StateCalls(Connection):
    """States of conditions and vessels, and unfinished conditions."""

    def get_condition_state(self, condition: str) -> StoredRecord[ConditionStateRecord]:
        """The state of a condition, with the events that set it."""
        return self._read(address("v1", "conditions", condition, "state"))

    def set_condition_state(
        self,
        condition: str,
        state: ConditionState,
        etag: str,
        reason: str | None = None,
        *,
        idempotency_key: str | None = None,
    ) -> StoredRecord[ConditionStateRecord]:
        """Take a condition in force, put it aside, withdraw it or work on it again, from the state `etag`."""
        path = address("v1", "conditions", condition, "state")
        wanted = {"state": state} | parameters(reason=reason)
        return self._write("PUT", path, wanted, etag=etag, idempotency_key=idempotency_key)

    def get_vessel_state(self, vessel: str) -> StoredRecord[VesselStateRecord]:
        """The state of a vessel, with the events that set it."""
        return self._read(address("v1", "vessels", vessel, "state"))

    def set_vessel_state(
        self,
        vessel: str,
        state: VesselState,
        reason: str | None = None,
        *,
        etag: str | None = None,
        idempotency_key: str | None = None,
    ) -> StoredRecord[VesselStateRecord]:
        """Withdraw a vessel, or make her active again."""
        path = address("v1", "vessels", vessel, "state")
        wanted = {"state": state} | parameters(reason=reason)
        return self._write("PUT", path, wanted, etag=etag, idempotency_key=idempotency_key)

    def list_unfinished(self, vessel: str) -> UnfinishedList:
        """What is being typed of a vessel, the one written last first."""
        return cast(UnfinishedList, self._get(address("v1", "vessels", vessel, "unfinished")))

    def get_unfinished(self, vessel: str, name: str) -> StoredRecord[UnfinishedCondition]:
        """A condition that is being typed, with the tag that the next write has to name."""
        return self._read(address("v1", "vessels", vessel, "unfinished", name))

    def set_unfinished(
        self, vessel: str, name: str, document: Document, etag: str | None = None
    ) -> StoredRecord[UnfinishedCondition]:
        """Keep what is being typed, complete or not. The first write needs no `etag`, each later one does. Where the
        connection is lost after the request was sent, this is not done again: read what is there then."""
        path = address("v1", "vessels", vessel, "unfinished", name)
        headers = {"Content-Type": JSON, **_if_match(etag)}
        text = text_of(document)
        return stored_record(self._send("PUT", path, repeatable=False, content=text, headers=headers))

    def remove_unfinished(self, vessel: str, name: str, etag: str | None = None) -> None:
        """Remove what was being typed; in the state `etag`, where it is named."""
        path = address("v1", "vessels", vessel, "unfinished", name)
        self._send("DELETE", path, repeatable=False, headers=_if_match(etag))


def _if_match(etag: str | None) -> dict[str, Any]:
    return {} if etag is None else {"If-Match": etag}

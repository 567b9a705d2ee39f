"""Calls about vessels: their data, its revisions, its proof."""

from collections.abc import Iterator
from typing import cast

from service.client.answers import StoredRecord
from service.client.documents import Document, Filter, address, parameters
from service.client.synchronous.connection import Connection
from service.wire.fleet import FleetLine
from service.wire.proof import Proof
from service.wire.vessel_check import VesselCheck
from service.wire.vessel_record import VesselComparison, VesselLine, VesselRevision, VesselRevisionLine


class VesselCalls(Connection):
    """Vessels and the fleet."""

    def list_vessels(self, **filters: Filter) -> Iterator[VesselLine]:
        """Every vessel the key may see, by filters of the list."""
        return self._pages("/v1/vessels", parameters(**filters))

    def get_fleet(self, **filters: Filter) -> Iterator[FleetLine]:
        """Every vessel with her latest condition, by filters of the list."""
        return self._pages("/v1/fleet", parameters(**filters))

    def add_vessel(
        self, document: Document, *, reason: str | None = None, idempotency_key: str | None = None
    ) -> StoredRecord[VesselRevision]:
        """Enter a vessel. Under an `idempotency_key` the same call may be made again, also by another process: it
        enters her once."""
        params = parameters(reason=reason)
        return self._write("POST", "/v1/vessels", document, params, idempotency_key=idempotency_key)

    def get_vessel(self, vessel: str) -> StoredRecord[VesselRevision]:
        """A vessel's latest data."""
        return self._read(address("v1", "vessels", vessel))

    def revise_vessel(
        self,
        vessel: str,
        document: Document,
        etag: str,
        *,
        reason: str | None = None,
        idempotency_key: str | None = None,
    ) -> StoredRecord[VesselRevision]:
        """Keep a new revision of a vessel's data, made from the state `etag`. Raises `Refused` when it is stale."""
        path = address("v1", "vessels", vessel)
        params = parameters(reason=reason)
        return self._write("PUT", path, document, params, etag=etag, idempotency_key=idempotency_key)

    def list_vessel_revisions(self, vessel: str, **filters: Filter) -> Iterator[VesselRevisionLine]:
        """The revisions of a vessel's data, newest first."""
        return self._pages(address("v1", "vessels", vessel, "revisions"), parameters(**filters))

    def get_vessel_revision(self, vessel: str, number: int) -> StoredRecord[VesselRevision]:
        """One revision of a vessel's data."""
        return self._read(address("v1", "vessels", vessel, "revisions", number))

    def compare_vessel_revisions(
        self, vessel: str, since: int | None = None, to: int | None = None
    ) -> VesselComparison:
        """What changed between two revisions of a vessel's data; the last two when nothing is named."""
        path = address("v1", "vessels", vessel, "comparison")
        return cast(VesselComparison, self._get(path, parameters(**{"from": since, "to": to})))

    def check_vessel(self, vessel: str, *, revision: int | None = None) -> VesselCheck:
        """Doubts about the tables of a vessel's booklet."""
        path = address("v1", "vessels", vessel, "check")
        return cast(VesselCheck, self._get(path, parameters(revision=revision)))

    def check_vessel_proof(self, document: Document) -> Proof:
        """The proof of a vessel document by its printed conditions, without keeping it."""
        return cast(Proof, self._ask("/v1/vessels/proof", document))

    def get_vessel_proof(self, vessel: str) -> Proof:
        """The proof of a vessel's latest data by her printed conditions."""
        return cast(Proof, self._get(address("v1", "vessels", vessel, "proof")))

    def get_vessel_revision_proof(self, vessel: str, number: int) -> Proof:
        """The proof of one revision of a vessel's data."""
        return cast(Proof, self._get(address("v1", "vessels", vessel, "revisions", number, "proof")))

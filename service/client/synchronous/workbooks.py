"""Calls about workbooks: booklets and condition sheets, out and in."""

from typing import Any, Literal, cast

from service.client.answers import File, StoredRecord
from service.client.attempts import json_of
from service.client.documents import Parameters, address, parameters
from service.client.synchronous.connection import Connection
from service.client.workbooks import MEDIA_TYPES, Form, PostedForm, file_of
from service.wire.booklet import BookletReading, ConditionReading
from service.wire.condition_record import ConditionRevision
from service.wire.fields import UnitSystem
from service.wire.vessel_record import VesselRevision

Separator = Literal["comma", "semicolon"]


class WorkbookCalls(Connection):
    """A ship or a condition as a workbook."""

    def get_booklet_template(self, units: UnitSystem = "metric") -> File:
        """An empty booklet to fill in."""
        return self._download("/v1/booklet-template", MEDIA_TYPES["xlsx"], parameters(units=units))

    def get_vessel_workbook(
        self,
        vessel: str,
        form: Form = "xlsx",
        *,
        sheets: str | None = None,
        separator: Separator | None = None,
    ) -> File:
        """A vessel's latest data as a workbook; as CSV one of `sheets` has to be named."""
        path = address("v1", "vessels", vessel, "workbook")
        return self._download(path, MEDIA_TYPES[form], parameters(sheets=sheets, separator=separator))

    def get_revision_workbook(
        self,
        vessel: str,
        number: int,
        form: Form = "xlsx",
        *,
        sheets: str | None = None,
        separator: Separator | None = None,
    ) -> File:
        """One revision of a vessel's data as a workbook."""
        path = address("v1", "vessels", vessel, "revisions", number, "workbook")
        return self._download(path, MEDIA_TYPES[form], parameters(sheets=sheets, separator=separator))

    def get_condition_sheet(
        self, vessel: str, form: Form = "xlsx", *, separator: Separator | None = None
    ) -> File:
        """A blank sheet for a condition of a vessel."""
        path = address("v1", "vessels", vessel, "condition-sheet")
        return self._download(path, MEDIA_TYPES[form], parameters(separator=separator))

    def get_condition_workbook(
        self, condition: str, form: Form = "xlsx", *, separator: Separator | None = None
    ) -> File:
        """A condition's latest revision as the sheet it can be filled in on."""
        path = address("v1", "conditions", condition, "workbook")
        return self._download(path, MEDIA_TYPES[form], parameters(separator=separator))

    def read_vessel_workbook(self, workbook: bytes, *, form: PostedForm = "xlsx") -> BookletReading:
        """What is read of a booklet, with everything that is wrong; nothing is kept."""
        return cast(BookletReading, self._read_file("/v1/vessels/workbook", workbook, form))

    def mark_vessel_workbook(self, workbook: bytes) -> File:
        """The same workbook with every bad cell marked; nothing is kept."""
        return self._mark("/v1/vessels/workbook", workbook)

    def add_vessel_from_workbook(
        self,
        workbook: bytes,
        *,
        form: PostedForm = "xlsx",
        reason: str | None = None,
        expect_digest: str | None = None,
        idempotency_key: str | None = None,
    ) -> StoredRecord[VesselRevision]:
        """Read a booklet, and enter the vessel. Raises `Refused` where it has problems."""
        params = parameters(reason=reason, expect_digest=expect_digest)
        return self._keep_file("POST", "/v1/vessels/workbook", workbook, form, params, idempotency_key)

    def read_vessel_part(
        self, vessel: str, workbook: bytes, *, form: PostedForm = "xlsx", sheet: str | None = None
    ) -> BookletReading:
        """What a booklet, whole or in part, would change of a vessel's data; nothing is kept."""
        path = address("v1", "vessels", vessel, "workbook")
        return cast(BookletReading, self._read_file(path, workbook, form, parameters(sheet=sheet)))

    def revise_vessel_from_workbook(
        self,
        vessel: str,
        workbook: bytes,
        etag: str,
        *,
        form: PostedForm = "xlsx",
        sheet: str | None = None,
        confirm_removed: bool = False,
        expect_digest: str | None = None,
        reason: str | None = None,
    ) -> StoredRecord[VesselRevision]:
        """Keep a booklet, whole or in part, over the state `etag` of a vessel's data. One table of text: name its
        `sheet`. `confirm_removed`: tanks, holds and openings that are not in it may go."""
        path = address("v1", "vessels", vessel, "workbook")
        params = parameters(
            reason=reason,
            sheet=sheet,
            expect_digest=expect_digest,
            confirm="removed" if confirm_removed else None,
        )
        return self._keep_file("POST", path, workbook, form, params, etag=etag)

    def read_condition_workbook(
        self, vessel: str, workbook: bytes, *, form: PostedForm = "xlsx"
    ) -> ConditionReading:
        """What is read of a filled sheet, with its assessment; nothing is kept."""
        path = address("v1", "vessels", vessel, "conditions", "workbook")
        return cast(ConditionReading, self._read_file(path, workbook, form))

    def add_condition_from_workbook(
        self,
        vessel: str,
        workbook: bytes,
        *,
        form: PostedForm = "xlsx",
        reason: str | None = None,
        idempotency_key: str | None = None,
    ) -> StoredRecord[ConditionRevision]:
        """Read a condition from a filled sheet, and enter it. Raises `Refused` where it has problems."""
        path = address("v1", "vessels", vessel, "conditions", "workbook")
        return self._keep_file("POST", path, workbook, form, parameters(reason=reason), idempotency_key)

    def revise_condition_workbook(
        self,
        condition: str,
        workbook: bytes,
        etag: str,
        *,
        form: PostedForm = "xlsx",
        reason: str | None = None,
    ) -> StoredRecord[ConditionRevision]:
        """Read a filled sheet as the next revision of a condition, made from the state `etag`."""
        path = address("v1", "conditions", condition, "workbook")
        return self._keep_file("PUT", path, workbook, form, parameters(reason=reason), etag=etag)

    def _read_file(
        self, path: str, workbook: bytes, form: PostedForm, params: Parameters | None = None
    ) -> Any:
        params = {**(params or {}), "dry_run": "true"}
        headers = {"Content-Type": MEDIA_TYPES[form]}
        return json_of(self._send("POST", path, params=params, content=workbook, headers=headers))

    def _mark(self, path: str, workbook: bytes) -> File:
        headers = {"Content-Type": MEDIA_TYPES["xlsx"]}
        params = parameters(answer="marked")
        return file_of(self._send("POST", path, params=params, content=workbook, headers=headers))

    def _keep_file(
        self,
        method: str,
        path: str,
        workbook: bytes,
        form: PostedForm,
        params: Parameters,
        idempotency_key: str | None = None,
        etag: str | None = None,
    ) -> StoredRecord[Any]:
        return self._write(
            method,
            path,
            workbook,
            params,
            etag=etag,
            idempotency_key=idempotency_key,
            media_type=MEDIA_TYPES[form],
        )

"""Calls about conditions: their revisions, comparisons, reviews."""

from collections.abc import Iterator
from typing import cast

from service.client.answers import File, StoredRecord
from service.client.attempts import json_of
from service.client.documents import JSON, MERGE_PATCH, Document, Filter, address, parameters, text_of
from service.client.synchronous.iteration import Items
from service.client.synchronous.lines import Lines
from service.client.workbooks import MEDIA_TYPES, ReportForm
from service.wire.batch import LineProblem
from service.wire.bulk import BulkLine
from service.wire.comparison import Comparison
from service.wire.condition_record import (
    ConditionHistoryLine,
    ConditionLine,
    ConditionRecord,
    ConditionRevision,
)
from service.wire.fields import UnitSystem
from service.wire.plan_point import PointAnswer
from service.wire.reassessment import ReassessmentReport
from service.wire.report_part import ReportPart
from service.wire.review import Decision, Review, ReviewList


class ConditionCalls(Lines):
    """Conditions, and what is done with them."""

    def list_conditions(self, **filters: Filter) -> Iterator[ConditionLine]:
        """Conditions of every vessel, by filters of the list."""
        return self._pages("/v1/conditions", parameters(**filters))

    def list_vessel_conditions(self, vessel: str, **filters: Filter) -> Iterator[ConditionLine]:
        """Conditions of a vessel, by filters of the list."""
        return self._pages(address("v1", "vessels", vessel, "conditions"), parameters(**filters))

    def add_condition(
        self,
        vessel: str,
        document: Document,
        *,
        reason: str | None = None,
        idempotency_key: str | None = None,
    ) -> StoredRecord[ConditionRevision]:
        """Enter a condition of a vessel. `idempotency_key` as in `add_vessel`."""
        path = address("v1", "vessels", vessel, "conditions")
        params = parameters(reason=reason)
        return self._write("POST", path, document, params, idempotency_key=idempotency_key)

    def add_conditions_bulk(
        self, vessel: str, documents: Items[Document], *, reason: str | None = None
    ) -> Iterator[BulkLine | LineProblem]:
        """Enter many conditions of a vessel, each with its `reference`: an answer per document, in order, each after
        its commit; a refused one is a `LineProblem`. What is sent again under a reference is entered once, so a call
        that was cut off (`CutOff`) can be made again as a whole."""
        path = address("v1", "vessels", vessel, "conditions", "bulk")
        return self._answers(path, documents, parameters(reason=reason))

    def add_copy(
        self, condition: str, request: Document, *, idempotency_key: str | None = None
    ) -> StoredRecord[ConditionRevision]:
        """A new condition from this one, or the arrival from this departure."""
        path = address("v1", "conditions", condition, "copies")
        return self._write("POST", path, request, idempotency_key=idempotency_key)

    def get_condition(
        self, condition: str, *, units: UnitSystem | None = None
    ) -> StoredRecord[ConditionRecord]:
        """A condition: its latest revision with the state of its reviews."""
        return self._read(address("v1", "conditions", condition), parameters(units=units))

    def revise_condition(
        self,
        condition: str,
        document: Document,
        etag: str,
        *,
        reason: str | None = None,
        idempotency_key: str | None = None,
    ) -> StoredRecord[ConditionRevision]:
        """Keep a new revision of a condition, made from the state `etag`. Raises `Refused` when it is stale."""
        path = address("v1", "conditions", condition)
        params = parameters(reason=reason)
        return self._write("PUT", path, document, params, etag=etag, idempotency_key=idempotency_key)

    def patch_condition(
        self,
        condition: str,
        patch: Document,
        etag: str,
        *,
        reason: str | None = None,
        idempotency_key: str | None = None,
    ) -> StoredRecord[ConditionRevision]:
        """The same, sending what differs, as a merge patch (RFC 7396)."""
        return self._write(
            "PATCH",
            address("v1", "conditions", condition),
            patch,
            parameters(reason=reason),
            etag=etag,
            idempotency_key=idempotency_key,
            media_type=MERGE_PATCH,
        )

    def compare_revisions(
        self,
        condition: str,
        since: int | None = None,
        to: int | None = None,
        *,
        units: UnitSystem | None = None,
        reassess: bool = False,
    ) -> Comparison:
        """What changed between two revisions, and what it did; the last two when nothing is named."""
        asked = {"from": since, "to": to, "units": units, "reassess": True if reassess else None}
        path = address("v1", "conditions", condition, "comparison")
        return cast(Comparison, self._get(path, parameters(**asked)))

    def compare_conditions(
        self, first: str, last: str, *, units: UnitSystem | None = None, reassess: bool = False
    ) -> Comparison:
        """What differs between any two conditions of a vessel, and what it does. Each is named as CONDITION/REVISION;
        without the number its latest revision."""
        asked = {"from": first, "to": last, "units": units, "reassess": True if reassess else None}
        return cast(Comparison, self._get("/v1/comparison", parameters(**asked)))

    def list_revisions(self, condition: str, **filters: Filter) -> Iterator[ConditionHistoryLine]:
        """The history of a condition, newest first."""
        return self._pages(address("v1", "conditions", condition, "revisions"), parameters(**filters))

    def get_revision(
        self, condition: str, number: int, *, units: UnitSystem | None = None
    ) -> StoredRecord[ConditionRevision]:
        """One revision of a condition, as it was posted and as it was judged."""
        path = address("v1", "conditions", condition, "revisions", number)
        return self._read(path, parameters(units=units))

    def get_point(
        self, condition: str, number: int, point: int, *, units: UnitSystem | None = None
    ) -> PointAnswer:
        """One point of the plan of a revision."""
        path = address("v1", "conditions", condition, "revisions", number, "points", point)
        return cast(PointAnswer, self._get(path, parameters(units=units)))

    def get_report(
        self,
        condition: str,
        number: int,
        form: ReportForm = "pdf",
        *,
        part: ReportPart | None = None,
        units: UnitSystem | None = None,
    ) -> File:
        """The report of a revision on one sheet, or its tables; `part` is one table of them, or with `plan` the report
        of the whole plan."""
        path = address("v1", "conditions", condition, "revisions", number, "report")
        return self._download(path, MEDIA_TYPES[form], parameters(part=part, units=units))

    def list_reviews(self, condition: str, number: int) -> ReviewList:
        """The reviews of a revision."""
        path = address("v1", "conditions", condition, "revisions", number, "reviews")
        return cast(ReviewList, self._get(path))

    def add_review(
        self,
        condition: str,
        number: int,
        decision: Decision,
        note: str | None = None,
        *,
        in_force: bool = False,
        idempotency_key: str | None = None,
    ) -> Review:
        """Accept a revision of a condition, or return it. `in_force`: with an acceptance of the latest revision, she
        sails with this condition from now on."""
        path = address("v1", "conditions", condition, "revisions", number, "reviews")
        document: dict[str, str | bool] = {"decision": decision}
        if note is not None:
            document["note"] = note
        if in_force:
            document["in_force"] = True
        made = self._write("POST", path, document, idempotency_key=idempotency_key)
        return cast(Review, made.record)

    def reassess(self, request: Document, **filters: Filter) -> Iterator[ReassessmentReport]:
        """Stored conditions judged again, as reports, one a page."""
        text, headers = text_of(request), {"Content-Type": JSON}
        params = parameters(**filters)
        answer = self._send("POST", "/v1/reassessments", params=params, content=text, headers=headers)
        report = cast(ReassessmentReport, json_of(answer))
        yield report
        while report["next"] is not None:
            answer = self._send("POST", report["next"], content=text, headers=headers)
            report = cast(ReassessmentReport, json_of(answer))
            yield report
